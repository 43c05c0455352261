"""The axes of thorax, clavicle, scapula and humerus, the signs of their angles, and the mirror for the left.

In every frame, arm hanging and right side: x forward, y up, z to the right (lateral). The core computes a
right shoulder; a left shoulder is its mirror image in the sagittal plane, made here and nowhere else:
matrices are multiplied by diag(1, 1, −1) on both sides, points change the sign of z, and all joint angles
then read the same on both sides.

Signs (intrinsic turns, part below seen from part above):

| pair | sequence | first | second | third |
|---|---|---|---|---|
| clavicle in thorax | YXZ | + protraction | + depression | + backward axial rotation |
| scapula in clavicle or thorax | YXZ | + internal rotation (protraction) | + downward rotation | + backward tilt |
| humerus in thorax or scapula | YXY | plane: 0 abduction, 90 flexion | − elevation | + internal rotation |

References: Wu G et al. 2005, J Biomech 38:981 (figures kinematics.ki001 to ki016 of the evidence).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from endfeel.anatomy.rotations import Sequence, angles_from_rotation, rotation_from_angles, wrapped
from endfeel.anatomy.units import Floats
from endfeel.vocabulary import Side

FORWARD, UP, LATERAL = np.eye(3)
CLAVICLE: Sequence = "YXZ"
SCAPULA: Sequence = "YXZ"
HUMERUS: Sequence = "YXY"
_MIRROR = np.array([1.0, 1.0, -1.0])


def mirrored_rotation(rotation: ArrayLike) -> Floats:
    """The rotation of the other side's bone that is the mirror image of this one, shape (..., 3, 3)."""
    image: Floats = np.asarray(rotation, dtype=float) * _MIRROR * _MIRROR[:, None]
    return image


def mirrored_points(points_m: ArrayLike) -> Floats:
    """Points, shape (..., 3), mirrored in the sagittal plane."""
    image: Floats = np.asarray(points_m, dtype=float) * _MIRROR
    return image


def rotation_of_side(right: ArrayLike, side: Side) -> Floats:
    """A right shoulder's rotation as it stands on a side: itself, or its mirror image."""
    return mirrored_rotation(right) if side is Side.LEFT else np.asarray(right, dtype=float)


def points_of_side(right_m: ArrayLike, side: Side) -> Floats:
    """A right shoulder's points as they stand on a side: themselves, or their mirror image."""
    return mirrored_points(right_m) if side is Side.LEFT else np.asarray(right_m, dtype=float)


def humerus_from_clinical(plane_rad: ArrayLike, elevation_rad: ArrayLike, internal_rad: ArrayLike = 0.0) -> Floats:
    """The humerus rotation for what a clinician says: plane (0 abduction, 90° flexion), elevation, inward turn.

    `internal_rad` is the third angle of the standard's sequence, not the forearm's turn from the neutral arm:
    with plane P and no elevation an arm hanging in neutral has P + internal = 0. Shape (..., 3, 3).
    """
    plane, elevation, internal = np.broadcast_arrays(
        np.asarray(plane_rad, float), np.asarray(elevation_rad, float), np.asarray(internal_rad, float)
    )
    return rotation_from_angles(np.stack([plane, -elevation, internal], axis=-1), HUMERUS)


def humerus_from_swing(plane_rad: ArrayLike, elevation_rad: ArrayLike, inward_rad: ArrayLike = 0.0) -> Floats:
    """The humerus rotation of an arm swung up in a plane without twist, then turned inward by an angle.

    This is the rotation that a hand measures from neutral: elbow bent, forearm forward when the arm hangs, up
    when it is flexed to 90°, forward when it is abducted to 90°. Shape (..., 3, 3).
    """
    plane = np.asarray(plane_rad, dtype=float)
    return humerus_from_clinical(plane, elevation_rad, np.asarray(inward_rad, dtype=float) - plane)


def swing_of_humerus(rotation: ArrayLike, held_plane_rad: ArrayLike | None = None) -> Floats:
    """Plane, elevation and inward rotation from neutral, shape (..., 3): what `humerus_from_swing` was given.

    With the arm hanging the plane is free: it is the held one, else zero, and the inward rotation is the same
    whichever it is. Straight overhead (180°) the plane and the rotation are known only together.
    """
    held = 0.0 if held_plane_rad is None else held_plane_rad
    plane, lowered, third = np.moveaxis(angles_from_rotation(rotation, HUMERUS, held), -1, 0)
    return np.stack([plane, -lowered, wrapped(third + plane)], axis=-1)


def thorax_frame(jugular_m: ArrayLike, xiphoid_m: ArrayLike, c7_m: ArrayLike, t8_m: ArrayLike) -> Floats:
    """Thorax axes from jugular notch, xiphoid tip and the spines of C7 and T8 (right side of a person)."""
    jugular, xiphoid, c7, t8 = (np.asarray(point, float) for point in (jugular_m, xiphoid_m, c7_m, t8_m))
    low, high = (xiphoid + t8) / 2.0, (jugular + c7) / 2.0
    up = _unit(high - low)
    lateral = _unit(np.cross(jugular - low, c7 - low))
    lateral = _unit(lateral - np.sum(lateral * up, axis=-1, keepdims=True) * up)
    return _columns(np.cross(up, lateral), up, lateral)


def clavicle_frame(sternal_m: ArrayLike, acromial_m: ArrayLike, thorax_up: ArrayLike = UP) -> Floats:
    """Clavicle axes from its two ends; a line has no axial rotation of its own, so x lies square to the thorax axis."""
    lateral = _unit(np.asarray(acromial_m, float) - np.asarray(sternal_m, float))
    forward = _unit(np.cross(np.asarray(thorax_up, float), lateral))
    return _columns(forward, np.cross(lateral, forward), lateral)


def scapula_frame(acromial_angle_m: ArrayLike, spine_root_m: ArrayLike, inferior_angle_m: ArrayLike) -> Floats:
    """Scapula axes from the acromial angle, the root of the spine and the inferior angle (right side)."""
    acromial, root, inferior = (np.asarray(p, float) for p in (acromial_angle_m, spine_root_m, inferior_angle_m))
    lateral = _unit(acromial - root)
    forward = _unit(np.cross(inferior - acromial, root - acromial))
    return _columns(forward, np.cross(lateral, forward), lateral)


def humerus_frame(head_centre_m: ArrayLike, lateral_m: ArrayLike, medial_m: ArrayLike) -> Floats:
    """Humerus axes from the head's centre and the two epicondyles (first option of the standard, right side)."""
    centre, lateral, medial = (np.asarray(point, float) for point in (head_centre_m, lateral_m, medial_m))
    up = _unit(centre - (lateral + medial) / 2.0)
    forward = _unit(np.cross(centre - medial, lateral - medial))
    return _columns(forward, up, np.cross(forward, up))


def _unit(vector: Floats) -> Floats:
    length = np.linalg.norm(vector, axis=-1, keepdims=True)
    if np.any(length < np.finfo(float).eps):
        raise ValueError("two landmarks coincide or three lie on one line: no axis can be drawn through them")
    whole: Floats = vector / length
    return whole


def _columns(forward: Floats, up: Floats, lateral: Floats) -> Floats:
    return np.stack(np.broadcast_arrays(forward, up, lateral), axis=-1)
