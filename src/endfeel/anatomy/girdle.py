"""The pose of the whole girdle for a pose of the arm: SC, AC, GH and scapula on thorax, forward and back.

Everything is computed for a right shoulder; `GirdlePose.on` gives the left as its mirror image. Joint angles
read the same on both sides. Where a rhythm did not measure the clavicle's axial rotation, it is the one that
turns the acromioclavicular joint least away from rest (kinematics.ki048).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from endfeel.anatomy.figures import Basis
from endfeel.anatomy.frames import (
    CLAVICLE,
    HUMERUS,
    SCAPULA,
    humerus_from_swing,
    mirrored_points,
    mirrored_rotation,
    swing_of_humerus,
)
from endfeel.anatomy.rhythm import AT_REST, Resting, Rhythm, is_measured
from endfeel.anatomy.rotations import (
    angle_of,
    angles_from_rotation,
    inverse,
    rotation_from_angles,
    rotation_from_vector,
    turn_about,
    turned,
)
from endfeel.anatomy.sizes import Sizes
from endfeel.anatomy.thorax import nearest_on_ellipsoid, outward_normal
from endfeel.anatomy.units import Floats, deg_from_rad
from endfeel.vocabulary import Side

WHOLE_TURN_RAD = 2.0 * np.pi
_EDGE_DEG = 0.5
"""A plane this far outside those measured still counts as the nearest of them."""
_CONTACT_STEPS = 25
_CONTACT_TOLERANCE_M = 1e-6
_HIGHEST_RAD = np.pi


@dataclass(frozen=True, slots=True)
class GirdlePose:
    """Bones and joints of one shoulder in the thorax; leading axes for many poses at once."""

    side: Side
    thorax_from_clavicle: Floats
    thorax_from_scapula: Floats
    thorax_from_humerus: Floats
    sternoclavicular_m: Floats
    acromioclavicular_m: Floats
    glenohumeral_m: Floats
    acromial_angle_m: Floats
    spine_root_m: Floats
    inferior_angle_m: Floats
    gap_m: Floats
    """(..., 2) from the thorax ellipsoid to the root of the spine and to the inferior angle; positive outside."""
    gap_change_m: Floats
    """(..., 2) how far these gaps differ from the same person's at rest: what the rhythm gets wrong on this thorax."""
    turned_onto_thorax_rad: Floats
    """(...) how far the scapula was turned from where the rhythm put it, to stay on the thorax; 0 as published."""
    basis: Basis

    @property
    def clavicle_from_scapula(self) -> Floats:
        return inverse(self.thorax_from_clavicle) @ self.thorax_from_scapula

    @property
    def scapula_from_humerus(self) -> Floats:
        return inverse(self.thorax_from_scapula) @ self.thorax_from_humerus

    @property
    def sternoclavicular_rad(self) -> Floats:
        """(..., 3) protraction, depression, backward roll of the clavicle."""
        return angles_from_rotation(self._right(self.thorax_from_clavicle), CLAVICLE)

    @property
    def acromioclavicular_rad(self) -> Floats:
        """(..., 3) internal rotation, downward rotation, backward tilt of the scapula on the clavicle."""
        return angles_from_rotation(self._right(self.clavicle_from_scapula), SCAPULA)

    @property
    def scapulothoracic_rad(self) -> Floats:
        """(..., 3) internal rotation, downward rotation, backward tilt of the scapula on the thorax."""
        return angles_from_rotation(self._right(self.thorax_from_scapula), SCAPULA)

    @property
    def glenohumeral_rad(self) -> Floats:
        """(..., 3) plane, −elevation, internal rotation of the humerus in the scapula."""
        return angles_from_rotation(self._right(self.scapula_from_humerus), HUMERUS)

    @property
    def humerothoracic_rad(self) -> Floats:
        """(..., 3) plane, elevation and inward rotation from neutral of the arm on the trunk."""
        return swing_of_humerus(self._right(self.thorax_from_humerus))

    def on(self, side: Side) -> GirdlePose:
        """The same pose of the other shoulder: the mirror image, unless it is this one."""
        if side is self.side:
            return self
        rotations = ("thorax_from_clavicle", "thorax_from_scapula", "thorax_from_humerus")
        points = (
            "sternoclavicular_m",
            "acromioclavicular_m",
            "glenohumeral_m",
            "acromial_angle_m",
            "spine_root_m",
            "inferior_angle_m",
        )
        image: dict[str, Any] = {name: mirrored_rotation(getattr(self, name)) for name in rotations}
        image |= {name: mirrored_points(getattr(self, name)) for name in points}
        return replace(self, side=side, **image)

    def _right(self, rotation: Floats) -> Floats:
        return mirrored_rotation(rotation) if self.side is Side.LEFT else rotation


