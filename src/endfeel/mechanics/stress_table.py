"""The stress tests of the capsule: which band is taut at the end of a turn of the arm, over a drawn population.

Positions come from `stress_positions`: the humerus in the scapula, then turned inward or outward until the manual
moment is resisted; the turn counts from the trunk's neutral, the blade facing inward as it rests. A band is taut above
the tension of `girdle_ligaments.gl170`.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np

from endfeel.anatomy.units import Floats, rad_from_deg
from endfeel.evidence.figures import Figure, number
from endfeel.evidence.library import Library
from endfeel.mechanics.changes import bands_of
from endfeel.mechanics.motions import Motion, scapula_held
from endfeel.mechanics.shoulder import End, Shoulders

TABLE = "stress_positions"
TAUT = "girdle_ligaments.gl170.value"
BLADE_AT_REST = "passive_limits.pl001.scapula_internal_deg"
"""How far inward the resting blade faces: a laboratory's frontal plane and neutral turn are those of the trunk before
which the blade rests so; counted in the blade itself, its outward turns would end 30 degrees later than they did."""


@dataclass(frozen=True, slots=True)
class StressTest:
    """One position and one way of turning."""

    position: str
    turn: str
    """medial or lateral."""
    motion: Motion
    figures: tuple[Figure, ...]

    @property
    def name(self) -> str:
        return f"{self.position}, {self.turn}"


@dataclass(frozen=True, slots=True)
class Stress:
    """What the bands of n shoulders do at the end of one stress test."""

    test: StressTest
    bands: tuple[str, ...]
    tension_n: Floats
    """(m, bands) of those people in whom an end was found."""
    share: Floats
    """(m, bands) of the sum of all tensions."""
    rotation_deg: Floats
    """(m,) where the turn ended, in the test's own direction, from the trunk's neutral."""
    people: int
    """How many were asked; m of them have an answer."""

    def taut_probability(self, structure: str, taut_n: float) -> float:
        """The part of the people in whom any band of the structure is taut. NaN where nobody has an answer."""
        tension = self.tension_n[:, self._columns(structure)]
        return float(np.mean(np.any(tension > taut_n, axis=1))) if len(tension) else float("nan")

    def median_share(self, structure: str) -> float:
        """The median over the people of the structure's share of all tension."""
        share = self.share[:, self._columns(structure)].sum(axis=1)
        return float(np.median(share)) if len(share) else float("nan")

    def mean_share(self, structure: str) -> float:
        """The mean over the people: unlike medians, those of all bands add up to one."""
        share = self.share[:, self._columns(structure)].sum(axis=1)
        return float(np.mean(share)) if len(share) else float("nan")

    def _columns(self, structure: str) -> list[int]:
        return [self.bands.index(band) for band in bands_of(structure, self.bands)]


def stress_tests(library: Library) -> tuple[StressTest, ...]:
    """The positions of the evidence, each with its turn."""
    tests, facing = [], library.figure(BLADE_AT_REST)
    for row in library.tables[TABLE]:
        plane, elevation = row.figures["plane_deg"], row.figures["elevation_deg"]
        position, turn = row.text["position"], row.text["rotation"]
        held = scapula_held(number(facing), 0.0, 0.0)
        motion = turning(f"{position}, {turn}", number(plane) + number(facing), number(elevation), turn, held)
        tests.append(StressTest(position, turn, motion, (plane, elevation, facing)))
    return tuple(tests)


def turning(name: str, plane_deg: float, elevation_deg: float, turn: str, held: Floats) -> Motion:
    """Turning the arm inward (medial) or outward (lateral) from a pure swing in the thorax, the blade held as `held`
    (3, 3). Raises ValueError for another word."""
    if turn not in ("medial", "lateral"):
        raise ValueError(f"an arm turns medial or lateral, not {turn!r}")
    plane = float(rad_from_deg(plane_deg))
    sense = 1.0 if turn == "medial" else -1.0
    return Motion(name, plane, float(rad_from_deg(elevation_deg)), -plane, "axial", sense, held)


def turned_deg(motion: Motion, end: End) -> Floats:
    """How far the arm was turned from a pure swing, in the motion's own direction, (n,)."""
    turned: Floats = end.angle_deg - np.rad2deg(motion.start_rad)
    return turned


def stress_of(shoulders: Shoulders, test: StressTest) -> Stress:
    """One stress test in every shoulder."""
    end = shoulders.passive_limit(test.motion)
    ok = end.converged
    turned = turned_deg(test.motion, end)
    return Stress(test, shoulders.band_names, end.bands.tension_n[ok], end.bands.share[ok], turned[ok], len(shoulders))


def stress_table(shoulders: Shoulders, tests: Iterable[StressTest]) -> Mapping[str, Stress]:
    """Every stress test by its name."""
    return {test.name: stress_of(shoulders, test) for test in tests}
