"""Laws of the shorthand and of case files."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from strategies import any_finding, cases

from endfeel.vocabulary import CannotRead, Side
from endfeel.vocabulary.case_files import case_text, case_toml, parse_case
from endfeel.vocabulary.shorthand import Shorthand, finding_text, parse_finding

WORDS_OF_A_LINE = (
    "R", "left", "gh", "er", "post", "glide", "2", "90", "@90", "35°", "other", "(60)", "p4", "pain", "p@60", "firm",
    "early", "capsular", "fam", "not", "+", "-", "pos", "T5", "T5/6", "T15", "400", "4/5", "grade", "; note", '"x"',
    "hypomobile", "neer", "hawkins_", "gh_er_0", "N", "120", "mm", "@", "/", "°", "normal", "rib", "3",
)  # fmt: skip


@settings(max_examples=300, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(data=st.data())
def test_a_finding_written_and_read_again_is_the_same_finding(data: st.DataObject, shorthand: Shorthand) -> None:
    finding = data.draw(any_finding(shorthand))
    line = finding_text(finding)
    again = parse_finding(line, shorthand)
    assert again == finding
    assert finding_text(again) == line


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
@given(data=st.data())
def test_a_case_written_as_text_or_toml_and_read_again_is_the_same_case(
    data: st.DataObject, shorthand: Shorthand, cues: tuple[str, ...]
) -> None:
    case = data.draw(cases(shorthand, cues))
    assert parse_case(case_text(case), name="case.txt", shorthand=shorthand, cues=cues) == case
    assert parse_case(case_toml(case), name="case.toml", shorthand=shorthand, cues=cues) == case


@settings(max_examples=400, deadline=None)
@given(line=st.text(max_size=60) | st.lists(st.sampled_from(WORDS_OF_A_LINE), max_size=9).map(" ".join))
def test_any_line_is_read_or_refused_with_faults_and_never_anything_else(line: str, shorthand: Shorthand) -> None:
    try:
        parse_finding(line, shorthand, Side.RIGHT)
    except CannotRead as error:
        assert error.faults
        assert all(fault.message and fault.column >= 0 for fault in error.faults)


@settings(max_examples=150, deadline=None)
@given(text=st.text(max_size=200), name=st.sampled_from(("a.txt", "a.toml")))
def test_any_file_is_read_or_refused_with_faults_and_never_anything_else(
    text: str, name: str, shorthand: Shorthand, cues: tuple[str, ...]
) -> None:
    try:
        parse_case(text, name=name, shorthand=shorthand, cues=cues)
    except CannotRead as error:
        assert all(fault.line >= 1 for fault in error.faults)


@pytest.mark.parametrize("order", ["R GH post glide 2 firm p4 fam", "fam p4 firm 2 glide post GH R", "p4 GH 2 R glide fam firm post"])
def test_the_order_of_words_on_a_line_does_not_matter(order: str, shorthand: Shorthand) -> None:
    assert parse_finding(order, shorthand) == parse_finding("R GH post glide 2 firm p4 fam", shorthand)
