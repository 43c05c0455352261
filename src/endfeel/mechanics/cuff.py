"""The passive cuff: the four muscles of the rotator cuff, not contracting, as elastic strands across the joint.

A muscle at rest pulls as its tissue does: by how far its sarcomeres are beyond the length at which they are slack, over
its area. Paths, areas and fibre lengths stand in `cuff_muscles`; modulus and sarcomere lengths in
`mechanics_parameters`. Tendon gives nothing beside muscle so soft. Nothing of it is fitted.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from endfeel.anatomy.sizes import Sizes
from endfeel.anatomy.units import Floats, m_from_mm
from endfeel.evidence.figures import Figure, number
from endfeel.evidence.library import Library
from endfeel.mechanics.bands import MEAN_RADIUS, Capsule, Socket, appended, neck_points_m
from endfeel.mechanics.parameters import Parameters
from endfeel.mechanics.tissue import tension_n
from endfeel.mechanics.wrapping import length_round_sphere_m, path_round_sphere

TABLE = "cuff_muscles"
M2_PER_CM2 = 1e-4
PA_PER_KPA = 1e3
PREFIX = "cuff_"
SHORTEST_M = 1e-3
"""Numerical: what is left at least of a strand's path when slack."""


def cuff_names(library: Library) -> tuple[str, ...]:
    """The strands by the names that they have among the bands."""
    return tuple(PREFIX + row.text["muscle"] for row in library.tables[TABLE])


def cuff_figures(library: Library) -> tuple[Figure, ...]:
    """Every figure behind the strands, the parameters apart."""
    return tuple(figure for row in library.tables[TABLE] for figure in row.figures.values())


def of_cuff(band: str) -> bool:
    """Whether a band is a muscle of the cuff."""
    return band.startswith(PREFIX)


def is_cuff(capsule: Capsule) -> NDArray[np.bool_]:
    """Which fibres (F,) are strands of the cuff."""
    own = [place for place, band in enumerate(capsule.bands) if of_cuff(band)]
    strands: NDArray[np.bool_] = np.isin(capsule.band_of_fibre, own)
    return strands


def without_cuff(capsule: Capsule) -> Capsule:
    """The capsule alone, as it is drawn."""
    kept = ~is_cuff(capsule)
    bands = tuple(band for band in capsule.bands if not of_cuff(band))
    places = {capsule.bands.index(band): place for place, band in enumerate(bands)}
    return Capsule(
        bands,
        np.array([places[int(place)] for place in capsule.band_of_fibre[kept]]),
        capsule.rim_m[:, kept],
        capsule.neck_m[:, kept],
        capsule.radius_m[:, kept],
        capsule.slack_m[:, kept],
        capsule.stiffness_n_per_m[:, kept],
        capsule.toe_strain[:, kept],
    )


def gauge_m(capsule: Capsule, library: Library, parameters: Parameters) -> Floats:
    """The length (n, F) over which the strain of a fibre is counted: its slack length; of a strand of the cuff, whose
    path is only what lies over the joint, the slack length of the muscle's fibres."""
    length = capsule.slack_m.copy()
    for row in library.tables[TABLE]:
        if PREFIX + row.text["muscle"] in capsule.bands:
            place = capsule.bands.index(PREFIX + row.text["muscle"])
            own = _fibre_m(capsule, library, parameters, number(row.figures["fibre_mm"]))
            length[:, capsule.band_of_fibre == place] = own
    return length


def with_cuff(
    capsule: Capsule, library: Library, parameters: Parameters, sizes: Sizes, socket: Socket, hanging: Floats
) -> Capsule:
    """The capsule (n shoulders) with the cuff across it, from hours of the rim to hours of the neck; `hanging` (3, 3)
    is the humerus in the blade with the arm at rest, in which the sarcomeres were measured. Lengths grow with the head,
    areas with its square."""
    radius = capsule.radius_m[:, :1]
    scale = radius / _mean_radius_m(library)
    beyond_m = scale * m_from_mm(parameters.mean("cuff_insertion_beyond_mm"))
    slack_um = parameters.mean("slack_sarcomere_um")
    modulus_pa = parameters.mean("passive_muscle_modulus_kPa") * PA_PER_KPA
    count = round(parameters.mean("cuff_strands"))
    share = (np.arange(count) + 0.5) / count
    for row in library.tables[TABLE]:
        value = {name: number(figure) for name, figure in row.figures.items()}
        rim, neck = (
            value[f"{end}_clock_from"] * (1.0 - share) + value[f"{end}_clock_to"] * share for end in ("rim", "neck")
        )
        origin, insertion = socket.rim_m(rim[None]), neck_points_m(sizes, neck[None], beyond_m)
        fibre_m = _fibre_m(capsule, library, parameters, value["fibre_mm"])
        hangs_m = length_round_sphere_m(origin, insertion @ hanging.T, radius)
        slack_m = np.maximum(hangs_m - fibre_m * (value["sarcomere_um"] / slack_um - 1.0), SHORTEST_M)
        stiffness = modulus_pa * scale**2 * value["area_cm2"] * M2_PER_CM2 / count / fibre_m
        made_of = slack_m, np.broadcast_to(stiffness, slack_m.shape), np.zeros_like(slack_m)
        capsule = appended(capsule, PREFIX + row.text["muscle"], origin, insertion, *made_of)
    return capsule


def _fibre_m(capsule: Capsule, library: Library, parameters: Parameters, fibre_mm: float) -> Floats:
    """The slack length (n, 1) of a muscle's fibres, told at the optimal sarcomere for a head of mean size."""
    slack = parameters.mean("slack_sarcomere_um") / parameters.mean("optimal_sarcomere_um")
    length: Floats = capsule.radius_m[:, :1] / _mean_radius_m(library) * m_from_mm(fibre_mm) * slack
    return length


def _mean_radius_m(library: Library) -> float:
    return float(m_from_mm(number(library.figure(MEAN_RADIUS))))


def cuff_compression_n(capsule: Capsule, socket: Socket, hanging: Floats) -> Floats:
    """How hard the strands of a capsule press the seated head into its socket, (n,), the arm hanging."""
    strands = is_cuff(capsule)
    path = path_round_sphere(
        capsule.rim_m[:, strands], capsule.neck_m[:, strands] @ hanging.T, capsule.radius_m[:, strands]
    )
    pull = tension_n(
        path.length_m,
        capsule.slack_m[:, strands],
        capsule.stiffness_n_per_m[:, strands],
        capsule.toe_strain[:, strands],
    )
    pressed: Floats = -np.einsum("nf,nfi,ni->n", pull, path.pull, socket.axes[:, :, 2])
    return pressed
