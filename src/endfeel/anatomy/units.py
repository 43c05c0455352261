"""Degrees and millimetres are for people, radians and metres for computing: the named ways between them."""

from __future__ import annotations

from typing import TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats: TypeAlias = NDArray[np.float64]
"""Any array of double-precision numbers; shapes are named in each docstring."""


def rad_from_deg(angle_deg: ArrayLike) -> Floats:
    """Degrees to radians, any shape."""
    radians: Floats = np.deg2rad(np.asarray(angle_deg, dtype=float))
    return radians


def deg_from_rad(angle_rad: ArrayLike) -> Floats:
    """Radians to degrees, any shape."""
    degrees: Floats = np.rad2deg(np.asarray(angle_rad, dtype=float))
    return degrees


def m_from_mm(length_mm: ArrayLike) -> Floats:
    """Millimetres to metres, any shape."""
    metres: Floats = np.asarray(length_mm, dtype=float) / 1000.0
    return metres


def mm_from_m(length_m: ArrayLike) -> Floats:
    """Metres to millimetres, any shape."""
    millimetres: Floats = np.asarray(length_m, dtype=float) * 1000.0
    return millimetres
