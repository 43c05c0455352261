"""Laws of the shorthand and of case files."""

from __future__ import annotations

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from endfeel.vocabulary import REACHED, CannotRead, Case, Fault, Finding, Side, Unit
from endfeel.vocabulary.case_files import case_text, case_toml, parse_case
from endfeel.vocabulary.shorthand import Shorthand, finding_text, parse_finding
from strategies import any_finding, cases

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


def faults_of_line(line: str, shorthand: Shorthand) -> tuple[Fault, ...] | None:
    """The faults of a line; None when it was read."""
    try:
        parse_finding(line, shorthand, Side.RIGHT)
    except CannotRead as error:
        return error.faults
    return None


def faults_of_case(text: str, name: str, shorthand: Shorthand, cues: tuple[str, ...]) -> tuple[Fault, ...] | None:
    """The faults of a case file; None when it was read."""
    try:
        parse_case(text, name=name, shorthand=shorthand, cues=cues)
    except CannotRead as error:
        return error.faults
    return None


@settings(max_examples=400, deadline=None)
@given(line=st.text(max_size=60) | st.lists(st.sampled_from(WORDS_OF_A_LINE), max_size=9).map(" ".join))
def test_any_line_is_read_or_refused_with_faults_and_never_anything_else(line: str, shorthand: Shorthand) -> None:
    faults = faults_of_line(line, shorthand)
    assert faults is None or faults
    assert all(fault.message and fault.column >= 1 for fault in faults or ())


@settings(max_examples=300, deadline=None)
@given(data=st.data())
def test_random_words_beside_a_procedure_are_read_or_refused(data: st.DataObject, shorthand: Shorthand) -> None:
    names = tuple(name for p in shorthand.catalogue for name in (p.id, p.name))
    words = data.draw(st.lists(st.sampled_from((*WORDS_OF_A_LINE, *names)), max_size=8))
    faults = faults_of_line(" ".join(words), shorthand)
    assert all(fault.message and fault.column >= 1 for fault in faults or ())


@settings(max_examples=150, deadline=None)
@given(text=st.text(max_size=200), name=st.sampled_from(("a.txt", "a.toml")))
def test_any_file_is_read_or_refused_with_faults_and_never_anything_else(
    text: str, name: str, shorthand: Shorthand, cues: tuple[str, ...]
) -> None:
    assert all(fault.line >= 1 for fault in faults_of_case(text, name, shorthand, cues) or ())


TOML_SALAD = (
    "[person]", "[[finding]]", "[finding]", "[[retest]]", "[[treatment]]", "[screen]", "[complaint]", "age = nan",
    "age = 3", "procedure = 'gh_post'", "procedure = 7", "mobility = 2", "mobility = inf", "mobility = [1]",
    "side = 'R'", "side = {}", "pain = 1e400", "pain = 'p3'", "value = 30", "value = true", "unit = '°'",
    "level = 'T5/6'", "level = 5", "other = nan", "familiar = 1", "note = 1979-05-27", "title = 3", "finding = 3",
    "screen = 3", "person = 'x'", "technique = ''", "areas = 3", "areas = [3]", "strength = '4/5'", "= =", "[[finding]",
    "result = 4",
)  # fmt: skip
"""Lines that are each nearly right somewhere."""


@settings(max_examples=400, deadline=None)
@given(lines=st.lists(st.sampled_from(TOML_SALAD), max_size=14))
def test_any_mixture_of_toml_lines_is_read_or_refused(
    lines: list[str], shorthand: Shorthand, cues: tuple[str, ...]
) -> None:
    faults = faults_of_case("\n".join(lines), "a.toml", shorthand, cues)
    assert all(fault.message and fault.line >= 1 for fault in faults or ())


ONE_LINE = "R GH post glide 2 firm p4 fam"


@settings(max_examples=60, deadline=None)
@given(words=st.permutations(ONE_LINE.split()))
def test_the_order_of_words_on_a_line_does_not_matter(words: list[str], shorthand: Shorthand) -> None:
    assert parse_finding(" ".join(words), shorthand) == parse_finding(ONE_LINE, shorthand)


@settings(max_examples=60, deadline=None)
@given(step=st.integers(0, len(REACHED) - 1), other=st.none() | st.integers(0, len(REACHED) - 1))
def test_how_high_the_hand_reaches_is_written_as_its_place_and_read_back(
    step: int, other: int | None, shorthand: Shorthand
) -> None:
    finding = Finding("act_hbb", Side.RIGHT, value=step, unit=Unit.LEVEL, other=other)
    line = finding_text(finding)
    assert line.split(" other ") == [f"act_hbb right {REACHED[step]}", *([] if other is None else [REACHED[other]])]
    assert parse_finding(line, shorthand) == finding
    assert f'value = "{REACHED[step]}"' in case_toml(Case(findings=(finding,)))
