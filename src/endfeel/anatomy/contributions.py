"""What each joint normally gives to raising the arm or turning it, and how well a hand measures it.

Raising: the scapula's upward rotation from rest (sternoclavicular and acromioclavicular together), thoracic
extension, and what is left for the glenohumeral joint. The split between sternoclavicular and acromioclavicular
is that of the bone-pin study. Turning: the published share of the scapula, the rest glenohumeral.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from statistics import NormalDist
from typing import Literal, TypeAlias

import numpy as np

from endfeel.anatomy.figures import Basis, basis_of, row_figure, spread_of, value_of
from endfeel.anatomy.girdle import upward_of
from endfeel.anatomy.rhythm import (
    FLUOROSCOPY,
    PINS,
    PLANES,
    TABLE,
    Rhythm,
    find_rhythm,
    plane_deg,
    planes_raised_deg,
    tabled_rows,
)
from endfeel.anatomy.sharing import Part, Reading, Shares, share_loss
from endfeel.anatomy.thorax import thoracic_share
from endfeel.anatomy.units import deg_from_rad, rad_from_deg
from endfeel.evidence.figures import Figure
from endfeel.evidence.library import Library

Turning: TypeAlias = Literal["external_rotation", "internal_rotation"]
ArmAt: TypeAlias = Literal["side", "abducted"]
GLENOHUMERAL, STERNOCLAVICULAR, ACROMIOCLAVICULAR = "glenohumeral", "sternoclavicular", "acromioclavicular"
SCAPULAR, THORACIC = "scapula on thorax", "thoracic spine"
LOSS_VARIANCE, THORACIC_ERROR, MOST_RATIO, TOGETHER_RATIO = "ki543", "ki544", "ki556", "ki557"
SHARING_RHYTHM = "fluoroscopy"
"""The one whose scapula has a published spread."""
ERRORS = {
    "total": ("measurement_error", "me005", "mdc"),
    GLENOHUMERAL: ("measurement_error", "me019", "sem"),
    "scapula": ("measurement_error", "me071", "sem"),
    "clavicle": ("kinematics", "ki403", "value"),
    THORACIC: ("kinematics", THORACIC_ERROR, "value"),
}
"""Where the error of a reading comes from when the examiner states none."""
_FLEXION, _ABDUCTION = ("ki441", "ki443"), ("ki445", "ki447")
_FLEXION_SPREAD = ("ki459", "ki461")
_TURNING_NORMS: Mapping[tuple[Turning, ArmAt], tuple[str, str, str]] = {
    ("external_rotation", "side"): ("ki462", "ki463", "ki464"),
    ("external_rotation", "abducted"): ("ki468", "ki469", "ki470"),
    ("internal_rotation", "abducted"): ("ki465", "ki466", "ki467"),
}
_FIVE_TO_NINETY_FIVE_SD = 2.0 * NormalDist().inv_cdf(0.95)


@dataclass(frozen=True, slots=True)
class Known:
    """What was measured of a movement, in degrees, each with its standard error where the examiner states one."""

    total_deg: float
    total_error_deg: float | None = None
    normal_deg: float | None = None
    """The other side, or what was there before; None takes the published norm."""
    normal_error_deg: float | None = None
    glenohumeral: tuple[float, float | None] | None = None
    """Humerus on scapula."""
    scapula: tuple[float, float | None] | None = None
    """Upward rotation (raising) or share of the turn, from rest."""
    clavicle: tuple[float, float | None] | None = None
    """How far the outer end has risen, as an angle from rest."""
    thorax: tuple[float, float | None] | None = None
    """Thoracic extension during the movement."""


def share_of_elevation(
    library: Library, known: Known, plane: float, arms: int = 1, rhythm_id: str = SHARING_RHYTHM
) -> Shares:
    """The share of each joint in a lost elevation; `plane` in degrees in front of the frontal plane."""
    normal = _normal_elevation(library, known, plane)
    parts = elevation_parts(library, normal.value_deg, plane, arms, rhythm_id)
    rise = clavicle_rise_per_degree(library, plane)
    readings = [
        _reading(library, GLENOHUMERAL, {GLENOHUMERAL: 1.0}, known.glenohumeral, GLENOHUMERAL),
        _reading(library, "scapula", {STERNOCLAVICULAR: 1.0, ACROMIOCLAVICULAR: 1.0}, known.scapula, "scapula"),
        _reading(library, "clavicle", {STERNOCLAVICULAR: rise}, known.clavicle, "clavicle"),
        _reading(library, THORACIC, {THORACIC: 1.0}, known.thorax, THORACIC),
    ]
    told = [reading for reading in readings if reading is not None]
    return _shared(library, known, parts, normal, told, {SCAPULAR: (STERNOCLAVICULAR, ACROMIOCLAVICULAR)})


def share_of_turning(library: Library, known: Known, turning: Turning, arm: ArmAt) -> Shares:
    """The share of the glenohumeral joint and of the scapula in a lost rotation of the arm."""
    normal = _normal_turning(library, known, turning, arm)
    parts = turning_parts(library, normal.value_deg, arm)
    readings = [
        _reading(library, GLENOHUMERAL, {GLENOHUMERAL: 1.0}, known.glenohumeral, GLENOHUMERAL),
        _reading(library, "scapula", {SCAPULAR: 1.0}, known.scapula, "scapula"),
    ]
    return _shared(library, known, parts, normal, [reading for reading in readings if reading is not None])


def elevation_parts(
    library: Library, normal_deg: float, plane: float, arms: int = 1, rhythm_id: str = SHARING_RHYTHM
) -> list[Part]:
    """Normal contributions to an elevation, the glenohumeral joint left out: it gives the remainder."""
    rhythm, thorax = find_rhythm(library, rhythm_id), thoracic_share(library, arms)
    plane_rad, top = float(rad_from_deg(plane)), float(rad_from_deg(max(normal_deg - thorax.mean_deg, 0.0)))
    upward = float(deg_from_rad(upward_of(top, plane_rad, rhythm) - upward_of(0.0, plane_rad, rhythm)))
    spread, spread_figures = _scapular_spread(library, plane)
    ratio, ratio_figures = acromioclavicular_ratio(library, plane)
    of_scapula = _upward_basis(library, rhythm).joined(basis_of([*spread_figures, *ratio_figures]))
    return [
        Part(STERNOCLAVICULAR, upward * (1 - ratio), spread * float(np.sqrt(1 - ratio)), of_scapula),
        Part(ACROMIOCLAVICULAR, upward * ratio, spread * float(np.sqrt(ratio)), of_scapula),
        Part(THORACIC, thorax.mean_deg, thorax.sd_deg, thorax.basis),
    ]


def turning_parts(library: Library, normal_deg: float, arm: ArmAt) -> list[Part]:
    """Normal contributions to turning the arm, the glenohumeral joint left out."""
    if arm == "abducted":
        mean, spread_row = row_figure(library, TABLE, "ki415"), row_figure(library, TABLE, "ki553")
        percent, spread, figures = value_of(mean), value_of(spread_row), [mean, spread_row]
    else:
        mean = row_figure(library, TABLE, "ki554")
        percent, spread, figures = value_of(mean), spread_of(library, TABLE, "ki554"), [mean]
    return [Part(SCAPULAR, normal_deg * percent / 100.0, normal_deg * spread / 100.0, basis_of(figures))]


def acromioclavicular_ratio(library: Library, plane: float) -> tuple[float, list[Figure]]:
    """The part of the scapula's upward rotation that happens at the AC joint, from 30° to 120° of elevation."""
    return _by_plane(library, plane, lambda change: change["AC upward rotation"] / change["ST upward rotation"])


