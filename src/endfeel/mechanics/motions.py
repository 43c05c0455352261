"""Passive motions of the arm with the shoulder blade held: how the humerus turns in it, and about which axis.

A motion starts from an arm position in the thorax' axes (plane, elevation, third angle of the standard's sequence),
with the scapula held in a stated orientation, and changes one of the three angles.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Literal, TypeAlias

import numpy as np
from numpy.typing import ArrayLike

from endfeel.anatomy.frames import SCAPULA, humerus_from_clinical
from endfeel.anatomy.rhythm import DEFAULT_RHYTHM, Rhythm, find_rhythm
from endfeel.anatomy.rotations import inverse, rotation_from_angles, vector_from_rotation
from endfeel.anatomy.units import Floats, rad_from_deg
from endfeel.evidence.figures import Figure, number
from endfeel.evidence.library import Library
from endfeel.mechanics.blade_axes import standard_from_blade
from endfeel.vocabulary import NotFound

Moving: TypeAlias = Literal["plane", "elevation", "axial"]
STEP_RAD = 1e-4
"""Numerical: half the turn over which an axis of motion is found."""


@dataclass(frozen=True, slots=True)
class Motion:
    """One passive motion."""

    name: str
    plane_rad: float
    elevation_rad: float
    axial_rad: float
    """Where the arm starts, in the thorax."""
    moving: Moving
    sense: float
    """+1 or −1: which way the moving angle goes."""
    scapula_in_thorax: Floats
    """(3, 3) how the shoulder blade is held; the unit matrix where the angles are those in the scapula."""
    rhythm: Rhythm | None = None
    """How the blade follows the arm when it is left free; it is then not held."""
    standard_from_blade: Floats = field(default_factory=lambda: np.eye(3))
    """(3, 3) for a blade that follows: rhythms are told in the standard scapular frame."""

    def humerus(self, travelled_rad: ArrayLike) -> Floats:
        """The humerus in the scapula, (..., 3, 3), when the moving angle reads this in the motion's sense."""
        plane, elevation, axial = self._angles(travelled_rad)
        blade = self.scapula_in_thorax
        if self.rhythm is not None:
            blade = self.rhythm.follow(plane, elevation).thorax_from_scapula @ self.standard_from_blade
        return inverse(blade) @ humerus_from_clinical(plane, elevation, axial)

    def axis(self, travelled_rad: ArrayLike) -> Floats:
        """How the humerus turns in the scapula for each radian of the moving angle, (..., 3) in scapula axes: the axis
        of motion, of length one where the blade is held."""
        travelled = np.asarray(travelled_rad, dtype=float)
        turn = self.humerus(travelled + STEP_RAD) @ inverse(self.humerus(travelled - STEP_RAD))
        return vector_from_rotation(turn) / (2.0 * STEP_RAD)

    @property
    def start_rad(self) -> float:
        """What the moving angle reads at the start, in the motion's sense."""
        return (
            self.sense
            * {"plane": self.plane_rad, "elevation": self.elevation_rad, "axial": self.axial_rad}[self.moving]
        )

    def _angles(self, travelled_rad: ArrayLike) -> tuple[ArrayLike, ArrayLike, ArrayLike]:
        angles: dict[str, ArrayLike] = {
            "plane": self.plane_rad,
            "elevation": self.elevation_rad,
            "axial": self.axial_rad,
            self.moving: self.sense * np.asarray(travelled_rad, dtype=float),
        }
        return angles["plane"], angles["elevation"], angles["axial"]


@dataclass(frozen=True, slots=True)
class PublishedLimit:
    """How far a motion goes in healthy shoulders, as the evidence has it."""

    motion: Motion
    limit: Figure
    """Degrees from the start of the motion."""
    sd: Figure

    @property
    def angle_rad(self) -> float:
        """What the moving angle reads at the limit, in the motion's sense: every limit counts from the start."""
        return self.motion.start_rad + float(rad_from_deg(number(self.limit)))


def scapula_held(internal_deg: float, upward_deg: float, tilt_deg: float) -> Floats:
    """A shoulder blade in the thorax, (3, 3): degrees of internal rotation, upward rotation and backward tilt."""
    return rotation_from_angles(rad_from_deg([internal_deg, -upward_deg, tilt_deg]), SCAPULA)


def published_limits(library: Library) -> dict[str, PublishedLimit]:
    """The passive limits of the evidence by name of the motion."""
    limits = {}
    for row in library.tables["passive_limits"]:
        angle = {name: number(figure) for name, figure in row.figures.items()}
        motion = Motion(
            row.text["motion"],
            float(rad_from_deg(angle["plane_deg"])),
            float(rad_from_deg(angle["elevation_deg"])),
            float(rad_from_deg(angle["axial_deg"])),
            _moving(row.text["moving"]),
            1.0 if row.text["sense"] == "+" else -1.0,
            scapula_held(*(angle[f"scapula_{name}_deg"] for name in ("internal", "upward", "tilt"))),
        )
        limits[motion.name] = PublishedLimit(motion, row.figures["limit_deg"], row.figures["limit_sd_deg"])
    return limits


def reference_rotations(limits: dict[str, PublishedLimit]) -> Floats:
    """The humerus in the scapula at every published limit, (K, 3, 3): where slack lengths are counted from."""
    return np.array([limit.motion.humerus(limit.angle_rad) for limit in limits.values()])


def find_motion(library: Library, name: str) -> Motion:
    """A motion of the evidence by name. Raises NotFound with the names there are."""
    limits = published_limits(library)
    if name not in limits:
        raise NotFound(f"no passive motion {name!r}; there are: {', '.join(limits)}")
    return limits[name].motion


def freed(motion: Motion, library: Library, rhythm: str = DEFAULT_RHYTHM) -> Motion:
    """The motion with the blade free to follow the arm by a published rhythm. Raises NotFound for an unknown one."""
    return replace(motion, rhythm=find_rhythm(library, rhythm), standard_from_blade=standard_from_blade(library))


def in_scapula(motion: Motion) -> Motion:
    """The same angles counted in the scapula instead of the thorax."""
    return replace(motion, scapula_in_thorax=np.eye(3))


def _moving(word: str) -> Moving:
    return "plane" if word == "plane" else "elevation" if word == "elevation" else "axial"
