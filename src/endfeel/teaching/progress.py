"""A learner's closed cases together: percentages against what was so, safety, joint by joint, earlier and later."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np

from endfeel.evidence.library import Library
from endfeel.measurement.kappa import Coefficient, wilson
from endfeel.simulate.scores import Tally
from endfeel.teaching.feedback import Feedback, Forecast, Line


@dataclass(frozen=True, slots=True)
class Outcome:
    """What is kept of a closed case for looking over many."""

    forecasts: tuple[Forecast, ...]
    hidden: tuple[tuple[str, str, float, bool], ...]
    lines: tuple[Line, ...]
    minutes: float
    turns: int
    refusals: int
    bits: float
    lost_bits: float
    missed: tuple[str, ...] = ()
    """Questions whose answer was yes and that were not put."""
    not_asked: int = 0
    """First questions that were never put."""
    against: tuple[str, ...] = ()
    """What was examined although it must not be."""
    stirred: float = 0.0
    """The most that was stirred up, in budgets."""

    @classmethod
    def of(cls, told: Feedback) -> Outcome:
        """The outcome of one case."""
        found = told.examination
        return cls(
            told.forecasts, told.hidden, told.lines, found.seconds / 60.0, found.turns, found.refusals,
            told.bits, told.lost_bits, told.missed, len(told.not_asked), tuple(name for name, _ in told.against),
            max((one.soreness.share for one in found.moments), default=0.0),
        )  # fmt: skip

    def line(self, about: str) -> Line | None:
        """The line of the first minute about one thing."""
        return next((one for one in self.lines if one.about == about), None)


@dataclass(frozen=True, slots=True)
class Band:
    """Forecasts of about the same percentage."""

    low: int
    high: int
    count: int
    said: float
    so: Coefficient
    """Share that was so, with its 95 % interval."""
    enough: bool

    @property
    def words(self) -> str:
        """The band in a sentence."""
        if not self.enough:
            return f"{self.low} to {self.high} %: {self.count} so far, too few to say anything."
        fits = self.so.low <= self.said <= self.so.high
        verdict = (
            "no sign that you are off"
            if fits
            else "you said too much"
            if self.said > self.so.value
            else "you said too little"
        )
        so = f"{self.so.value:.0%} of {self.count} were so ({self.so.low:.0%} to {self.so.high:.0%})"
        return f"Where you said {self.low} to {self.high} % ({self.said:.0%} on average), {so}: {verdict}."


@dataclass(frozen=True, slots=True)
class JointRecord:
    """One region over all cases: what was hidden there and found, what was named there and not there."""

    region: str
    hidden: int
    found: Coefficient
    """Share of the hidden ones that were named."""
    false: int
    """Named there at 50 % or more, and not there."""
    earlier: float | None
    later: float | None
    """The share found in the first and in the second half of the cases; None where nothing was hidden."""
    cases: tuple[tuple[int, int, int], ...] = ()
    """Of each case in which something was hidden here: its place from 1, how many were hidden, how many named."""


@dataclass(frozen=True, slots=True)
class Progress:
    """What many cases say about a learner."""

    cases: int
    forecasts: int
    bands: tuple[Band, ...]
    brier: float
    program_brier: float
    """Of the program, on the same contributors and the same findings."""
    gap: float
    """Mean said less share so: above 0 too sure, below 0 too careful."""
    about: tuple[tuple[str, int, int], ...]
    """What the first minute judges: name, how often good, how often judged."""
    joints: tuple[JointRecord, ...]
    minutes: tuple[float, ...]
    """Of every case, in order."""


def progress(outcomes: Sequence[Outcome], library: Library) -> Progress:
    """All closed cases of one learner, in the order they were closed."""
    judged = library.documents["teaching"]["judged"]
    told = [one for case in outcomes for one in case.forecasts]
    said = np.array([one.said for one in told])
    so = np.array([one.so for one in told], dtype=np.bool_)
    program = np.array([one.program for one in told])
    mine, its = Tally.of(said, so), Tally.of(program, so)
    about: dict[str, list[bool]] = {}
    for case in outcomes:
        for line in case.lines:
            about.setdefault(line.about, []).extend([] if line.good is None else [line.good])
    return Progress(
        len(outcomes),
        len(told),
        tuple(_bands(told, judged)),
        mine.brier,
        its.brier,
        mine.mean_said - mine.share_so,
        tuple((name, sum(good), len(good)) for name, good in about.items()),
        tuple(_joints(outcomes)),
        tuple(case.minutes for case in outcomes),
    )


def _bands(told: Sequence[Forecast], judged: dict[str, Any]) -> list[Band]:
    edges = judged["bands"]
    made = []
    for low, high in pairwise(edges):
        top = high == edges[-1]
        mine = [one for one in told if low / 100 <= one.said and (one.said < high / 100 or (top and one.said <= 1))]
        if mine:
            mean = sum(one.said for one in mine) / len(mine)
            share = wilson(sum(one.so for one in mine), len(mine))
            made.append(Band(low, high, len(mine), mean, share, len(mine) >= judged["fewest"]))
    return made


def _joints(outcomes: Sequence[Outcome]) -> list[JointRecord]:
    regions = dict.fromkeys([*(h[1] for case in outcomes for h in case.hidden),
                             *(f.region for case in outcomes for f in case.forecasts)])  # fmt: skip
    half = len(outcomes) // 2
    made = []
    for region in regions:
        hidden = [(k, one[3]) for k, case in enumerate(outcomes) for one in case.hidden if one[1] == region]
        false = sum(f.region == region and not f.so and f.said >= 0.5 for case in outcomes for f in case.forecasts)
        found = wilson(sum(hit for _, hit in hidden), len(hidden))
        earlier, later = ([hit for k, hit in hidden if (k < half) is first] for first in (True, False))
        by_case = [(k + 1, [hit for at, hit in hidden if at == k]) for k in dict.fromkeys(k for k, _ in hidden)]
        made.append(
            JointRecord(region, len(hidden), found, false,
                        sum(earlier) / len(earlier) if earlier else None, sum(later) / len(later) if later else None,
                        tuple((k, len(hits), sum(hits)) for k, hits in by_case))
        )  # fmt: skip
    return sorted(made, key=lambda one: -one.hidden)