def clavicle_rise_per_degree(library: Library, plane: float) -> float:
    """Degrees by which the clavicle rises for each degree that the SC joint gives to upward rotation."""
    return _by_plane(
        library,
        plane,
        lambda change: change["SC elevation"] / (change["ST upward rotation"] - change["AC upward rotation"]),
    )[0]


def _by_plane(
    library: Library, plane: float, of_changes: Callable[[Mapping[str, float]], float]
) -> tuple[float, list[Figure]]:
    rows = tabled_rows(library, PINS)
    names = ("AC upward rotation", "ST upward rotation", "SC elevation")
    low, high = (pick(elevation for _, _, elevation in rows) for pick in (min, max))
    figures: list[Figure] = []
    values: list[float] = []
    for at in PLANES:
        ends = {name: [rows[name, at, elevation].figures["value"] for elevation in (low, high)] for name in names}
        figures += [figure for pair in ends.values() for figure in pair]
        values.append(of_changes({name: value_of(pair[1]) - value_of(pair[0]) for name, pair in ends.items()}))
    return float(np.interp(plane, [plane_deg(library, at) for at in PLANES], values)), figures


def _upward_basis(library: Library, rhythm: Rhythm) -> Basis:
    """The figures behind a rhythm's upward rotation; a rhythm in the older frame needs all its angles for it."""
    if rhythm.id != SHARING_RHYTHM:
        return rhythm.basis
    wanted = ("ST ", "GH ")  # the glenohumeral means tell in which planes the arm was raised
    rows = tabled_rows(library, FLUOROSCOPY)
    return basis_of([row.figures["value"] for (quantity, _, _), row in rows.items() if quantity.startswith(wanted)])


