"""Laws of the path round a sphere: never shorter than straight, symmetric, blind to turns, continuous."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from endfeel.mechanics.wrapping import SOFT_RATIO, length_round_sphere_m, path_round_sphere

WAY = st.tuples(*[st.floats(-1.0, 1.0)] * 3).filter(lambda way: np.linalg.norm(way) > 0.1)
REACH = st.floats(1.02, 3.0)
RADIUS_M = 0.024


def at(way: tuple[float, float, float], reach: float) -> np.ndarray:
    return np.array(way) / np.linalg.norm(way) * reach * RADIUS_M


@given(WAY, REACH, WAY, REACH)
def test_it_is_at_least_as_long_as_straight_and_at_most_round(
    one: tuple[float, float, float], near: float, other: tuple[float, float, float], far: float
) -> None:
    a, b = at(one, near), at(other, far)
    length = float(length_round_sphere_m(a, b, np.array(RADIUS_M)))
    assert length >= np.linalg.norm(a - b) - 1e-9
    over_surface = (near - 1 + far - 1) * RADIUS_M + np.pi * RADIUS_M
    assert length <= over_surface + 1e-9


@given(WAY, REACH, WAY, REACH)
def test_it_is_the_same_from_either_end_and_after_any_turn(
    one: tuple[float, float, float], near: float, other: tuple[float, float, float], far: float
) -> None:
    a, b, radius = at(one, near), at(other, far), np.array(RADIUS_M)
    length = length_round_sphere_m(a, b, radius)
    assert abs(length_round_sphere_m(b, a, radius) - length) < 1e-12
    turn, _ = np.linalg.qr(np.random.default_rng(5).normal(size=(3, 3)))
    assert abs(length_round_sphere_m(turn @ a, turn @ b, radius) - length) < 1e-12


@given(WAY, st.floats(0.9, 3.0), WAY, REACH)
def test_moving_an_end_changes_the_length_by_no_more_than_the_move(
    one: tuple[float, float, float], near: float, other: tuple[float, float, float], far: float
) -> None:
    a, b, radius = at(one, near), at(other, far), np.array(RADIUS_M)
    move = 1e-5 * np.array([0.6, -0.64, 0.48])
    change = abs(length_round_sphere_m(a + move, b, radius) - length_round_sphere_m(a, b, radius))
    reached = min(np.linalg.norm(a), np.linalg.norm(a + move)) / RADIUS_M
    allowed = 1.0 if reached > 1.0 + SOFT_RATIO else (1.0 + SOFT_RATIO) / min(reached, 1.0)
    assert change <= 1e-5 * allowed * (1 + 1e-6)
    assert np.linalg.norm(path_round_sphere(a, b, radius).pull) <= allowed * (1 + 1e-9)
