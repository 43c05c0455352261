"""What a further test is worth for the choice of treatment: by how much it is expected to improve what is done."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import combinations
from typing import cast

import numpy as np
from numpy.typing import NDArray

from endfeel.inference import Candidate, Posterior
from endfeel.inference.candidates import OUTCOME_WORDS, Prospects, bits_about
from endfeel.treatment.decision import Decision

Array = NDArray[np.float64]
Index = NDArray[np.intp]

LEAST_DOUBT = 0.01
"""Bits: below that nothing is left to be told about a need."""
PAIRED = 12
"""Two tests together are looked at among so many that pull most: 66 pairs, a matter of time."""


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


@dataclass(frozen=True)
class Worth:
    """What tests are worth, in points of 100."""

    points: Array
    """(candidates,) expected gain by acting on the result of one test instead of acting now."""
    turns: tuple[Turn | None, ...]
    """For each test the outcome that would change what is done to most gain; None when none would."""
    examines: tuple[str, ...]
    """For each test the course that its turn would be the first to speak for, so far by the story alone; or empty."""
    least_points: float
    pull: Array
    """(candidates,) at most so many points could a test help to gain: by how much its most pulling outcome moves the
    gain of every course, and no more than certainty about the course would add."""
    _pairing: _Pairing | None = None

    def together(self, some: Index) -> Array:
        """(some, some) what acting on the results of two tests gains over acting now; one test's own on the diagonal.

        Each test counts by its most pulling outcome, seen or not; the two as independent given the contributors, which
        overstates two tests that share an error. Never less than what either is worth alone.
        """
        alone = self.points[some]
        both = np.maximum(alone[:, None], alone[None, :])
        if self._pairing is None or len(some) < 2:
            return both
        one, other = (np.array(side) for side in zip(*combinations(range(len(some)), 2), strict=True))
        gained = self._pairing.points(some[one], some[other])
        both[one, other] = both[other, one] = np.maximum(both[one, other], gained)
        return both

    @cached_property
    def bearing(self) -> NDArray[np.bool_]:
        """(candidates,) whether a test, alone or with one other of those that pull most, would change what is done."""
        found = self.points >= self.least_points
        pulling = np.argsort(-self.pull)[:PAIRED]
        if len(pulling) > 1:
            alone = self.points[pulling]
            adds = self.together(pulling) - alone[None, :]
            np.fill_diagonal(adds, 0.0)
            found = found.copy()
            found[pulling] |= adds.max(axis=1) >= self.least_points
        return found

    @cached_property
    def settled(self) -> bool:
        """No single further test, and no two of those that pull most, would change what is done by enough."""
        if (self.points >= self.least_points).any():
            return False
        pulling = np.argsort(-self.pull)[:PAIRED]
        return not bool((self.together(pulling) >= self.least_points).any())


def worth_of(decision: Decision, posterior: Posterior, candidates: Sequence[Candidate]) -> Worth:
    """The expected value of each test for the choice of courses.

    For each course the better of starting and leaving is taken after every outcome, and the better of both before
    is taken off; courses add up. A test of several yes-or-no outcomes counts its best one (a lower estimate), the
    steps of an angle count together. Over drawn combinations; a decision that no outcome turns gives nothing. A course
    that nothing found speaks for is not started yet, and gains only beyond what the story alone promises.
    """
    asked = posterior.prospects(candidates), tuple(candidates)
    if asked not in decision.reckoned:
        decision.reckoned[asked] = _worth_of(decision, posterior, candidates, asked[0])
    return cast(Worth, decision.reckoned[asked])


def _worth_of(
    decision: Decision, posterior: Posterior, candidates: Sequence[Candidate], prospects: Prospects | None
) -> Worth:
    least = posterior.model.parameters["least_worth_points"]
    if prospects is None:
        return Worth(np.zeros(0), (), (), least, np.zeros(0))
    needed = np.stack([prospects.states[:, list(mine)].any(axis=1) for mine in decision.members], axis=1)
    return worth_by(prospects, needed, decision, candidates, least)


def worth_by(
    prospects: Prospects, needed: NDArray[np.bool_], decision: Decision, candidates: Sequence[Candidate], least: float
) -> Worth:
    """The same from what each outcome would do and (draws, courses) whether a course is needed."""
    values = decision.values(needed, prospects.states)
    outcomes = _outcomes(prospects, values)
    points = _points(prospects, outcomes, len(candidates))
    turns = _turns(prospects, outcomes, decision, candidates)
    kept = tuple(t if points[c] >= least else None for c, t in enumerate(turns))
    pairing = _Pairing.of(_Telling.of(prospects, values), values, decision, len(candidates))
    first = tuple(_first_word(turn, decision) for turn in kept)
    return Worth(points, kept, first, least, pairing.pull, pairing)


def _first_word(turn: Turn | None, decision: Decision) -> str:
    """The course that this turn would be the first finding to speak for; empty when something has spoken."""
    waiting = {course.name for course in decision.courses if not course.examined}
    return turn.course if turn is not None and turn.starts and turn.course in waiting else ""


def points_told(decision: Decision, posterior: Posterior, candidates: Sequence[Candidate]) -> tuple[Array, Array]:
    """(candidates, courses) points that each test is expected to bring for each course, and (courses,) all there are.

    All there are is what certainty about the course would add to what is done; a test brings the share of the doubt
    about its need that it is expected to take away. Unlike the worth of one test this counts towards a choice that only
    several tests together would turn. Outcomes of one test are added up: an upper estimate.
    """
    most = np.array([course.open_points for course in decision.courses])
    prospects = posterior.prospects(candidates)
    told = np.zeros((len(candidates), len(most)))
    if prospects is None or not len(most):
        return told, most
    needed = np.stack([prospects.states[:, list(mine)].any(axis=1) for mine in decision.members], axis=1)
    np.add.at(told, prospects.owners, bits_about(prospects.seen, needed))
    share = needed.mean(axis=0)
    doubt = _entropy(share) / np.log(2.0)
    return np.where(doubt > LEAST_DOUBT, told / doubt.clip(LEAST_DOUBT), 0.0).clip(0.0, 1.0) * most, most


def _entropy(probability: Array) -> Array:
    inside = probability.clip(1e-9, 1.0 - 1e-9)
    return np.asarray(-(inside * np.log(inside) + (1.0 - inside) * np.log1p(-inside)))


@dataclass(frozen=True, slots=True)
class _Telling:
    """Every outcome with a name; the named steps of an angle are one outcome."""

    owners: Index
    chances: NDArray[np.float32]
    """(outcomes, draws)"""
    share: Array
    """(outcomes,) how probable each is."""
    joint: Array
    """(outcomes, courses) value of the courses where the outcome comes, times its chance."""
    mean: Array
    """(courses,) value as things stand."""

    @classmethod
    def of(cls, prospects: Prospects, values: Array) -> _Telling:
        """Drawn combinations averaged."""
        plain, seen = prospects.yes_or_no, prospects.seen.T
        named = np.array([f for f in range(plain, len(prospects.names)) if prospects.names[f]], dtype=np.intp)
        measured, row = np.unique(prospects.owners[named], return_inverse=True)
        lost = np.zeros((len(measured), seen.shape[1]), dtype=np.float32)
        np.add.at(lost, row, seen[named])
        chances = np.concatenate((seen[:plain], lost))
        joint = (chances @ values.astype(np.float32)).astype(np.float64) / len(values)
        owners = np.concatenate((prospects.owners[:plain], measured))
        return cls(owners, chances, chances.mean(axis=1, dtype=np.float64), joint, values.mean(axis=0))


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


def _outcomes(prospects: Prospects, values: Array) -> _Outcomes:
    seen = prospects.seen.astype(np.float64)
    before, share = values.mean(axis=0), seen.mean(axis=0)
    joint = seen.T @ values / len(seen)
    return _Outcomes(
        share,
        before,
        joint / share.clip(1e-9)[:, None],
        (before - joint) / (1.0 - share).clip(1e-9)[:, None],
    )


@dataclass(frozen=True)
class _Pairing:
    """What is needed to look at two tests together: the most pulling outcome of each."""

    seen: Array
    """(candidates, draws) chance of that outcome; 0 where a test has none."""
    values: Array
    """(draws, courses)"""
    pull: Array
    """(candidates,) as in `Worth`."""

    @classmethod
    def of(cls, telling: _Telling, values: Array, decision: Decision, count: int) -> _Pairing:
        """Of each test's outcomes the one that pulls most."""
        apart = telling.joint - np.outer(telling.share, telling.mean)
        openness = np.array([course.open_points for course in decision.courses])
        pulls = np.minimum(np.abs(apart), openness).sum(axis=1)
        best = {int(telling.owners[f]): int(f) for f in np.argsort(pulls, kind="stable")}
        seen, pull = np.zeros((count, len(values))), np.zeros(count)
        owners, outcomes = list(best), list(best.values())
        seen[owners], pull[owners] = telling.chances[outcomes], pulls[outcomes]
        return cls(seen, values, pull)

    def points(self, one: Index, other: Index) -> Array:
        """(pairs,) expected gain by acting on both results: four outcomes, the better of starting and leaving each."""
        used, place = np.unique(np.concatenate((one, other)), return_inverse=True)
        now = self.values.mean(axis=0)
        joint = self.seen[used] @ self.values / len(self.values)
        first, second = place[: len(one)], place[len(one) :]
        both = (self.seen[one] * self.seen[other]) @ self.values / len(self.values)
        total = np.zeros(len(one))
        for gained in (both, joint[first] - both, joint[second] - both, now - joint[first] - joint[second] + both):
            total += gained.clip(min=0.0).sum(axis=1)
        return np.asarray((total - now.clip(min=0.0).sum()).clip(min=0.0))


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
    """For each test the outcome after which choosing otherwise is expected to gain most."""
    found: list[Turn | None] = [None] * len(candidates)
    most = np.zeros(len(candidates))
    for happened, gain, chance in (
        (True, outcomes.after, outcomes.share),
        (False, outcomes.otherwise, 1.0 - outcomes.share),
    ):
        starts = gain > 0.0
        for f, k in zip(*np.nonzero(starts != (outcomes.now > 0.0)), strict=True):
            name = prospects.names[f]
            if not name or (prospects.is_step(int(f)) and not happened):
                continue
            candidate, gained = int(prospects.owners[f]), float(chance[f] * abs(gain[f, k]))
            if gained > most[candidate]:
                word = OUTCOME_WORDS.get(name, name)
                told, course = word if happened else f"not {word}", decision.courses[int(k)].name
                most[candidate] = gained
                found[candidate] = Turn(candidates[candidate], told, float(chance[f]), course, bool(starts[f, k]))
    return found
