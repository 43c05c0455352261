"""When an angle counts as held: it stayed inside a narrow band for long enough."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median

Sample = tuple[float, float]
"""A moment in seconds and an angle in degrees."""


@dataclass(frozen=True, slots=True)
class Hold:
    """An angle that was held."""

    degrees: float
    """The middle of the samples of the hold."""
    spread_deg: float
    """From the least to the most of them."""
    since: float
    """When the hold began, in seconds."""
    samples: int


LEAST_SAMPLES = 4
"""Fewer do not show that a limb stood still between them."""


def held(samples: Sequence[Sample], seconds: float, band_deg: float) -> Hold | None:
    """The hold that the latest samples make, or None.

    Walks back from the newest sample as long as all angles lie within `band_deg` of each other; it is a hold when
    that stretch is at least `seconds` long and no gap in it is as long as that. Samples must be in order of time.
    """
    if not samples:
        return None
    low = high = samples[-1][1]
    start = len(samples)
    later = samples[-1][0]
    for at in range(len(samples) - 1, -1, -1):
        moment, angle = samples[at]
        if later - moment >= seconds or max(high, angle) - min(low, angle) > band_deg:
            break
        low, high, start, later = min(low, angle), max(high, angle), at, moment
    kept = samples[start:]
    if len(kept) < LEAST_SAMPLES or kept[-1][0] - kept[0][0] < seconds:
        return None
    return Hold(median(angle for _, angle in kept), high - low, kept[0][0], len(kept))


def recent(samples: Sequence[Sample], seconds: float) -> tuple[Sample, ...]:
    """The samples of the last so many seconds before the newest one."""
    return tuple(one for one in samples if one[0] >= samples[-1][0] - seconds) if samples else ()
