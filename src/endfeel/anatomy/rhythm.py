"""How scapula and clavicle follow the arm: published rhythms as interchangeable choices, each cited.

A rhythm says where the scapula stands in the thorax for a plane and an elevation of the arm, and where the
clavicle points. Linear rhythms are regressions with their resting values; tabled ones are measured means,
interpolated between planes and elevations. Beyond the measured elevations the end segments are carried on and
`is_measured` says no; planes outside abduction..flexion are taken at the nearer of the two. Rhythms measured
in the older scapular frame are turned into the standard one by the published mean rotation.

Not offered: the recalled nonlinear equations (kinematics.ki080 to ki085, marked memory, verify before use).
Taken literally they turn the scapula by 160° while the arm is raised, which cannot be.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import ArrayLike

from endfeel.anatomy.figures import Basis, basis_of, row_figure, value_of
from endfeel.anatomy.frames import HUMERUS, SCAPULA, swing_of_humerus
from endfeel.anatomy.rotations import angles_from_rotation, rotation_from_angles
from endfeel.anatomy.sizes import POINTS, frames_rotation
from endfeel.anatomy.units import Floats, deg_from_rad, rad_from_deg
from endfeel.evidence.figures import Figure
from endfeel.evidence.library import Library, Row
from endfeel.vocabulary import NotFound

TABLE = "kinematics"
DEFAULT_RHYTHM = "bone_pins"
SCAPULAR_PLANE = "ki541"
PLANES = ("frontal", "scapular", "sagittal")
PINS, FLUOROSCOPY = "ludewig2009", "henninger2020"
_CLAVICLE = ("SC retraction", "SC elevation", "SC posterior rotation")
_HUMERUS = ("GH plane of elevation", "GH elevation", "GH axial rotation")
_SCAPULA = ("ST internal rotation", "ST upward rotation", "ST tilt")


@dataclass(frozen=True, slots=True)
class Resting:
    """How one person's girdle at rest differs from the people who were measured; zeros for the published mean.

    Positive: clavicle forward and up, scapula turned inward, turned up, tipped backward.
    """

    clavicle_forward_rad: float = 0.0
    clavicle_up_rad: float = 0.0
    scapula_inward_rad: float = 0.0
    scapula_up_rad: float = 0.0
    scapula_back_rad: float = 0.0

    def as_array(self) -> Floats:
        return np.array(
            [
                self.clavicle_forward_rad,
                self.clavicle_up_rad,
                self.scapula_inward_rad,
                self.scapula_up_rad,
                self.scapula_back_rad,
            ]
        )


AT_REST = Resting()


@dataclass(frozen=True, slots=True)
class Followed:
    """Where the girdle goes with the arm. Shapes: leading axes of the question, then what is said."""

    clavicle_rad: Floats
    """(..., 2) protraction and depression of the clavicle in the thorax (standard signs)."""
    roll_rad: Floats | None
    """(...) backward axial rotation of the clavicle; None where it was not measured."""
    thorax_from_scapula: Floats
    """(..., 3, 3) in the standard scapular frame."""


class Rhythm(Protocol):
    """One published way of following."""

    @property
    def id(self) -> str: ...
    @property
    def title(self) -> str: ...
    @property
    def basis(self) -> Basis: ...
    @property
    def measured_deg(self) -> tuple[float, float] | None: ...
    @property
    def resting_roll_rad(self) -> float: ...
    def follow(self, plane_rad: ArrayLike, elevation_rad: ArrayLike, resting: Resting = AT_REST) -> Followed: ...


@dataclass(frozen=True, slots=True)
class LinearRhythm:
    """Angles linear in plane, elevation and the person's resting value."""

    id: str
    title: str
    basis: Basis
    measured_deg: tuple[float, float] | None
    coefficients: Floats
    """(5, 4): clavicle forward, up; scapula inward, up, back (older frame) × intercept in radians, slopes on
    plane, elevation and resting value."""
    resting_rad: Floats
    """(5,) resting values of the people measured."""
    older_from_standard: Floats
    resting_roll_rad: float

    def follow(self, plane_rad: ArrayLike, elevation_rad: ArrayLike, resting: Resting = AT_REST) -> Followed:
        """Clavicle and scapula for an arm pose; the person's resting values enter the regression."""
        plane, elevation = np.broadcast_arrays(np.asarray(plane_rad, float), np.asarray(elevation_rad, float))
        fixed, on_plane, on_elevation, on_rest = self.coefficients.T
        value = (
            fixed
            + on_plane * plane[..., None]
            + on_elevation * elevation[..., None]
            + on_rest * (self.resting_rad + resting.as_array())
        )
        standard_signs = value * np.array([1.0, -1.0, 1.0, -1.0, 1.0])
        scapula = rotation_from_angles(standard_signs[..., 2:], SCAPULA) @ self.older_from_standard
        return Followed(standard_signs[..., :2], None, scapula)


