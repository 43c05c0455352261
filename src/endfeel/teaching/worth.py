"""What each step of an examination was worth in information at the moment it was taken, and what else was to be had."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from endfeel.evidence.library import Library
from endfeel.inference import Candidate, Model, Posterior, infer
from endfeel.planner.candidates import Settings, gather
from endfeel.safety import verdict
from endfeel.teaching.examination import Moment
from endfeel.vocabulary import Case


@dataclass(frozen=True, slots=True)
class Worth:
    """One examining step: expected bits, and how it compares with what could have been done instead."""

    bits: float
    """Expected before it was done, given all that was known then."""
    minutes: float
    """Turn included."""
    best: str
    """The test with the most bits a minute in that moment, by name."""
    best_bits_per_minute: float
    moved: str
    """Contributor whose probability it moved most, by name; empty when none moved by a point of 100."""
    before: float
    after: float
    loss: float
    """Bits that the same minutes would have brought at the best rate, less these; never below 0."""

    @property
    def bits_per_minute(self) -> float:
        return self.bits / self.minutes if self.minutes > 0 else 0.0


def worth_of_step(moment: Moment, after: Case, library: Library, model: Model) -> Worth | None:
    """The worth of a step that examined something; None for questions, turns, rests and refusals."""
    if not moment.tests or moment.refused:
        return None
    posterior = infer(moment.before, model, with_intervals=False)
    settings = Settings.of(library, moment.before)
    share = settings.share_in(library.catalogue[moment.tests[0][0]], moment.position)
    total = share * _together(posterior, moment.tests, float(settings.data["repeats"]["most_share"]))
    best, rate = _best(moment, posterior, settings, library)
    minutes = (moment.turn_seconds + moment.seconds) / 60.0
    name, before, now = _moved(posterior, infer(after, model, with_intervals=False))
    return Worth(total, minutes, best, rate, name, before, now, max(0.0, rate * minutes - total))


def _together(posterior: Posterior, tests: tuple[Candidate, ...], most: float) -> float:
    """Bits of the tests of one step together: they repeat each other's errors, as the planner counts them."""
    bits, still_open = posterior.information(tests)
    if len(tests) == 1:
        return float(bits.sum())
    still_open = np.maximum(still_open, 1e-12)
    told = np.clip(bits / still_open, 0.0, most)
    left = 1.0 - most + most * (1.0 - told / most).prod(axis=0)
    return float(still_open @ (1.0 - left))


def _best(moment: Moment, posterior: Posterior, settings: Settings, library: Library) -> tuple[str, float]:
    """What promised the most bits a minute, turn included, among what safety allowed by what was known."""
    safe = verdict(moment.before, library)
    candidates, _ = gather(moment.before, library, safe, settings)
    if not candidates:
        return "", 0.0
    bits = posterior.information([one.key for one in candidates])[0].sum(axis=1)
    rates = []
    for one, told in zip(candidates, bits, strict=True):
        ways = [
            settings.share_in(one.procedure, where) * told
            / ((one.seconds + settings.change_seconds(moment.was_in, where)) / 60.0)
            for where in one.procedure.positions
        ]  # fmt: skip
        rates.append(max(ways))
    k = int(np.argmax(rates))
    name = " ".join(part for part in (candidates[k].procedure.name, candidates[k].level) if part)
    return name, float(rates[k])


def _moved(before: Posterior, after: Posterior) -> tuple[str, float, float]:
    now = {(one.id, one.side): one.probability for one in after.beliefs}
    moves = [(abs(now.get((one.id, one.side), one.probability) - one.probability), one) for one in before.beliefs]
    size, one = max(moves, key=lambda pair: pair[0])
    if size < 0.01:
        return "", 0.0, 0.0
    name = f"{one.name} {one.level}" if one.level else one.name
    return name, one.probability, now[one.id, one.side]
