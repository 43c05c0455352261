"""How well each rhythm, in our pose of the girdle, agrees with what was measured: cell by cell, in degrees.

A cell is one angle at one plane and elevation. It agrees when our angle lies within one standard deviation
between people, as published; where a study published none, the spread of the same angle, plane and elevation
in the fluoroscopy study is borrowed, and cells without any spread count only towards the difference.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np

from endfeel.anatomy.figures import value_of
from endfeel.anatomy.frames import SCAPULA
from endfeel.anatomy.girdle import GirdlePose, girdle_pose
from endfeel.anatomy.rhythm import FLUOROSCOPY, PINS, Rhythm, arms_raised_rad, plane_deg, tabled_rows
from endfeel.anatomy.rotations import angles_from_rotation, inverse
from endfeel.anatomy.sizes import Sizes, frames_rotation
from endfeel.anatomy.units import Floats, deg_from_rad, rad_from_deg
from endfeel.evidence.library import Library

FROM_DEG, TO_DEG = 30.0, 120.0
"""The elevations over which agreement is asked for."""
OWN_STUDY: Mapping[str, str] = {
    PINS: "bone_pins",
    "Ludewig2009": "bone_pins",
    FLUOROSCOPY: "fluoroscopy",
    "Henninger2020": "fluoroscopy",
}
"""The rhythm made from a study, under its name in the evidence and in the open data."""
_READ_OFF = {
    "SC retraction": ("clavicle", 0),
    "SC elevation": ("clavicle", 1),
    "SC posterior rotation": ("clavicle", 2),
    "AC internal rotation": ("older joint", 0),
    "AC upward rotation": ("older joint", 1),
    "AC tilt": ("older joint", 2),
    "ST internal rotation": ("scapula", 0),
    "ST upward rotation": ("scapula", 1),
    "ST tilt": ("scapula", 2),
    "GH plane of elevation": ("humerus", 0),
    "GH elevation": ("humerus", 1),
    "GH axial rotation": ("humerus", 2),
}
_DATA_JOINTS = {"sternoclavicular": "SC", "acromioclavicular": "AC", "scapulothoracic": "ST", "glenohumeral": "GH"}
_DATA_ANGLES = {
    "SC": ("SC retraction", "SC elevation", "SC posterior rotation"),
    "ST": ("ST internal rotation", "ST upward rotation", "ST tilt"),
    "GH": ("GH plane of elevation", "GH elevation", "GH axial rotation"),
}
_OTHER_THORAX = ("Bourne2003", "Karduna2000", "Begon2014")
"""Studies whose thorax frame tips otherwise: their tilt cannot be compared as it stands."""
OLDER_FRAME, TURNED_FRAME = "AC_origin_as_published", "AA_origin_estimated"
"""The same scapula as published and turned into the standard frame: the former is compared, save for the humerus
on it, which is read off our pose in the standard frame only."""


@dataclass(frozen=True, slots=True)
class Measured:
    """One angle of one study, degrees in the standard's signs."""

    study: str
    quantity: str
    plane: str
    elevation_deg: float
    mean_deg: float
    sd_deg: float | None
    arm_rad: tuple[float, float, float]
    """Plane, elevation and inward rotation of the arm, as raised or, where that is unknown, as asked for."""
    older_frame: bool
    """Whether the scapula is seen in the older frame."""


@dataclass(frozen=True, slots=True)
class Agreement:
    """One study and quantity against one rhythm."""

    study: str
    quantity: str
    rhythm: str
    cells: int
    judged: int
    """Cells with a spread to judge by."""
    within: int
    difference_deg: float
    """Root mean square."""
    outside: tuple[tuple[str, float], ...]
    """Plane and elevation of the cells more than one standard deviation off."""

    @property
    def is_own(self) -> bool:
        """Whether the rhythm was made from this study, which makes agreement no test."""
        own = OWN_STUDY.get(self.study)
        borrowed = own == "bone_pins" and self.rhythm == "fluoroscopy" and self.quantity.startswith("SC")
        return own == self.rhythm or borrowed


def published(library: Library) -> list[Measured]:
    """Every mean of the two tables of raising the arm from 30° to 120° that our pose can be asked for."""
    raised = arms_raised_rad(library)
    spreads = {
        (quantity, plane, elevation): value_of(row.figures["sd"])
        for (quantity, plane, elevation), row in tabled_rows(library, FLUOROSCOPY).items()
    }
    cells = []
    for study in (FLUOROSCOPY, PINS):
        for (quantity, plane, elevation), row in tabled_rows(library, study).items():
            if quantity not in _READ_OFF or not FROM_DEG <= elevation <= TO_DEG:
                continue
            arm = raised[plane, elevation] if study == FLUOROSCOPY else _asked_for(library, plane, elevation)
            sd = spreads.get((quantity, plane, elevation))
            mean = value_of(row.figures["value"])
            cells.append(Measured(study, quantity, plane, elevation, mean, sd, _triple(arm), study == PINS))
    return cells


