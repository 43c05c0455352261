"""The solver of straight fibres and a facet: by hand, by differences, and where nothing holds the bone."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from endfeel.mechanics import ligament_springs as ls

Z = np.array([0.0, 0.0, 1.0])


def joint(
    fixed: list[list[float]],
    moving: list[list[float]],
    *,
    stiffness: float = 20_000.0,
    contact: float = 100_000.0,
    curvature: tuple[float, float] = (0.0, 0.0),
    toe: float = 0.0,
    loose: float = 0.0,
) -> ls.SpringJoint:
    """Fibres at their slack length and a flat or curved facet with its normal along z; the bone lies above it."""
    ends, far = np.array(moving), np.array(fixed)
    count = len(ends)
    length = np.linalg.norm(ends - far, axis=-1)
    fibres = ls.Fibres(
        tuple(f"band{place}" for place in range(count)),
        far,
        ends,
        length,
        np.full(count, stiffness),
        np.full(count, toe),
    )
    marks = np.array([[x, y, 0.0] for x in (-0.004, 0.004) for y in (-0.003, 0.003)])
    marks[:, 2] = (curvature[0] * marks[:, 0] ** 2 + curvature[1] * marks[:, 1] ** 2) / 2.0
    facet = ls.Facet(marks, np.zeros(3), np.eye(3), np.array(curvature), np.array(contact))
    return ls.SpringJoint(fibres, facet, "surface", loose, {})


UPRIGHT = joint([[0.0, 0.0, 0.0]], [[0.0, 0.0, 0.010]])


def test_a_fibre_pulled_along_itself_stretches_by_force_over_stiffness() -> None:
    found = ls.settle(UPRIGHT, ls.load_of(Z * 40.0))
    assert found.converged
    assert found.shift_m == pytest.approx([0.0, 0.0, 0.002], abs=1e-9)
    assert found.tension_n == pytest.approx([40.0])
    assert found.push_n == pytest.approx([0.0, 0.0, 0.0])


def test_a_facet_only_pushes() -> None:
    pressed = ls.settle(replace(UPRIGHT, loose_n_per_m=1.0), ls.load_of(Z * -50.0))
    assert pressed.converged
    assert pressed.shift_m[2] == pytest.approx(-50.0 / 100_001.0, rel=1e-6)
    assert pressed.push_n[2] == pytest.approx(50.0, rel=1e-4)
    assert pressed.tension_n == pytest.approx([0.0])


def test_a_bone_that_nothing_holds_is_reported() -> None:
    slack = replace(UPRIGHT, fibres=replace(UPRIGHT.fibres, stiffness_n_per_m=np.zeros(1)))
    assert not ls.settle(slack, ls.load_of(Z * 10.0)).converged


def test_a_pulled_crosswise_fibre_by_hand() -> None:
    """A 10 mm fibre pulled square to itself by 5 mm is 11.18 mm long and pulls with 23.6 N, 10.6 N of it back."""
    flat = joint([[0.0, 0.0, 0.0]], [[0.010, 0.0, 0.0]], loose=1e-3)
    sideways = np.eye(4)[:, [2]]
    found = ls.settle(
        flat, ls.load_of(Z * 20_000.0 * (np.hypot(0.01, 0.005) - 0.01) * 0.005 / np.hypot(0.01, 0.005), free=sideways)
    )
    assert found.shift_m[2] == pytest.approx(0.005, abs=1e-8)


def test_a_moment_is_borne_by_a_lever() -> None:
    """Two fibres square to an arm of 20 mm on either side: a moment of 0.8 N m is 20 N in each."""
    pair = joint(
        [[0.02, -0.01, 0.0], [-0.02, 0.01, 0.0]], [[0.02, 0.0, 0.0], [-0.02, 0.0, 0.0]], contact=0.0, loose=1e-3
    )
    found = ls.settle(pair, ls.load_of(moment_nm=0.8, axis=Z, free=ls.SLIDING_AND_TURNING))
    assert found.converged
    assert found.tension_n == pytest.approx([20.0, 20.0], rel=2e-3)
    assert found.twist_nm.sum() == pytest.approx(-0.8, abs=1e-5)


def random_joint(seed: int) -> ls.SpringJoint:
    chance = np.random.default_rng(seed)
    moving = chance.normal(scale=0.01, size=(7, 3))
    away = chance.normal(size=(7, 3))
    fixed = moving - away / np.linalg.norm(away, axis=-1, keepdims=True) * chance.uniform(0.008, 0.02, (7, 1))
    made = joint(fixed.tolist(), moving.tolist(), curvature=(-25.0, 40.0), toe=0.03, loose=50.0)
    slack = made.fibres.slack_m * chance.uniform(0.97, 1.03, 7)
    return replace(made, fibres=replace(made.fibres, slack_m=slack, stiffness_n_per_m=chance.uniform(5e3, 6e4, 7)))


@pytest.mark.parametrize("seed", range(8))
def test_slope_and_curvature_are_those_of_the_energy(seed: int) -> None:
    chance = np.random.default_rng(100 + seed)
    made = random_joint(seed)
    axis = chance.normal(size=3)
    axis /= np.linalg.norm(axis)
    place = chance.normal(scale=0.003, size=4)
    _, slope, curvature = ls.energy_and_slopes(made, place, axis)
    tiny = 1e-6
    for one in range(4):
        step = np.eye(4)[one] * tiny
        energy = [ls.stored_energy_j(made, place + sign * step, axis) for sign in (1.0, -1.0)]
        assert slope[one] == pytest.approx((energy[0] - energy[1]) / (2 * tiny), rel=1e-5, abs=1e-4)
        slopes = [ls.energy_and_slopes(made, place + sign * step, axis)[1] for sign in (1.0, -1.0)]
        assert curvature[one] == pytest.approx((slopes[0] - slopes[1]) / (2 * tiny), rel=1e-4, abs=5.0)


def test_people_solved_together_are_people_solved_alone() -> None:
    singles = [random_joint(seed) for seed in range(5)]

    def together(read: str) -> np.ndarray:
        return np.stack([getattr(one.fibres, read) for one in singles])

    fibres = ls.Fibres(
        singles[0].fibres.bands,
        *(together(name) for name in ("fixed_m", "moving_m", "slack_m", "stiffness_n_per_m", "toe_strain")),
    )
    facet = singles[0].facet
    many = replace(
        singles[0],
        fibres=fibres,
        facet=ls.Facet(
            *(
                np.broadcast_to(value, (5, *value.shape))
                for value in (
                    facet.points_m,
                    facet.centre_m,
                    facet.axes,
                    facet.curvature_per_m,
                    facet.stiffness_n_per_m,
                )
            )
        ),
    )
    load = ls.load_of([20.0, -30.0, 10.0])
    found = ls.settle(many, load)
    assert found.converged.all()
    for place, one in enumerate(singles):
        assert found.shift_m[place] == pytest.approx(ls.settle(one, load).shift_m, abs=2e-8)
