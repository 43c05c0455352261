"""Which sign of a visit is drawn in its note, and that the picture stands there."""

from __future__ import annotations

import re

from endfeel.assessment import assess
from endfeel.care.drawn_sign import drawn_sign, leading_sign
from endfeel.documents import compose_note, note_html, with_drawn_shoulder
from endfeel.evidence.library import Library
from endfeel.vocabulary import Case, Finding, Result, Side

FLEXION = Finding("act_flexion", Side.RIGHT, value=100.0, familiar=True)
STIFF = Finding("gh_inf", Side.LEFT, mobility=1)
FAMILIAR = Finding("gh_post", Side.RIGHT, mobility=3, familiar=True)
GRIP = Finding("grip", Side.RIGHT, familiar=True)


def test_the_familiar_sign_by_hand_leads_then_what_is_not_normal(library: Library) -> None:
    assert leading_sign(library, [FLEXION, GRIP, STIFF, FAMILIAR]) is FAMILIAR
    assert leading_sign(library, [FLEXION, STIFF]) is STIFF
    positive = Finding("hawkins", Side.RIGHT, result=Result.POSITIVE)
    assert leading_sign(library, [positive]) is positive
    assert leading_sign(library, [FLEXION, GRIP, Finding("gh_post", Side.RIGHT, mobility=3)]) is None


def test_the_note_has_the_picture_after_its_findings_and_in_words(library: Library) -> None:
    drawn = drawn_sign(library, FAMILIAR)
    assert drawn is drawn_sign(library, FAMILIAR), "made once"
    note = with_drawn_shoulder(
        compose_note(assess(Case(findings=(FAMILIAR,)), library), library=library),
        drawn.caption,
        drawn.picture,
        drawn.words,
    )
    ids = [section.id for section in note.sections]
    assert ids.index("drawn") == ids.index("findings") + 1
    written = note_html(note)
    assert "holds: scapula" in written
    assert drawn.picture in written


def test_the_picture_on_the_sheet_has_the_words_of_its_language_and_none_of_the_clinicians(library: Library) -> None:
    clinicians, german = drawn_sign(library, FAMILIAR).picture, drawn_sign(library, FAMILIAR, "de").picture
    words = re.findall(r"<(?:text|title|desc)[^>]*>([^<]*)<", german)
    assert set(words) == {"Was wir getestet haben, rechte", "hält", "bewegt"}
    assert "scapula" in clinicians
