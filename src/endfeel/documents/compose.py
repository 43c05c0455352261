"""From an assessment to a note. Nothing is computed here: every conclusion was reached in the core."""

from __future__ import annotations

from typing import TYPE_CHECKING

from endfeel.documents.case_sections import (
    finding_sections,
    listing,
    safety_section,
    screen_section,
    story_section,
    treatment_section,
)
from endfeel.documents.footnotes import Footnotes
from endfeel.documents.frame import Written, framed, origin_section
from endfeel.documents.note import Note, Section, Tone
from endfeel.documents.plan_section import plan_section
from endfeel.documents.reasoning_section import reasoning_sections
from endfeel.vocabulary import CAUTIONS, Refused

if TYPE_CHECKING:
    from endfeel.assessment import Assessment
    from endfeel.evidence.library import Library

LANGUAGES = ("en",)


def compose_note(
    assessment: Assessment,
    *,
    written_at: str | None = None,
    author: str | None = None,
    signed: bool = False,
    language: str = "en",
    person_label: str = "",
    library: Library | None = None,
) -> Note:
    """The note of one visit: story, screen, findings, reasoning, treatment, plan, cautions, sources.

    Parameters
    ----------
    assessment : what the program concluded, under one evidence release.
    written_at, author : as they shall stand on the paper; None when not known.
    signed : whether the author has signed; an unsigned note says that it is a draft.
    person_label : how the person is named on the paper; the record's label, never invented here.
    library : the evidence of the assessment's release, for the sources; the shipped one when not given.

    Raises Refused for a language the note is not written in.
    """
    if language not in LANGUAGES:
        raise Refused(f"the note is written in {', '.join(LANGUAGES)} only, not in {language!r}")
    library = library or _shipped()
    case, verdict = assessment.case, assessment.verdict
    notes = Footnotes(library)
    safety, story = safety_section(verdict, notes), story_section(case)
    sections = [safety, story] if verdict.is_pressing or verdict.is_held else [story, safety]
    sections.append(screen_section(case, verdict, library, notes))
    sections += finding_sections(case, library)
    sections += reasoning_sections(assessment, notes)
    sections.append(treatment_section(case, assessment.retests, notes))
    sections.append(plan_section(assessment, library))
    sections += [_cautions(), origin_section(assessment)]
    written = Written(written_at or "", author or "", signed, person_label)
    return framed("note", "Shoulder girdle: examination note", sections, assessment, notes, written, language)


def _shipped() -> Library:
    from endfeel.evidence.load import load_library

    return load_library()


def _cautions() -> Section:
    return Section("cautions", "Cautions", (listing(CAUTIONS),), Tone.QUIET)
