"""What is different about a shoulder: a region shortened or lax, stiffer or softer, cut; a muscle that is short.

A change names a band, a region (several bands), a muscle of the cuff or another muscle. Of the cuff a ratio is that of
the muscle's own fibres. Another muscle takes no part until it is made short: it is then an added passive fibre whose
slack length is its greatest length over the published passive limits times the ratio.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from endfeel.anatomy.units import Floats, m_from_mm
from endfeel.evidence.figures import number
from endfeel.evidence.library import Library
from endfeel.mechanics.bands import MEAN_RADIUS, Capsule, appended, longest_over
from endfeel.mechanics.cuff import SHORTEST_M
from endfeel.mechanics.parameters import BANDS, Parameters
from endfeel.mechanics.tissue import checked
from endfeel.vocabulary import NotFound

REGIONS = {
    "posterior_capsule": ("posterior_capsule_superior", "posterior_capsule_middle", "posterior_capsule_inferior"),
    "IGHL_complex": ("anterior_band_IGHL", "axillary_pouch", "posterior_band_IGHL"),
    "coracohumeral": ("coracohumeral_anterior", "coracohumeral_posterior"),
    "anterior_capsule": ("superior_GHL", "middle_GHL", "anterior_band_IGHL", "rotator_interval"),
    "inferior_capsule": ("anterior_band_IGHL", "axillary_pouch", "posterior_band_IGHL"),
    "interval_with_ligaments": (
        "rotator_interval",
        "superior_GHL",
        "coracohumeral_anterior",
        "coracohumeral_posterior",
    ),
    "whole_capsule": BANDS,
    "cuff_back": ("cuff_infraspinatus", "cuff_teres_minor"),
    "rotator_cuff": ("cuff_subscapularis", "cuff_supraspinatus", "cuff_infraspinatus", "cuff_teres_minor"),
}
"""Names for several bands at once."""


@dataclass(frozen=True, slots=True)
class Change:
    """One change to one structure. Ratios multiply; millimetres are added to the slack length of every fibre."""

    structure: str
    rest_ratio: float | Floats = 1.0
    """One for all, or (n, 1) with everyone's own."""
    rest_mm: float = 0.0
    stiffness_factor: float = 1.0


def shortened(structure: str, ratio: float | None = None, by_mm: float | None = None) -> Change:
    """A tight structure: slack length times `ratio` (below one), less `by_mm`. Raises ValueError where neither is
    stated, and outside 0 to 1."""
    times, less_mm = _amount("shortened", structure, ratio, by_mm, "0.9")
    if not 0.0 < times <= 1.0 or not less_mm >= 0.0:
        raise ValueError(
            f"shortening takes a ratio above 0 up to 1 and no negative length, not {times} and {less_mm} mm"
        )
    return Change(structure, times, -less_mm)


def lengthened(structure: str, ratio: float | None = None, by_mm: float | None = None) -> Change:
    """A lax structure: slack length times `ratio` (above one), plus `by_mm`. Raises ValueError where neither is
    stated, and for a ratio below one."""
    times, more_mm = _amount("lengthened", structure, ratio, by_mm, "1.1")
    if not times >= 1.0 or not more_mm >= 0.0:
        raise ValueError(
            f"lengthening takes a ratio of at least 1 and no negative length, not {times} and {more_mm} mm"
        )
    return Change(structure, times, more_mm)


def _amount(verb: str, structure: str, ratio: float | None, by_mm: float | None, example: str) -> tuple[float, float]:
    """Ratio and millimetres, the one not stated without effect. Raises ValueError where neither is stated."""
    if ratio is None and by_mm is None:
        raise ValueError(
            f"{verb}({structure!r}) does not say by how much: ratio={example} of the slack length, by_mm=5, or both"
        )
    return (1.0 if ratio is None else ratio), (0.0 if by_mm is None else by_mm)


def stiffened(structure: str, factor: float) -> Change:
    """Stiffer tissue (factor above one) or softer (below)."""
    if factor < 0.0:
        raise ValueError(f"a stiffness factor is not negative, as {factor} is")
    return Change(structure, stiffness_factor=factor)


def cut(structure: str) -> Change:
    """A structure divided: it carries nothing any more."""
    return Change(structure, stiffness_factor=0.0)


def bands_of(structure: str, known: Sequence[str]) -> tuple[str, ...]:
    """The bands that a name stands for. Raises NotFound with the names there are."""
    if structure in known:
        return (structure,)
    if structure in REGIONS:
        return REGIONS[structure]
    raise NotFound(f"no band or region {structure!r}; there are: {', '.join([*known, *REGIONS])}")


def changed(capsule: Capsule, changes: Sequence[Change], beyond_m: Floats | float = 0.0) -> Capsule:
    """The capsule with the changes made, in their order; `beyond_m` (n, F) is what of a fibre does not lie over the
    joint but belongs to the length that a ratio is of (a muscle's belly). Raises NotFound for an unknown structure,
    ValueError where a fibre would be left without length."""
    slack, stiffness = capsule.slack_m.copy(), capsule.stiffness_n_per_m.copy()
    beyond = np.broadcast_to(beyond_m, slack.shape)
    for change in changes:
        named = bands_of(change.structure, capsule.bands)
        fibres = np.isin(capsule.band_of_fibre, [capsule.bands.index(band) for band in named])
        belly = beyond[:, fibres]
        left = (slack[:, fibres] + belly) * change.rest_ratio - belly + float(m_from_mm(change.rest_mm))
        slack[:, fibres] = np.where(belly > 0.0, np.maximum(left, SHORTEST_M), left)
        stiffness[:, fibres] *= change.stiffness_factor
    checked(slack, stiffness, capsule.toe_strain)
    return replace(capsule, slack_m=slack, stiffness_n_per_m=stiffness)


def muscle_names(library: Library) -> tuple[str, ...]:
    """The muscles that can be made short."""
    return tuple(row.text["muscle"] for row in library.tables["muscle_paths"])


def with_muscle(capsule: Capsule, library: Library, parameters: Parameters, name: str, reference: Floats) -> Capsule:
    """The capsule with one muscle added as a passive fibre, just slack at every published limit."""
    for row in library.tables["muscle_paths"]:
        if row.text["muscle"] == name:
            break
    else:
        raise NotFound(f"no muscle {name!r}; there are: {', '.join(muscle_names(library))}")
    scale = (capsule.radius_m[:, :1] / m_from_mm(number(library.figure(MEAN_RADIUS))))[..., None]
    origin, insertion = (
        scale * m_from_mm([number(row.figures[f"{end}_{way}_mm"]) for way in ("forward", "up", "lateral")])
        for end in ("origin", "insertion")
    )
    slack = longest_over(origin, insertion, capsule.radius_m[:, :1], reference)
    stiffness = np.full_like(slack, number(row.figures["stiffness_N_per_mm"]) * 1000.0)
    toe = np.full_like(slack, parameters.mean("toe_strain_percent") / 100.0)
    return appended(capsule, name, origin, insertion, slack, stiffness, toe)
