"""What would change the order: findings that carry it, and tests that could turn it."""

from __future__ import annotations

import itertools
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

import numpy as np

from endfeel.inference.candidates import SAMPLES, SEED, Candidate, outcome_probabilities, outlook
from endfeel.inference.explanation import log_odds
from endfeel.inference.leaving_out import probabilities_without
from endfeel.inference.model import Model
from endfeel.inference.network import build_network
from endfeel.inference.solution import Solution, solve
from endfeel.inference.words import finding_words
from endfeel.vocabulary import Case, Finding, Result, Side

_SOLVED, _RIVALS, _NEARLY = 10, 6, 0.05
"""Tests put in and solved; contributors that may take the lead; how near the drawn combinations must bring them."""
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
    finding: Finding | None = None
    """What was put in to see that it is so; of a test."""

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
    case: Case,
    solution: Solution,
    model: Model,
    ranked: Sequence[int],
    barred: Collection[str] = (),
    count: int = 3,
) -> tuple[Change, ...]:
    """Tests not yet done of which one outcome would put another contributor first, likeliest first.

    Drawn combinations name the likeliest candidates; of each the plainest finding is then put in and the case solved
    again, so that what is said is so. No test is named that is `barred` (by safety, or too provoking).
    """
    done = {(f.procedure, f.level) for f in case.findings}
    side = solution.network.instances[ranked[0]].side or case.complaint.side
    names = [name for name in dict.fromkeys(procedure for procedure, _ in model.binaries) if name not in barred]
    candidates: list[Candidate] = [
        (name, side if model.catalogue[name].sided else None, level)
        for name in names
        for level in model.catalogue[name].levels or (None,)
        if (name, level) not in done
    ]
    found: list[Change] = []
    tried: set[str] = set()
    for candidate, outcome, happened, chance in _promising(candidates, solution, model, ranked):
        if candidate[0] in tried:
            continue
        if len(found) == count or len(tried) == _SOLVED:
            break
        tried.add(candidate[0])
        finding = plain_finding(candidate, outcome, model, happened=happened)
        seen = replace(case, findings=(*case.findings, finding))
        again = solve(build_network(seen, model), orders=solution.orders)
        first = solution.network.instances[ranked[0]]
        leader = again.network.instances[int(again.probability.argmax())]
        if (leader.id, leader.side) == (first.id, first.side):
            continue
        text = f"{finding_words(finding, model.catalogue)}: {leader.name} would lead"
        word = outcome if happened else f"no {outcome}"
        found.append(Change("test", text, leader.id, (), *candidate, word, chance, finding))
    return tuple(found)


def _promising(
    candidates: Sequence[Candidate], solution: Solution, model: Model, ranked: Sequence[int]
) -> list[tuple[Candidate, str, bool, float]]:
    """Outcomes after which, over drawn combinations, another would lead or nearly so, the likeliest first."""
    if not candidates:
        return []
    ahead = outlook(candidates, solution, model)
    states, _ = solution.draw(SAMPLES, SEED)
    seen = outcome_probabilities(ahead, states, solution, model)
    present = states[:, list(ranked[:_RIVALS])].astype(float)
    found = []
    for happened, chance in ((True, seen), (False, 1.0 - seen)):
        share = chance.mean(axis=0)
        after = (present.T @ chance) / (len(states) * share.clip(1e-9))
        near = np.flatnonzero(after[1:].max(axis=0) > after[0] - _NEARLY)
        found += [(candidates[ahead.owner[f]], ahead.names[f], happened, float(share[f])) for f in near]
    return sorted(found, key=lambda one: -one[3])


def plain_finding(candidate: Candidate, outcome: str, model: Model, *, happened: bool) -> Finding:
    """The plainest record of one outcome of a test: nothing but that outcome is said."""
    of = model.parameters
    plain = Finding(*candidate)
    if outcome == "pain":
        return replace(plain, familiar=True) if happened else replace(plain, pain=0.0)
    if outcome == "weak":
        return replace(plain, strength=int(of["full_strength"]) - happened)
    if outcome == "apprehension":
        return replace(plain, apprehension=happened)
    if outcome in ("hypo", "hyper"):
        even = (int(of["hypo_grade"]) + int(of["hyper_grade"])) // 2
        return replace(plain, mobility=int(of[f"{outcome}_grade"]) if happened else even)
    return replace(plain, result=Result.POSITIVE if happened else Result.NEGATIVE)
