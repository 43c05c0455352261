"""The thorax ellipsoid: the nearest point is on the surface, square to it, and no other is nearer."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import minimize

from endfeel.anatomy.thorax import breath_shift_m, nearest_on_ellipsoid, outward_normal, thoracic_share
from endfeel.evidence.library import Library

place = st.floats(-0.4, 0.4)
RADII = np.array([0.0956, 0.2117, 0.1446])
CENTRE = np.array([-0.0621, -0.1521, 0.0])


@given(st.tuples(place, place, place))
def test_nearest_point_lies_on_the_surface_and_square_to_it(point: tuple[float, float, float]) -> None:
    surface, gap = nearest_on_ellipsoid(point, CENTRE, RADII)
    assert np.sum(((surface - CENTRE) / RADII) ** 2) == pytest.approx(1.0, abs=1e-9)
    towards = np.array(point) - surface
    if abs(gap) > 1e-6:
        assert np.dot(towards, outward_normal(surface, CENTRE, RADII)) == pytest.approx(float(gap), abs=1e-7)


@given(st.tuples(place, place, place), st.floats(0, np.pi), st.floats(0, 2 * np.pi))
def test_no_other_point_of_the_surface_is_nearer(
    point: tuple[float, float, float], polar: float, around: float
) -> None:
    _, gap = nearest_on_ellipsoid(point, CENTRE, RADII)
    other = CENTRE + RADII * [np.sin(polar) * np.cos(around), np.cos(polar), np.sin(polar) * np.sin(around)]
    assert np.linalg.norm(np.array(point) - other) >= abs(float(gap)) - 1e-9


def test_gap_equals_a_general_solver() -> None:
    """Outside check: SciPy's constrained minimiser on the same ellipsoid."""
    for point in np.array([[-0.14, 0.02, 0.08], [-0.15, -0.1, 0.09], [0.1, 0.1, 0.1]]):
        found = minimize(
            lambda q, point=point: np.sum((q - point) ** 2) * 1e4,
            point * 0.9,
            constraints={"type": "eq", "fun": lambda q: np.sum(((q - CENTRE) / RADII) ** 2) - 1},
            tol=1e-14,
        )
        _, gap = nearest_on_ellipsoid(point, CENTRE, RADII)
        assert abs(float(gap)) == pytest.approx(np.linalg.norm(found.x - point), abs=1e-6)


def test_the_centre_is_as_deep_as_the_shortest_axis() -> None:
    surface, gap = nearest_on_ellipsoid(CENTRE, CENTRE, RADII)
    assert float(gap) == pytest.approx(-RADII.min(), abs=1e-9)
    assert np.isfinite(surface).all()


def test_thoracic_share_is_the_published_one(library: Library) -> None:
    both, one = thoracic_share(library, 2), thoracic_share(library, 1)
    assert (both.mean_deg, both.sd_deg) == (12.8, 7.6)  # radiographs of 21 men, both arms up
    assert one.mean_deg < 6.0  # never more than 6 with one arm (20 women)
    with pytest.raises(ValueError, match="one arm or two"):
        thoracic_share(library, 3)


def test_a_breath_lifts_the_sternum(library: Library) -> None:
    shift, basis = breath_shift_m(library)
    assert shift[0] > 0
    assert shift[1] > 0
    np.testing.assert_allclose(breath_shift_m(library, -0.5)[0], -0.5 * shift)
    assert basis.provenance.label == "practice"
