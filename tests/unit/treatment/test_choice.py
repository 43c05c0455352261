"""Techniques for told people: what leads, what safety takes away, where the answers on direction part."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from endfeel.assessment import read_case
from endfeel.evidence.figures import number
from endfeel.evidence.library import Library
from endfeel.inference import Model, build_model, infer
from endfeel.safety import verdict
from endfeel.treatment import Choice, Preference, choose, decide
from endfeel.treatment.directions import stems
from endfeel.vocabulary import Case, Irritability, Position

STORIES = Path(__file__).resolve().parents[3] / "stories"


@pytest.fixture(scope="module")
def model(library: Library) -> Model:
    return build_model(library)


def story(name: str, library: Library) -> Case:
    return read_case((STORIES / f"{name}.txt").read_text(encoding="utf-8"), name, library)


def made(case: Case, library: Library, model: Model, **more: object) -> Choice:
    judged, posterior = verdict(case, library), infer(case, model)
    return choose(posterior, decide(posterior, library, judged), judged, library, **more)  # type: ignore[arg-type]


def ids(choice: Choice) -> list[str]:
    return [one.technique.id for one in choice.everything]


def reason(choice: Choice, technique: str) -> str:
    return next((one.reason for one in choice.left_out if one.technique.id == technique), "")


@pytest.mark.parametrize(
    ("name", "first"),
    [("first_visit", "gh_glide_posterior"), ("anterior_laxity", "control_head"), ("thoracic", "th_glide_extension")],
)
def test_a_story_is_offered_first_what_it_was_written_about(
    name: str, first: str, library: Library, model: Model
) -> None:
    assert ids(made(story(name, library), library, model, position=Position.SIDE_LYING))[0] == first


def test_high_irritability_takes_the_end_of_range_away_and_lightens_the_dose(library: Library, model: Model) -> None:
    case = story("frozen", library)
    found = made(case, library, model, position=Position.SIDE_LYING)
    assert "high irritability" in reason(found, "gh_glide_posterior")
    calm = replace(case, complaint=replace(case.complaint, irritability=Irritability.LOW))
    firm = made(calm, library, model, position=Position.SIDE_LYING)
    assert "gh_glide_posterior" in ids(firm)
    traction, firmer = found.named("gh_traction"), firm.named("gh_traction")
    assert traction is not None
    assert firmer is not None
    assert (traction.dose.grade, firmer.dose.grade) == ("I to II", "III to IV, or held")


def test_an_urgent_verdict_leaves_its_action_and_nothing_different(library: Library, model: Model) -> None:
    found = made(story("danger_apical", library), library, model)
    assert found.withheld
    assert ids(found) == ["refer_safety", "nothing_different"]
    assert found.directions == ()


def test_fragile_bone_bars_the_thrust_and_the_end_of_range(library: Library, model: Model) -> None:
    case = story("thoracic", library)
    case = replace(case, screen={**case.screen, "osteoporosis_severe": True})
    found = made(case, library, model, preference=Preference(frozenset(), frozenset(["th_thrust"])))
    assert found.named("th_thrust") is None
    assert reason(found, "th_thrust")
    assert "th_pa" not in ids(found)


def test_a_thrust_waits_for_every_answer_and_for_consent(library: Library, model: Model) -> None:
    case = story("thoracic", library)
    case = replace(case, complaint=replace(case.complaint, irritability=Irritability.LOW, story=""), screen={})
    locked = next(one for one in made(case, library, model).locked if one.offer.technique.id == "th_thrust")
    assert locked.needs_consent
    assert len(locked.questions) == len(locked.offer.technique.screen_no)
    answered = replace(case, screen=dict.fromkeys(locked.offer.technique.screen_no, False))
    (still,) = made(answered, library, model).locked
    assert (still.questions, still.needs_consent) == ((), True)
    agreed = made(answered, library, model, preference=Preference(frozenset(), frozenset(["th_thrust"])))
    assert agreed.locked == ()
    assert "th_thrust" in ids(agreed)


def test_what_the_person_does_not_want_is_left_out(library: Library, model: Model) -> None:
    found = made(story("first_visit", library), library, model, preference=Preference(frozenset(["hands_on"])))
    assert not any(one.technique.hands_on for one in found.everything)
    assert reason(found, "gh_glide_posterior") == "the person does not want it"


def test_an_anterior_glide_is_not_given_to_a_shoulder_slack_in_front(library: Library, model: Model) -> None:
    found = made(story("anterior_laxity", library), library, model)
    assert "gh_glide_anterior" not in ids(found)


def test_for_outward_rotation_the_rule_the_trials_and_the_model_stand_side_by_side(
    library: Library, model: Model
) -> None:
    found = made(story("first_visit", library), library, model)
    side = next(one for one in found.directions if one.procedure == "gh_er_0")
    assert side.lost_deg == 30.0
    assert (side.rule, side.favours.text) == ("anterior", "posterior")
    assert "joint_rules.johnson2007" in {one.id for one in side.evidence}
    strains = [number(one.added) for one in side.model]
    assert strains == sorted(strains, reverse=True)
    assert stems(side.model_direction) >= stems(
        "anterior"
    )  # the model sides with the rule, against the trials: shown, not hidden
    assert "do not all agree" in side.verdict
    assert side.support("posterior") > side.support("anterior")
