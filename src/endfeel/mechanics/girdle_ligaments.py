"""The acromioclavicular and sternoclavicular joints built from the evidence, for one person or a drawn population.

Every number is a figure of `girdle_ligaments` (or of the row that it names with `from_row`), of
`mechanics_parameters` where tissue is meant, or of `girdle_changes`. Directions: x forward, y up, z lateral, a right
shoulder with the arm by the side; the axes are those of the clavicle at the AC joint and of the thorax at the SC joint.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from endfeel.anatomy.units import m_from_mm
from endfeel.evidence.figures import Cited, Figure, cited, number
from endfeel.evidence.library import Library, Row
from endfeel.mechanics.changes import Change
from endfeel.mechanics.ligament_springs import Facet, Fibres, Floats, SpringJoint
from endfeel.mechanics.tissue import checked
from endfeel.vocabulary import NotFound

AC_CAPSULE = ("AC_superior", "AC_inferior", "AC_anterior", "AC_posterior")
CORACOCLAVICULAR = ("conoid", "trapezoid")
SC_CAPSULE = ("SC_anterior", "SC_posterior", "SC_superior")
COSTOCLAVICULAR = ("costoclavicular_front", "costoclavicular_back")
SC_OTHERS = ("SC_disc", "interclavicular", *COSTOCLAVICULAR)
SIZE_CORRELATION = "kinematics.ki542.value"
"""Between any two lengths of one person, as between the bones of `anatomy.sizes`."""
TISSUE = (
    "toe_strain_percent", "cartilage_modulus_MPa", "stiffness_sd_ratio", "slack_sd_ratio", "slack_common_share",
)  # fmt: skip
"""What of `mechanics_parameters` these joints share with the shoulder; its labrum, seal and fit they do not."""
AC_GROUPS = {"AC_capsule": AC_CAPSULE, "coracoclavicular": CORACOCLAVICULAR, "all": (*AC_CAPSULE, *CORACOCLAVICULAR)}
SC_GROUPS = {"SC_capsule": SC_CAPSULE, "costoclavicular": COSTOCLAVICULAR, "all": (*SC_CAPSULE, *SC_OTHERS)}


@dataclass(frozen=True, slots=True)
class GirdleFigures:
    """The figures of the two joints by `band.quantity`, and those of the tissue by quantity."""

    figures: Mapping[str, Figure]
    spreads: Mapping[str, float]
    assumed: Mapping[str, float] = field(default_factory=dict)
    """Values put in the place of figures, to see what turns on them."""

    def has(self, name: str) -> bool:
        return name in self.figures

    def mean(self, name: str) -> float:
        """A value in the unit its name ends with. Raises NotFound."""
        if name not in self.figures:
            raise NotFound(f"no figure {name!r} of the AC and SC joints in the evidence")
        return self.assumed[name] if name in self.assumed else number(self.figures[name])

    def behind(self, *bands: str) -> tuple[Figure, ...]:
        """The figures that a result about these bands rests on."""
        return tuple(
            self.figures[name] for name in self.figures if name.split(".")[0] in (*bands, "girdle", "tissue", "body")
        )


def read_girdle(library: Library, assuming: Mapping[str, float] | None = None) -> GirdleFigures:
    """The figures of the AC and SC joints, some of them replaced by assumed values (`SC_joint.normal_backward_deg`).

    Raises NotFound when a row points at one that is not there, or when an assumed name is none of theirs.
    """
    figures: dict[str, Figure] = {}
    spreads: dict[str, float] = {}
    named = [(f"{row.text['band']}.{row.text['quantity']}", row) for row in library.tables["girdle_ligaments"]]
    tissue = [row for row in library.tables["mechanics_parameters"] if row.text["quantity"] in TISSUE]
    named += [(f"tissue.{row.text['quantity']}", row) for row in tissue]
    for name, row in named:
        holder = _holder(library, row)
        if "value" not in holder.figures:
            continue
        figures[name] = holder.figures["value"]
        if "sd" in holder.figures:
            spreads[name] = number(holder.figures["sd"])
    figures["body.size_correlation"] = library.figure(SIZE_CORRELATION)
    assumed = dict(assuming or {})
    for name in assumed:
        if name not in figures:
            raise NotFound(f"no figure {name!r} of the AC and SC joints to be assumed otherwise")
    return GirdleFigures(figures, spreads, assumed)


def contributor_changes(library: Library, contributor: str) -> tuple[Change, ...]:
    """What a contributor of the inference does to these joints. Raises NotFound where it does nothing to them."""
    rows = [row for row in library.tables["girdle_changes"] if row.text["contributor"] == contributor]
    if not rows:
        known = sorted({row.text["contributor"] for row in library.tables["girdle_changes"]})
        raise NotFound(f"no change of the AC or SC joint for {contributor!r}; there is one for {', '.join(known)}")
    return tuple(Change(row.text["band"], **{row.text["quantity"]: number(row.figures["value"])}) for row in rows)


def changed(joint: SpringJoint, changes: Sequence[Change]) -> SpringJoint:
    """The joint after changes, one after another. Raises NotFound for a structure that the joint does not have.

    A structure is a band, a group such as `AC_capsule`, `coracoclavicular`, `SC_capsule`, `costoclavicular` or `all`
    (the bands), or the surface `AC_joint` or `SC_joint`, of which only the stiffness can change.
    """
    fibres, facet = joint.fibres, joint.facet
    slack, stiffness = fibres.slack_m, fibres.stiffness_n_per_m
    for change in changes:
        if change.structure == joint.surface:
            facet = replace(facet, stiffness_n_per_m=facet.stiffness_n_per_m * change.stiffness_factor)
            continue
        here = np.isin(fibres.bands, joint.groups.get(change.structure, (change.structure,)))
        if not here.any():
            known = ", ".join((*joint.bands, *joint.groups, joint.surface))
            raise NotFound(f"no band {change.structure!r} at this joint; there are {known}")
        slack = np.where(here, slack * change.rest_ratio + float(m_from_mm(change.rest_mm)), slack)
        stiffness = stiffness * np.where(here, change.stiffness_factor, 1.0)
    checked(slack, stiffness, fibres.toe_strain)
    return replace(joint, fibres=replace(fibres, slack_m=slack, stiffness_n_per_m=stiffness), facet=facet)


def cite_result(of: GirdleFigures, value: float, joint: SpringJoint) -> Cited:
    """A computed number with every figure of the joint behind it."""
    return cited(value, of.behind(*joint.bands, joint.surface), ("model of straight fibres; no muscle, no failure",))


@dataclass(frozen=True, slots=True)
class Bodies:
    """What people bring from their other joints: standard scores of body size and of general laxity, (n,) each."""

    size: Floats
    laxity: Floats


class Drawn:
    """Draws of the figures for a number of people; without a generator everybody is the mean.

    With `bodies` size and laxity are theirs; without, those of this joint alone. Raises ValueError for a number of
    people below one.
    """

    def __init__(
        self, of: GirdleFigures, people: int | None, seed: int | Sequence[int] = 0, bodies: Bodies | None = None
    ) -> None:
        if people is not None and people < 1:
            raise ValueError(f"a population has at least one person, not {people}")
        self.of = of
        self.shape = () if people is None else (people,)
        self._generator = None if people is None else np.random.default_rng(seed)
        self._size = np.zeros(()) if self._generator is None else self._generator.standard_normal(self.shape)
        self._laxity: Floats | None = None
        if bodies is not None:
            self._size, self._laxity = bodies.size, bodies.laxity

    def value(self, name: str) -> Floats:
        """A place, an angle or a stiffness for everybody: normal with its published spread, each on its own."""
        mean = self.of.mean(name)
        if self._generator is None:
            return np.asarray(mean)
        drawn: Floats = mean + self.of.spreads.get(name, 0.0) * self._generator.standard_normal(self.shape)
        return drawn

    def length_mm(self, name: str) -> Floats:
        """A length for everybody: a tall person's are long together, by the correlation of bone sizes.

        Never below two fifths of its mean (more than two deviations of the widest published spread).
        """
        mean = self.of.mean(name)
        if self._generator is None:
            return np.asarray(mean)
        shared = self.of.mean("body.size_correlation")
        own = self._generator.standard_normal(self.shape)
        apart = np.sqrt(shared) * self._size + np.sqrt(1.0 - shared) * own
        drawn: Floats = np.maximum(mean + self.of.spreads.get(name, 0.0) * apart, 0.4 * mean)
        return drawn

    def slack_factors(self, bands: Sequence[str], sd_ratio: float, common_share: float) -> Floats:
        """Factors of slack (..., bands): what a person's bands share is the general laxity where it is known."""
        return self.factors(bands, sd_ratio, common_share, self._laxity)

    def factors(
        self, bands: Sequence[str], sd_ratio: float, common_share: float, shared: Floats | None = None
    ) -> Floats:
        """Factors about one (..., bands), log-normal, a share of the variance common to the bands of a person."""
        if self._generator is None:
            return np.ones(len(bands))
        common = self._generator.standard_normal((*self.shape, 1)) if shared is None else shared[..., None]
        own = self._generator.standard_normal((*self.shape, len(bands)))
        factor: Floats = np.exp(
            sd_ratio * (np.sqrt(common_share) * common + np.sqrt(1.0 - common_share) * own) - sd_ratio**2 / 2.0
        )
        return factor


