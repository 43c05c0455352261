"""How far a passive motion goes before the capsule resists with a stated moment, and which bands stop it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from endfeel.anatomy.units import Floats, rad_from_deg
from endfeel.mechanics.bands import Capsule
from endfeel.mechanics.contact import Bed
from endfeel.mechanics.glenohumeral import head_at_rest, only, only_bed, resisting_moment_nm
from endfeel.mechanics.motions import Motion

SCAN_RAD = float(rad_from_deg(6.0))
FURTHEST_RAD = float(rad_from_deg(180.0))
CLOSE_RAD = float(rad_from_deg(0.05))
"""Numerical: stride of the search, its end, and how closely the limit is found."""


@dataclass(frozen=True, slots=True)
class Limit:
    """The end of one motion in n shoulders."""

    angle_rad: Floats
    """(n,) what the moving angle reads, in the motion's sense; NaN where no end was found."""
    centre_m: Floats
    """(n, 3) where the head lies there."""
    converged: NDArray[np.bool_]
    """(n,) whether an end was found and the head was at rest there."""


def passive_limit(capsule: Capsule, bed: Bed, motion: Motion, moment_nm: float, bulk: bool = False) -> Limit:
    """The end of a motion at a moment, for every shoulder. The search goes outwards from the start of the motion
    until the moment is passed, or back from it where the start itself is already past the end."""
    count = len(bed.head_radius_m)
    at = np.full(count, motion.start_rad)
    excess, centre = _excess(capsule, bed, motion, moment_nm, at, np.zeros((count, 3)), bulk)
    low, high = at.copy(), at.copy()
    low_excess, high_excess = excess.copy(), excess.copy()
    way = np.where(excess < 0.0, 1.0, -1.0)
    busy = np.arange(count)
    while len(busy):
        at[busy] += way[busy] * SCAN_RAD
        rows_excess, rows_centre = _excess(
            only(capsule, busy), only_bed(bed, busy), motion, moment_nm, at[busy], centre[busy], bulk
        )
        centre[busy] = rows_centre
        past = rows_excess >= 0.0
        high[busy[past]], high_excess[busy[past]] = at[busy[past]], rows_excess[past]
        low[busy[~past]], low_excess[busy[~past]] = at[busy[~past]], rows_excess[~past]
        found = (low_excess[busy] < 0.0) & (high_excess[busy] >= 0.0)
        lost = np.abs(at[busy] - motion.start_rad) >= FURTHEST_RAD
        busy = busy[~(found | lost)]
    bracketed = (low_excess < 0.0) & (high_excess >= 0.0)
    rows = np.flatnonzero(bracketed)
    angle = np.full(count, np.nan)
    angle[rows] = _refine(
        only(capsule, rows),
        only_bed(bed, rows),
        motion,
        moment_nm,
        (low[rows], low_excess[rows], high[rows], high_excess[rows]),
        centre[rows],
        bulk,
    )
    rest = head_at_rest(
        only(capsule, rows), only_bed(bed, rows), motion.humerus(angle[rows]), start_m=centre[rows], bulk=bulk
    )
    converged = np.zeros(count, dtype=bool)
    centre[rows], converged[rows] = rest.centre_m, rest.converged
    return Limit(angle, centre, converged)


def _refine(
    capsule: Capsule,
    bed: Bed,
    motion: Motion,
    moment_nm: float,
    bracket: tuple[Floats, Floats, Floats, Floats],
    centre: Floats,
    bulk: bool,
) -> Floats:
    """Close the bracket by false position, the idle end's weight halved; every other step halves the bracket."""
    low, low_excess, high, high_excess = bracket
    for turn in range(16):
        if not len(low) or np.max(np.abs(high - low)) < CLOSE_RAD:
            break
        share = low_excess / (low_excess - high_excess)
        share = np.full_like(share, 0.5) if turn % 3 == 2 else np.clip(share, 0.02, 0.98)
        middle = low + share * (high - low)
        excess, centre = _excess(capsule, bed, motion, moment_nm, middle, centre, bulk)
        past = excess >= 0.0
        high, low = np.where(past, middle, high), np.where(past, low, middle)
        high_excess, low_excess = (
            np.where(past, excess, high_excess * 0.5),
            np.where(past, low_excess * 0.5, excess),
        )
    middle_of: Floats = (low + high) / 2.0
    return middle_of


def _excess(
    capsule: Capsule, bed: Bed, motion: Motion, moment_nm: float, angle_rad: Floats, start_m: Floats, bulk: bool
) -> tuple[Floats, Floats]:
    """Resisting moment less the stated one, (n,), and where the heads lie, (n, 3)."""
    rotation = motion.humerus(angle_rad)
    rest = head_at_rest(capsule, bed, rotation, start_m=start_m, bulk=bulk)
    moment = resisting_moment_nm(capsule, rotation, rest.centre_m, motion.axis(angle_rad), bulk)
    return moment - moment_nm, rest.centre_m
