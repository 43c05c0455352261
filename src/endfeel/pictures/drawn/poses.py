"""Where the bones of the girdle stand before and after a procedure: right side, in the thorax, metres and radians.

The arm comes from the table of drawn procedures, or from the mechanical test that the procedure has; the blade and the
clavicle follow by a published rhythm, or stand as the test holds them. How far a passive test goes, and where a glide
takes the head, the mechanics says.

Bones are drawn in the standard axes, in which rhythms are told; the capsule and the poses that a test holds are told in
those of `mechanics.blade_axes`. `Model.standard_from_capsule` turns the one into the other.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from endfeel.anatomy import Rhythm, Sizes, find_rhythm, girdle_pose
from endfeel.anatomy.frames import SCAPULA
from endfeel.anatomy.girdle import elevation_for_upward_rotation
from endfeel.anatomy.rhythm import DEFAULT_RHYTHM
from endfeel.anatomy.rotations import angles_from_rotation, inverse, rotation_from_vector, turn_about
from endfeel.anatomy.scapular_motions import MOTIONS, ScapularMotion, scapular_motion
from endfeel.anatomy.units import Floats, rad_from_deg
from endfeel.evidence.figures import number
from endfeel.evidence.library import Library, Row
from endfeel.mechanics.blade_axes import standard_from_blade
from endfeel.mechanics.motions import Motion, find_motion
from endfeel.mechanics.shoulder import Shoulders, arm, default_shoulder

BESIDE_TURNS = {
    "upward": (-1.0, 0.0, 0.0), "downward": (1.0, 0.0, 0.0), "tilt_back": (0.0, 0.0, 0.5),
    "tilt_forward": (0.0, 0.0, -0.5), "turn_out": (0.0, -1.0, 0.0), "turn_in": (0.0, 1.0, 0.0),
}  # fmt: skip
"""Turns of the blade that are no motion of the clavicle: about which of its axes forward, up and lateral."""
SHOWN_TURN_RAD = 0.26
"""How far such a turn is drawn; a matter of drawing."""
_ELBOW_UP_M = -0.292
_STEPS = 40
_FORCES = 6


@dataclass(frozen=True, slots=True)
class Model:
    """The mean person that is drawn."""

    library: Library
    sizes: Sizes
    shoulders: Shoulders
    rhythm: Rhythm
    standard_from_capsule: Floats
    """(3, 3) the axes of capsule and socket in those of the drawn blade."""

    def capsule_axes(self, at: Stance) -> Floats:
        """The axes of capsule and socket in the thorax, (3, 3)."""
        turned: Floats = at.scapula @ self.standard_from_capsule
        return turned

    def capsule_pose(self, at: Stance) -> Floats:
        """The humerus as the capsule is told of it, (3, 3)."""
        turned: Floats = inverse(self.capsule_axes(at)) @ at.humerus
        return turned


def model_of(library: Library) -> Model:
    """The mean person, with the rhythm used elsewhere."""
    shoulders = default_shoulder(library)
    rhythm = find_rhythm(library, DEFAULT_RHYTHM)
    return Model(library, shoulders.traits.sizes.one(0), shoulders, rhythm, standard_from_blade(library))


@dataclass(frozen=True, slots=True)
class Stance:
    """Bones of one right girdle: rotations (3, 3) into the thorax and where each bone's origin lies."""

    clavicle: Floats
    sternoclavicular_m: Floats
    scapula: Floats
    acromioclavicular_m: Floats
    humerus: Floats
    elbow_rad: float
    centre_m: Floats
    """Of the head, (3,) in the scapula from where it sits at rest."""

    def glenohumeral_m(self, sizes: Sizes) -> Floats:
        """The seat of the head in the thorax: the origin of the drawn blade."""
        seat: Floats = self.acromioclavicular_m + self.scapula @ (sizes.glenohumeral_m - sizes.acromioclavicular_m)
        return seat

    def bones(self, sizes: Sizes) -> dict[str, tuple[Floats, Floats]]:
        """Rotation and origin of `clavicle`, `scapula`, `humerus` and `forearm`."""
        seat = self.glenohumeral_m(sizes)
        head = seat + self.scapula @ self.centre_m
        elbow = head + self.humerus @ np.array([0.004, _ELBOW_UP_M, 0.0])
        bent = self.humerus @ turn_about("Z", self.elbow_rad - np.pi / 2.0)
        return {
            "clavicle": (self.clavicle, self.sternoclavicular_m),
            "scapula": (self.scapula, seat),
            "humerus": (self.humerus, head),
            "forearm": (bent, elbow),
            "thorax": (np.eye(3), np.zeros(3)),
        }