def stacked(*parts: Floats) -> Floats:
    """Coordinates (..., 3) from three arrays of any broadcast shape."""
    return np.stack(np.broadcast_arrays(*parts), axis=-1)


def unit(vectors: Floats) -> Floats:
    """Vectors (..., 3) at length one."""
    length: Floats = vectors / np.linalg.norm(vectors, axis=-1, keepdims=True)
    return length


def surface_axes(normal: Floats) -> Floats:
    """Axes (..., 3, 3) of a surface from its normal: forward as near to x as lies in it, upward, the normal."""
    forward = np.array([1.0, 0.0, 0.0]) - normal[..., :1] * normal
    forward = unit(forward)
    return np.stack([forward, np.cross(normal, forward), normal], axis=-1)


def grid(axes: Floats, half_forward_m: Floats, half_up_m: Floats, curvature_per_m: Floats, side: int) -> Floats:
    """Points (..., side², 3) spread over a facet about the origin, lying on its curved surface."""
    marks = np.linspace(-1.0, 1.0, 2 * side + 1)[1::2]
    across, along = (one.ravel() for one in np.meshgrid(marks, marks))
    forward, up = half_forward_m[..., None] * across, half_up_m[..., None] * along
    height = (curvature_per_m[..., :1] * forward**2 + curvature_per_m[..., 1:] * up**2) / 2.0
    points: Floats = np.einsum("...ij,...pj->...pi", axes, np.stack([forward, up, height], axis=-1))
    return points