def _scapular_spread(library: Library, plane: float) -> tuple[float, list[Figure]]:
    """The published spread of upward rotation between people at the highest elevation measured."""
    rows = tabled_rows(library, FLUOROSCOPY)
    top = max(elevation for quantity, _, elevation in rows if quantity == "ST upward rotation")
    figures = [rows["ST upward rotation", at, top].figures["sd"] for at in PLANES]
    spreads = [value_of(figure) for figure in figures]
    planes = planes_raised_deg(library)
    return float(np.interp(plane, [planes[at] for at in PLANES], spreads)), figures


def _normal_elevation(library: Library, known: Known, plane: float) -> Reading:
    if known.normal_deg is not None:
        return _total_reading(library, "normal side", known.normal_deg, known.normal_error_deg)
    flexion, abduction = ([row_figure(library, TABLE, row) for row in rows] for rows in (_FLEXION, _ABDUCTION))
    low, high = (row_figure(library, TABLE, row) for row in _FLEXION_SPREAD)
    means = [float(np.mean([value_of(figure) for figure in figures])) for figures in (abduction, flexion)]
    spread = (value_of(high) - value_of(low)) / _FIVE_TO_NINETY_FIVE_SD
    basis = basis_of(
        [*flexion, *abduction, low, high], ["the norm is that of adults of all ages: the other side is better"]
    )
    return Reading("published norm", {}, float(np.interp(plane, [0.0, 90.0], means)), spread, basis)


def _normal_turning(library: Library, known: Known, turning: Turning, arm: ArmAt) -> Reading:
    if known.normal_deg is not None:
        return _total_reading(library, "normal side", known.normal_deg, known.normal_error_deg)
    if (turning, arm) not in _TURNING_NORMS:
        raise ValueError("no published norm for inward rotation with the arm at the side: give the other side")
    low, middle, high = (row_figure(library, TABLE, row) for row in _TURNING_NORMS[turning, arm])
    spread = (value_of(high) - value_of(low)) / _FIVE_TO_NINETY_FIVE_SD
    basis = basis_of([low, middle, high], ["the norm is that of cadets of about 19 years: the other side is better"])
    return Reading("published norm", {}, value_of(middle), spread, basis)


def _shared(
    library: Library,
    known: Known,
    parts: list[Part],
    normal: Reading,
    readings: list[Reading],
    groups: Mapping[str, Sequence[str]] | None = None,
) -> Shares:
    now = _total_reading(library, "total", known.total_deg, known.total_error_deg)
    loss, most, together = (row_figure(library, TABLE, row) for row in (LOSS_VARIANCE, MOST_RATIO, TOGETHER_RATIO))
    basis = basis_of([loss, most, together])
    for reading in (normal, now, *readings):
        basis = basis if reading.basis is None else basis.joined(reading.basis)
    return share_loss(
        GLENOHUMERAL, parts, normal, now, readings, value_of(loss), basis, groups, value_of(most), value_of(together)
    )


def _total_reading(library: Library, name: str, value: float, error: float | None) -> Reading:
    if error is not None:
        return Reading(name, {}, value, error)
    error, basis = default_error(library, "total")
    return Reading(name, {}, value, error, basis)


def default_error(library: Library, of: str) -> tuple[float, Basis]:
    """The standard error of a reading of one kind, degrees, and where it comes from.

    A minimal detectable change is turned back into the standard error it was made from (z · √2 · SEM).
    """
    table, row, column = ERRORS[of]
    figure = library.figure(f"{table}.{row}.{column}")
    if column != "mdc":
        return (figure.high if figure.high is not None and figure._value is None else value_of(figure)), basis_of(
            [figure]
        )
    level = library.figure(f"{table}.{row}.mdc_confidence_percent")
    quantile = NormalDist().inv_cdf(0.5 + value_of(level) / 200.0)
    return value_of(figure) / (quantile * 2.0**0.5), basis_of([figure, level])


def _reading(
    library: Library, name: str, weights: Mapping[str, float], told: tuple[float, float | None] | None, kind: str
) -> Reading | None:
    if told is None:
        return None
    value, error = told
    if error is not None:
        return Reading(name, weights, value, error)
    error, basis = default_error(library, kind)
    return Reading(name, weights, value, error, basis)
