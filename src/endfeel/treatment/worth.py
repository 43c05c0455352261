"""What a further test is worth for the choice of treatment: by how much it is expected to improve what is done."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from endfeel.inference import Candidate, Posterior
from endfeel.inference.candidates import OUTCOME_WORDS, Prospects
from endfeel.treatment.decision import Decision

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
    needed = np.stack([prospects.states[:, list(mine)].any(axis=1) for mine in decision.members], axis=1).astype(
        np.float64
    )
    benefit = np.array([course.benefit_points for course in decision.courses])
    harm = np.array([course.harm_points for course in decision.courses])
    return _worth(prospects, needed, benefit, harm, decision, list(candidates), least)


def _worth(
    prospects: Prospects,
    needed: Array,
    benefit: Array,
    harm: Array,
    decision: Decision,
    candidates: list[Candidate],
    least: float,
) -> Worth:
    seen = prospects.seen.astype(np.float64)
    before, share = needed.mean(axis=0), seen.mean(axis=0)
    joint = seen.T @ needed / len(seen)
    after = joint / share.clip(1e-9)[:, None]
    otherwise = (before - joint) / (1.0 - share).clip(1e-9)[:, None]

    effort = decision.effort_points

    def value(probability: Array) -> Array:
        return np.asarray(np.maximum(probability * benefit - (1.0 - probability) * harm - effort, 0.0))

    binary = np.array([not prospects.is_step(f) for f in range(len(share))])
    happened = share[:, None] * value(after)
    gains = happened + (1.0 - share)[:, None] * value(otherwise) - value(before)
    points = np.zeros(len(candidates))
    np.maximum.at(points, prospects.owners[binary], gains[binary].sum(axis=1))
    steps = np.zeros((len(candidates), needed.shape[1]))
    np.add.at(steps, prospects.owners[~binary], happened[~binary])
    measured = np.unique(prospects.owners[~binary])
    points[measured] = np.maximum(points[measured], (steps[measured] - value(before)).sum(axis=1))
    points = points.clip(min=0.0)
    turns = _turns(prospects, after, otherwise, before, share, benefit, harm, decision, candidates)
    return Worth(points, tuple(t if points[c] >= least else None for c, t in enumerate(turns)), least)


def _turns(
    prospects: Prospects,
    after: Array,
    otherwise: Array,
    before: Array,
    share: Array,
    benefit: Array,
    harm: Array,
    decision: Decision,
    candidates: list[Candidate],
) -> list[Turn | None]:
    effort = decision.effort_points
    now = before * benefit - (1.0 - before) * harm > effort
    found: list[Turn | None] = [None] * len(candidates)
    for happened, probability, chance in ((True, after, share), (False, otherwise, 1.0 - share)):
        then = probability * benefit - (1.0 - probability) * harm > effort
        for f, k in zip(*np.nonzero(then != now), strict=True):
            if not happened and prospects.is_step(int(f)):
                continue
            name = prospects.names[f]
            if not name:
                continue
            word = OUTCOME_WORDS.get(name, name)
            candidate = int(prospects.owners[f])
            best = found[candidate]
            if best is None or chance[f] > best.chance:
                told = word if happened else f"not {word}"
                found[candidate] = Turn(
                    candidates[candidate], told, float(chance[f]), decision.courses[int(k)].name, bool(then[f, k])
                )
    return found
