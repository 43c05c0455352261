"""Every procedure can be named by its id, its full name and each phrase of the trade listed for it."""

from __future__ import annotations

from collections import Counter

import pytest

from endfeel.evidence.library import Library
from endfeel.vocabulary import CannotRead, Fault, Finding, OutcomeKind, Procedure, Side
from endfeel.vocabulary.shorthand import Shorthand, complete, named_procedure, parse_finding

DETAIL = {
    OutcomeKind.GLIDE: "m2", OutcomeKind.ANGULAR: "50°", OutcomeKind.ACTIVE: "50°", OutcomeKind.TEST: "pos",
    OutcomeKind.STRESS: "m4", OutcomeKind.RESISTED: "4/5", OutcomeKind.PALPATION: "p3", OutcomeKind.NEURO: "normal",
    OutcomeKind.VITAL: "normal", OutcomeKind.OBSERVATION: "normal", OutcomeKind.LENGTH: "40 mm",
}  # fmt: skip


def read_as(name: str, procedure: Procedure, shorthand: Shorthand) -> str:
    level = procedure.levels[0] if procedure.levels else ""
    try:
        return parse_finding(f"{name} {level} {DETAIL[procedure.outcomes]}", shorthand, Side.RIGHT).procedure
    except CannotRead as error:
        return str(error)


def test_every_procedure_answers_to_its_id_and_its_full_name(shorthand: Shorthand) -> None:
    wrong = {
        (procedure.id, name): read
        for procedure in shorthand.catalogue
        for name in (procedure.id, procedure.name, procedure.name.upper())
        if (read := read_as(name, procedure, shorthand)) != procedure.id
    }
    assert not wrong


def test_every_phrase_of_the_trade_names_its_procedure(library: Library, shorthand: Shorthand) -> None:
    phrases = library.documents["aliases"]["phrase"]
    shared = Counter(phrase for texts in phrases.values() for phrase in texts)
    assert set(phrases) <= set(shorthand.catalogue.by_id)
    wrong = {
        (procedure_id, phrase): read
        for procedure_id, texts in phrases.items()
        for phrase in texts
        if shared[phrase] == 1
        if (read := read_as(phrase, shorthand.catalogue[procedure_id], shorthand)) != procedure_id
    }
    assert not wrong
    for phrase in (phrase for phrase, count in shared.items() if count > 1):
        with pytest.raises(CannotRead) as refusal:
            parse_finding(f"{phrase} p2", shorthand, Side.RIGHT)
        offers = {offer.split(" ")[0] for fault in refusal.value.faults for offer in fault.candidates}
        assert offers == {procedure_id for procedure_id, texts in phrases.items() if phrase in texts}


def test_no_two_procedures_share_a_full_name(shorthand: Shorthand) -> None:
    names = [procedure.name.lower() for procedure in shorthand.catalogue]
    assert len(set(names)) == len(names)


@pytest.mark.parametrize(
    ("line", "procedure"),
    [
        ("ER in 90 abd GH 55°", "gh_er_90"),
        ("posterior glide gh in 90 flexion 2", "gh_post_flex90"),
        ("T5 thoracic rotation 2", "th_rot_segment"),
        ("thoracic rotation 40°", "th_rot_global"),
        ("passive hand behind back 20 deg", "gh_ir_behind"),
        ("hbb 20 cm", "act_hbb"),
        ("first rib 2", "rib1_caudal"),
        ("1st rib 2", "rib1_caudal"),
        ("empty can +", "empty_can"),
        ("apprehension +", "apprehension"),
        ("gh er 90 apprehension p3", "gh_er_90"),
        ("painful arc +", "painful_arc"),
        ("scarf +", "ac_cross_body"),
        ("ULTT1 +", "ulnt_median"),
        ("winging +", "long_thoracic"),
        ("PROM er at side 35", "gh_er_0"),
        ("AROM flexion 120", "act_flexion"),
        ("O'Brien's +", "ac_active_compression"),
        ("sulcus 2 cm", "sulcus_neutral"),
    ],
)
def test_words_of_the_trade_find_the_procedure(line: str, procedure: str, shorthand: Shorthand) -> None:
    assert parse_finding(line, shorthand, Side.RIGHT).procedure == procedure


@pytest.mark.parametrize(
    ("line", "message"),
    [
        ("gh_post anterior 2", "not part of gh_post"),
        ("gh_post_flex90 at 45 2", "not a position of this test"),
        ("gh_post gh_ant 2", "two procedures on one line"),
        ("gh abd T8 40", "gh_abd has no levels"),
        ("hbb C7", "not a place the hand reaches"),
        ("hbb T7/8", "not a place the hand reaches"),
        ("hbb 12", "a number without a word"),
        ("hbb T7 other 4", "a number beside a level"),
        ("gh er 0 L3", "no such level in this examination"),
        ("gh er 0 buttock", "does not say how high the hand reaches"),
        ("hbb T7 p@3", "a level reached has no pain onset"),
        ("p4 R", "no procedure named"),
        ("", "no procedure named"),
        ("L R gh post glide 2", "side given twice"),
        ("gh post glide m2.5", "mobility is a whole number"),
        ("gh post glide 3-", "a sign right behind a number"),
        ("gh post glide m2+", "a sign right behind a number"),
        ("iso er 4/5+", "a sign right behind a number"),
        ("rib 12 spring 2", "no such rib in this examination"),
        ("gh er at side 35/65", "35° other 65°"),
        ("gh post glide " + "x " * 600, "too long for one finding"),
    ],
)
def test_what_does_not_belong_together_is_refused(line: str, message: str, shorthand: Shorthand) -> None:
    with pytest.raises(CannotRead) as refusal:
        parse_finding(line, shorthand, Side.RIGHT)
    assert message in str(refusal.value)


def test_a_missing_side_is_the_complaints_and_a_fault_when_there_is_none(shorthand: Shorthand) -> None:
    assert parse_finding("gh post glide 2", shorthand, Side.LEFT) == Finding("gh_post", Side.LEFT, mobility=2)
    assert parse_finding("R gh post glide 2", shorthand, Side.LEFT).side is Side.RIGHT
    with pytest.raises(CannotRead, match="gh_post needs a side"):
        parse_finding("gh post glide 2", shorthand)


def test_a_central_procedure_takes_no_side_from_the_complaint(shorthand: Shorthand) -> None:
    assert not shorthand.catalogue["th_pa_central"].sided
    assert parse_finding("T5 central pa 2", shorthand, Side.LEFT).side is None


def test_completion_offers_procedures_for_a_half_typed_line(shorthand: Shorthand) -> None:
    assert complete("R gh post gl", shorthand)[0].startswith("gh_post:")
    assert complete("hawk", shorthand) == ("hawkins: Medial rotation at 90 degrees flexion",)
    assert all("er_90" in offer for offer in complete("gh er at 90", shorthand)[:1])
    assert complete("qqqq", shorthand) == ()
    assert len(complete("", shorthand, most=5)) == 5


def test_a_procedure_alone_is_found_by_any_of_its_names(shorthand: Shorthand) -> None:
    found = named_procedure("GH post glide", shorthand)
    assert isinstance(found, Procedure)
    assert found.id == "gh_post"
    fault = named_procedure("gh er", shorthand)
    assert isinstance(fault, Fault)
    assert len(fault.candidates) > 1
