"""What a further test is worth for the choice of treatment: by how much it is expected to improve what is done."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from endfeel.inference import Candidate, Posterior
from endfeel.inference.candidates import OUTCOME_WORDS, Prospects
from endfeel.treatment.decision import Decision, gain_of

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Turn:
    """One outcome of one test that would change what is to be done."""

    candidate: Candidate
    outcome: str
    chance: float
    course: str
    starts: bool
    """Whether the course would then be worth starting; else it would no longer be."""

    def __str__(self) -> str:
        then = "would then be worth starting" if self.starts else "would then not be worth starting"
        return f"if {self.outcome} ({self.chance:.0%}): {self.course} {then}"


@dataclass(frozen=True, slots=True)
class Worth:
    """What tests are worth, in points of 100."""

    points: Array
    """(candidates,) expected gain by acting on the result of one test instead of acting now."""
    turns: tuple[Turn | None, ...]
    """For each test its likeliest outcome that would change what is done; None when none would."""
    least_points: float

    @property
    def settled(self) -> bool:
        """No single further test is expected to change what is done by enough to be worth it."""
        return not bool((self.points >= self.least_points).any())


def worth_of(decision: Decision, posterior: Posterior, candidates: Sequence[Candidate]) -> Worth:
    """The expected value of each test for the choice of courses.

    For each course the better of starting and leaving is taken after every outcome, and the better of both before
    is taken off; courses add up. A test of several yes-or-no outcomes counts its best one (a lower estimate), the
    steps of an angle count together. Over drawn combinations; a decision that no outcome turns gives nothing.
    """
    least = posterior.model.parameters["least_worth_points"]
    prospects = posterior.prospects(candidates)
    if prospects is None:
        return Worth(np.zeros(0), (), least)
    needed = np.stack([prospects.states[:, list(mine)].any(axis=1) for mine in decision.members], axis=1)
    return worth_by(prospects, needed, decision, candidates, least)


def worth_by(
    prospects: Prospects, needed: NDArray[np.bool_], decision: Decision, candidates: Sequence[Candidate], least: float
) -> Worth:
    """The same from what each outcome would do and (draws, courses) whether a course is needed."""
    outcomes = _outcomes(prospects, needed.astype(np.float64), decision)
    points = _points(prospects, outcomes, len(candidates))
    turns = _turns(prospects, outcomes, decision, candidates)
    return Worth(points, tuple(t if points[c] >= least else None for c, t in enumerate(turns)), least)


@dataclass(frozen=True, slots=True)
class _Outcomes:
    """What each outcome makes of each course."""

    share: Array
    """(outcomes,) how probable each is."""
    now: Array
    """(courses,) gain of starting the course as things stand."""
    after: Array
    """(outcomes, courses) gain of starting it once the outcome was seen."""
    otherwise: Array
    """(outcomes, courses) gain of starting it once it was seen not to come."""


def _outcomes(prospects: Prospects, needed: Array, decision: Decision) -> _Outcomes:
    seen = prospects.seen.astype(np.float64)
    before, share = needed.mean(axis=0), seen.mean(axis=0)
    joint = seen.T @ needed / len(seen)
    benefit = np.array([course.benefit_points for course in decision.courses])
    harm = np.array([course.harm_points for course in decision.courses])

    def gain(probability: Array) -> Array:
        return gain_of(probability, benefit, harm, decision.effort_points)

    return _Outcomes(
        share,
        gain(before),
        gain(joint / share.clip(1e-9)[:, None]),
        gain((before - joint) / (1.0 - share).clip(1e-9)[:, None]),
    )


def _points(prospects: Prospects, outcomes: _Outcomes, count: int) -> Array:
    """(candidates,) what the better of starting and leaving gains by knowing the outcome."""
    share, now = outcomes.share, outcomes.now.clip(min=0.0)
    happened = share[:, None] * outcomes.after.clip(min=0.0)
    gains = happened + (1.0 - share)[:, None] * outcomes.otherwise.clip(min=0.0) - now
    binary = np.array([not prospects.is_step(f) for f in range(len(share))])
    points = np.zeros(count)
    np.maximum.at(points, prospects.owners[binary], gains[binary].sum(axis=1))
    steps = np.zeros((count, len(now)))
    np.add.at(steps, prospects.owners[~binary], happened[~binary])
    measured = np.unique(prospects.owners[~binary])
    points[measured] = np.maximum(points[measured], (steps[measured] - now).sum(axis=1))
    return np.asarray(points.clip(min=0.0))


def _turns(
    prospects: Prospects, outcomes: _Outcomes, decision: Decision, candidates: Sequence[Candidate]
) -> list[Turn | None]:
    """For each test its likeliest outcome after which another choice is the better one."""
    found: list[Turn | None] = [None] * len(candidates)
    for happened, gain, chance in (
        (True, outcomes.after, outcomes.share),
        (False, outcomes.otherwise, 1.0 - outcomes.share),
    ):
        starts = gain > 0.0
        for f, k in zip(*np.nonzero(starts != (outcomes.now > 0.0)), strict=True):
            name = prospects.names[f]
            if not name or (prospects.is_step(int(f)) and not happened):
                continue
            candidate = int(prospects.owners[f])
            best = found[candidate]
            if best is None or chance[f] > best.chance:
                word = OUTCOME_WORDS.get(name, name)
                told, course = word if happened else f"not {word}", decision.courses[int(k)].name
                found[candidate] = Turn(candidates[candidate], told, float(chance[f]), course, bool(starts[f, k]))
    return found
