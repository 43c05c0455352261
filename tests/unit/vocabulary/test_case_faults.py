"""A case file with twenty and more different slips: each is named in one reading, on its line."""

from __future__ import annotations

from pathlib import Path

import pytest

from endfeel.vocabulary import CannotRead, Fault
from endfeel.vocabulary.case_files import case_text, parse_case
from endfeel.vocabulary.shorthand import Shorthand

STORIES = Path(__file__).resolve().parents[3] / "stories"


def faults_of(name: str, shorthand: Shorthand, cues: tuple[str, ...]) -> tuple[Fault, ...]:
    with pytest.raises(CannotRead) as refusal:
        parse_case((STORIES / name).read_text(encoding="utf-8"), name=name, shorthand=shorthand, cues=cues)
    return refusal.value.faults


IN_TEXT = {
    "age: 154": "age of 154 is out of range",
    "sex: womn": "no such sex",
    "dominant: both": "no such side",
    "onset: eventually": "no such onset",
    "weeks: 3 moons": "no such unit of time",
    "irritability: extreme": "no such irritability",
    "areas: front, kneecap": "no such area",
    "irritabilty: low": "unknown key",
    "side: left": "side given twice",
    "yes: fever_unwel, cancer_history": "no such cue",
    "jaundice = perhaps": "neither yes nor no",
    "R gh post glide 9": "mobility of 9 is out of range",
    "R gh er 0 400°": "value in deg of 400 is out of range",
    "R gh er 30°": "could mean several procedures",
    "R hawkins + p14": "pain of 14 is out of range",
    "T15 central pa 2": "no such level",
    "R scapulothoracic inferior glide 3": "no procedure has all of these words",
    "R gh post glied 2": "unknown word",
    "R gh post glide hypomobile": "could mean two grades",
    "R neer grade 3": "neer (test) has no mobility",
    "R T5 gh post glide 2": "gh_post has no levels",
    "R gh er 0 30 N": "gh_er_0 is not measured in N",
    "R iso er 9/5": "strength of 9 is out of range",
    "R gh post glide 2 p3 p5": "pain given twice",
    "central pa 2 p2": "th_pa_central needs a level",
    "load shift ant 2": "could be read in two ways",
    "R gh flex": "nothing found is written",
    "gh er 90 55° { }": "cannot read this",
    "treated: , three minutes": "no technique named",
    "retest: gh er 0 painful 40°": "pain without a number",
}

IN_TOML = {
    'invented = "perhaps"': "neither yes nor no",
    'colour = "blue"': "unknown key",
    "age = 154": "age of 154 is out of range",
    'sex = "womn"': "no such sex",
    'dominant = "both"': "no such side",
    "hat_size = 58": "unknown key",
    'onset = "eventually"': "no such onset",
    'weeks = "many"': "duration in weeks is not a number",
    'irritability = "extreme"': "no such irritability",
    'areas = ["front", "kneecap"]': "no such area",
    "story = 12": "words are wanted here",
    'fever_unwel = "yes"': "no such cue",
    'jaundice = "perhaps"': "neither yes nor no",
    "mobility = 9": "mobility of 9 is out of range",
    'procedure = "gh er"': "could mean several procedures",
    "value = 400": "value in deg of 400 is out of range",
    "pain = 14": "pain of 14 is out of range",
    'level = "T15"': "no such level",
    'procedure = "scapulothoracic inferior glide"': "no procedure has all of these words",
    'side = "up"': "no such side",
    'result = "sort of"': "no such result",
    'familiar = "maybe"': "neither yes nor no",
    'end_feel = "leatherry"': "no such end feel",
    "mobilty = 2": "unknown key",
    'unit = "stones"': "no such unit",
    "value = = 30": "not TOML",
    "[[finding]": "not TOML",
    "mobility = 3": "neer (test) has no mobility",
    "[[treatment]]": "no technique named",
    'strength = "9/5"': "gh_er_0 (angular) has no strength",
}


def line_of(slip: str, text: str) -> int:
    """The last line that reads exactly so."""
    lines = text.split("\n")
    return len(lines) - lines[::-1].index(slip)


@pytest.mark.parametrize(
    ("name", "slips"), [("twenty_faults.txt", IN_TEXT), ("twenty_faults.toml", IN_TOML)], ids=["text", "toml"]
)
def test_every_slip_is_named_on_its_line_with_what_would_do(
    name: str, slips: dict[str, str], shorthand: Shorthand, cues: tuple[str, ...]
) -> None:
    faults = faults_of(name, shorthand, cues)
    text = (STORIES / name).read_text(encoding="utf-8")
    by_line = {fault.line: fault for fault in reversed(faults)}
    for slip, message in slips.items():
        fault = by_line[line_of(slip, text)]
        assert message in fault.message, slip
        assert fault.would_do or fault.candidates, slip
        assert fault.file == name
        assert fault.column >= 1
    assert set(by_line) == {line_of(slip, text) for slip in slips}, "a fault on a line without a slip"
    assert [fault.line for fault in faults] == sorted(fault.line for fault in faults)


def test_ambiguity_offers_each_candidate_by_id_and_name(shorthand: Shorthand, cues: tuple[str, ...]) -> None:
    fault = next(f for f in faults_of("twenty_faults.txt", shorthand, cues) if "several procedures" in f.message)
    assert "gh_er_0 (Passive lateral rotation at the side)" in fault.candidates
    assert len(fault.candidates) > 1


def test_a_glide_the_joint_does_not_have_says_which_ones_it_has(shorthand: Shorthand, cues: tuple[str, ...]) -> None:
    fault = next(f for f in faults_of("twenty_faults.txt", shorthand, cues) if "scapulothoracic" in f.read)
    assert {offer.split()[0] for offer in fault.candidates} == {"st_distraction", "st_circumduction"}


