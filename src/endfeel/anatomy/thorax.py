"""The thorax under the scapula, its own share in raising the arm, and what a breath does to it.

The scapula glides on an ellipsoid. The gap between the ellipsoid and a point of the scapula is the thickness of
what lies between plus what the ellipsoid gets wrong; what matters is that it stays the same as the arm rises.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from endfeel.anatomy.figures import Basis, basis_of, numbers_in, row_figure, spread_of, value_of
from endfeel.anatomy.units import Floats, m_from_mm
from endfeel.evidence.library import Library

TABLE = "kinematics"
BOTH_ARMS, ONE_ARM, BREATH = "ki426", "ki545", "ki552"
_STEPS = 60


def nearest_on_ellipsoid(points_m: ArrayLike, centre_m: ArrayLike, radii_m: ArrayLike) -> tuple[Floats, Floats]:
    """The nearest surface point, shape (..., 3), and the signed gap, shape (...): positive outside.

    Newton's method on the one multiplier of the nearest-point condition, started where it can only approach
    from one side, so it always converges. At the very centre the nearest point is on the shortest axis.
    """
    centre, radii = np.asarray(centre_m, float), np.asarray(radii_m, float)
    offset = np.asarray(points_m, float) - centre
    offset, radii = np.broadcast_arrays(offset, radii)
    shortest = np.argmin(radii, axis=-1)[..., None] == np.arange(3)
    safe = np.where((np.abs(offset) < 1e-12) & shortest, 1e-12, offset)  # a point on the axis plane picks a side
    # the multiplier is counted from the pole on the shortest axis, where rounding would hurt
    beyond = radii**2 - np.min(radii, axis=-1, keepdims=True) ** 2
    multiplier = np.max(radii * np.abs(safe) - beyond, axis=-1, keepdims=True)
    for _ in range(_STEPS):
        part = (radii * safe / (multiplier + beyond)) ** 2
        excess = part.sum(axis=-1, keepdims=True) - 1.0
        slope = -2.0 * (part / (multiplier + beyond)).sum(axis=-1, keepdims=True)
        multiplier = multiplier - excess / slope
        if np.all(np.abs(excess) < 1e-12):
            break
    surface = radii**2 * safe / (multiplier + beyond)
    outside = np.sum((offset / radii) ** 2, axis=-1) >= 1.0
    gap = np.linalg.norm(offset - surface, axis=-1) * np.where(outside, 1.0, -1.0)
    return surface + centre, gap


def outward_normal(surface_m: ArrayLike, centre_m: ArrayLike, radii_m: ArrayLike) -> Floats:
    """The unit normal of the ellipsoid at a surface point, shape (..., 3)."""
    slope = (np.asarray(surface_m, float) - np.asarray(centre_m, float)) / np.asarray(radii_m, float) ** 2
    normal: Floats = slope / np.linalg.norm(slope, axis=-1, keepdims=True)
    return normal


@dataclass(frozen=True, slots=True)
class ThoracicShare:
    """What the thoracic spine gives to raising the arm, in degrees."""

    mean_deg: float
    sd_deg: float
    basis: Basis


def thoracic_share(library: Library, arms: int = 1) -> ThoracicShare:
    """Extension of the thoracic spine with one or both arms raised fully: published mean and spread.

    Both arms: radiographs of 21 men (read). One arm: half the published ceiling, a judgement (practice).
    """
    if arms not in (1, 2):
        raise ValueError("one arm or two")
    row = BOTH_ARMS if arms == 2 else ONE_ARM
    figure = row_figure(library, TABLE, row)
    return ThoracicShare(value_of(figure), spread_of(library, TABLE, row), basis_of([figure]))


def breath_shift_m(library: Library, inspired: float = 1.0) -> tuple[Floats, Basis]:
    """How the upper sternum moves on breathing in, (3,) forward, up, lateral in metres: a judgement (practice).

    `inspired` is the part of a deep breath: 1 in, 0 rest, negative for breathing out beyond rest. Raises ValueError
    outside −1 to 1.
    """
    if not -1.0 <= inspired <= 1.0:
        raise ValueError(f"a breath is −1 (out) to 1 (in) of a deep one, not {inspired}")
    figure = row_figure(library, TABLE, BREATH)
    forward, up = numbers_in(figure)
    return inspired * m_from_mm([forward, up, 0.0]), basis_of([figure])
