"""Plans for written stories."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from endfeel.assessment import assess, read_case
from endfeel.evidence.library import Library
from endfeel.planner.plan import required
from endfeel.safety import questions
from endfeel.vocabulary import AREAS, Case, Complaint, Irritability, Onset, Person, Position, Side

STORIES = Path(__file__).resolve().parents[3] / "stories"


@pytest.mark.parametrize("minutes", [20, 30])
def test_a_first_visit_needs_at_most_two_positions_besides_the_arrival_and_lies_on_the_good_side(
    library: Library, minutes: int
) -> None:
    made = assess(_story("first_visit", library), library, minutes).plan
    assert len(made.steps) > 20
    assert made.position_changes <= 2
    assert Position.SIDE_LYING in made.positions
    assert all(step.reason for step in made.steps)


def test_inside_a_position_strong_tests_come_last(library: Library) -> None:
    case = _story("first_visit", library)
    case = replace(case, complaint=replace(case.complaint, irritability=Irritability.LOW))
    made = assess(case, library, 60).plan
    assert any(step.irritability_load >= 3 for step in made.steps)
    for position in made.positions:
        strong = [step.irritability_load >= 3 for step in made.steps if step.position is position]
        assert strong == sorted(strong)


def test_what_is_required_comes_first_in_its_position(library: Library) -> None:
    case = _story("first_visit", library)
    made = assess(case, library, 30).plan
    wanted = required(case, library, 30.0)
    placed = [step for step in made.steps if step.procedure in wanted]
    assert placed
    for position in made.positions:
        asked = [step.procedure in wanted for step in made.steps if step.position is position]
        assert asked == sorted(asked, reverse=True)
    assert all(step.reason == wanted[step.procedure] for step in placed)


def test_a_restricted_motion_whose_glide_nobody_felt_asks_for_that_glide(library: Library) -> None:
    case = _case("first_visit", library)
    angle = next(finding for finding in case.findings if finding.procedure == "gh_er_0")
    bare = assess(replace(case, findings=(angle,), treatments=(), retests=()), library, 10)
    (judgement,) = bare.posterior.articular
    assert judgement.verdict == "not tested"
    step = next(step for step in bare.plan.steps if step.procedure == judgement.to_test[0])
    assert "joint or soft tissue" in step.reason


def test_an_hour_spreads_over_more_ways_of_testing_than_a_quarter(library: Library) -> None:
    bare = _story("first_visit", library)
    kinds = {}
    for minutes in (15, 60):
        steps = assess(bare, library, minutes).plan.steps
        kinds[minutes] = {
            (library.catalogue[s.procedure].region, library.catalogue[s.procedure].technique) for s in steps
        }
        assert any(technique == "glide" for _, technique in kinds[minutes])
    assert len(kinds[60]) > len(kinds[15])


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


def _story(story: str, library: Library):  # type: ignore[no-untyped-def]
    """The case before hands were laid on."""
    return replace(_case(story, library), findings=(), treatments=(), retests=())


def test_every_rule_of_what_is_required_can_be_called_for(library: Library) -> None:
    """A misspelt area, cue or procedure would never call for anything and nobody would notice."""
    asked = {one.id for one in questions(library)}
    for rule in library.documents["planning"]["required"]:
        assert rule["procedure"] in library.catalogue
        assert set(rule.get("areas", ())) <= set(AREAS)
        assert set(rule.get("cues", ())) <= asked
        assert {Onset(one) for one in rule.get("onset", ())} <= set(Onset)


@pytest.mark.parametrize(
    ("area", "wanted"),
    [
        ("ac_area", {"ac_palpation", "ac_cross_body", "ac_active_compression"}),
        ("sc_area", {"sc_palpation", "sc_inf_lat", "sc_post"}),
        ("neck", {"cx_compression", "cx_distraction", "ulnt_median"}),
        ("mid_thorax", {"th_rot_global"}),
        ("front", {"gh_post", "gh_inf"}),
        ("back", {"gh_post", "gh_inf"}),
    ],
)
def test_the_area_of_the_complaint_calls_for_its_own_tests(area: str, wanted: set[str], library: Library) -> None:
    case = Case(Person(40), Complaint(side=Side.LEFT, onset=Onset.GRADUAL, weeks=12, areas=(area,)))
    assert wanted <= set(required(case, library, 20.0))
    assert not wanted & set(required(case, library, 5.0))