def test_near_spellings_are_offered(shorthand: Shorthand, cues: tuple[str, ...]) -> None:
    offers = {f.read: f.candidates for f in faults_of("twenty_faults.txt", shorthand, cues)}
    assert "fever_unwell" in offers["fever_unwel"]
    assert "glide" in offers["glied"]
    assert "irritability" in offers["irritabilty"]


def test_the_column_points_at_the_slip(shorthand: Shorthand) -> None:
    with pytest.raises(CannotRead) as refusal:
        parse_case("side: right\n\nretest: gh post glide 2 p14\n", name="a.txt", shorthand=shorthand)
    (fault,) = refusal.value.faults
    assert (fault.line, fault.column) == (3, 25)
    assert fault.sentence().startswith("a.txt:3:25: pain of 14 is out of range")


def test_toml_that_never_closes_is_one_clear_fault_and_not_a_crash(shorthand: Shorthand) -> None:
    with pytest.raises(CannotRead) as refusal:
        parse_case('[person]\nage = 40\nsex = "fem', name="a.toml", shorthand=shorthand)
    assert refusal.value.faults[0].message.startswith("not TOML")
    assert refusal.value.faults[0].line == 3


def test_a_row_that_records_nothing_is_a_fault(shorthand: Shorthand) -> None:
    with pytest.raises(CannotRead, match="nothing found is written for neer"):
        parse_case('[[finding]]\nprocedure = "neer"\nside = "R"\n', name="a.toml", shorthand=shorthand)


def test_words_of_several_lines_are_kept_as_one(shorthand: Shorthand) -> None:
    toml = 'title = "a\\nb"\n[complaint]\nside = "left"\nstory = """\none\n two"""\n'
    case = parse_case(toml, name="a.toml", shorthand=shorthand)
    assert (case.title, case.complaint.story) == ("a b", "one two")
    again = parse_case(case_text(case), name="a.txt", shorthand=shorthand)
    assert again == case


def test_a_fault_says_its_place_as_far_as_it_is_known() -> None:
    assert Fault("odd", line=3, column=7, file="a.txt").sentence() == "a.txt:3:7: odd"
    assert Fault("odd", column=7).sentence() == "column 7: odd"
    assert Fault("odd", file="a.txt").sentence() == "a.txt: odd"
    assert Fault("odd", "x", "y", candidates=("p", "q")).sentence() == (
        "odd (read: 'x'); would do: y; did you mean: p | q"
    )


ENDLESS = {
    "digits.toml": "[person]\nage = " + "9" * 5000,
    "hexadecimal.toml": "[person]\nage = 0x" + "f" * 5000,
    "brackets.toml": "[person]\nage = " + "[" * 3000 + "]" * 3000,
    "brackets over lines.toml": "[person]\nage = " + "[\n" * 600 + "]\n" * 600,
    "names.toml": ".".join("a" * 3000) + " = 1",
    "digits.txt": "age: " + "9" * 5000,
    "letters.txt": "x " * 600_000,
    "one line.txt": "side: right\n" + "x " * 20_000,
    "one finding.txt": "side: right\ngh post glide " + "x " * 1_000,
}


@pytest.mark.parametrize("name", ENDLESS)
def test_what_no_therapist_wrote_is_one_fault_with_its_line(
    name: str, shorthand: Shorthand, cues: tuple[str, ...]
) -> None:
    with pytest.raises(CannotRead) as refusal:
        parse_case(ENDLESS[name], name=name, shorthand=shorthand, cues=cues)
    (fault,) = refusal.value.faults
    assert fault.line >= 1
    assert fault.would_do
    assert "inf" not in fault.message
    assert len(fault.sentence()) < 300


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("side.txt", "side: roght\ngh post glide 2\nhawkins +\n"),
        ("side.toml", "[complaint]\nside = 'roght'\n[[finding]]\nprocedure = 'gh_post'\nmobility = 2\n"),
    ],
)
def test_a_side_that_cannot_be_read_is_not_told_again_for_every_finding(
    name: str, text: str, shorthand: Shorthand, cues: tuple[str, ...]
) -> None:
    with pytest.raises(CannotRead) as refusal:
        parse_case(text, name=name, shorthand=shorthand, cues=cues)
    assert [fault.message for fault in refusal.value.faults] == ["no such side"]


@pytest.mark.parametrize(
    ("name", "text", "places"),
    [
        ("a.txt", "title: red \x1b[31m\nside: right\r\nhawkins + ; bell \x07 \x00\n", [(1, 12), (3, 18)]),
        ("a.toml", '[complaint]\nstory = "red \\u001b[31m"\n', [(2, 9)]),
        (
            "a.toml",
            '[[finding]]\nprocedure = "hawkins"\nside = "right"\nresult = "positive"\nnote = "\\u0000"',
            [(5, 8)],
        ),
    ],
)
def test_a_character_that_steers_a_terminal_is_a_fault_told_once_a_line(
    name: str, text: str, places: list[tuple[int, int]], shorthand: Shorthand, cues: tuple[str, ...]
) -> None:
    with pytest.raises(CannotRead) as told:
        parse_case(text, name=name, shorthand=shorthand, cues=cues)
    assert {one.message for one in told.value.faults} == {"a control character"}
    assert [(one.line, one.column) for one in told.value.faults] == places


def test_a_backslash_in_a_story_is_a_letter_like_another(shorthand: Shorthand) -> None:
    case = parse_case("[complaint]\nstory = 'C:\\backup \\u001b'\n", name="a.toml", shorthand=shorthand)
    assert case.complaint.story == "C:\\backup \\u001b"