def girdle_pose(
    arm_rad: ArrayLike,
    rhythm: Rhythm,
    sizes: Sizes,
    *,
    resting: Resting = AT_REST,
    side: Side = Side.RIGHT,
    on_thorax: bool = True,
) -> GirdlePose:
    """The girdle for an arm pose (..., 3): plane, elevation, inward rotation from neutral, in radians.

    The scapula is turned about the acromioclavicular joint, as little as possible, until its two inner corners
    lie as far from the thorax as they do at rest. With `on_thorax` False it stands as the rhythm published it
    and `gap_change_m` says how far off the thorax that is. Raises ValueError for an angle that is no number, or more
    than a whole turn: degrees, most likely.
    """
    arm = np.asarray(arm_rad, dtype=float)
    if arm.shape[-1:] != (3,) or not (np.abs(arm) <= WHOLE_TURN_RAD).all():
        raise ValueError(
            "an arm pose takes plane, elevation and rotation in radians (`rad_from_deg`), all of them numbers within a "
            "whole turn"
        )
    plane, elevation, inward = np.moveaxis(arm, -1, 0)
    humerus = humerus_from_swing(plane, elevation, inward)
    at_rest = _follow(plane, np.zeros_like(elevation), rhythm, resting)
    raised = _follow(plane, elevation, rhythm, resting, at_rest)
    gap_at_rest = _gaps(*raised_points(at_rest, sizes), sizes)
    scapula = raised[1]
    turned_by = np.zeros(scapula.shape[:-2])
    if on_thorax:
        scapula, turned_by = _kept_on_thorax(raised, sizes, gap_at_rest)
        free = rhythm.follow(plane, elevation, resting).roll_rad is None
        clavicle = _least_turning(raised[0], scapula, at_rest) if free else raised[0]
        raised = (clavicle, scapula)
    caveats = []
    if not is_measured(rhythm, deg_from_rad(elevation)).all():
        caveats.append("the elevation lies outside what was measured, or that was not stated: the course is carried on")
    in_degrees = deg_from_rad(plane)
    if ((in_degrees < -_EDGE_DEG) | (in_degrees > 90.0 + _EDGE_DEG)).any():
        caveats.append(
            "the plane lies outside those measured, 0 to 90 degrees in front of the frontal plane: the blade is taken "
            "to move as at the nearer of them"
        )
    basis = rhythm.basis.joined(sizes.basis)
    basis = replace(basis, caveats=(*basis.caveats, *caveats))
    pose = _assembled(raised, humerus, sizes, gap_at_rest, turned_by, basis)
    return pose.on(Side(side))


def pose_from_joints(
    sternoclavicular_rad: ArrayLike,
    acromioclavicular_rad: ArrayLike,
    glenohumeral_rad: ArrayLike,
    sizes: Sizes,
    *,
    side: Side = Side.RIGHT,
) -> GirdlePose:
    """The girdle for three joints' angles (..., 3) each: the inverse of reading the angles off a pose."""
    clavicle = rotation_from_angles(sternoclavicular_rad, CLAVICLE)
    scapula = clavicle @ rotation_from_angles(acromioclavicular_rad, SCAPULA)
    humerus = scapula @ rotation_from_angles(glenohumeral_rad, HUMERUS)
    bones = (clavicle, scapula)
    gaps = _gaps(*raised_points(bones, sizes), sizes)  # no rest to compare with: no change
    return _assembled(bones, humerus, sizes, gaps, np.zeros(scapula.shape[:-2]), sizes.basis).on(Side(side))


def elevation_for_upward_rotation(upward_rad: float, plane_rad: float, rhythm: Rhythm) -> float | None:
    """The arm elevation at which a rhythm turns the scapula up by an angle; None if it never does in 0..180°.

    The inverse of the rhythm in one plane, by halving; the rhythms on offer turn the scapula up all the way.
    """
    low, high = 0.0, _HIGHEST_RAD
    if not upward_of(low, plane_rad, rhythm) <= upward_rad <= upward_of(high, plane_rad, rhythm):
        return None
    for _ in range(60):
        middle = (low + high) / 2.0
        low, high = (middle, high) if upward_of(middle, plane_rad, rhythm) < upward_rad else (low, middle)
    return (low + high) / 2.0


def upward_of(elevation_rad: float, plane_rad: float, rhythm: Rhythm) -> float:
    """Upward rotation of the scapula on the thorax at an arm elevation, radians, up positive."""
    scapula = rhythm.follow(plane_rad, elevation_rad).thorax_from_scapula
    return -float(angles_from_rotation(scapula, SCAPULA)[..., 1])


