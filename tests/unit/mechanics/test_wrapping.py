"""The shortest path round a sphere: hand-worked lengths, its slope and curvature, and the decided cases."""

from __future__ import annotations

import numpy as np
import pytest

from endfeel.mechanics.wrapping import length_round_sphere_m, path_round_sphere

RADIUS = np.array(0.024)


def length(far: list[float], near: list[float]) -> float:
    return float(length_round_sphere_m(np.array(far), np.array(near), RADIUS))


def test_a_path_that_clears_the_sphere_is_straight() -> None:
    assert length([0.03, 0.0, 0.0], [0.03, 0.04, 0.0]) == pytest.approx(0.04, abs=1e-15)


def test_a_quarter_round_and_two_tangents() -> None:
    """Both ends a tangent of 10 mm away from touching, a quarter turn between the touching points."""
    expected = 0.01 + 0.01 + 0.024 * np.pi / 2
    assert length([0.024, 0.01, 0.0], [-0.01, -0.024, 0.0]) == pytest.approx(expected, abs=1e-15)


def test_the_near_end_may_lie_on_the_sphere_and_counts_as_on_it_when_inside() -> None:
    tangent = np.sqrt(0.03**2 - 0.024**2)
    expected = tangent + 0.024 * (np.pi / 2 - np.arccos(0.8))
    assert length([0.03, 0.0, 0.0], [0.0, 0.024, 0.0]) == pytest.approx(expected, abs=1e-15)
    assert length([0.03, 0.0, 0.0], [0.0, 0.01, 0.0]) == pytest.approx(expected, abs=1e-15)


def test_a_far_end_at_or_below_the_surface_counts_as_a_little_above_it() -> None:
    """The softening joins the exact law at 2 % of the radius with equal value and slope."""
    near = [0.0, 0.024, 0.0]
    reach = np.array([0.010, 0.024, 0.02448 - 1e-9, 0.02448, 0.02448 + 1e-9])
    lengths = [length([float(x), 0.0, 0.0], near) for x in reach]
    arc = 0.024 * np.pi / 2
    assert arc <= lengths[0] < lengths[1] < arc + 0.0001
    assert lengths[4] - lengths[3] == pytest.approx(lengths[3] - lengths[2], rel=1e-3)


def test_opposite_ends_have_one_length_and_no_hole() -> None:
    path = path_round_sphere(np.array([0.0, 0.03, 0.0]), np.array([0.0, -0.024, 0.0]), RADIUS)
    tangent = np.sqrt(0.03**2 - 0.024**2)
    assert path.length_m == pytest.approx(tangent + 0.024 * (np.pi - np.arccos(0.8)), abs=1e-15)
    assert np.linalg.norm(path.pull) == pytest.approx(1.0)
    assert np.isfinite(path.curvature).all()


def test_coinciding_ends_have_no_length() -> None:
    assert length([0.0, 0.025, 0.0], [0.0, 0.025, 0.0]) == pytest.approx(0.0, abs=1e-9)


def drawn(count: int, seed: int) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    generator = np.random.default_rng(seed)
    ways = generator.normal(size=(2, count, 3))
    ways /= np.linalg.norm(ways, axis=-1, keepdims=True)
    radius = generator.uniform(0.018, 0.03, count)
    far = ways[0] * (radius * generator.uniform(0.99, 2.0, count))[:, None]
    near = ways[1] * (radius * generator.choice([1.0, 1.3], count))[:, None]
    return far, near, radius


def test_slope_and_curvature_are_those_of_the_length() -> None:
    far, near, radius = drawn(1000, 3)
    path, step = path_round_sphere(far, near, radius), 1e-7
    assert 0.3 < path.wraps.mean() < 0.95
    assert path.length_m == pytest.approx(length_round_sphere_m(far, near, radius), abs=1e-15)
    ahead = [length_round_sphere_m(far + step * axis, near, radius) for axis in np.eye(3)]
    behind = [length_round_sphere_m(far - step * axis, near, radius) for axis in np.eye(3)]
    assert np.abs(path.pull - (np.array(ahead) - behind).T / (2 * step)).max() < 1e-7
    bent = [
        (
            path_round_sphere(far + step * axis, near, radius).pull
            - path_round_sphere(far - step * axis, near, radius).pull
        )
        / (2 * step)
        for axis in np.eye(3)
    ]
    difference = np.abs(path.curvature - np.stack(bent, axis=-1)).max(axis=(1, 2))
    near_switch = np.abs(difference) > 1e-3 * np.abs(path.curvature).max(axis=(1, 2)) + 1e-3
    assert near_switch.mean() < 0.005  # a difference that straddles the place where wrapping begins
