"""The pull of one fibre: slack, toe, line; energy and tangent are its integral and slope."""

from __future__ import annotations

import numpy as np
import pytest

from endfeel.mechanics.tissue import checked, energy_j, strain_of, tangent_n_per_m, tension_n

FIBRE = (0.040, 20_000.0, 0.05)
"""40 mm slack, 20 N/mm, a toe of 5 %: 2 mm of stretch, where the pull is half of stiffness times stretch."""


def test_a_slack_fibre_neither_pulls_nor_stores() -> None:
    lengths = np.array([0.0, 0.03, 0.04])
    for of in (tension_n, energy_j, tangent_n_per_m):
        assert not of(lengths, *FIBRE).any()


@pytest.mark.parametrize(
    ("length_m", "pull_n", "stored_j", "slope"),
    [
        (0.041, 5.0, 20_000 * 1e-9 / (6 * 0.002), 10_000.0),
        (0.042, 20.0, 20_000 * 8e-9 / (6 * 0.002), 20_000.0),
        (0.045, 80.0, 20_000 * 8e-9 / (6 * 0.002) + 0.003 * (20.0 + 80.0) / 2, 20_000.0),
    ],
)
def test_worked_by_hand(length_m: float, pull_n: float, stored_j: float, slope: float) -> None:
    assert tension_n(length_m, *FIBRE) == pytest.approx(pull_n, rel=1e-12)
    assert energy_j(length_m, *FIBRE) == pytest.approx(stored_j, rel=1e-12)
    assert tangent_n_per_m(length_m, *FIBRE) == pytest.approx(slope, rel=1e-12)


def test_without_a_toe_it_is_a_one_sided_spring() -> None:
    lengths = np.array([0.039, 0.041, 0.050])
    assert tension_n(lengths, 0.04, 1000.0, 0.0) == pytest.approx([0.0, 1.0, 10.0])
    assert energy_j(lengths, 0.04, 1000.0, 0.0) == pytest.approx([0.0, 0.0005, 0.05])


def test_shapes_broadcast() -> None:
    lengths, slack = np.linspace(0.03, 0.06, 5)[:, None, None], np.full((4, 1), 0.04)
    for of in (tension_n, energy_j, tangent_n_per_m):
        assert of(lengths, slack, np.full(3, 1e4), 0.03).shape == (5, 4, 3)


def test_strain_is_negative_while_slack() -> None:
    assert strain_of([0.03, 0.04, 0.05], 0.04) == pytest.approx([-0.25, 0.0, 0.25])


@pytest.mark.parametrize(
    ("values", "named"),
    [
        ((0.0, 1.0, 0.0), "slack_m"),
        ((0.04, -1.0, 0.0), "stiffness_n_per_m"),
        ((0.04, 1.0, -0.1), "toe_strain"),
        ((np.nan, 1.0, 0.0), "slack_m"),
    ],
)
def test_impossible_fibres_are_named(values: tuple[float, float, float], named: str) -> None:
    checked(0.04, 0.0, 0.0)
    with pytest.raises(ValueError, match=named):
        checked(*values)
