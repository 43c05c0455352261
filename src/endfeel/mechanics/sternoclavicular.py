"""The sternoclavicular joint: capsule, disc, interclavicular and costoclavicular bands, a saddle of two surfaces.

The medial end of the clavicle moves on the sternum, which is hollow from above downward and domed from front to back.
Directions are those of the thorax and of the joint line: `anterior`, `posterior`, `superior_medial`,
`inferior_lateral` (along the joint line in the frontal plane), `superior`, `inferior`, `lateral`, `medial`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from endfeel.anatomy.frames import CLAVICLE
from endfeel.anatomy.rotations import rotation_from_angles
from endfeel.evidence.library import Library
from endfeel.mechanics.changes import Change
from endfeel.mechanics.girdle_glides import Glide, glide, imposed, pushed_n, turned_to, twisted
from endfeel.mechanics.girdle_ligaments import (
    SC_CAPSULE,
    SC_GROUPS,
    SC_OTHERS,
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
)
from endfeel.mechanics.ligament_springs import SpringJoint
from endfeel.vocabulary import NotFound

Direction = Literal[
    "anterior", "posterior", "superior_medial", "inferior_lateral", "superior", "inferior", "lateral", "medial"
]
DIRECTIONS: dict[str, tuple[float, float, float]] = {
    "anterior": (1.0, 0.0, 0.0),
    "posterior": (-1.0, 0.0, 0.0),
    "superior_medial": (0.0, 1.0, -1.0),
    "inferior_lateral": (0.0, -1.0, 1.0),
    "superior": (0.0, 1.0, 0.0),
    "inferior": (0.0, -1.0, 0.0),
    "lateral": (0.0, 0.0, 1.0),
    "medial": (0.0, 0.0, -1.0),
}
BANDS = (*SC_CAPSULE, *SC_OTHERS)
_STREAM = 2
"""Of random numbers beside a seed, so that joints of one person share nothing by accident."""
JOINT_LINE = (0.0, 0.5**0.5, -(0.5**0.5))
"""Up and inward along the line between the bones in the frontal plane: `superior_medial` at length one."""


def default_joint(library: Library, assuming: Mapping[str, float] | None = None) -> SpringJoint:
    """The SC joint of the mean person; `assuming` puts values in the place of figures, by `band.quantity`."""
    return _joint(Drawn(read_girdle(library, assuming), None))


def drawn_joints(
    library: Library, people: int = 1000, seed: int = 0, assuming: Mapping[str, float] | None = None
) -> SpringJoint:
    """The SC joints of a population, its arrays led by one axis of people; the same seed gives the same people."""
    return _joint(Drawn(read_girdle(library, assuming), people, seed))


def joints_of(library: Library, bodies: Bodies, seed: int = 0) -> SpringJoint:
    """The SC joints of people whose body size and laxity are known; all else is drawn by a stream of its own."""
    return _joint(Drawn(read_girdle(library), len(bodies.size), (seed, _STREAM), bodies))


def translate(
    joint: SpringJoint | Library, direction: Direction, force_n: ArrayLike, *, changes: Sequence[Change] = ()
) -> Glide:
    """How far the medial end of the clavicle goes on the sternum under a force, and what bears it. Metres, newtons."""
    return glide(_ready(joint, changes), direction_of(direction), pushed_n(force_n))


def resist(
    joint: SpringJoint | Library, direction: Direction, distance_m: ArrayLike, *, changes: Sequence[Change] = ()
) -> Glide:
    """The force that a given translation of the medial end takes, the bone free to slip sideways."""
    return imposed(_ready(joint, changes), direction_of(direction), distance_m)


def move_clavicle(
    joint: SpringJoint | Library,
    *,
    elevation_rad: float = 0.0,
    protraction_rad: float = 0.0,
    backward_rad: float = 0.0,
    changes: Sequence[Change] = (),
) -> Glide:
    """Where the medial end slides to when the shaft is raised, drawn forward or turned backward about its long axis.

    Depression, retraction and forward rotation are negative. The glide along the joint line is
    `shift_m @ JOINT_LINE`: positive up and inward, negative down and outward.
    """
    rotation = rotation_from_angles([protraction_rad, -elevation_rad, backward_rad], CLAVICLE)
    return turned_to(_ready(joint, changes), rotation)


def load_shaft(
    joint: SpringJoint | Library, force_down_n: float, lever_m: float, *, changes: Sequence[Change] = ()
) -> Glide:
    """A downward force on the shaft at a distance from the joint, the shaft free to drop; shares are of the moment."""
    moment = force_down_n * lever_m
    return twisted(_ready(joint, changes), (1.0, 0.0, 0.0), moment, (0.0, -force_down_n, 0.0))


def direction_of(name: str) -> tuple[float, float, float]:
    """The vector of a direction. Raises NotFound."""
    if name not in DIRECTIONS:
        raise NotFound(f"no direction {name!r} at the SC joint; there are {', '.join(DIRECTIONS)}")
    return DIRECTIONS[name]


def _ready(joint: SpringJoint | Library, changes: Sequence[Change]) -> SpringJoint:
    return changed(default_joint(joint) if isinstance(joint, Library) else joint, changes)


def _joint(drawn: Drawn) -> SpringJoint:
    upward = np.deg2rad(drawn.value("SC_joint.normal_upward_deg"))
    backward = np.deg2rad(drawn.value("SC_joint.normal_backward_deg"))
    normal = stacked(-np.sin(backward), np.sin(upward) * np.cos(backward), np.cos(upward) * np.cos(backward))
    height, depth = drawn.length_mm("SC_joint.facet_height_mm"), drawn.length_mm("SC_joint.facet_forward_mm")
    curvature = np.stack(
        np.broadcast_arrays(
            -1000.0 / drawn.length_mm("SC_joint.dome_radius_mm"), 1000.0 / drawn.length_mm("SC_joint.hollow_radius_mm")
        ),
        axis=-1,
    )
    stiffness = contact_n_per_m(drawn, height * depth, drawn.length_mm("SC_joint.disc_thickness_mm"))
    facet = facet_of(drawn, normal, (depth / 2000.0, height / 2000.0), curvature, stiffness)
    return SpringJoint(
        fibres_of(drawn, BANDS, [band_ends(drawn, band) for band in BANDS]),
        facet,
        "SC_joint",
        loose_n_per_m(drawn),
        SC_GROUPS,
    )