def stance(model: Model, arm_deg: ArrayLike, elbow_deg: float, resting: bool = False) -> Stance:
    """The girdle for an arm raised in the thorax: plane, elevation, inward turn in degrees; or the girdle at rest, the
    arm alone raised."""
    pose = girdle_pose(rad_from_deg(arm_deg), model.rhythm, model.sizes)
    if resting:
        rest = girdle_pose(np.zeros(3), model.rhythm, model.sizes)
        pose = replace(rest, thorax_from_humerus=pose.thorax_from_humerus)
    return Stance(
        pose.thorax_from_clavicle,
        pose.sternoclavicular_m,
        pose.thorax_from_scapula,
        pose.acromioclavicular_m,
        pose.thorax_from_humerus,
        float(rad_from_deg(elbow_deg)),
        np.zeros(3),
    )


def tested(model: Model, row: Row, elbow_deg: float) -> tuple[tuple[Stance, ...], float]:
    """The stances from the beginning to the end of a mechanical test, and the force of the hand that a glide shows.

    Many stances on the way of a motion, two of a glide.
    """
    angle = {name: number(figure) for name, figure in row.figures.items()}
    if row.text["kind"] == "glide":
        pose = arm(angle["elevation_deg"], angle["plane_deg"], angle["axial_deg"])
        start = posed_on_blade(model, pose, angle["plane_deg"], angle["elevation_deg"], elbow_deg)
        end_of, force_n = glided(model, start, row.text["direction"], angle["force_N"])
        return (start, end_of), force_n
    motion: Motion
    if row.text["motion"]:
        motion = find_motion(model.library, row.text["motion"])
    else:
        plane, elevation, axial = (
            float(rad_from_deg(angle[name])) for name in ("plane_deg", "elevation_deg", "axial_deg")
        )
        sense = 1.0 if row.text["sense"] == "+" else -1.0
        motion = Motion(row.text["procedure"], plane, elevation, axial, "axial", sense, np.eye(3))
    limit = model.shoulders.passive_limit(motion).angle_deg[0]
    steps = np.linspace(motion.start_rad, float(rad_from_deg(limit)), 13)
    first = _held(model, motion, elbow_deg)
    axes = model.capsule_axes(first)
    return tuple(replace(first, humerus=axes @ motion.humerus(step)) for step in steps), 0.0


def glided(model: Model, start: Stance, direction: str, force_n: float) -> tuple[Stance, float]:
    """The stance after a force on the head in a direction of the socket, and the force that is shown.

    Where the whole force lifts the mean head over the rim, which a living one does not do, half of it is tried.
    """
    pose = model.capsule_pose(start)
    unloaded = model.shoulders.at_rest(pose).centre_m
    way = glide_way(model, direction)
    for _ in range(_FORCES):
        loaded = model.shoulders.at_rest(pose, force_n * way[None, :])
        if loaded.converged.all() and model.shoulders.seated(loaded.centre_m).all():
            return replace(start, centre_m=model.standard_from_capsule @ (loaded.centre_m - unloaded)[0]), force_n
        force_n /= 2.0
    return start, 0.0


def glide_way(model: Model, direction: str) -> Floats:
    """The direction of a glide in the axes of the capsule, (3,): along the plane of the socket, or `lateral` and
    `medial`."""
    if direction == "medial":
        inward: Floats = -model.shoulders.socket.axes[0, :, 2]
        return inward
    way: Floats = model.shoulders.way(direction)[0]
    return way


