"""The head at rest against an independent general solver on 200 random cases.

Outside reference: SciPy `minimize` (BFGS, slopes by differences) on the same energy written out again here, with its
own wrapping and tissue arithmetic.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import minimize

from endfeel.anatomy.units import Floats
from endfeel.evidence.library import Library
from endfeel.mechanics.shoulder import Shoulders, arm, draw_population
from endfeel.mechanics.wrapping import SOFT_RATIO

CASES = 200


def energy_of(people: Shoulders, case: int, pose: Floats, force: Floats, centre: Floats) -> float:
    """The energy of one shoulder, from first principles."""
    capsule, bed = people.capsule, people.bed
    total = -float(force @ centre)
    far, near, radius = capsule.rim_m[case] - centre, capsule.neck_m[case] @ pose.T, capsule.radius_m[case]
    a, b = np.linalg.norm(far, axis=1), np.maximum(np.linalg.norm(near, axis=1), radius)
    above = a / radius - 1 - SOFT_RATIO
    a = np.where(above < 0, radius * (1 + SOFT_RATIO * np.exp(np.minimum(above, 0) / SOFT_RATIO)), a)
    cosine = np.sum(far * near, axis=1) / np.linalg.norm(far, axis=1) / np.linalg.norm(near, axis=1)
    angle = np.arccos(np.clip(cosine, -1, 1))
    tangents = np.sqrt(a**2 - radius**2), np.sqrt(b**2 - radius**2)
    arc = angle - np.arctan(tangents[0] / radius) - np.arctan(tangents[1] / radius)
    length = np.where(
        arc > 0, tangents[0] + tangents[1] + radius * arc, np.sqrt(a**2 + b**2 - 2 * a * b * np.cos(angle))
    )
    slack, stiffness = capsule.slack_m[case], capsule.stiffness_n_per_m[case]
    toe, stretch = capsule.toe_strain[case] * slack, np.maximum(length - slack, 0.0)
    early, late = (
        stretch**3 / (6 * np.where(toe > 0.0, toe, 1.0)),
        toe**2 / 6 + ((stretch - toe / 2) ** 2 - (toe / 2) ** 2) / 2,
    )
    total += float(np.sum(stiffness * np.where(stretch < toe, early, late)))
    depths = bed.head_radius_m[case] - np.linalg.norm(centre - bed.feet_m[case], axis=1)
    total += float(np.sum(bed.stiffness_n_per_m[case] * np.maximum(depths, 0.0) ** 2) / 2)
    lift = float(bed.outward[case] @ centre)
    total += (bed.compression_n[case] + bed.suction_n[case]) * lift
    if lift > 0:
        room, give = bed.suction_limit_n[case] - bed.suction_n[case], bed.suction_yield_m[case]
        total += room * (lift - give * (1 - np.exp(-lift / give)))
    return total


@pytest.fixture(scope="module")
def people(library: Library) -> Shoulders:
    return draw_population(library, CASES, seed=21)


def test_two_hundred_cases(people: Shoulders) -> None:
    generator = np.random.default_rng(8)
    poses = np.stack(
        [arm(generator.uniform(0, 95), generator.uniform(-40, 90), generator.uniform(-80, 50)) for _ in range(CASES)]
    )
    forces = generator.normal(size=(CASES, 3))
    forces *= (generator.uniform(0.0, 12.0, CASES) / np.linalg.norm(forces, axis=1))[:, None]
    rest = people.at_rest(poses, forces)
    assert rest.converged.mean() > 0.98
    compared = 0
    for case in np.flatnonzero(rest.converged):

        def scaled(at_mm: Floats, case: int = case) -> float:
            return 1e3 * energy_of(people, case, poses[case], forces[case], at_mm / 1000.0)

        aside_mm = rest.centre_m[case] * 1000.0 + generator.normal(scale=0.5, size=3)
        found = [minimize(scaled, start, method="BFGS", options={"gtol": 1e-6}) for start in (np.zeros(3), aside_mm)]
        theirs = min(found, key=lambda one: one.fun)
        assert scaled(rest.centre_m[case] * 1000.0) <= theirs.fun + 1e-6
        assert rest.energy_j[case] == pytest.approx(
            energy_of(people, case, poses[case], forces[case], rest.centre_m[case]),
            abs=1e-10,
        )
        assert np.abs(theirs.x / 1000.0 - rest.centre_m[case]).max() < 2e-5
        compared += 1
    assert compared >= 0.98 * CASES