def band_ends(drawn: Drawn, band: str) -> tuple[Floats, Floats, Floats]:
    """Clavicular ends, other ends (..., f, 3) in metres, and section (...) in square millimetres of a band."""
    of = drawn.of
    place = stacked(*(drawn.value(f"{band}.clavicle_{axis}_mm") for axis in "xyz"))
    direction = unit(np.array([of.mean(f"{band}.direction_{axis}") for axis in "xyz"]))
    across = unit(np.array([of.mean(f"{band}.across_{axis}") for axis in "xyz"]))
    width = drawn.length_mm(f"{band}.width_mm")
    count = int(of.mean(f"{band}.fibres"))
    steps = (np.arange(count) + 0.5) / count
    if of.has(f"{band}.length_mm"):
        length = np.broadcast_to(drawn.length_mm(f"{band}.length_mm")[..., None], (*drawn.shape, count))
    else:
        medial, lateral = (drawn.length_mm(f"{band}.length_{end}_mm")[..., None] for end in ("medial", "lateral"))
        length = medial + (lateral - medial) * steps
    clavicle = place[..., None, :] + (width[..., None] * (steps - 0.5))[..., None] * across
    other = clavicle - length[..., None] * direction
    return clavicle / 1000.0, other / 1000.0, width * drawn.length_mm(f"{band}.thickness_mm")


