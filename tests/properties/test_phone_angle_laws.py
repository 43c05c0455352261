"""Laws of the angle a phone gives: what a turn of known size must read, and what gravity cannot tell."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.spatial.transform import Rotation

from endfeel.instruments import Turn, angle_since, held, up_in_phone

angles = st.floats(-180, 180, allow_nan=False)
gammas = st.floats(-90, 90, allow_nan=False)
AXES = {Turn.SHORT_EDGE: (1.0, 0.0, 0.0), Turn.LONG_EDGE: (0.0, 1.0, 0.0), Turn.SCREEN: (0.0, 0.0, 1.0)}


def lying(alpha: float, beta: float, gamma: float) -> Rotation:
    """How the phone lies in the room: turned about z, then its new x, then its new y, by a general library."""
    return Rotation.from_euler("ZXY", (alpha, beta, gamma), degrees=True)


def up(phone: Rotation) -> tuple[float, float, float]:
    x, y, z = phone.inv().apply((0.0, 0.0, 1.0))
    return float(x), float(y), float(z)


@given(angles, angles, gammas)
def test_up_is_what_a_general_library_finds_whatever_the_turn_about_the_vertical(
    alpha: float, beta: float, gamma: float
) -> None:
    assert up_in_phone(beta, gamma) == pytest.approx(up(lying(alpha, beta, gamma)), abs=1e-9)


@given(angles, gammas, angles, gammas)
def test_the_whole_angle_is_the_same_both_ways_and_none_to_itself(b1: float, g1: float, b2: float, g2: float) -> None:
    one, other = up_in_phone(b1, g1), up_in_phone(b2, g2)
    there, back = angle_since(one, other).degrees, angle_since(other, one).degrees
    assert there == pytest.approx(back, abs=1e-9)
    assert there is not None
    assert 0 <= there <= 180
    assert angle_since(one, one).degrees == pytest.approx(0, abs=1e-6)


@given(st.floats(-170, 170), angles, st.floats(-180, 180))
def test_about_a_level_axis_any_way_reads_the_turn_itself(turned: float, alpha: float, way: float) -> None:
    """A limb that swings about any level axis; the phone starts lying in any way."""
    start = lying(alpha, way, 20.0)
    swing = Rotation.from_rotvec(np.radians(turned) * np.array([np.cos(np.radians(way)), np.sin(np.radians(way)), 0]))
    assert angle_since(up(start), up(swing * start)).degrees == pytest.approx(abs(turned), abs=1e-6)


@given(st.sampled_from(list(AXES)), st.floats(-170, 170), angles, gammas, st.floats(0, 55))
def test_about_an_edge_the_turn_is_read_with_its_sign_however_the_edge_leans(
    turn: Turn, turned: float, beta: float, gamma: float, most: float
) -> None:
    start = lying(30.0, beta, gamma)
    after = start * Rotation.from_rotvec(np.radians(turned) * np.array(AXES[turn]))
    read = angle_since(up(start), up(after), turn, most_lean_deg=most)
    if read.lean_deg > most:
        assert read.degrees is None
    else:
        assert read.degrees == pytest.approx(turned, abs=1e-6)
        assert read.noise_factor == pytest.approx(1 / np.cos(np.radians(read.lean_deg)))


@given(st.sampled_from(list(Turn)), angles, angles, gammas)
def test_a_turn_about_the_vertical_is_not_felt(turn: Turn, about: float, beta: float, gamma: float) -> None:
    start = lying(0.0, beta, gamma)
    after = Rotation.from_euler("z", about, degrees=True) * start
    read = angle_since(up(start), up(after), turn, most_lean_deg=60)
    assert read.degrees is None or abs(read.degrees) < 1e-5


def test_a_phone_that_lies_flat_cannot_tell_a_turn_about_its_screen() -> None:
    flat = up_in_phone(0.0, 0.0)
    assert angle_since(flat, flat, Turn.SCREEN, most_lean_deg=60).degrees is None
    assert angle_since(flat, flat, Turn.SCREEN).degrees is None


@given(st.floats(0.01, 5.0), st.floats(0.01, 10.0), angles, gammas)
def test_how_strong_gravity_is_told_makes_no_difference(size: float, other: float, b: float, g: float) -> None:
    one, two = up_in_phone(b, g), up_in_phone(b + 10, g)
    scaled = tuple(size * v for v in one), tuple(other * v for v in two)
    assert angle_since(*scaled).degrees == pytest.approx(angle_since(one, two).degrees, abs=1e-6)


@pytest.mark.parametrize("bad", [float("nan"), float("inf")])
def test_what_is_no_number_is_refused(bad: float) -> None:
    with pytest.raises(ValueError, match="number"):
        up_in_phone(bad, 0)
    with pytest.raises(ValueError, match="point somewhere"):
        angle_since((0.0, 0.0, 0.0), (0.0, 0.0, 1.0))


# ---- holding ---------------------------------------------------------------------------------------------------

steady = st.lists(st.floats(-0.9, 0.9), min_size=12, max_size=40)


@given(steady, st.floats(-180, 180))
def test_a_still_limb_is_held_and_the_held_angle_lies_within_what_was_read(noise: list[float], at: float) -> None:
    samples = [(0.1 * n, at + one) for n, one in enumerate(noise)]
    found = held(samples, 1.0, 2.0)
    assert found is not None
    assert min(a for _, a in samples) <= found.degrees <= max(a for _, a in samples)
    assert found.spread_deg <= 2.0


@given(st.floats(2.5, 90), st.floats(0.02, 0.2))
def test_a_limb_that_keeps_moving_is_not_held(speed_deg_s: float, step: float) -> None:
    samples = [(step * n, speed_deg_s * step * n) for n in range(200)]
    assert held(samples, 1.0, 2.0) is None


@given(steady, st.integers(0, 11))
def test_adding_what_came_before_never_undoes_a_hold(noise: list[float], cut: int) -> None:
    samples = [(0.1 * n, one) for n, one in enumerate(noise)]
    assume(held(samples[cut:], 1.0, 2.0) is not None)
    assert held(samples, 1.0, 2.0) is not None


def test_too_short_too_few_or_with_a_gap_is_no_hold() -> None:
    assert held([], 1.0, 2.0) is None
    assert held([(0.1 * n, 40.0) for n in range(10)], 1.0, 2.0) is None  # 0.9 s
    assert held([(0.0, 40.0), (0.5, 40.0), (1.0, 40.0)], 1.0, 2.0) is None  # three samples
    gap = [(0.0, 40.0), (0.1, 40.0), (0.2, 40.0), (1.3, 40.0), (1.4, 40.0)]
    assert held(gap, 1.0, 2.0) is None


def test_a_movement_that_ends_in_a_hold_is_held_at_its_end() -> None:
    moving = [(0.05 * n, 2.0 * n) for n in range(30)]
    still = [(1.5 + 0.05 * n, 60.2) for n in range(25)]
    found = held([*moving, *still], 1.0, 2.0)
    assert found is not None
    assert found.degrees == pytest.approx(60.2)
    assert found.since >= 1.4
