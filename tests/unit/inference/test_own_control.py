"""The other side is the person's own control, levels behind the back count, and the story's odds move the right way."""

from __future__ import annotations

import itertools
from dataclasses import replace

import numpy as np
import pytest

from endfeel.evidence.figures import number
from endfeel.evidence.library import Library
from endfeel.inference import Model, Posterior, build_model, infer
from endfeel.simulate import ASSUMED, draw_patient, find
from endfeel.vocabulary import REACHED, Case, Complaint, Finding, Person, Result, Side, Unit

RIGHT, LEFT = Side.RIGHT, Side.LEFT


@pytest.fixture(scope="module")
def model(library: Library) -> Model:
    return build_model(library)


def told(model: Model, *findings: Finding, age: int = 52, screen: dict[str, bool] | None = None) -> Posterior:
    case = Case(Person(age, "female"), Complaint(side=RIGHT), screen or {}, findings)
    return infer(case, model, with_intervals=False)


def chance(posterior: Posterior, name: str) -> float:
    belief = posterior.belief(name, RIGHT)
    assert belief is not None
    return belief.probability


def angle(side: Side, value: float, other: float | None = None, procedure: str = "gh_er_0") -> Finding:
    return Finding(procedure, side, value=value, other=other, unit=Unit.DEGREES)


def level(word: str, other: str | None = None, side: Side = RIGHT, **more: float) -> Finding:
    reached = float(REACHED.index(other)) if other else None
    return Finding("gh_ir_behind", side, value=float(REACHED.index(word)), other=reached, unit=Unit.LEVEL, **more)


@pytest.mark.parametrize(
    ("mine", "others"), [((40.0, "gh_er_0"), 70.0), ((40.0, "gh_er_0"), 42.0), ((100.0, "act_abduction"), 170.0)]
)
def test_the_other_side_on_a_line_of_its_own_is_the_same_as_beside_it(
    mine: tuple[float, str], others: float, model: Model
) -> None:
    value, procedure = mine
    beside = told(model, angle(RIGHT, value, others, procedure))
    apart = told(model, angle(RIGHT, value, None, procedure), angle(LEFT, others, None, procedure))
    assert {b.id: b.probability for b in apart.beliefs} == pytest.approx({b.id: b.probability for b in beside.beliefs})
    assert not apart.caveats


def test_a_loss_on_both_sides_says_less_than_a_loss_on_one(model: Model) -> None:
    alone = chance(told(model, angle(RIGHT, 40.0)), "capsule_global")
    same, free = (chance(told(model, angle(RIGHT, 40.0), angle(LEFT, left)), "capsule_global") for left in (42.0, 70.0))
    assert same < alone < free


def test_a_glide_stiff_on_both_sides_says_less_about_the_side_that_hurts(model: Model) -> None:
    nothing = chance(told(model), "capsule_posterior_middle")
    glide = Finding("gh_post", RIGHT, mobility=2)
    alone, free, both = (
        chance(told(model, glide, *others), "capsule_posterior_middle")
        for others in ((), (replace(glide, side=LEFT, mobility=3),), (replace(glide, side=LEFT),))
    )
    assert nothing < both < 0.8 * alone
    assert free >= alone


def test_each_level_lost_behind_the_back_speaks_more_for_a_frozen_shoulder(model: Model) -> None:
    rising = [chance(told(model, level(word, "T6")), "capsule_global") for word in ("T6", "T10", "L1", "L5", "buttock")]
    assert all(less < more for less, more in itertools.pairwise(rising)), rising
    nothing = chance(told(model), "capsule_global")
    assert rising[0] < nothing < rising[-1]
    assert chance(told(model, level("buttock", "T6", pain=0.0)), "capsule_global") > nothing
    assert "not used" not in " ".join(told(model, level("buttock", "T6")).caveats)


def test_a_level_is_not_read_as_degrees_nor_degrees_as_a_level(model: Model) -> None:
    for finding in (replace(level("T6"), unit=Unit.DEGREES), replace(angle(RIGHT, 12.0), unit=Unit.LEVEL)):
        assert not told(model, finding).solution.network.angles


def test_a_simulated_reach_is_a_level(model: Model) -> None:
    generator = np.random.default_rng(2)
    case = Case(Person(52, "female"), Complaint(side=RIGHT))
    for _ in range(20):
        found = find(draw_patient(case, model, generator), ("gh_ir_behind", RIGHT, None), model, ASSUMED, generator)
        assert found is not None
        assert found.value is not None
        assert found.unit is Unit.LEVEL
        assert 0.0 <= found.value < len(REACHED)


def test_diabetes_raises_the_chance_of_a_frozen_shoulder_by_the_published_ratio(model: Model, library: Library) -> None:
    """Odds ratio 3.69 between with and without (Dyer 2023, read: pr197); the average of both is where it stood."""
    yes, no, unknown = (
        chance(told(model, screen=screen), "capsule_global") for screen in ({"diabetes": True}, {"diabetes": False}, {})
    )
    assert no < unknown < yes
    odds = [one / (1.0 - one) for one in (no, yes)]
    assert odds[1] / odds[0] == pytest.approx(number(library.figure("prognosis.pr197.estimate")), rel=1e-6)


def test_laxity_in_every_direction_rises_with_the_laxity_score(model: Model) -> None:
    """General laxity and instability go together (Cameron 2010, read: pr198)."""
    slack = Finding("sulcus_neutral", RIGHT, mobility=5)
    for beside in ((), (slack,)):
        rising = [
            chance(told(model, *beside, Finding("beighton", value=float(score)), age=24), "multidirectional_laxity")
            for score in range(0, 10, 3)
        ]
        assert all(less < more for less, more in itertools.pairwise(rising)), rising


@pytest.mark.parametrize(
    ("procedure", "contributor"),
    [
        ("th_active_ext", "segment_stiffness.T5"),
        ("act_hbn", "capsule_global"),
        ("breath_excursion", "rib_hypomobility"),
        ("act_girdle_elev", "sc_hypomobility_elevation"),
    ],
)
def test_a_motion_seen_reduced_speaks_for_what_takes_it(procedure: str, contributor: str, model: Model) -> None:
    side = RIGHT if model.catalogue[procedure].sided else None
    seen = told(model, Finding(procedure, side, result=Result.REDUCED))
    free = told(model, Finding(procedure, side, result=Result.NORMAL))

    def of(posterior: Posterior) -> float:
        belief = posterior.belief(contributor)
        assert belief is not None
        return belief.probability

    assert of(free) < of(told(model)) < of(seen)
    assert not seen.caveats
