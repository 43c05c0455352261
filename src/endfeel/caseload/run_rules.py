"""A run chart read by rules: shift, trend, too few or too many runs, and points far from the others.

Which numbers the rules take stands with its source in evidence/data/caseload.toml. How many runs chance allows is
reckoned exactly from how many points lie on each side of the median (Swed and Eisenhart 1943), not looked up.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import comb
from statistics import fmean, median
from typing import Any

MEAN_RANGE_OF_TWO = 1.128
"""Expected range of two normal values, in standard deviations (d2 for two; Shewhart 1931)."""


@dataclass(frozen=True, slots=True)
class RunRules:
    """The numbers of the rules."""

    shift_points: int
    trend_points: int
    runs_percent: float
    far_deviations: float
    least_points: int

    @classmethod
    def of(cls, document: Mapping[str, Any]) -> RunRules:
        """From caseload.toml."""
        told = {one["id"]: one["value"] for one in document["parameter"]}
        return cls(
            int(told["shift_points"]),
            int(told["trend_points"]),
            float(told["runs_percent"]),
            float(told["far_deviations"]),
            int(told["least_points"]),
        )


@dataclass(frozen=True, slots=True)
class Signal:
    """Something chance alone seldom does."""

    rule: str
    """`shift`, `trend`, `runs` or `far`."""
    points: tuple[int, ...]
    """Which points make it, from 0; all for the number of runs."""
    says: str


@dataclass(frozen=True, slots=True)
class RunReading:
    """What a run chart says."""

    median: float
    useful: int
    """Points that do not lie on the median."""
    runs: int
    runs_low: int
    runs_high: int
    """The fewest and the most runs that chance allows."""
    far_low: float
    far_high: float
    """Where points begin to lie far from the others."""
    signals: tuple[Signal, ...]
    enough: bool
    """Whether there are points enough to read it by the rules."""


def read_run_chart(values: Sequence[float], rules: RunRules) -> RunReading:
    """Read one chart. Raises ValueError without a value.

    Points on the median neither make nor break a run; of equal points in a row only the first counts in a trend.
    """
    if not values:
        raise ValueError("a run chart needs a point")
    middle = median(values)
    sides = [(place, value > middle) for place, value in enumerate(values) if value != middle]
    runs = _runs(sides)
    above = sum(side for _, side in sides)
    low, high = run_limits(above, len(sides) - above, rules.runs_percent)
    ranges = [abs(one - other) for one, other in zip(values[1:], values, strict=False)]
    reach = rules.far_deviations * fmean(ranges) / MEAN_RANGE_OF_TWO if ranges else 0.0
    far = fmean(values) - reach, fmean(values) + reach
    enough = len(sides) >= rules.least_points
    signals: list[Signal] = []
    if enough:
        signals += _shifts(runs, rules)
        signals += _trends(values, rules)
        if not low <= len(runs) <= high:
            word = "few" if len(runs) < low else "many"
            says = f"too {word} runs: {len(runs)}, where chance allows {low} to {high}"
            signals.append(Signal("runs", tuple(range(len(values))), says))
        signals += [
            Signal("far", (place,), f"point {place + 1} lies far from the others")
            for place, value in enumerate(values)
            if ranges and not far[0] <= value <= far[1]
        ]
    return RunReading(middle, len(sides), len(runs), low, high, *far, tuple(signals), enough)


def _runs(sides: Sequence[tuple[int, bool]]) -> list[list[tuple[int, bool]]]:
    """Points in a row on one side of the median."""
    runs: list[list[tuple[int, bool]]] = []
    for one in sides:
        if runs and runs[-1][-1][1] == one[1]:
            runs[-1].append(one)
        else:
            runs.append([one])
    return runs


def _shifts(runs: Sequence[Sequence[tuple[int, bool]]], rules: RunRules) -> list[Signal]:
    return [
        Signal(
            "shift",
            tuple(place for place, _ in run),
            f"shift: {len(run)} points in a row {'above' if run[0][1] else 'below'} the median",
        )
        for run in runs
        if len(run) >= rules.shift_points
    ]


def _trends(values: Sequence[float], rules: RunRules) -> list[Signal]:
    """Points in a row that all rise or all fall; the point a trend starts from counts."""
    found = []
    rows: list[tuple[int, list[int]]] = []
    for place in range(1, len(values)):
        step = values[place] - values[place - 1]
        if step == 0:
            continue
        way = 1 if step > 0 else -1
        if rows and rows[-1][0] == way:
            rows[-1][1].append(place)
        else:
            rows.append((way, [rows[-1][1][-1] if rows else place - 1, place]))
    for way, places in rows:
        if len(places) >= rules.trend_points:
            word = "rise" if way > 0 else "fall"
            found.append(Signal("trend", tuple(places), f"trend: {len(places)} points in a row {word}"))
    return found


@lru_cache(maxsize=512)
def run_limits(above: int, below: int, percent: float) -> tuple[int, int]:
    """The fewest and the most runs that chance allows: fewer, or more, comes by chance in at most half of `percent` of
    all orders of so many points above and below."""
    whole = comb(above + below, above)
    shares = {runs: _orders(runs, above, below) for runs in range(1, above + below + 1)}
    tail = percent / 200.0 * whole
    low, heap = 1, 0
    for runs in sorted(shares):
        heap += shares[runs]
        if heap > tail:
            low = runs
            break
    high, heap = above + below, 0
    for runs in sorted(shares, reverse=True):
        heap += shares[runs]
        if heap > tail:
            high = runs
            break
    return low, high


def _orders(runs: int, above: int, below: int) -> int:
    """In how many orders so many points above and below make so many runs."""
    if not above or not below:
        return int(runs == 1)
    half, odd = divmod(runs, 2)
    if not odd:
        return 2 * comb(above - 1, half - 1) * comb(below - 1, half - 1) if half else 0
    if not half:
        return 0
    return comb(above - 1, half) * comb(below - 1, half - 1) + comb(above - 1, half - 1) * comb(below - 1, half)
