"""Of one performed test the same event counts once, and nothing is read that was not recorded."""

from __future__ import annotations

from dataclasses import replace

import pytest

from endfeel.evidence.library import Library
from endfeel.inference import Model, build_model, infer
from endfeel.vocabulary import Case, Complaint, EndFeel, Finding, Person, Result, Side

RIGHT = Side.RIGHT


@pytest.fixture(scope="module")
def model(library: Library) -> Model:
    return build_model(library)


def shares(model: Model, *findings: Finding, age: int = 48) -> dict[str, float]:
    case = Case(Person(age), Complaint(side=RIGHT, areas=("lateral",)), findings=findings)
    return {belief.id: belief.probability for belief in infer(case, model, with_intervals=False).beliefs}


def keys(model: Model, finding: Finding) -> set[str]:
    case = Case(Person(48), Complaint(side=RIGHT), findings=(finding,))
    return {one.key[1] for one in infer(case, model, with_intervals=False).solution.network.observations.binaries}


def test_painful_but_strong_lateral_rotation_speaks_for_cuff_pain_and_not_for_a_nerve(model: Model) -> None:
    """Weakness or pain is the published event (Park 2005: da049, recalled)."""
    nothing = shares(model)
    painful = shares(model, Finding("iso_er", RIGHT, strength=5, pain=4.0, familiar=True))
    weak = shares(model, Finding("iso_er", RIGHT, strength=4, pain=0.0))
    assert painful["cuff_pain"] > nothing["cuff_pain"] + 0.1
    assert painful["suprascapular_palsy"] < weak["suprascapular_palsy"]
    assert painful["infraspinatus_tear"] < weak["infraspinatus_tear"]


def test_weak_and_painful_lateral_rotation_is_one_event(model: Model) -> None:
    """Beside weakness pain is no second sign of the cuff; that there was none is asked inside the weakness."""
    weak = Finding("iso_er", RIGHT, strength=4)
    bare, sore, painless = (shares(model, replace(weak, pain=pain)) for pain in (None, 6.0, 0.0))
    assert sore["cuff_pain"] == pytest.approx(bare["cuff_pain"], abs=0.02)
    assert painless["suprascapular_palsy"] > 3.0 * sore["suprascapular_palsy"]
    assert keys(model, replace(weak, pain=6.0)) == keys(model, replace(weak, pain=0.0))


@pytest.mark.parametrize("procedure", ["empty_can", "full_can", "iso_er"])
def test_weakness_is_read_only_where_strength_was_recorded(procedure: str, model: Model) -> None:
    plus = Finding(procedure, RIGHT, result=Result.POSITIVE)
    assert keys(model, plus) == {"positive"}
    assert "weak_within" in keys(model, replace(plus, strength=4))
    bare, strong, weak = (
        shares(model, replace(plus, strength=strength), age=62)["supraspinatus_tear_full"] for strength in (None, 5, 3)
    )
    assert strong < bare < weak


def test_a_plus_alone_on_a_resisted_test_without_a_published_event_is_not_called_weak(model: Model) -> None:
    assert "weak" not in keys(model, Finding("iso_abd", RIGHT, result=Result.POSITIVE))
    assert "weak" in keys(model, Finding("iso_abd", RIGHT, result=Result.REDUCED))
    assert "weak" in keys(model, Finding("serratus_strength", RIGHT, result=Result.POSITIVE))


@pytest.mark.parametrize(
    ("procedure", "contributor", "more"),
    [
        ("apprehension", "lax_aighl", {"apprehension": True}),
        ("load_shift_ant", "lax_aighl", {"mobility": 4}),
        ("load_shift_ant", "lax_aighl", {"mobility": 4, "end_feel": EndFeel.LOOSE}),
        ("sulcus_neutral", "multidirectional_laxity", {"mobility": 4, "end_feel": EndFeel.LOOSE}),
    ],
)
def test_one_sensation_is_not_counted_again_under_another_name(
    procedure: str, contributor: str, more: dict[str, object], model: Model
) -> None:
    plus = Finding(procedure, RIGHT, result=Result.POSITIVE)
    once = shares(model, plus, age=24)[contributor]
    assert shares(model, replace(plus, **more), age=24)[contributor] <= once + 1e-9  # type: ignore[arg-type]


def test_how_slack_it_was_still_counts_beside_a_plus(model: Model) -> None:
    plus = Finding("sulcus_neutral", RIGHT, result=Result.POSITIVE)
    slack, very = (shares(model, replace(plus, mobility=grade), age=24)["multidirectional_laxity"] for grade in (4, 5))
    assert very > slack


def test_apprehension_without_a_result_is_the_result_of_the_test_that_provokes_it(model: Model) -> None:
    felt = shares(model, Finding("apprehension", RIGHT, apprehension=True), age=24)
    plus = shares(model, Finding("apprehension", RIGHT, result=Result.POSITIVE), age=24)
    assert felt == pytest.approx(plus)
