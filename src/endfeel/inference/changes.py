"""What would change the order: findings that carry it, and tests that could turn it."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from endfeel.inference.candidates import SAMPLES, SEED, Candidate, outcome_probabilities, outlook
from endfeel.inference.explanation import log_odds
from endfeel.inference.leaving_out import probabilities_without
from endfeel.inference.model import Model
from endfeel.inference.solution import Solution
from endfeel.inference.words import finding_words
from endfeel.vocabulary import Case, Side

_CARRIERS = 5
"""Findings tried in pairs and triples: those that speak most for the first over the second."""


@dataclass(frozen=True, slots=True)
class Change:
    """One thing that would put another contributor first."""

    kind: str
    """`without` (recorded findings were wrong) or `test` (an outcome not yet seen)."""
    text: str
    new_leader: str
    """Id of the contributor that would lead."""
    findings: tuple[int, ...] = ()
    procedure: str | None = None
    side: Side | None = None
    level: str | None = None
    outcome: str | None = None
    outcome_probability: float | None = None

    def __str__(self) -> str:
        return self.text


def without_findings(case: Case, solution: Solution, model: Model, ranked: Sequence[int]) -> Change | None:
    """The smallest set of at most three recorded findings whose removal puts the second first.

    All sets of the findings that speak most for the first over the second are tried: of tests that say the same,
    none alone moves much.
    """
    first, second = ranked[0], ranked[1]
    observed = sorted(solution.network.findings)
    if not observed:
        return None
    full = log_odds(solution.probability)
    moved = full - log_odds(probabilities_without(solution, [{index} for index in observed]))
    pull = dict(zip(observed, (moved[:, first] - moved[:, second]).tolist(), strict=True))
    carriers = sorted((f for f in observed if pull[f] > 0), key=lambda f: -pull[f])[:_CARRIERS]
    sets = [chosen for size in (1, 2, 3) for chosen in itertools.combinations(carriers, size)]
    for chosen, left in zip(sets, probabilities_without(solution, sets), strict=True):
        if left[second] > left[first]:
            names = "; ".join(finding_words(case.findings[f], model.catalogue) for f in chosen)
            leader = solution.network.instances[second]
            return Change("without", f"without {names}: {leader.name} would lead", leader.id, findings=chosen)
    return None


def turning_tests(
    case: Case, solution: Solution, model: Model, ranked: Sequence[int], count: int = 3
) -> tuple[Change, ...]:
    """Tests not yet done of which one outcome would put another contributor first, likeliest first."""
    done = {(f.procedure, f.level) for f in case.findings}
    side = solution.network.instances[ranked[0]].side or case.complaint.side
    names = dict.fromkeys(procedure for procedure, _ in model.binaries)
    candidates: list[Candidate] = [
        (name, side if model.catalogue[name].sided else None, level)
        for name in names
        for level in model.catalogue[name].levels or (None,)
        if (name, level) not in done
    ]
    ahead = outlook(candidates, solution, model)
    states, _ = solution.draw(SAMPLES, SEED)
    seen = outcome_probabilities(ahead, states, solution, model)
    rivals = list(ranked[:6])
    present = states[:, rivals].astype(float)
    found: list[Change] = []
    for happened, chance in ((True, seen), (False, 1.0 - seen)):
        share = chance.mean(axis=0)
        after = (present.T @ chance) / (len(states) * share.clip(1e-9))
        leads = after.argmax(axis=0)
        for f in np.flatnonzero((leads != 0) & (after.max(axis=0) > after[0] + 0.02)):
            procedure, its_side, level = candidates[ahead.owner[f]]
            leader = solution.network.instances[rivals[leads[f]]]
            word = ahead.names[f] if happened else f"no {ahead.names[f]}"
            place = " ".join(part for part in (its_side.value if its_side else "", level or "") if part)
            where = f" ({place})" if place else ""
            text = f"{model.catalogue[procedure].name}{where} {word}: {leader.name} would lead"
            found.append(Change("test", text, leader.id, (), procedure, its_side, level, word, float(share[f])))
    best: dict[str, Change] = {}
    for change in sorted(found, key=lambda c: -(c.outcome_probability or 0.0)):
        best.setdefault(str(change.procedure), change)
    return tuple(best.values())[:count]