@dataclass(frozen=True, slots=True)
class TabledRhythm:
    """Measured means by plane and elevation, interpolated along both."""

    id: str
    title: str
    basis: Basis
    measured_deg: tuple[float, float] | None
    scapula_planes_rad: Floats
    """(3,) frontal, scapular, sagittal, as the arm was really raised where that can be told."""
    scapula_elevations_rad: Floats
    scapula_rad: Floats
    """(3, k, 3) angles of the scapula in the standard frame."""
    clavicle_planes_rad: Floats
    clavicle_elevations_rad: Floats
    clavicle_rad: Floats
    """(3, j, 3) protraction, depression, backward roll."""

    @property
    def resting_roll_rad(self) -> float:
        """Not needed: the roll was measured all along."""
        return 0.0

    def follow(self, plane_rad: ArrayLike, elevation_rad: ArrayLike, resting: Resting = AT_REST) -> Followed:
        """Clavicle and scapula for an arm pose; a different rest shifts the whole course by the same angles."""
        plane, elevation = np.broadcast_arrays(np.asarray(plane_rad, float), np.asarray(elevation_rad, float))
        shift = resting.as_array() * np.array([1.0, -1.0, 1.0, -1.0, 1.0])
        clavicle = _interpolated(
            self.clavicle_planes_rad, self.clavicle_elevations_rad, self.clavicle_rad, plane, elevation
        )
        scapula = _interpolated(
            self.scapula_planes_rad, self.scapula_elevations_rad, self.scapula_rad, plane, elevation
        )
        return Followed(
            clavicle[..., :2] + shift[:2],
            clavicle[..., 2],
            rotation_from_angles(scapula + shift[2:], SCAPULA),
        )


def rhythms(library: Library) -> Mapping[str, Rhythm]:
    """Every rhythm on offer, by id."""
    older_from_standard = frames_rotation(library)
    frames = row_figure(library, *POINTS["between_frames"])
    pins, clavicle_figures = _pins(library, older_from_standard, frames)
    regression = _regression(library, older_from_standard, frames)
    choices: list[Rhythm] = [
        pins,
        _fluoroscopy(library, pins, clavicle_figures),
        regression,
        _coupled(library, regression, older_from_standard, frames),
        _two_to_one(library, regression, older_from_standard, frames),
    ]
    return {choice.id: choice for choice in choices}


def find_rhythm(library: Library, name: str = DEFAULT_RHYTHM) -> Rhythm:
    """One rhythm by id. Raises NotFound with the ids there are."""
    choices = rhythms(library)
    if name not in choices:
        raise NotFound(f"no rhythm {name!r}; there are: {', '.join(choices)}")
    return choices[name]


def is_measured(rhythm: Rhythm, elevation_deg: ArrayLike) -> np.ndarray:
    """Where an elevation is known to lie inside what the study measured; elsewhere the course is only carried on."""
    elevation = np.asarray(elevation_deg, dtype=float)
    low, high = rhythm.measured_deg or (np.inf, -np.inf)
    return np.asarray((elevation >= low) & (elevation <= high))


def plane_deg(library: Library, name: str) -> float:
    """Degrees in front of the frontal plane for a plane by name: frontal, scapular or sagittal."""
    return {"frontal": 0.0, "scapular": value_of(row_figure(library, TABLE, SCAPULAR_PLANE)), "sagittal": 90.0}[name]


