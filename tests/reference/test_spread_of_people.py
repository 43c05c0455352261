"""Drawn people differ in passive range as much as healthy people do, over all motions together.

Source: the spreads of `passive_limits` (lannan1996 from memory, others customary; each row says which). Two parameters
were set on this (mechanics_parameters mp025, mp027), so the mean is a fit; single motions are not: docs/mechanics.md.
"""

from __future__ import annotations

import numpy as np

from endfeel.evidence.figures import number
from endfeel.evidence.library import Library
from endfeel.mechanics import draw_population
from endfeel.mechanics.motions import published_limits

PEOPLE, SEED = 200, 11


def test_people_spread_as_told_over_all_motions(library: Library) -> None:
    """Of those whose head stays in the socket: a head that left it stops nothing that the published people had."""
    people = draw_population(library, PEOPLE, SEED).in_bulk()
    ratios: dict[str, float] = {}
    for name, limit in published_limits(library).items():
        end = people.passive_limit(limit.motion)
        whole = end.converged & end.seated
        assert whole.mean() > 0.9
        ratios[name] = float(np.log(np.std(end.angle_deg[whole]) / number(limit.sd)))
    assert len(ratios) == 11
    assert abs(float(np.mean(list(ratios.values())))) < np.log(1.2)
    assert max(abs(one) for one in ratios.values()) < np.log(2.2)
