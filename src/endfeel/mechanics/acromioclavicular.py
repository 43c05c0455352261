"""The acromioclavicular joint: capsule in four parts, conoid and trapezoid, two flat facets.

Directions are those of the clavicle: `anterior`, `posterior`, `superior`, `inferior`, `lateral`, `medial`; a force
moves the acromion on the fixed clavicle, or the clavicle on the fixed acromion. Without rotation the two are mirror
images of each other: the same springs, seen from the other bone.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from endfeel.anatomy.frames import CLAVICLE
from endfeel.anatomy.rotations import rotation_from_angles
from endfeel.evidence.library import Library
from endfeel.mechanics.changes import Change
from endfeel.mechanics.girdle_glides import Glide, glide, imposed, pushed_n, turned_to, twisted
from endfeel.mechanics.girdle_ligaments import (
    AC_CAPSULE,
    AC_GROUPS,
    CORACOCLAVICULAR,
    Bodies,
    Drawn,
    band_ends,
    changed,
    contact_n_per_m,
    facet_of,
    fibres_of,
    loose_n_per_m,
    read_girdle,
    stacked,
    surface_axes,
)
from endfeel.mechanics.ligament_springs import Floats, SpringJoint
from endfeel.vocabulary import NotFound

Direction = Literal["anterior", "posterior", "superior", "inferior", "lateral", "medial"]
Moving = Literal["acromion", "clavicle"]
DIRECTIONS: dict[str, tuple[float, float, float]] = {
    "anterior": (1.0, 0.0, 0.0),
    "posterior": (-1.0, 0.0, 0.0),
    "superior": (0.0, 1.0, 0.0),
    "inferior": (0.0, -1.0, 0.0),
    "lateral": (0.0, 0.0, 1.0),
    "medial": (0.0, 0.0, -1.0),
}
LONG_AXIS = (0.0, 0.0, 1.0)
"""Of the clavicle: a positive turn is backward axial rotation."""
BANDS = (*AC_CAPSULE, *CORACOCLAVICULAR)
_STREAM = 1
"""Of random numbers beside a seed, so that joints of one person share nothing by accident."""


def default_joint(library: Library, assuming: Mapping[str, float] | None = None) -> SpringJoint:
    """The AC joint of the mean person; `assuming` puts values in the place of figures, by `band.quantity`."""
    return _joint(Drawn(read_girdle(library, assuming), None))


def drawn_joints(
    library: Library, people: int = 1000, seed: int = 0, assuming: Mapping[str, float] | None = None
) -> SpringJoint:
    """The AC joints of a population, its arrays led by one axis of people; the same seed gives the same people."""
    return _joint(Drawn(read_girdle(library, assuming), people, seed))


def joints_of(library: Library, bodies: Bodies, seed: int = 0) -> SpringJoint:
    """The AC joints of people whose body size and laxity are known; all else is drawn by a stream of its own."""
    return _joint(Drawn(read_girdle(library), len(bodies.size), (seed, _STREAM), bodies))


def translate(
    joint: SpringJoint | Library,
    direction: Direction,
    force_n: ArrayLike,
    *,
    changes: Sequence[Change] = (),
    moving: Moving = "acromion",
) -> Glide:
    """How far one bone goes on the other under a force in newtons, and what bears it. Metres and newtons."""
    way = np.array(direction_of(direction))
    return _seen_from(glide(_ready(joint, changes), way * _sign(moving), pushed_n(force_n)), moving)


def resist(
    joint: SpringJoint | Library,
    direction: Direction,
    distance_m: ArrayLike,
    *,
    changes: Sequence[Change] = (),
    moving: Moving = "acromion",
) -> Glide:
    """The force that a given translation takes, the bone free to slip sideways."""
    way = np.array(direction_of(direction))
    return _seen_from(imposed(_ready(joint, changes), way * _sign(moving), distance_m), moving)


def rotate_clavicle(
    joint: SpringJoint | Library,
    *,
    moment_nm: float | None = None,
    turn_rad: float | None = None,
    changes: Sequence[Change] = (),
) -> Glide:
    """Axial rotation of the clavicle (positive backward) on the fixed scapula, by a moment or by a given turn."""
    ready = _ready(joint, changes)
    if (moment_nm is None) == (turn_rad is None):
        raise ValueError("give either a moment or a turn")
    if moment_nm is not None:
        return twisted(ready, LONG_AXIS, moment_nm)
    return turned_to(ready, rotation_from_angles([0.0, 0.0, turn_rad or 0.0], CLAVICLE))


def direction_of(name: str) -> tuple[float, float, float]:
    """The unit vector of a direction. Raises NotFound."""
    if name not in DIRECTIONS:
        raise NotFound(f"no direction {name!r} at the AC joint; there are {', '.join(DIRECTIONS)}")
    return DIRECTIONS[name]


def _ready(joint: SpringJoint | Library, changes: Sequence[Change]) -> SpringJoint:
    return changed(default_joint(joint) if isinstance(joint, Library) else joint, changes)


def _sign(moving: Moving) -> float:
    if moving not in ("clavicle", "acromion"):
        raise NotFound(f"no bone {moving!r} to move at the acromioclavicular joint; there are: clavicle, acromion")
    return 1.0 if moving == "clavicle" else -1.0


def _seen_from(found: Glide, moving: Moving) -> Glide:
    """The springs move the clavicle; a moved acromion goes the opposite way by as much."""
    if moving == "clavicle":
        return found
    return replace(found, shift_m=-found.shift_m)


def _joint(drawn: Drawn) -> SpringJoint:
    backward = np.deg2rad(drawn.value("AC_joint.normal_backward_deg"))
    downward = np.deg2rad(drawn.value("AC_joint.normal_downward_deg"))
    to_acromion = stacked(-np.sin(backward) * np.cos(downward), -np.sin(downward), np.cos(backward) * np.cos(downward))
    height, depth = drawn.length_mm("AC_joint.facet_height_mm"), drawn.length_mm("AC_joint.facet_forward_mm")
    gap = drawn.length_mm("AC_joint.gap_mm")
    flat = np.zeros((*drawn.shape, 2))
    stiffness = contact_n_per_m(drawn, height * depth, gap)
    facet = facet_of(drawn, -to_acromion, (depth / 2000.0, height / 2000.0), flat, stiffness)
    ends = [_capsule_ends(drawn, band, surface_axes(to_acromion), height, depth, gap) for band in AC_CAPSULE]
    ends += [band_ends(drawn, band) for band in CORACOCLAVICULAR]
    return SpringJoint(fibres_of(drawn, BANDS, ends), facet, "AC_joint", loose_n_per_m(drawn), AC_GROUPS)


def _capsule_ends(
    drawn: Drawn, band: str, axes: Floats, height_mm: Floats, depth_mm: Floats, gap_mm: Floats
) -> tuple[Floats, Floats, Floats]:
    """Clavicular and acromial ends (..., f, 3) in metres of a part of the capsule, and its section in mm²."""
    of = drawn.of
    half_width = drawn.length_mm("AC_joint.insertion_width_mm") / 2.0
    back = gap_mm / 2.0 + half_width + drawn.length_mm("AC_joint.clavicle_insertion_start_mm")
    out = gap_mm / 2.0 + half_width + drawn.length_mm("AC_joint.acromion_insertion_start_mm")
    count = int(of.mean(f"{band}.fibres"))
    steps = (np.arange(count) + 0.5) / count * 2.0 - 1.0
    forward = (
        depth_mm[..., None]
        / 2.0
        * (of.mean(f"{band}.facet_forward_share") + of.mean(f"{band}.spread_forward_share") * steps)
    )
    up = height_mm[..., None] / 2.0 * (of.mean(f"{band}.facet_up_share") + of.mean(f"{band}.spread_up_share") * steps)
    sideways = (back + out) / 2.0 * np.tan(np.deg2rad(drawn.value(f"{band}.obliquity_deg")))
    clavicle = np.stack([forward - sideways[..., None], up, -back[..., None] * np.ones(count)], axis=-1)
    acromion = np.stack([forward + sideways[..., None], up, out[..., None] * np.ones(count)], axis=-1)
    width = depth_mm * of.mean(f"{band}.spread_forward_share") + height_mm * of.mean(f"{band}.spread_up_share")
    section = width * of.mean(f"{band}.thickness_mm")
    return _placed(axes, clavicle), _placed(axes, acromion), section


def _placed(axes: Floats, local_mm: Floats) -> Floats:
    points: Floats = np.einsum("...ij,...pj->...pi", axes, local_mm) / 1000.0
    return points
