"""A fibre of capsule or ligament pulls only when it is longer than its slack length.

Up to the toe strain the tension grows with the square of the elongation, beyond it linearly; value and
slope are continuous where the two meet, and the tangent reaches the stated stiffness there. All functions
take arrays that broadcast against each other: the elementwise result has the broadcast shape.
A slack length of zero or less, a negative stiffness or a negative toe strain is the caller's mistake and
is caught by `checked`. With a toe strain of zero the fibre is a one-sided linear spring.
"""

from __future__ import annotations

from typing import TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats: TypeAlias = NDArray[np.float64]


def strain_of(length_m: ArrayLike, slack_m: ArrayLike) -> Floats:
    """How far beyond its slack length a fibre is, as a ratio of that length; negative while it is slack."""
    length, slack = np.asarray(length_m, dtype=float), np.asarray(slack_m, dtype=float)
    ratio: Floats = length / slack - 1.0
    return ratio


def tension_n(length_m: ArrayLike, slack_m: ArrayLike, stiffness_n_per_m: ArrayLike, toe_strain: ArrayLike) -> Floats:
    """The pull of a fibre at a length, in newtons; zero while it is slack."""
    stretch, toe, stiffness = _parts(length_m, slack_m, stiffness_n_per_m, toe_strain)
    in_toe = np.minimum(stretch, toe)
    pull: Floats = stiffness * (_toe_share(in_toe, toe) * in_toe / 2.0 + (stretch - in_toe))
    return pull


def tangent_n_per_m(
    length_m: ArrayLike, slack_m: ArrayLike, stiffness_n_per_m: ArrayLike, toe_strain: ArrayLike
) -> Floats:
    """How fast the pull grows with length, in newtons a metre; zero while the fibre is slack."""
    stretch, toe, stiffness = _parts(length_m, slack_m, stiffness_n_per_m, toe_strain)
    return np.where(stretch > 0.0, stiffness * _toe_share(np.minimum(stretch, toe), toe), 0.0)


def energy_j(length_m: ArrayLike, slack_m: ArrayLike, stiffness_n_per_m: ArrayLike, toe_strain: ArrayLike) -> Floats:
    """The work stored in a fibre, in joules: the integral of its tension from the slack length."""
    stretch, toe, stiffness = _parts(length_m, slack_m, stiffness_n_per_m, toe_strain)
    in_toe = np.minimum(stretch, toe)
    beyond = stretch - in_toe
    stored: Floats = stiffness * (_toe_share(in_toe, toe) * in_toe**2 / 6.0 + beyond * (toe + beyond) / 2.0)
    return stored


def checked(slack_m: ArrayLike, stiffness_n_per_m: ArrayLike, toe_strain: ArrayLike) -> None:
    """Raise ValueError unless slack is positive and stiffness and toe strain are not negative, all finite."""
    for name, values, lowest in (
        ("slack_m", slack_m, np.nextafter(0.0, 1.0)),
        ("stiffness_n_per_m", stiffness_n_per_m, 0.0),
        ("toe_strain", toe_strain, 0.0),
    ):
        given = np.asarray(values, dtype=float)
        if not (np.isfinite(given).all() and (given >= lowest).all()):
            raise ValueError(f"{name} must be finite and {'positive' if lowest else 'not negative'}")


def _parts(
    length_m: ArrayLike, slack_m: ArrayLike, stiffness_n_per_m: ArrayLike, toe_strain: ArrayLike
) -> tuple[Floats, Floats, Floats]:
    """Stretch beyond slack (never negative), stretch at the end of the toe, stiffness."""
    slack = np.asarray(slack_m, dtype=float)
    stretch = np.maximum(np.asarray(length_m, dtype=float) - slack, 0.0)
    toe = np.broadcast_to(np.asarray(toe_strain, dtype=float) * slack, stretch.shape if stretch.ndim else ())
    return stretch, toe, np.asarray(stiffness_n_per_m, dtype=float)


def _toe_share(in_toe: Floats, toe: Floats) -> Floats:
    """How far through the toe a fibre is, 0 to 1; a fibre without a toe is through it."""
    stretched, end = np.broadcast_arrays(in_toe, toe)
    share: Floats = np.divide(stretched, end, out=np.ones(stretched.shape), where=end > 0.0)
    return share