def fibres_of(drawn: Drawn, bands: Sequence[str], ends: Sequence[tuple[Floats, Floats, Floats]]) -> Fibres:
    """The fibres of a joint from the ends and sections of its bands; the clavicle is the moving bone."""
    of = drawn.of
    counts = [clavicle.shape[-2] for clavicle, _, _ in ends]
    names = tuple(band for band, count in zip(bands, counts, strict=True) for _ in range(count))
    moving = np.concatenate([np.broadcast_to(one, (*drawn.shape, *one.shape[-2:])) for one, _, _ in ends], axis=-2)
    fixed = np.concatenate([np.broadcast_to(one, (*drawn.shape, *one.shape[-2:])) for _, one, _ in ends], axis=-2)
    length = np.linalg.norm(moving - fixed, axis=-1)
    tested = [of.has(f"{band}.stiffness_N_per_mm") for band in bands]
    spread = of.mean("tissue.stiffness_sd_ratio")
    common = of.mean("tissue.slack_common_share")
    stiff = drawn.factors(bands, spread, common)
    stiffness = []
    for place, (band, (clavicle, other, section)) in enumerate(zip(bands, ends, strict=True)):
        rest_mm = np.linalg.norm(clavicle - other, axis=-1) * 1000.0
        if tested[place]:
            whole = np.maximum(drawn.value(f"{band}.stiffness_N_per_mm"), 0.0)[..., None] * np.ones(counts[place])
        else:
            whole = of.mean("girdle.modulus_MPa") * section[..., None] / rest_mm * stiff[..., place, None]
        stiffness.append(np.broadcast_to(whole * 1000.0 / counts[place], (*drawn.shape, counts[place])))
    slack = drawn.slack_factors(bands, of.mean("tissue.slack_sd_ratio"), common) * of.mean("girdle.slack_ratio")
    return Fibres(
        names,
        fixed,
        moving,
        length * np.repeat(slack, counts, axis=-1),
        np.concatenate(stiffness, axis=-1),
        np.full(length.shape, of.mean("tissue.toe_strain_percent") / 100.0),
    )


def contact_n_per_m(drawn: Drawn, area_mm2: Floats, thickness_mm: Floats) -> Floats:
    """Stiffness of a facet: the modulus of cartilage by the area over the thickness of what is pressed."""
    stiffness: Floats = drawn.of.mean("tissue.cartilage_modulus_MPa") * area_mm2 / thickness_mm * 1000.0
    return stiffness


def loose_n_per_m(drawn: Drawn) -> float:
    """The soft hold of everything else about the joint."""
    return drawn.of.mean("girdle.loose_N_per_mm") * 1000.0


def facet_of(drawn: Drawn, normal: Floats, halves_m: tuple[Floats, Floats], curvature: Floats, stiff: Floats) -> Facet:
    """A facet centred on the origin with its normal (..., 3) towards the clavicle."""
    axes = surface_axes(normal)
    side = int(drawn.of.mean("AC_joint.contact_points_a_side"))
    points = grid(axes, halves_m[0], halves_m[1], curvature, side)
    people = drawn.shape
    return Facet(
        np.broadcast_to(points, (*people, side * side, 3)),
        np.zeros((*people, 3)),
        np.broadcast_to(axes, (*people, 3, 3)),
        np.broadcast_to(curvature, (*people, 2)),
        np.broadcast_to(stiff, people),
    )


def _holder(library: Library, row: Row) -> Row:
    other = row.text.get("from_row", "")
    if not other:
        return row
    rows = library.tables["ligament_geometry"].rows
    if other not in rows:
        raise NotFound(f"row {row.id} takes its value from ligament_geometry row {other!r}, which is not there")
    return rows[other]
