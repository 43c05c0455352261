"""Where the head comes to rest: the place of least total energy of capsule, contact, compression and a stated force.

Three unknowns a shoulder (the centre of the head), found by damped Newton steps with analytic slope and curvature,
all shoulders at once. Every answer says for which shoulders the search ended at rest (`converged`).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from endfeel.anatomy.units import Floats
from endfeel.mechanics.bands import Capsule
from endfeel.mechanics.bulk import bulk_moments_nm, bulk_rest
from endfeel.mechanics.contact import Bed, contact_slopes
from endfeel.mechanics.tissue import energy_j, tangent_n_per_m, tension_n
from endfeel.mechanics.wrapping import SOFT_RATIO, length_round_sphere_m, path_round_sphere

AT_REST_N = 1e-6
"""The head is at rest when no more than this is left unbalanced: a ten-thousandth of the weight of a gram."""
LONGEST_STEP_M = 2e-3
SMALLEST_CURVATURE_N_PER_M = 1.0
STEPS = 80


@dataclass(frozen=True, slots=True)
class Rest:
    """n heads at rest."""

    centre_m: Floats
    """(n, 3) from the seated place, in scapula axes."""
    energy_j: Floats
    """(n,)."""
    unbalanced_n: Floats
    """(n,) what is left of the forces."""
    converged: NDArray[np.bool_]
    """(n,)."""


def fibre_lengths_m(capsule: Capsule, rotation: Floats, centre_m: Floats) -> Floats:
    """Length of every fibre (..., n, F) for rotations (..., n, 3, 3) and centres (..., n, 3)."""
    near = np.einsum("...ij,...fj->...fi", rotation, capsule.neck_m)
    return length_round_sphere_m(capsule.rim_m - centre_m[..., None, :], near, capsule.radius_m)


def fibre_tensions_n(capsule: Capsule, lengths_m: Floats) -> Floats:
    """Tension of every fibre for lengths (..., n, F)."""
    return tension_n(lengths_m, capsule.slack_m, capsule.stiffness_n_per_m, capsule.toe_strain)


def head_at_rest(
    capsule: Capsule,
    bed: Bed,
    rotation: Floats,
    force_n: Floats | None = None,
    start_m: Floats | None = None,
    bulk: bool = False,
) -> Rest:
    """The heads at rest with the humeri at `rotation` (n, 3, 3) under `force_n` (n, 3), searched from `start_m`.

    `bulk` walks the same steps in compiled loops. Raises Refused when those are asked for and numba is missing.
    """
    count = len(bed.head_radius_m)
    force = np.zeros((count, 3)) if force_n is None else np.broadcast_to(force_n, (count, 3))
    centre = np.zeros((count, 3)) if start_m is None else np.array(np.broadcast_to(start_m, (count, 3)), dtype=float)
    near = np.einsum("nij,nfj->nfi", rotation, capsule.neck_m)
    if bulk:
        limits = np.array([SOFT_RATIO, AT_REST_N, LONGEST_STEP_M, SMALLEST_CURVATURE_N_PER_M, STEPS])
        centre, energy, left = bulk_rest(capsule, bed, near, force, centre, limits)
        return Rest(centre, energy, left, left <= AT_REST_N)
    energy = np.empty(count)
    left = np.empty(count)
    busy = np.arange(count)
    part_capsule, part_bed, part_near, part_force, part_centre = capsule, bed, near, force, centre
    part_energy, slope, curvature = _slopes(part_capsule, part_bed, part_near, part_force, part_centre)
    for _ in range(STEPS):
        unbalanced = np.sqrt(np.einsum("ni,ni->n", slope, slope))
        going = unbalanced > AT_REST_N
        if not going.all():
            centre[busy], energy[busy], left[busy] = part_centre, part_energy, unbalanced
            if not going.any():
                busy = busy[:0]
                break
            busy = busy[going]
            part_capsule, part_bed = only(capsule, busy), only_bed(bed, busy)
            part_near, part_force, part_centre = near[busy], force[busy], part_centre[going]
            part_energy, slope, curvature = part_energy[going], slope[going], curvature[going]
        step = _newton_step(slope, curvature)
        part_centre, part_energy, slope, curvature = _descend(
            part_capsule, part_bed, part_near, part_force, part_centre, part_energy, slope, curvature, step
        )
    if len(busy):
        centre[busy], energy[busy] = part_centre, part_energy
        left[busy] = np.sqrt(np.einsum("ni,ni->n", slope, slope))
    return Rest(centre, energy, left, left <= AT_REST_N)


def only(capsule: Capsule, rows: NDArray[np.intp]) -> Capsule:
    """The capsule of some of the shoulders."""
    return Capsule(
        capsule.bands,
        capsule.band_of_fibre,
        capsule.rim_m[rows],
        capsule.neck_m[rows],
        capsule.radius_m[rows],
        capsule.slack_m[rows],
        capsule.stiffness_n_per_m[rows],
        capsule.toe_strain[rows],
    )


def only_bed(bed: Bed, rows: NDArray[np.intp]) -> Bed:
    """The bed of some of the shoulders."""
    return Bed(
        bed.feet_m[rows],
        bed.stiffness_n_per_m[rows],
        bed.head_radius_m[rows],
        bed.outward[rows],
        bed.compression_n[rows],
        bed.suction_n[rows],
        bed.suction_limit_n[rows],
        bed.suction_yield_m[rows],
    )


def resisting_moment_nm(
    capsule: Capsule, rotation: Floats, centre_m: Floats, axis: Floats, bulk: bool = False
) -> Floats:
    """How hard the capsule resists turning the humerus further about `axis` (n, 3) in scapula axes: N m, (n,).

    Contact acts through the centre of the head and has no moment; so the fibres alone resist.
    """
    near = np.einsum("nij,nfj->nfi", rotation, capsule.neck_m)
    if bulk:
        return bulk_moments_nm(capsule, near, centre_m, np.broadcast_to(axis, centre_m.shape))
    far = capsule.rim_m - centre_m[:, None, :]
    path = path_round_sphere(far, near, capsule.radius_m)
    pull = fibre_tensions_n(capsule, path.length_m)
    turning = np.einsum("nf,nfi->ni", pull, np.cross(far, path.pull))
    resisting: Floats = -np.einsum("ni,ni->n", turning, np.broadcast_to(axis, turning.shape))
    return resisting


def total_energy_j(capsule: Capsule, bed: Bed, rotation: Floats, centre_m: Floats, force_n: Floats) -> Floats:
    """The energy (n,) that the head at rest makes least."""
    near = np.einsum("nij,nfj->nfi", rotation, capsule.neck_m)
    return _slopes(capsule, bed, near, np.broadcast_to(force_n, centre_m.shape), centre_m)[0]


def _slopes(
    capsule: Capsule, bed: Bed, near: Floats, force_n: Floats, centre_m: Floats
) -> tuple[Floats, Floats, Floats]:
    """Total energy (n,), slope (n, 3) and curvature (n, 3, 3) by the place of the head."""
    energy, slope, curvature = contact_slopes(bed, centre_m)
    energy = energy - np.einsum("ni,ni->n", force_n, centre_m)
    slope = slope - force_n
    path = path_round_sphere(capsule.rim_m - centre_m[:, None, :], near, capsule.radius_m)
    made_of = (path.length_m, capsule.slack_m, capsule.stiffness_n_per_m, capsule.toe_strain)
    pull, stiff = tension_n(*made_of), tangent_n_per_m(*made_of)
    energy = energy + energy_j(*made_of).sum(axis=1)
    slope = slope - np.einsum("nf,nfi->ni", pull, path.pull)
    curvature = curvature + np.einsum("nf,nfi,nfj->nij", stiff, path.pull, path.pull, optimize=False)
    curvature = curvature + np.einsum("nf,nfij->nij", pull, path.curvature)
    return energy, slope, curvature


def _newton_step(slope: Floats, curvature: Floats) -> Floats:
    """Downhill steps (n, 3): curvatures that bend the wrong way are turned round, long steps cut."""
    bends, ways = np.linalg.eigh(curvature)
    bends = np.maximum(np.abs(bends), SMALLEST_CURVATURE_N_PER_M)
    step = -np.einsum("nij,nj->ni", ways, np.einsum("nji,nj->ni", ways, slope) / bends)
    size = np.sqrt(np.einsum("ni,ni->n", step, step))
    shortened: Floats = step * (LONGEST_STEP_M / np.maximum(size, LONGEST_STEP_M))[:, None]
    return shortened


def _descend(
    capsule: Capsule,
    bed: Bed,
    near: Floats,
    force: Floats,
    centre: Floats,
    energy: Floats,
    slope: Floats,
    curvature: Floats,
    step: Floats,
) -> tuple[Floats, Floats, Floats, Floats]:
    """One step for each shoulder, halved until the energy falls (or the slope, where energy is down to rounding)."""
    promised = np.einsum("ni,ni->n", slope, step)
    steep = np.einsum("ni,ni->n", slope, slope)
    factor = np.ones(len(centre))
    waiting = np.arange(len(centre))
    centre, energy, slope, curvature = centre.copy(), energy.copy(), slope.copy(), curvature.copy()
    origin = centre.copy()
    for _ in range(12):
        whole = len(waiting) == len(centre)
        tried = origin[waiting] + factor[waiting, None] * step[waiting]
        made = _slopes(
            capsule if whole else only(capsule, waiting),
            bed if whole else only_bed(bed, waiting),
            near[waiting],
            force[waiting],
            tried,
        )
        flatter = np.einsum("ni,ni->n", made[1], made[1]) < steep[waiting]
        lower = made[0] <= energy[waiting] + 1e-4 * factor[waiting] * promised[waiting]
        rounding = np.abs(promised[waiting]) < 1e-13
        good = lower | (flatter & rounding)
        took = waiting[good]
        centre[took], energy[took] = tried[good], made[0][good]
        slope[took], curvature[took] = made[1][good], made[2][good]
        waiting = waiting[~good]
        if not len(waiting):
            break
        factor[waiting] *= 0.5
    return centre, energy, slope, curvature
