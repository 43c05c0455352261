"""Plans for written stories."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from endfeel.assessment import assess, read_case
from endfeel.evidence.library import Library
from endfeel.planner.plan import required
from endfeel.vocabulary import Irritability, Position

STORIES = Path(__file__).resolve().parents[3] / "stories"


@pytest.mark.parametrize("minutes", [20, 30])
def test_a_first_visit_needs_at_most_two_positions_besides_the_arrival_and_lies_on_the_good_side(
    library: Library, minutes: int
) -> None:
    made = assess(_case("first_visit", library), library, minutes).plan
    assert made.steps
    assert made.position_changes <= 2
    assert Position.SIDE_LYING in made.positions
    assert all(step.reason for step in made.steps)


def test_inside_a_position_strong_tests_come_last(library: Library) -> None:
    case = _case("first_visit", library)
    case = replace(case, complaint=replace(case.complaint, irritability=Irritability.LOW))
    made = assess(case, library, 60).plan
    assert any(step.irritability_load >= 3 for step in made.steps)
    for position in made.positions:
        strong = [step.irritability_load >= 3 for step in made.steps if step.position is position]
        assert strong == sorted(strong)


def test_what_is_required_comes_first_of_all(library: Library) -> None:
    case = _case("first_visit", library)
    made = assess(case, library, 30).plan
    wanted = required(case, library)
    places = [i for i, step in enumerate(made.steps) if step.procedure in wanted]
    assert places
    assert places == list(range(len(places)))
    assert all(made.steps[i].reason == wanted[made.steps[i].procedure] for i in places)


def test_no_reason_names_the_same_thing_twice(library: Library) -> None:
    made = assess(_case("first_visit", library), library, 30).plan
    topics = [step.reason.removeprefix("tells about ").split(" and ") for step in made.steps]
    assert all(len(set(named)) == len(named) for named in topics)


@pytest.mark.parametrize("story", ["danger_apical", "danger_fracture", "danger_locked_posterior"])
def test_an_urgent_story_gives_the_action_and_no_steps(library: Library, story: str) -> None:
    found = assess(_case(story, library), library, 30)
    assert found.verdict.stops_plan
    assert found.plan.steps == ()
    assert found.verdict.action in found.plan.notes[0]


def _case(story: str, library: Library):  # type: ignore[no-untyped-def]
    path = STORIES / f"{story}.txt"
    return read_case(path.read_text(encoding="utf-8"), path.name, library)
