"""The invented stories that the tests, the demonstration and the pages share."""

from __future__ import annotations

from pathlib import Path

import pytest

from endfeel.vocabulary import Case
from endfeel.vocabulary.case_files import case_text, case_toml, parse_case
from endfeel.vocabulary.shorthand import Shorthand

STORIES = Path(__file__).resolve().parents[3] / "stories"
NAMES = sorted(path.name for path in STORIES.glob("*.txt") if path.stem != "twenty_faults")


def story(name: str, shorthand: Shorthand, cues: tuple[str, ...]) -> Case:
    return parse_case((STORIES / name).read_text(encoding="utf-8"), name=name, shorthand=shorthand, cues=cues)


@pytest.mark.parametrize("name", NAMES)
def test_each_story_reads_without_a_fault_and_says_it_is_invented(
    name: str, shorthand: Shorthand, cues: tuple[str, ...]
) -> None:
    case = story(name, shorthand, cues)
    assert case.invented
    assert case.title
    assert case.findings


@pytest.mark.parametrize("name", NAMES)
def test_each_story_survives_both_forms(name: str, shorthand: Shorthand, cues: tuple[str, ...]) -> None:
    case = story(name, shorthand, cues)
    assert parse_case(case_text(case), name="a.txt", shorthand=shorthand, cues=cues) == case
    assert parse_case(case_toml(case), name="a.toml", shorthand=shorthand, cues=cues) == case


def test_there_are_stories_for_each_kind_of_trouble_and_some_with_retests(
    shorthand: Shorthand, cues: tuple[str, ...]
) -> None:
    cases = {name: story(name, shorthand, cues) for name in NAMES}
    assert len(cases) >= 8
    assert sum(name.startswith("danger_") for name in cases) >= 3
    assert sum(bool(case.retests) for case in cases.values()) >= 2
    assert all(case.treatments for case in cases.values() if case.retests)


def test_the_first_visit_has_both_sides_the_stiff_segments_a_treatment_and_retests(
    shorthand: Shorthand, cues: tuple[str, ...]
) -> None:
    case = story("first_visit.txt", shorthand, cues)
    assert {finding.level for finding in case.findings} >= {"T4", "T5", "T6"}
    assert {str(finding.side) for finding in case.findings if finding.procedure == "gh_post"} == {"right", "left"}
    assert sum(finding.other is not None for finding in case.findings) >= 5
    assert len(case.treatments) >= 2
    assert {finding.procedure for finding in case.retests} <= {finding.procedure for finding in case.findings}


def test_the_toml_twin_of_the_first_visit_is_the_same_case(shorthand: Shorthand, cues: tuple[str, ...]) -> None:
    assert story("first_visit.toml", shorthand, cues) == story("first_visit.txt", shorthand, cues)
