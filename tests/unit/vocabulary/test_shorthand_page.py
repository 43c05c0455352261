"""docs/shorthand.md says what the program does: its examples, its grammar and its word lists are read from the page."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from ebnf import parse_ebnf, sentences
from hypothesis import given, settings
from hypothesis import strategies as st

from endfeel.vocabulary import CannotRead, Side
from endfeel.vocabulary.case_files import parse_case
from endfeel.vocabulary.shorthand import Shorthand, finding_text, parse_finding
from endfeel.vocabulary.shorthand.details import (
    END_FEEL_WORDS,
    MOBILITY_WORDS,
    REACH_WORDS,
    RESULT_WORDS,
    UNIT_WORDS,
    scan_line,
)
from endfeel.vocabulary.terms import LEVELS

PAGE = (Path(__file__).resolve().parents[3] / "docs" / "shorthand.md").read_text(encoding="utf-8")
GRAMMAR = parse_ebnf(PAGE.split("```ebnf\n")[1].split("```")[0])
ROWS = re.findall(r"^\| `(.+?)` \| `(.+?)` \|$", PAGE.split("## The grammar")[0], re.MULTILINE)
SPLIT = PAGE.index("## Refused")
READ = [row for row in ROWS if PAGE.index(f"| `{row[0]}` |") < SPLIT]
REFUSED = [row for row in ROWS if PAGE.index(f"| `{row[0]}` |") > SPLIT]


@pytest.mark.parametrize(("written", "canonical"), READ)
def test_each_example_is_read_as_the_page_says(written: str, canonical: str, shorthand: Shorthand) -> None:
    finding = parse_finding(written, shorthand, Side.RIGHT)
    unsided = canonical if shorthand.catalogue[finding.procedure].sided else canonical.replace(" right", "", 1)
    assert finding_text(finding) == unsided
    assert parse_finding(canonical, shorthand) in (finding, parse_finding(canonical, shorthand, Side.RIGHT))


@pytest.mark.parametrize(("written", "why"), REFUSED)
def test_each_refusal_is_refused_as_the_page_says(written: str, why: str, shorthand: Shorthand) -> None:
    with pytest.raises(CannotRead) as refusal:
        parse_finding(written, shorthand, Side.RIGHT)
    assert [fault for fault in refusal.value.faults if fault.message.startswith(why)]
    assert all(fault.would_do or fault.candidates for fault in refusal.value.faults)


FIELDS = {
    "side": "side", "level": "level", "mobility": "mobility", "end_feel": "end_feel", "value": "value",
    "other": "other",
    "pain": "pain", "pain_onset": "pain_onset", "resistance_onset": "resistance_onset", "familiar": "familiar",
    "result": "result", "apprehension": "apprehension", "strength": "strength", "laxity": "value",
    "arc": "range",
}  # fmt: skip


def test_the_grammar_names_every_detail() -> None:
    assert set(GRAMMAR["detail"].words()) == set(FIELDS)


@pytest.mark.parametrize("detail", sorted(FIELDS))
@settings(max_examples=60, deadline=None)
@given(data=st.data())
def test_every_sentence_of_the_grammar_is_read_as_that_detail(detail: str, data: st.DataObject) -> None:
    text = data.draw(sentences(GRAMMAR, detail))
    scan = scan_line(text, lambda _line, _at: None)
    assert not scan.faults, text
    also = {"firm": "end_feel", "normal": "result"}
    assert FIELDS[detail] in {also.get(name, name) for name in scan.given}, text
    assert not [word for word, _ in scan.words if word != "rib"], text


def test_the_word_lists_of_the_page_are_those_of_the_program() -> None:
    def listed(name: str) -> set[str]:
        return {word.lower() for word in GRAMMAR[name].literals()}

    assert listed("end_feel_word") == set(END_FEEL_WORDS)
    assert listed("mobility_word") == set(MOBILITY_WORDS)
    assert listed("result_word") == set(RESULT_WORDS)
    assert listed("unit") == set(UNIT_WORDS) - {"grade", "level"}
    assert listed("reached") == set(REACH_WORDS)
    assert {level.lower() for level in LEVELS} <= listed("level")


def test_the_two_case_files_of_the_page_are_the_same_case(shorthand: Shorthand, cues: tuple[str, ...]) -> None:
    text = PAGE.split("```text\n")[1].split("```")[0]
    toml = PAGE.split("```toml\n")[1].split("```")[0]
    one = parse_case(text, name="case.txt", shorthand=shorthand, cues=cues)
    assert one == parse_case(toml, name="case.toml", shorthand=shorthand, cues=cues)
    assert len(one.findings) == 2
    assert len(one.retests) == 1
    assert one.screen == {"trauma_recent": False, "fever_unwell": False, "diabetes": True}
