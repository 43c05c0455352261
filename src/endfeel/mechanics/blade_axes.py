"""The one frame of the shoulder blade in which the capsule is built and every pose of the arm is told.

It is the older one, whose lateral axis runs from the root of the scapular spine to the acromioclavicular joint: the
blade's poses in `passive_limits` are told in it, and seen from above it lies within two degrees of the line from the
same root to the middle of the glenoid, from which version is measured. The standard frame runs to the angle of the
acromion, fifteen degrees off; rhythms are told in that one and turned here.
"""

from __future__ import annotations

import numpy as np

from endfeel.anatomy.frames import scapula_frame
from endfeel.anatomy.girdle import GirdlePose
from endfeel.anatomy.rotations import inverse
from endfeel.anatomy.sizes import Sizes, frames_rotation
from endfeel.anatomy.units import Floats
from endfeel.evidence.library import Library


def standard_from_blade(library: Library) -> Floats:
    """The axes of this frame (columns forward, up, lateral) in the standard scapular frame, (3, 3)."""
    turned: Floats = inverse(frames_rotation(library))
    return turned


def in_blade(library: Library, pose: GirdlePose) -> Floats:
    """The humerus in this frame, (..., 3, 3), when the girdle stands so."""
    turned: Floats = inverse(standard_from_blade(library)) @ pose.scapula_from_humerus
    return turned


def line_of_the_socket_rad(sizes: Sizes) -> tuple[Floats, Floats]:
    """How far the line from the root of the spine to the middle of the glenoid rises above this frame's lateral axis,
    and goes forward of it, (...) each. Inclination and version are measured from that line (kinematics.ki539; how:
    ligament_geometry.lg161); the middle of the head, which faces the glenoid's, stands for it."""
    across = sizes.glenohumeral_m - sizes.spine_root_m
    axes = scapula_frame(sizes.acromioclavicular_m, sizes.spine_root_m, sizes.inferior_angle_m)
    forward, up, lateral = np.moveaxis(np.einsum("...ji,...j->...i", axes, across), -1, 0)
    return np.arctan2(up, np.hypot(forward, lateral)), np.arctan2(forward, lateral)
