"""Laws of one fibre: it never pushes, its pull grows with length, energy is its integral, tangent its slope."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from endfeel.mechanics.tissue import energy_j, tangent_n_per_m, tension_n

SLACK_M = st.floats(0.01, 0.2)
STIFFNESS = st.floats(0.0, 2e5)
TOE = st.floats(0.0, 0.2)
RATIO = st.floats(0.5, 1.5)


@given(SLACK_M, STIFFNESS, TOE, RATIO, RATIO)
def test_pull_is_never_negative_and_grows_with_length(
    slack_m: float, stiffness: float, toe: float, one: float, other: float
) -> None:
    shorter, longer = sorted((one * slack_m, other * slack_m))
    weak, strong = tension_n([shorter, longer], slack_m, stiffness, toe)
    assert 0.0 <= weak <= strong


@given(SLACK_M, STIFFNESS, TOE, RATIO)
def test_energy_is_the_integral_and_tangent_the_slope(
    slack_m: float, stiffness: float, toe: float, ratio: float
) -> None:
    length_m, step_m = ratio * slack_m, 1e-4 * slack_m
    ends = np.array([length_m - step_m, length_m + step_m])
    allowed = stiffness * step_m
    work = np.diff(energy_j(ends, slack_m, stiffness, toe))[0] / (2 * step_m)
    assert abs(work - tension_n(length_m, slack_m, stiffness, toe)) <= allowed + 1e-9
    grid = np.linspace(slack_m, length_m, 2001) if length_m > slack_m else np.array([length_m])
    summed = np.sum(tangent_n_per_m((grid[1:] + grid[:-1]) / 2, slack_m, stiffness, toe) * np.diff(grid))
    assert abs(summed - tension_n(length_m, slack_m, stiffness, toe)) <= 1e-3 * stiffness * slack_m + 1e-9


@given(SLACK_M, st.floats(1.0, 2e5), st.floats(1e-4, 0.2))
def test_value_and_slope_meet_at_the_end_of_the_toe(slack_m: float, stiffness: float, toe: float) -> None:
    end, hair = slack_m * (1 + toe), 1e-9 * slack_m
    before, after = (tension_n(end + side * hair, slack_m, stiffness, toe) for side in (-1, 1))
    assert abs(after - before) <= 2.1 * hair * stiffness + 1e-9
    slopes = [tangent_n_per_m(end + side * hair, slack_m, stiffness, toe) for side in (-1, 1)]
    assert abs(slopes[1] - slopes[0]) <= stiffness * 2 * hair / (toe * slack_m) + 1e-6