def tabled_rows(library: Library, study: str) -> dict[tuple[str, str, float], Row]:
    """Rows of one study of raising the arm by quantity, plane and elevation in degrees."""
    found = {}
    for row in library.tables[TABLE]:
        if row.text["study"] == study and row.text["topic"] == "raising the arm" and row.text.get("plane"):
            elevation = row.figures.get("elevation_deg")
            if elevation is not None and "value" in row.figures:
                found[row.text["quantity"], row.text["plane"], value_of(elevation)] = row
    return found


def _pins(library: Library, older: Floats, frames: Figure) -> tuple[TabledRhythm, list[Figure]]:
    rows = tabled_rows(library, PINS)
    elevations = sorted({elevation for _, _, elevation in rows})
    planes = _planes(library)
    clavicle, clavicle_figures = _grid(rows, _CLAVICLE, elevations)
    in_older, scapula_figures = _grid(rows, _SCAPULA, elevations)
    scapula = angles_from_rotation(rotation_from_angles(in_older, SCAPULA) @ older, SCAPULA)
    basis = basis_of([*clavicle_figures, *scapula_figures, frames, row_figure(library, TABLE, SCAPULAR_PLANE)])
    title = "bone pins in 12 people, standing: clavicle and scapula measured together"
    at = rad_from_deg(elevations)
    span = (elevations[0], elevations[-1])
    return TabledRhythm("bone_pins", title, basis, span, planes, at, scapula, planes, at, clavicle), clavicle_figures


def _fluoroscopy(library: Library, pins: TabledRhythm, clavicle_figures: list[Figure]) -> TabledRhythm:
    rows = tabled_rows(library, FLUOROSCOPY)
    elevations = sorted({elevation for _, plane, elevation in rows if plane == "scapular"})
    scapula, figures = _grid(rows, _SCAPULA, elevations)
    _, humerus_figures = _grid(rows, _HUMERUS, elevations)
    basis = basis_of(
        [*figures, *humerus_figures, *clavicle_figures],
        ["the clavicle was not measured with this rhythm: it is that of the bone-pin study"],
    )
    title = "fluoroscopy of 20 people, seated: scapula measured, clavicle borrowed"
    span, at = (elevations[0], elevations[-1]), rad_from_deg(elevations)
    planes = rad_from_deg([planes_raised_deg(library)[name] for name in PLANES])
    return TabledRhythm(
        "fluoroscopy", title, basis, span, planes, at, scapula,
        pins.clavicle_planes_rad, pins.clavicle_elevations_rad, pins.clavicle_rad,
    )  # fmt: skip


def planes_raised_deg(library: Library) -> Mapping[str, float]:
    """The planes in which the people under fluoroscopy really raised the arm, degrees in front of frontal, by name.

    What scapula and glenohumeral means make together is the arm on the thorax; its plane is the mean over the
    measured elevations. It lies some 15° from the nominal plane, which is how people raise an arm freely.
    """
    arms = arms_raised_rad(library)
    return {
        plane: float(np.mean([deg_from_rad(arm[0]) for (at, _), arm in arms.items() if at == plane]))
        for plane in PLANES
    }


def arms_raised_rad(library: Library) -> Mapping[tuple[str, float], Floats]:
    """Plane, elevation and inward rotation of the arm on the thorax, (3,), by nominal plane and elevation, as the
    fluoroscopy study's scapula and glenohumeral means make it together."""
    rows = tabled_rows(library, FLUOROSCOPY)
    elevations = sorted({elevation for _, plane, elevation in rows if plane == "scapular"})
    scapula, humerus = (_grid(rows, names, elevations)[0] for names in (_SCAPULA, _HUMERUS))
    arm = swing_of_humerus(rotation_from_angles(scapula, SCAPULA) @ rotation_from_angles(humerus, HUMERUS))
    return {
        (plane, elevation): arm[row, column]
        for row, plane in enumerate(PLANES)
        for column, elevation in enumerate(elevations)
    }


