"""Sizes of the bones and where the joints lie, each from a figure of the evidence.

One `Sizes` holds one person or a drawn population: every size is an array of shape (...), every point one of
shape (..., 3). A right shoulder; the left is its mirror image (`frames`). Points of the scapula are seen in
its standard frame, whose origin is the acromial angle.

The points come from one published model with its arm hanging (sternoclavicular joint, root of the spine,
inferior angle, glenohumeral centre as seen from the acromioclavicular joint) and are scaled with the
person's scapula; the acromial angle lies where the mean rotation between the two scapular frames puts it
(kinematics.ki365), at the measured length of the spine from its root.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields
from typing import Literal, TypeAlias

import numpy as np

from endfeel.anatomy.figures import Basis, basis_of, numbers_in, row_figure, spread_of, value_of
from endfeel.anatomy.frames import scapula_frame
from endfeel.anatomy.rotations import inverse, nearest_rotation, turned
from endfeel.anatomy.units import Floats, m_from_mm, rad_from_deg
from endfeel.evidence.figures import Figure
from endfeel.evidence.library import Library
from endfeel.vocabulary import NotFound

Sex: TypeAlias = Literal["female", "male"]

TABLE = "ligament_geometry"
POINTS = {
    "sternoclavicular": ("kinematics", "ki538"),
    "spine_root": ("kinematics", "ki539"),
    "inferior_angle": ("kinematics", "ki540"),
    "glenohumeral": ("ligament_geometry", "lg212"),
    "between_frames": ("kinematics", "ki365"),
    "thorax_centre": ("ligament_geometry", "lg206"),
    "thorax_radii": ("ligament_geometry", "lg207"),
}
SHARED_SIZE = ("kinematics", "ki542")
DRAW_LIMIT_SD = 3.0
"""A drawn size further than this from the mean is brought back to it, so that no bone has an impossible size."""


@dataclass(frozen=True, slots=True)
class SizeFigure:
    """Which row gives a size; the two rows that give its ratio between the sexes, where both were measured."""

    row: str
    male: str = ""
    female: str = ""


SIZE_FIGURES: Mapping[str, SizeFigure] = {
    "head_radius_m": SizeFigure("lg123", "lg129", "lg130"),
    "head_thickness_m": SizeFigure("lg124", "lg133", "lg134"),
    "head_medial_offset_m": SizeFigure("lg143"),
    "head_posterior_offset_m": SizeFigure("lg144"),
    "neck_shaft_rad": SizeFigure("lg145", "lg146", "lg147"),
    "retroversion_rad": SizeFigure("lg150"),
    "glenoid_height_m": SizeFigure("lg182", "lg169", "lg171"),
    "glenoid_width_m": SizeFigure("lg183", "lg170", "lg172"),
    "glenoid_radius_excess_m": SizeFigure("lg126"),
    "glenoid_radius_bone_m": SizeFigure("lg157", "lg131", "lg132"),
    "glenoid_radius_labrum_m": SizeFigure("lg158"),
    "glenoid_depth_bone_m": SizeFigure("lg159"),
    "glenoid_depth_labrum_m": SizeFigure("lg160"),
    "glenoid_retroversion_rad": SizeFigure("lg163"),
    "glenoid_inclination_rad": SizeFigure("lg161"),
    "clavicle_length_m": SizeFigure("lg193", "lg202", "lg203"),
    "scapula_height_m": SizeFigure("lg184"),
    "scapula_spine_m": SizeFigure("lg185"),
    "acromion_length_m": SizeFigure("lg188"),
    "coracoid_length_m": SizeFigure("lg187"),
    "acromion_to_coracoid_m": SizeFigure("lg186"),
}
"""Every size by its field in `Sizes`. Rows without a sex hold both sexes together."""

_OWN_SPREAD = {"head_posterior_offset_m", "head_medial_offset_m", "glenoid_radius_excess_m"}
"""Small offsets that do not follow body size: drawn on their own, as angles are."""


@dataclass(frozen=True, slots=True)
class Sizes:
    """Bone sizes and joint positions of one shoulder, or of many at once (leading axes)."""

    head_radius_m: Floats
    head_thickness_m: Floats
    head_medial_offset_m: Floats
    head_posterior_offset_m: Floats
    neck_shaft_rad: Floats
    retroversion_rad: Floats
    """Of the humeral head against the axis through the epicondyles; positive backward."""
    glenoid_height_m: Floats
    glenoid_width_m: Floats
    """At the lower, wider part."""
    glenoid_radius_excess_m: Floats
    """How much flatter the cartilage surface is than the head (coronal)."""
    glenoid_radius_bone_m: Floats
    glenoid_radius_labrum_m: Floats
    glenoid_depth_bone_m: Floats
    glenoid_depth_labrum_m: Floats
    glenoid_retroversion_rad: Floats
    glenoid_inclination_rad: Floats
    """Upward positive."""
    clavicle_length_m: Floats
    """Straight from end to end."""
    scapula_height_m: Floats
    """Superior to inferior angle."""
    scapula_spine_m: Floats
    """Root of the spine to the acromial angle."""
    acromion_length_m: Floats
    coracoid_length_m: Floats
    acromion_to_coracoid_m: Floats
    sternoclavicular_m: Floats
    """In the thorax, from the jugular notch."""
    acromioclavicular_m: Floats
    """In the scapula, from the acromial angle; so are the next three."""
    glenohumeral_m: Floats
    spine_root_m: Floats
    inferior_angle_m: Floats
    thorax_centre_m: Floats
    """Of the ellipsoid on which the scapula glides, in the thorax."""
    thorax_radii_m: Floats
    """Its half axes: forward, up, lateral."""
    basis: Basis

    def one(self, place: int) -> Sizes:
        """One shoulder of a population drawn along one leading axis."""
        picked = {name: np.asarray(getattr(self, name))[place] for name in _array_fields()}
        return Sizes(**picked, basis=self.basis)


def default_sizes(library: Library, sex: Sex | None = None) -> Sizes:
    """Sizes of the average person, or of the average woman or man: the published means."""
    return _sizes(library, {name: np.asarray(mean) for name, mean in _means(library, sex).items()}, sex)


def drawn_sizes(
    library: Library, count: int, generator: np.random.Generator, sex: Sex | None = None, body: Floats | None = None
) -> Sizes:
    """Sizes of `count` people: published spread; lengths share a factor of body size (kinematics.ki542).

    The correlation between lengths is an assumption (practice); angles and small offsets vary on their own.
    The same generator state gives the same people. Their standard scores of body size, (count,), are drawn first
    unless they are given.
    """
    shared = value_of(row_figure(library, *SHARED_SIZE))
    body = generator.standard_normal(count) if body is None else body
    drawn: dict[str, Floats] = {}
    for name, mean in _means(library, sex).items():
        own = generator.standard_normal(count)
        follows = name.endswith("_m") and name not in _OWN_SPREAD
        step = np.sqrt(shared) * body + np.sqrt(1.0 - shared) * own if follows else own
        drawn[name] = mean + size_spread(library, name) * np.clip(step, -DRAW_LIMIT_SD, DRAW_LIMIT_SD)
    return _sizes(library, drawn, sex, (row_figure(library, *SHARED_SIZE),))


def size_spread(library: Library, name: str) -> float:
    """The published standard deviation of a size, in its own unit (metres or radians)."""
    return _in_core_unit(name, spread_of(library, TABLE, SIZE_FIGURES[name].row))


def frames_rotation(library: Library) -> Floats:
    """`older_from_standard`: the mean rotation from the frame through the acromioclavicular joint to the standard one.

    The printed digits are rounded; the nearest proper rotation is used. Reference: kinematics.ki365, ki366.
    """
    return nearest_rotation(numbers_in(row_figure(library, *POINTS["between_frames"])).reshape(3, 3))


def _means(library: Library, sex: Sex | None) -> dict[str, float]:
    if sex not in (None, "male", "female"):
        raise NotFound(f"no sizes of sex {sex!r}; there are: female, male, and None for both")
    means = {}
    for name, place in SIZE_FIGURES.items():
        mean = value_of(row_figure(library, TABLE, place.row))
        if sex is not None and place.male:
            male, female = (value_of(row_figure(library, TABLE, row)) for row in (place.male, place.female))
            mean *= (male if sex == "male" else female) / ((male + female) / 2.0)
        means[name] = _in_core_unit(name, mean)
    return means


def _sizes(library: Library, sizes: Mapping[str, Floats], sex: Sex | None, more: tuple[Figure, ...] = ()) -> Sizes:
    rows = [place.row for place in SIZE_FIGURES.values()]
    if sex is not None:
        rows += [row for place in SIZE_FIGURES.values() for row in (place.male, place.female) if row]
    figures = [*(row_figure(library, TABLE, row) for row in rows), *more]
    figures += [row_figure(library, table, row) for table, row in POINTS.values()]
    caveats = ("bone sizes of the two sexes come from ratios between separate series",) if sex else ()
    return Sizes(**sizes, **_points(library, sizes), basis=basis_of(figures, caveats))


def _points(library: Library, sizes: Mapping[str, Floats]) -> dict[str, Floats]:
    seen = {name: m_from_mm(numbers_in(row_figure(library, *at))) for name, at in POINTS.items()}
    hanging = scapula_frame(np.zeros(3), seen["spine_root"], seen["inferior_angle"])  # the older frame, origin AC
    root, tip, centre = (
        turned(inverse(hanging), seen[name]) for name in ("spine_root", "inferior_angle", "glenohumeral")
    )
    older_from_standard = frames_rotation(library)
    mean_spine = _in_core_unit(
        "scapula_spine_m", value_of(row_figure(library, TABLE, SIZE_FIGURES["scapula_spine_m"].row))
    )
    mean_height = _in_core_unit(
        "scapula_height_m", value_of(row_figure(library, TABLE, SIZE_FIGURES["scapula_height_m"].row))
    )
    acromial_angle = root + mean_spine * older_from_standard[:, 2]
    across = np.asarray(sizes["scapula_spine_m"] / mean_spine)[..., None]
    along = np.asarray(sizes["scapula_height_m"] / mean_height)[..., None]
    # width follows the spine, height below the spine follows the height of the blade
    scale = np.concatenate([across, along, across], axis=-1)
    standard = {
        name: turned(inverse(older_from_standard), point - acromial_angle)
        for name, point in (
            ("spine_root", root),
            ("inferior_angle", tip),
            ("glenohumeral", centre),
            ("ac", np.zeros(3)),
        )
    }
    shape = np.shape(sizes["scapula_spine_m"])
    # the thorax ellipsoid is printed with x to the right, y up and z backward
    centre_of_thorax = np.array([-1.0, 1.0, 1.0]) * seen["thorax_centre"][[2, 1, 0]]
    return {
        "sternoclavicular_m": np.broadcast_to(seen["sternoclavicular"], (*shape, 3)),
        "acromioclavicular_m": standard["ac"] * across,
        "glenohumeral_m": standard["glenohumeral"] * across,
        "spine_root_m": standard["spine_root"] * across,
        "inferior_angle_m": standard["inferior_angle"] * scale,
        "thorax_centre_m": np.broadcast_to(centre_of_thorax, (*shape, 3)),
        "thorax_radii_m": np.broadcast_to(seen["thorax_radii"][[2, 1, 0]], (*shape, 3)),
    }


def _in_core_unit(name: str, printed: float) -> float:
    return float(rad_from_deg(printed) if name.endswith("_rad") else m_from_mm(printed))


def _array_fields() -> list[str]:
    return [field.name for field in fields(Sizes) if field.name != "basis"]
