"""How long until it matters, with people who are still on their way: the product-limit estimate (Kaplan and Meier
1958), reckoned by SciPy, its interval on the log-log scale."""

from __future__ import annotations

import warnings
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from endfeel.measurement.confidence import CONFIDENCE_PERCENT


@dataclass(frozen=True, slots=True)
class Step:
    """From this day on, until the next step."""

    day: int
    still: float
    """Share not yet changed."""
    low: float
    high: float
    at_risk: int
    """Followed until this day, and not changed before it."""
    changed: int
    """Changed on this day, or since the step before where steps were put together."""


@dataclass(frozen=True, slots=True)
class Waited:
    """How long it took."""

    steps: tuple[Step, ...]
    lines: int
    changed: int
    median_day: int | None
    """By which half had changed; None while more than half have not."""


def waited(counts: Iterable[tuple[int, bool, int]]) -> Waited:
    """The estimate out of (days, whether changed, how many). Without anybody, nothing."""
    from scipy.stats import CensoredData, ecdf

    told = [(day, changed, n) for day, changed, n in counts if n > 0]
    days = np.array([day for day, _, _ in told], dtype=float)
    often = np.array([n for _, _, n in told], dtype=int)
    is_change = np.array([changed for _, changed, _ in told], dtype=bool)
    if not is_change.any():
        return Waited((), int(often.sum()), 0, None)
    data = CensoredData(
        uncensored=np.repeat(days[is_change], often[is_change]), right=np.repeat(days[~is_change], often[~is_change])
    )
    still = ecdf(data).sf
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", RuntimeWarning)  # where all have changed there is no interval
        ends = still.confidence_interval(CONFIDENCE_PERCENT / 100.0, method="log-log")
    steps = []
    for k, day in enumerate(still.quantiles):
        here = int(often[is_change & (days == day)].sum())
        if here:
            low, high = (float(np.nan_to_num(end.probabilities[k], nan=still.probabilities[k]))
                         for end in (ends.low, ends.high))  # fmt: skip
            at_risk = int(often[days >= day].sum())
            steps.append(Step(int(day), float(still.probabilities[k]), low, high, at_risk, here))
    middle = next((step.day for step in steps if step.still <= 0.5), None)
    return Waited(tuple(steps), int(often.sum()), int(often[is_change].sum()), middle)


def put_together(told: Waited, fewest: int) -> Waited:
    """The same with no step that fewer than so many people made, and none that fewer were left for: one person's day is
    nobody else's business."""
    kept: list[Step] = []
    heap = 0
    for step in told.steps:
        if step.at_risk < fewest:
            break
        heap += step.changed
        if heap >= fewest:
            kept.append(Step(step.day, step.still, step.low, step.high, step.at_risk, heap))
            heap = 0
    middle = next((step.day for step in kept if step.still <= 0.5), None)
    return Waited(tuple(kept), told.lines, told.changed, middle)