def _regression(library: Library, older: Floats, frames: Figure) -> LinearRhythm:
    figures = [row_figure(library, TABLE, f"ki{number:03d}") for number in range(22, 48)]
    printed = np.array([value_of(figure) for figure in figures[:25]]).reshape(5, 5)
    roll = float(rad_from_deg(value_of(figures[25])))
    coefficients = printed[:, :4].copy()
    coefficients[:, 0] = rad_from_deg(printed[:, 0])
    resting = rad_from_deg(printed[:, 4])
    caveat = "measured with the arm supported and loaded by 20 N"
    basis = basis_of([*figures, frames], [caveat])
    title = "linear regression on plane, elevation and rest, 10 people, arm supported"
    return LinearRhythm("regression", title, basis, None, coefficients, resting, older, roll)


def _coupled(library: Library, regression: LinearRhythm, older: Floats, frames: Figure) -> LinearRhythm:
    slopes = {name: row_figure(library, TABLE, row) for name, row in zip(
        ("clavicle_back", "clavicle_up", "scapula_back", "scapula_in", "scapula_up"),
        ("ki070", "ki071", "ki072", "ki073", "ki074"), strict=True,
    )}  # fmt: skip
    names = ("clavicle_back", "clavicle_up", "scapula_in", "scapula_up", "scapula_back")
    on_elevation = np.array([value_of(slopes[name]) for name in names])
    resting = [row_figure(library, TABLE, row) for row in ("ki026", "ki031", "ki036", "ki041", "ki046")]
    coefficients = np.column_stack([np.zeros(5), np.zeros(5), on_elevation, np.ones(5)])
    basis = basis_of(
        [*slopes.values(), *resting, frames],
        ["slopes of a computer model, plane ignored; resting values are those of the regression"],
    )
    title = "linear couplings of an arm model, plane ignored"
    return LinearRhythm(
        "coupled", title, basis, None, coefficients, regression.resting_rad, older, regression.resting_roll_rad
    )


def _two_to_one(library: Library, regression: LinearRhythm, older: Floats, frames: Figure) -> LinearRhythm:
    ratio = row_figure(library, TABLE, "ki404")
    share = 1.0 / (1.0 + value_of(ratio))
    coefficients = np.column_stack([np.zeros(5), np.zeros(5), np.zeros(5), np.ones(5)])
    coefficients[:2] = regression.coefficients[:2]
    coefficients[3, 2] = share
    basis = basis_of(
        [ratio, frames, *(row_figure(library, TABLE, f"ki{number:03d}") for number in range(22, 47))],
        ["only upward rotation follows, one third of the elevation; the clavicle is that of the regression"],
    )
    title = "two to one throughout: the classical ratio, from rest"
    return LinearRhythm(
        "two_to_one", title, basis, None, coefficients, regression.resting_rad, older, regression.resting_roll_rad
    )


def _planes(library: Library) -> Floats:
    return rad_from_deg([plane_deg(library, name) for name in PLANES])


def _grid(
    rows: Mapping[tuple[str, str, float], Row], quantities: tuple[str, ...], elevations: list[float]
) -> tuple[Floats, list[Figure]]:
    figures = [
        rows[quantity, plane, elevation].figures["value"]
        for plane in PLANES
        for elevation in elevations
        for quantity in quantities
    ]
    values = np.array([value_of(figure) for figure in figures]).reshape(3, len(elevations), len(quantities))
    return rad_from_deg(values), figures


def _interpolated(planes: Floats, elevations: Floats, table: Floats, plane: Floats, elevation: Floats) -> Floats:
    """Bilinear in plane (held at its ends) and elevation (end segments carried on)."""
    row, across = _place(planes, np.clip(plane, planes[0], planes[-1]))
    column, along = _place(elevations, elevation)
    near = table[row, column] * (1 - along)[..., None] + table[row, column + 1] * along[..., None]
    far = table[row + 1, column] * (1 - along)[..., None] + table[row + 1, column + 1] * along[..., None]
    value: Floats = near * (1 - across)[..., None] + far * across[..., None]
    return value


def _place(knots: Floats, at: Floats) -> tuple[np.ndarray, Floats]:
    segment = np.clip(np.searchsorted(knots, at, side="right") - 1, 0, len(knots) - 2)
    return segment, (at - knots[segment]) / (knots[segment + 1] - knots[segment])
