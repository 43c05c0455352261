"""Motions of the scapula with the arm hanging: where they take clavicle, AC joint and scapula.

The clavicle is carried up, down, forward or back, or rolled about its own axis. What is not imposed is found: its
roll (unless that is the motion) and the turn of the scapula on it. Of all poses that keep both inner corners of
the scapula as far from the thorax as at rest, the one with the least turning is taken, counted as the square of
the AC joint's turn plus a weight times the square of the clavicle's roll. The weight is an assumption
(kinematics.ki551); zero is the published rule that the AC joint turns as little as possible. Solved by Newton
steps; `converged` says whether it was.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal, TypeAlias

import numpy as np

from endfeel.anatomy.figures import Basis, basis_of, row_figure, value_of
from endfeel.anatomy.frames import CLAVICLE, SCAPULA, clavicle_frame
from endfeel.anatomy.girdle import GirdlePose, girdle_pose, least_turning_roll
from endfeel.anatomy.rhythm import Rhythm
from endfeel.anatomy.rotations import angles_from_rotation, inverse, rotation_from_angles, rotation_from_vector, turned
from endfeel.anatomy.sizes import Sizes
from endfeel.anatomy.thorax import breath_shift_m, nearest_on_ellipsoid
from endfeel.anatomy.units import Floats, mm_from_m, rad_from_deg
from endfeel.evidence.library import Library
from endfeel.vocabulary import NotFound

Direction: TypeAlias = Literal["elevation", "depression", "protraction", "retraction", "backward roll", "forward roll"]

TABLE = "kinematics"
ROLL_WEIGHT = "ki551"
RANGES: Mapping[Direction, str] = {
    "elevation": "ki421",
    "depression": "ki422",
    "protraction": "ki423",
    "retraction": "ki424",
    "backward roll": "ki425",
    "forward roll": "ki555",
}
MOTIONS: Mapping[str, tuple[Direction, ...]] = {
    "elevation": ("elevation",),
    "depression": ("depression",),
    "protraction": ("protraction",),
    "retraction": ("retraction",),
    "elevation with protraction": ("elevation", "protraction"),
    "elevation with retraction": ("elevation", "retraction"),
    "depression with protraction": ("depression", "protraction"),
    "depression with retraction": ("depression", "retraction"),
    "clavicle rolled backward": ("backward roll",),
    "clavicle rolled forward": ("forward roll",),
}
"""The four motions of the scapula, their four combinations, and the two axial rotations of the clavicle."""
_STEPS = 40
_STAGES = 8
_NUDGE = 1e-6
_TOLERANCE = 1e-9


@dataclass(frozen=True, slots=True)
class ScapularMotion:
    """One motion of the scapula from rest, arm hanging; every angle is a change from rest, in radians."""

    name: str
    clavicle_forward_rad: float
    clavicle_up_rad: float
    clavicle_roll_rad: float
    """Axial rotation of the clavicle: backward positive, forward negative."""
    scapula_rad: Floats
    """(3,) internal, downward and backward-tilting turn of the scapula on the thorax."""
    joint_rad: Floats
    """(3,) the same of the scapula on the clavicle (AC joint)."""
    acromion_shift_m: Floats
    """(3,) how the AC joint moved: forward, up, lateral."""
    thorax_from_clavicle: Floats
    thorax_from_scapula: Floats
    residual_m: float
    """How far the inner corners are from their resting distance to the thorax, at worst."""
    converged: bool
    basis: Basis


def scapular_motion(
    name: str,
    rhythm: Rhythm,
    sizes: Sizes,
    library: Library,
    *,
    extent: float = 1.0,
    roll_weight: float | None = None,
) -> ScapularMotion:
    """One motion by name (`MOTIONS`), of one person; `extent` is the part of the usual range of the clavicle.

    A combination takes each of its two directions to 1/√2 of its range. Raises NotFound for an unknown name.
    """
    if name not in MOTIONS:
        raise NotFound(f"no motion of the scapula {name!r}; there are: {', '.join(MOTIONS)}")
    forward, up, roll = (extent * angle for angle in _imposed(name, library))
    is_roll = any(step.endswith("roll") for step in MOTIONS[name])
    weight = value_of(row_figure(library, TABLE, ROLL_WEIGHT)) if roll_weight is None else roll_weight
    rest = girdle_pose(np.zeros(3), rhythm, sizes)
    start = rest.sternoclavicular_rad
    unknown, converged = np.zeros(4), True
    for part in np.linspace(0.0, 1.0, _STAGES + 1)[1:]:  # step by step along the motion, each from the last
        direction = start[:2] + part * np.array([forward, -up])
        solver = _Balance(rest, sizes, direction, start[2] + part * roll, weight, not is_roll)
        unknown, reached = solver.solved(unknown)
        converged = converged and reached
    clavicle, scapula = solver.bones(unknown)
    figures = [row_figure(library, TABLE, row) for row in (ROLL_WEIGHT, *(RANGES[step] for step in MOTIONS[name]))]
    return ScapularMotion(
        name,
        forward,
        up,
        float(unknown[0]) + roll,
        angles_from_rotation(scapula, SCAPULA) - rest.scapulothoracic_rad,
        angles_from_rotation(inverse(clavicle) @ scapula, SCAPULA) - rest.acromioclavicular_rad,
        solver.joint(clavicle) - rest.acromioclavicular_m,
        clavicle,
        scapula,
        float(np.abs(solver.short(unknown)).max()),
        converged,
        rest.basis.joined(basis_of(figures)),
    )


@dataclass(frozen=True, slots=True)
class Breath:
    """What breathing in does to a clavicle whose outer end stays where it is; changes from rest, in radians."""

    clavicle_forward_rad: float
    clavicle_up_rad: float
    clavicle_roll_rad: float
    basis: Basis


def breath(rhythm: Rhythm, sizes: Sizes, library: Library, inspired: float = 1.0) -> Breath:
    """The clavicle when the sternum rises under it and the scapula stays put; `inspired` 1 in, negative out.

    The roll is the one that turns the AC joint least. That the shoulder does not rise with the chest is an
    assumption, and the sternum's excursion a judgement (kinematics.ki552).
    """
    shift, basis = breath_shift_m(library, inspired)
    rest = girdle_pose(np.zeros(3), rhythm, sizes)
    pointing = clavicle_frame(rest.sternoclavicular_m + shift, rest.acromioclavicular_m)
    roll = least_turning_roll(pointing, rest.thorax_from_scapula, rest.clavicle_from_scapula)
    now, before = angles_from_rotation(pointing, CLAVICLE), rest.sternoclavicular_rad
    change = now - before
    return Breath(float(change[0]), -float(change[1]), float(roll - before[2]), rest.basis.joined(basis))


def _imposed(name: str, library: Library) -> tuple[float, float, float]:
    """How far the clavicle goes forward and up and rolls backward, radians, at the end of the usual range."""
    steps = MOTIONS[name]
    reach = {step: float(rad_from_deg(value_of(row_figure(library, TABLE, RANGES[step])))) for step in steps}
    part = 1.0 / np.sqrt(len(steps))
    forward = reach.get("protraction", 0.0) - reach.get("retraction", 0.0)
    up = reach.get("elevation", 0.0) - reach.get("depression", 0.0)
    roll = reach.get("backward roll", 0.0) - reach.get("forward roll", 0.0)
    return forward * part, up * part, roll * part


@dataclass(frozen=True, slots=True)
class _Balance:
    """Least turning on the thorax. Unknown (4,): roll of the clavicle, turn of the scapula on it (vector)."""

    rest: GirdlePose
    sizes: Sizes
    direction: Floats
    roll: float
    weight: float
    roll_is_free: bool

    def bones(self, unknown: Floats) -> tuple[Floats, Floats]:
        roll = self.roll + unknown[..., :1]
        direction = np.broadcast_to(self.direction, (*roll.shape[:-1], 2))
        clavicle = rotation_from_angles(np.concatenate([direction, roll], axis=-1), CLAVICLE)
        return clavicle, clavicle @ rotation_from_vector(unknown[..., 1:]) @ self.rest.clavicle_from_scapula

    def joint(self, clavicle: Floats) -> Floats:
        outer: Floats = self.sizes.sternoclavicular_m + clavicle[..., :, 2] * self.sizes.clavicle_length_m
        return outer

    def short(self, unknown: Floats) -> Floats:
        """(..., 2) how much nearer the thorax the inner corners are than at rest, in metres."""
        clavicle, scapula = self.bones(unknown)
        corners = np.stack([self.sizes.spine_root_m, self.sizes.inferior_angle_m]) - self.sizes.acromioclavicular_m
        points = self.joint(clavicle)[..., None, :] + turned(scapula[..., None, :, :], corners)
        gap = nearest_on_ellipsoid(points, self.sizes.thorax_centre_m, self.sizes.thorax_radii_m)[1]
        return self.rest.gap_m - gap

    def solved(self, unknown: Floats) -> tuple[Floats, bool]:
        """The balance from a first guess, and whether it was reached: steps of the constrained least squares."""
        weights = np.diag([self.weight if self.roll_is_free else 1.0, 1.0, 1.0, 1.0])
        nudges = np.eye(4) * _NUDGE
        for _ in range(_STEPS):
            short = self.short(unknown)
            beside = self.short(unknown + np.concatenate([nudges, -nudges]))
            slope = ((beside[:4] - beside[4:]) / (2 * _NUDGE)).T
            if not self.roll_is_free:
                slope[:, 0] = 0.0
            system = np.block([[weights, slope.T], [slope, np.zeros((2, 2))]])
            right = np.concatenate([np.zeros(4), slope @ unknown - short])
            wanted = np.linalg.solve(system, right)[:4]
            step = wanted - unknown
            unknown = wanted
            if np.abs(step).max() < _TOLERANCE:
                return unknown, bool(np.abs(self.short(unknown)).max() < 1e-7)
        return unknown, False


def in_words(
    shift_m: Floats,
    names: tuple[tuple[str, str], ...] = (("forward", "backward"), ("up", "down"), ("outward", "inward")),
) -> str:
    """A shift as words and millimetres: "up 12 mm, backward 3 mm"; parts under half a millimetre are left out."""
    parts = [
        (abs(value), f"{positive if value > 0 else negative} {abs(value):.0f} mm")
        for value, (positive, negative) in zip(mm_from_m(shift_m), names, strict=True)
        if abs(value) >= 0.5
    ]
    return ", ".join(words for _, words in sorted(parts, reverse=True)) or "no shift"