def raised_points(bones: tuple[Floats, Floats], sizes: Sizes) -> tuple[Floats, Floats, Floats]:
    """AC joint, root of the spine and inferior angle in the thorax, (..., 3) each, for clavicle and scapula."""
    clavicle, scapula = bones
    joint = sizes.sternoclavicular_m + clavicle[..., :, 2] * np.asarray(sizes.clavicle_length_m)[..., None]
    root, tip = (
        joint + turned(scapula, point - sizes.acromioclavicular_m)
        for point in (sizes.spine_root_m, sizes.inferior_angle_m)
    )
    return joint, root, tip


def least_turning_roll(pointing: ArrayLike, scapula: ArrayLike, resting_joint: ArrayLike) -> Floats:
    """The backward roll, (...), of a clavicle that points one way, for the AC joint to turn least from rest.

    `pointing` is the clavicle without roll, `resting_joint` the AC rotation at rest (..., 3, 3). Closed form:
    the roll that maximises the trace of the turn away from rest.
    """
    away = inverse(pointing) @ np.asarray(scapula, float) @ inverse(resting_joint)
    roll: Floats = np.arctan2(away[..., 1, 0] - away[..., 0, 1], away[..., 0, 0] + away[..., 1, 1])
    return roll


def _follow(
    plane: Floats,
    elevation: Floats,
    rhythm: Rhythm,
    resting: Resting,
    at_rest: tuple[Floats, Floats] | None = None,
) -> tuple[Floats, Floats]:
    """Clavicle and scapula in the thorax; without `at_rest` the clavicle has its resting roll."""
    followed = rhythm.follow(plane, elevation, resting)
    pointing = rotation_from_angles(_with_roll(followed.clavicle_rad, np.zeros_like(elevation)), CLAVICLE)
    if followed.roll_rad is not None:
        return pointing @ turn_about("Z", followed.roll_rad), followed.thorax_from_scapula
    if at_rest is None:
        return pointing @ turn_about("Z", rhythm.resting_roll_rad), followed.thorax_from_scapula
    return _least_turning(pointing, followed.thorax_from_scapula, at_rest), followed.thorax_from_scapula


def _least_turning(clavicle: Floats, scapula: Floats, at_rest: tuple[Floats, Floats]) -> Floats:
    angles = angles_from_rotation(clavicle, CLAVICLE)
    pointing = rotation_from_angles(_with_roll(angles[..., :2], np.zeros(angles.shape[:-1])), CLAVICLE)
    return pointing @ turn_about("Z", least_turning_roll(pointing, scapula, inverse(at_rest[0]) @ at_rest[1]))


def _with_roll(direction: Floats, roll: Floats) -> Floats:
    return np.concatenate([direction, roll[..., None]], axis=-1)


def _gaps(_joint: Floats, root: Floats, tip: Floats, sizes: Sizes) -> Floats:
    corners = np.stack([root, tip], axis=-2)
    return nearest_on_ellipsoid(corners, sizes.thorax_centre_m[..., None, :], sizes.thorax_radii_m[..., None, :])[1]


def _kept_on_thorax(raised: tuple[Floats, Floats], sizes: Sizes, wanted: Floats) -> tuple[Floats, Floats]:
    """The scapula turned about the AC joint by small least steps until both gaps are the wanted ones."""
    clavicle, published = raised
    scapula = published
    centre, radii = sizes.thorax_centre_m[..., None, :], sizes.thorax_radii_m[..., None, :]
    for _ in range(_CONTACT_STEPS):
        joint, root, tip = raised_points((clavicle, scapula), sizes)
        corners = np.stack([root, tip], axis=-2)
        surface, gap = nearest_on_ellipsoid(corners, centre, radii)
        short = wanted - gap
        if np.abs(short).max(initial=0.0) < _CONTACT_TOLERANCE_M:
            break
        rows = np.cross(corners - joint[..., None, :], outward_normal(surface, centre, radii))
        step = np.swapaxes(rows, -1, -2) @ np.linalg.solve(rows @ np.swapaxes(rows, -1, -2), short[..., None])
        scapula = rotation_from_vector(step[..., 0]) @ scapula
    return scapula, angle_of(inverse(published) @ scapula)


def _assembled(
    bones: tuple[Floats, Floats], humerus: Floats, sizes: Sizes, gap_at_rest: Floats, turned_by: Floats, basis: Basis
) -> GirdlePose:
    clavicle, scapula = bones
    joint, root, tip = raised_points(bones, sizes)
    centre, corner = (
        joint + turned(scapula, point - sizes.acromioclavicular_m) for point in (sizes.glenohumeral_m, np.zeros(3))
    )
    gap = _gaps(joint, root, tip, sizes)
    sternal = np.broadcast_to(sizes.sternoclavicular_m, joint.shape)
    return GirdlePose(
        Side.RIGHT, clavicle, scapula, humerus, sternal, joint, centre, corner, root, tip,
        gap, gap - gap_at_rest, turned_by, basis,
    )  # fmt: skip