def open_data(rows: Iterable[Mapping[str, str]], library: Library) -> list[Measured]:
    """The rows of the open data set as means (and spread between people where there are three or more).

    Angles whose frame does not allow it are left out: tilt of the studies with another thorax frame, axial
    rotation of the arm where the study does not let the pose of the arm on the thorax be made up.
    """
    grouped: dict[tuple[str, str, str, float, bool], list[float]] = {}
    for row in rows:
        joint, elevation = _DATA_JOINTS[row["joint"]], float(row["humerothoracic_angle_deg"])
        older = row["scapula_frame"] == OLDER_FRAME
        usable = not older if joint == "GH" else row["scapula_frame"] != TURNED_FRAME
        if joint not in _DATA_ANGLES or not usable or not FROM_DEG <= elevation <= TO_DEG:
            continue
        for quantity, column in zip(_DATA_ANGLES[joint], ("rot1_deg", "rot2_deg", "rot3_deg"), strict=True):
            if row["study"] in _OTHER_THORAX and quantity == "ST tilt":
                continue
            if row["study"] != "Henninger2020" and quantity in ("GH axial rotation", "GH plane of elevation"):
                continue
            if not row[column]:
                continue
            key = (row["study"], quantity, row["motion"].removeprefix("elevation_"), elevation, older)
            grouped.setdefault(key, []).append(float(row[column]))
    spreads = {key[1:4]: _spread(values) for key, values in grouped.items() if key[0] == "Henninger2020"}
    raised = arms_raised_rad(library)
    cells = []
    for (study, quantity, plane, elevation, older), values in grouped.items():
        own = _spread(values) if len(values) > 2 else None
        arm = (
            _raised_at(raised, plane, elevation) if study == "Henninger2020" else _asked_for(library, plane, elevation)
        )
        sd = own if own is not None else spreads.get((quantity, plane, elevation))
        cells.append(Measured(study, quantity, plane, elevation, float(np.mean(values)), sd, _triple(arm), older))
    return cells


def compared(
    cells: Iterable[Measured], rhythm: Rhythm, sizes: Sizes, library: Library, *, on_thorax: bool = True
) -> list[Agreement]:
    """How one rhythm agrees with measured cells, by study and quantity."""
    grouped: dict[tuple[str, str], list[Measured]] = {}
    for cell in cells:
        grouped.setdefault((cell.study, cell.quantity), []).append(cell)
    older_from_standard = frames_rotation(library)
    result = []
    for (study, quantity), group in grouped.items():
        pose = girdle_pose(np.array([cell.arm_rad for cell in group]), rhythm, sizes, on_thorax=on_thorax)
        ours = _angle(pose, quantity, older_from_standard, np.array([cell.older_frame for cell in group]))
        off = ours - np.array([cell.mean_deg for cell in group])
        judged = [(cell, gap) for cell, gap in zip(group, off, strict=True) if cell.sd_deg is not None]
        outside = tuple(
            (cell.plane, cell.elevation_deg)
            for cell, gap in judged
            if cell.sd_deg is not None and abs(gap) > cell.sd_deg
        )
        rms = float(np.sqrt(np.mean(off**2)))
        count = len(judged)
        result.append(Agreement(study, quantity, rhythm.id, len(group), count, count - len(outside), rms, outside))
    return result


def _angle(pose: GirdlePose, quantity: str, older_from_standard: Floats, older: np.ndarray) -> Floats:
    of, place = _READ_OFF[quantity]
    if of == "clavicle":
        return deg_from_rad(pose.sternoclavicular_rad[..., place])
    if of == "humerus":
        return deg_from_rad(pose.glenohumeral_rad[..., place])
    in_older = pose.thorax_from_scapula @ inverse(older_from_standard)
    if of == "older joint":
        return deg_from_rad(angles_from_rotation(inverse(pose.thorax_from_clavicle) @ in_older, SCAPULA)[..., place])
    seen = np.where(older[:, None, None], in_older, pose.thorax_from_scapula)
    return deg_from_rad(angles_from_rotation(seen, SCAPULA)[..., place])


def _asked_for(library: Library, plane: str, elevation: float) -> Floats:
    return rad_from_deg([plane_deg(library, plane), elevation, 0.0])


def _raised_at(raised: Mapping[tuple[str, float], Floats], plane: str, elevation: float) -> Floats:
    """The arm as raised at an elevation between those of the table."""
    at = sorted(known for name, known in raised if name == plane)
    arms = np.array([raised[plane, known] for known in at])
    pose = np.array([np.interp(elevation, at, arms[:, column]) for column in range(3)])
    pose[1] = rad_from_deg(elevation)
    return pose


def _spread(values: list[float]) -> float | None:
    return float(np.std(values, ddof=1)) if len(values) > 2 else None


def _triple(arm: Floats) -> tuple[float, float, float]:
    return float(arm[0]), float(arm[1]), float(arm[2])