def posed_on_blade(model: Model, pose: Floats, plane_deg: float, elevation_deg: float, elbow_deg: float) -> Stance:
    """The girdle for an arm whose angles are those of the capsule: the blade stands where it takes the arm there."""
    rest = girdle_pose(np.zeros(3), model.rhythm, model.sizes)
    facing = angles_from_rotation(rest.thorax_from_scapula @ model.standard_from_capsule, SCAPULA)[0]
    plane = rad_from_deg(plane_deg) + facing
    raised = float(rad_from_deg(elevation_deg))
    for _ in range(_STEPS if elevation_deg else 0):
        raised = float(rad_from_deg(elevation_deg)) + max(_capsule_upward(model, raised, float(plane)), 0.0)
    found = girdle_pose(np.array([float(plane), raised, 0.0]), model.rhythm, model.sizes)
    return Stance(
        found.thorax_from_clavicle,
        found.sternoclavicular_m,
        found.thorax_from_scapula,
        found.acromioclavicular_m,
        found.thorax_from_scapula @ model.standard_from_capsule @ pose,
        float(rad_from_deg(elbow_deg)),
        np.zeros(3),
    )


def _capsule_upward(model: Model, elevation_rad: float, plane_rad: float) -> float:
    """How far the axes of the capsule are turned up in the thorax with the arm raised so far."""
    scapula = model.rhythm.follow(plane_rad, elevation_rad).thorax_from_scapula
    return -float(angles_from_rotation(scapula @ model.standard_from_capsule, SCAPULA)[..., 1])


def moved_blade(model: Model, start: Stance, way: str, share: float) -> Stance:
    """The stance after a motion of the blade by name; 1 is its usual range, or the turn that is drawn."""
    if way in MOTIONS:
        return _following(model, start, scapular_motion(way, model.rhythm, model.sizes, model.library, extent=share))
    about = np.array(BESIDE_TURNS[way])
    turn = start.scapula @ rotation_from_vector(share * SHOWN_TURN_RAD * about) @ inverse(start.scapula)
    return replace(start, scapula=turn @ start.scapula)  # the arm stays as it lies


def _following(model: Model, start: Stance, motion: ScapularMotion) -> Stance:
    """What a motion does from rest, done from where the girdle stands."""
    rest = girdle_pose(np.zeros(3), model.rhythm, model.sizes)
    clavicle = motion.thorax_from_clavicle @ inverse(rest.thorax_from_clavicle) @ start.clavicle
    scapula = motion.thorax_from_scapula @ inverse(rest.thorax_from_scapula) @ start.scapula
    joint = start.acromioclavicular_m + motion.acromion_shift_m
    return replace(start, clavicle=clavicle, scapula=scapula, acromioclavicular_m=joint)


def _held(model: Model, motion: Motion, elbow_deg: float) -> Stance:
    """The girdle with the blade as a motion holds it."""
    if np.allclose(motion.scapula_in_thorax, np.eye(3)):
        plane, elevation = np.degrees(motion.plane_rad), np.degrees(motion.elevation_rad)
        return posed_on_blade(model, motion.humerus(motion.start_rad), float(plane), float(elevation), elbow_deg)
    scapula = motion.scapula_in_thorax @ inverse(model.standard_from_capsule)
    upward = -float(angles_from_rotation(scapula, SCAPULA)[1])
    raised = elevation_for_upward_rotation(upward, motion.plane_rad, model.rhythm) or 0.0
    found = girdle_pose(np.array([motion.plane_rad, raised, 0.0]), model.rhythm, model.sizes)
    return Stance(
        found.thorax_from_clavicle,
        found.sternoclavicular_m,
        scapula,
        found.acromioclavicular_m,
        motion.scapula_in_thorax @ motion.humerus(motion.start_rad),
        float(rad_from_deg(elbow_deg)),
        np.zeros(3),
    )
