"""Compiled work for many shoulders or poses at once; the optional package numba is imported when first asked for."""

from __future__ import annotations

from types import ModuleType

import numpy as np

from endfeel.anatomy.units import Floats
from endfeel.mechanics.bands import Capsule
from endfeel.mechanics.contact import Bed
from endfeel.mechanics.wrapping import SOFT_RATIO
from endfeel.vocabulary import Refused

MISSING = "bulk work needs the optional package numba: pip install 'endfeel[bulk]'"


def bulk_lengths_m(capsule: Capsule, shoulder: int, rotations: Floats, centres_m: Floats) -> tuple[Floats, Floats]:
    """Lengths in metres and strains, both (P, F), of one shoulder's fibres over rotations (P, 3, 3) and head centres
    (P, 3). Raises Refused without numba."""
    ends = (np.ascontiguousarray(points[shoulder].T) for points in (capsule.rim_m, capsule.neck_m))
    made_of = (np.ascontiguousarray(array[shoulder]) for array in (capsule.radius_m, capsule.slack_m))
    poses = (np.ascontiguousarray(array, dtype=float) for array in (rotations, centres_m))
    lengths = np.empty((len(rotations), capsule.rim_m.shape[1]))
    strains = np.empty_like(lengths)
    kernels().lengths_over_poses(*ends, *made_of, *poses, SOFT_RATIO, lengths, strains)
    return lengths, strains


def bulk_rest(
    capsule: Capsule, bed: Bed, near: Floats, force_n: Floats, start_m: Floats, limits: Floats
) -> tuple[Floats, Floats, Floats]:
    """Centres (n, 3), energies (n,) and unbalanced forces (n,) of n heads at rest. Raises Refused without numba.

    `near` (n, F, 3) are the insertions as turned; `limits` the numerical settings of `glenohumeral`.
    """
    held = np.stack([bed.compression_n, bed.suction_n, bed.suction_limit_n, bed.suction_yield_m], axis=1)
    made_of = (capsule.rim_m, near, capsule.radius_m, capsule.slack_m, capsule.stiffness_n_per_m, capsule.toe_strain)
    under = (bed.feet_m, bed.stiffness_n_per_m, bed.head_radius_m, bed.outward, held, force_n, start_m)
    arrays = (np.ascontiguousarray(array, dtype=float) for array in (*made_of, *under))
    answer: tuple[Floats, Floats, Floats] = kernels().rest_of_all(*arrays, limits)
    return answer


def bulk_moments_nm(capsule: Capsule, near: Floats, centre_m: Floats, axis: Floats) -> Floats:
    """How hard the fibres resist turning about an axis (n, 3), (n,). Raises Refused without numba."""
    made_of = (capsule.rim_m, near, capsule.radius_m, capsule.slack_m, capsule.stiffness_n_per_m, capsule.toe_strain)
    arrays = (np.ascontiguousarray(array, dtype=float) for array in (*made_of, centre_m, axis))
    moments: Floats = kernels().moments_of_all(*arrays, SOFT_RATIO)
    return moments


def kernels() -> ModuleType:
    """The compiled loops. Raises Refused without numba."""
    try:
        from endfeel.mechanics import bulk_kernels
    except ImportError:
        raise Refused(MISSING) from None
    return bulk_kernels
