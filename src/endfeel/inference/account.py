"""One contributor in full: what speaks for and against it, its nearest rivals, and what would reverse the order."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from endfeel.inference.explanation import ExplanationLine, log_odds
from endfeel.inference.factors import Factor
from endfeel.inference.leaving_out import leave_out
from endfeel.inference.model import Model
from endfeel.inference.solution import Solution
from endfeel.inference.words import finding_words
from endfeel.vocabulary import Case

RIVALS = 3
TRIED_IN_THREES = 8
"""Triples are tried among so many findings only: those that carry the order most."""
LEAST_APART_DECIBANS = 1.0
DECIBANS = 10.0 / np.log(10.0)


@dataclass(frozen=True, slots=True)
class Apart:
    """One finding and how differently it moves a contributor and its rival."""

    finding: int
    text: str
    decibans: float
    """What it does to the contributor, among all that was found."""
    rival_decibans: float


@dataclass(frozen=True, slots=True)
class Rival:
    """A contributor that the same findings speak about."""

    instance: int
    """Index of the contributor in the network."""
    name: str
    probability: float
    apart: tuple[Apart, ...]
    """Findings that tell the two apart, the most telling first."""


@dataclass(frozen=True, slots=True)
class Reversal:
    """Whether some recorded findings, were they wrong, would reverse the order of two contributors."""

    upper: str
    lower: str
    findings: tuple[int, ...]
    """The smallest set found; empty when none was."""
    sentence: str


@dataclass(frozen=True, slots=True)
class Account:
    """Everything that is to be said about one contributor."""

    supporting: tuple[ExplanationLine, ...]
    opposing: tuple[ExplanationLine, ...]
    """In order of weight; the story is among them."""
    rivals: tuple[Rival, ...]
    """The most probable others that share a finding with it."""
    reversal: Reversal | None
    """Against the contributor just below (for the first) or just above it; None when nothing was found yet."""


def account(
    case: Case,
    solution: Solution,
    model: Model,
    ranked: Sequence[int],
    lines: Sequence[ExplanationLine],
    instance: int,
) -> Account:
    """The account of one contributor (index in the network), given the lines of the whole explanation."""
    own = _lines_of(lines, solution, instance)
    observed = sorted(solution.network.findings)
    moved = _moved(solution, observed)
    rivals = [
        _rival(case, model, solution, observed, moved, instance, other) for other in _near(solution, ranked, instance)
    ]
    place = list(ranked).index(instance)
    pair = (instance, ranked[1]) if place == 0 else (ranked[place - 1], instance)
    return Account(
        tuple(line for line in own if line.decibans > 0),
        tuple(line for line in own if line.decibans < 0),
        tuple(rivals),
        _reversal(case, model, solution, observed, moved, *pair) if observed else None,
    )


def _lines_of(lines: Sequence[ExplanationLine], solution: Solution, instance: int) -> list[ExplanationLine]:
    one = solution.network.instances[instance]
    place = one.id, one.side, one.level
    return [line for line in lines if (line.contributor, line.side, line.level) == place]


def _moved(solution: Solution, observed: Sequence[int]) -> np.ndarray:
    """(findings, n) decibans that each finding adds among all that was found."""
    if not observed:
        return np.zeros((0, len(solution.probability)))
    without = leave_out(solution, [{index} for index in observed]).probability
    return np.asarray((log_odds(solution.probability) - log_odds(without)) * DECIBANS)


def _near(solution: Solution, ranked: Sequence[int], instance: int) -> list[int]:
    """The most probable contributors that some finding can speak about together with this one."""
    sharing: set[int] = set()
    factors: tuple[Factor, ...] = (*solution.network.binaries, *solution.network.angles)
    for factor in factors:
        parents = factor.parents.tolist()
        if instance in parents:
            sharing.update(parents)
    sharing.discard(instance)
    return [i for i in ranked if i in sharing][:RIVALS]


def _rival(
    case: Case, model: Model, solution: Solution, observed: Sequence[int], moved: np.ndarray, instance: int, other: int
) -> Rival:
    found = [
        Apart(
            index,
            finding_words(case.findings[index], model.catalogue),
            float(moved[row, instance]),
            float(moved[row, other]),
        )
        for row, index in enumerate(observed)
    ]
    apart = [one for one in found if abs(one.decibans - one.rival_decibans) >= LEAST_APART_DECIBANS]
    apart.sort(key=lambda one: -abs(one.decibans - one.rival_decibans))
    return Rival(other, solution.network.instances[other].name, float(solution.probability[other]), tuple(apart))


def _reversal(
    case: Case, model: Model, solution: Solution, observed: Sequence[int], moved: np.ndarray, upper: int, lower: int
) -> Reversal:
    """Every single finding and every pair is taken out in turn, and triples of those that carry the order most."""
    above, below = (solution.network.instances[i].name for i in (upper, lower))
    pull = moved[:, upper] - moved[:, lower]
    carriers = [observed[row] for row in np.argsort(-pull, kind="stable")[:TRIED_IN_THREES] if pull[row] > 0]
    for size in (1, 2, 3):
        sets = list(itertools.combinations(observed if size < 3 else sorted(carriers), size))
        if not sets:
            continue
        left = leave_out(solution, sets).probability
        turned = np.flatnonzero(left[:, lower] > left[:, upper])
        if len(turned):
            best = max(turned, key=lambda k: left[k, lower] - left[k, upper])
            said = "; ".join(finding_words(case.findings[i], model.catalogue) for i in sets[best])
            return Reversal(above, below, sets[best], f"without {said}: {below} would stand above {above}")
    tried = f"no finding alone, no two, and no three of the {len(carriers)} that carry the order most"
    return Reversal(above, below, (), f"{tried} would put {below} above {above} if they were wrong")
