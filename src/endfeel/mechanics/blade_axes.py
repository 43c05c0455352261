"""The one frame of the shoulder blade in which the capsule is built and every pose of the arm is told.

It is the older one, whose lateral axis runs from the root of the scapular spine to the acromioclavicular joint: the
blade's poses in `passive_limits` are told in it, and seen from above it lies within two degrees of the line from the
same root to the middle of the glenoid, from which version is measured. The standard frame runs to the angle of the
acromion, fifteen degrees off; rhythms are told in that one and turned here.
"""

from __future__ import annotations

from endfeel.anatomy.girdle import GirdlePose
from endfeel.anatomy.rotations import inverse
from endfeel.anatomy.sizes import frames_rotation
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
