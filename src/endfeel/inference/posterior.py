"""From a case to ranked contributors: the one public question of this room."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from endfeel.inference.account import Account, account
from endfeel.inference.articular import ArticularJudgement, judge
from endfeel.inference.candidates import (
    SAMPLES,
    SEED,
    Candidate,
    Prospect,
    Prospects,
    class_information_bits,
    contributor_information_bits,
    information_bits,
)
from endfeel.inference.changes import Change, turning_tests, without_findings
from endfeel.inference.contradictions import Contradiction, odd_together
from endfeel.inference.explanation import ExplanationLine, explain
from endfeel.inference.intervals import intervals
from endfeel.inference.model import Model
from endfeel.inference.network import build_network, layout_of
from endfeel.inference.recent import Recent
from endfeel.inference.solution import AIM, Solution, solve
from endfeel.inference.words import finding_words
from endfeel.vocabulary import Case, Side

_ORDERS = 200
"""Orders of elimination kept for one layout of contributors."""


@dataclass(frozen=True, slots=True)
class Belief:
    """One contributor at one side and level."""

    id: str
    """Contributor id, with the level where it has one: `capsule_anterior`, `segment_stiffness.T5`."""
    contributor: str
    name: str
    """Without side and level."""
    sentence: str
    region: str
    side: Side | None
    level: str | None
    prior: float
    """After the story, before the findings."""
    probability: float
    low: float
    high: float
    """Ends of the 90 % interval from the uncertainty of priors and links."""
    treatment_class: str
    tissue: str
    prior_figures: tuple[str, ...]
    examined: bool = True
    """Whether any finding can speak about it; else it is known only from the story and from how common it is."""


Told = tuple[NDArray[np.float64], NDArray[np.float64], Prospects | None]
"""Bits by test and contributor, bits still open, and what every outcome would do."""


@dataclass(frozen=True)
class Posterior:
    """What a case's findings say about its contributors. A value: same case and release, same posterior."""

    case: Case
    model: Model
    solution: Solution
    beliefs: tuple[Belief, ...]
    """Ranked by probability."""
    ranked: tuple[int, ...]
    """Instance index of each belief."""
    caveats: tuple[str, ...]

    @property
    def release(self) -> str:
        return self.model.release

    @property
    def left_out_mass(self) -> float:
        """Proven upper bound on the posterior mass of combinations not summed; 0 when the sum was complete."""
        return self.solution.left_out_mass

    @property
    def examined(self) -> tuple[Belief, ...]:
        """What some finding can speak about, ranked; while nothing was found, all of them."""
        seen = tuple(one for one in self.beliefs if one.examined)
        return seen or self.beliefs

    @property
    def not_examined(self) -> tuple[Belief, ...]:
        """What nothing found can speak about, ranked: known only from the story and from how common it is."""
        if not any(one.examined for one in self.beliefs):
            return ()
        return tuple(one for one in self.beliefs if not one.examined)

    def belief(self, name: str, side: Side | None = None) -> Belief | None:
        """The belief with this id (on this side, when given), or None."""
        return next((b for b in self.beliefs if b.id == name and side in (None, b.side)), None)

    def information(self, candidates: Sequence[Candidate]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """(candidates, contributors) bits each test is expected to say about each contributor, and
        (contributors,) bits still open about each; contributors in the order of `information_names`.
        Asked twice about the same candidates (the plan and the next test do), it is computed once."""
        bits, still_open, _ = self._ask(tuple(candidates))
        return bits, still_open

    def prospects(self, candidates: Sequence[Candidate]) -> Prospects | None:
        """What every outcome of these tests would do, over drawn combinations; None when there is no test."""
        return self._ask(tuple(candidates))[2]

    def _ask(self, asked: tuple[Candidate, ...]) -> Told:
        if asked not in self._told:
            told = contributor_information_bits(asked, self.solution, self.model)
            self._told[asked] = told
            self._prospects.update((one, (told[2], place)) for place, one in enumerate(asked))
        return self._told[asked]

    def prospect(self, candidate: Candidate) -> Prospect | None:
        """What a test's most telling outcome would do; None when nothing tells."""
        if candidate not in self._prospects:
            self.information([candidate])
        prospects, place = self._prospects[candidate]
        return prospects.of(place) if prospects else None

    @cached_property
    def _prospects(self) -> dict[Candidate, tuple[Prospects | None, int]]:
        return {}

    @cached_property
    def _told(self) -> dict[tuple[Candidate, ...], Told]:
        return {}

    def information_names(self) -> tuple[str, ...]:
        """Names of the contributors in the columns of `information`."""
        return tuple(instance.name for instance in self.solution.network.instances)

    @cached_property
    def explanation(self) -> tuple[ExplanationLine, ...]:
        """One line a finding and contributor it moved, strongest first; computed when first asked for."""
        return explain(self.case, self.solution, self.model)

    def account_of(self, belief: Belief) -> Account:
        """Everything that is to be said about one contributor: for, against, rivals, what would reverse the order."""
        place = self.ranked[self.beliefs.index(belief)]
        return account(self.case, self.solution, self.model, self.ranked, self.explanation, place)

    @cached_property
    def odd_together(self) -> tuple[Contradiction, ...]:
        """Pairs of findings that the model finds far rarer together than apart."""
        return odd_together(self.case, self.solution, self.model)

    @cached_property
    def articular(self) -> tuple[ArticularJudgement, ...]:
        """One judgement for every restricted angular motion."""
        return judge(self.case, self.solution, self.model, self.solution.draw(SAMPLES, SEED)[0])

    @cached_property
    def what_would_change(self) -> tuple[Change, ...]:
        """Findings that carry the order and tests, any at all, that could turn it."""
        return (*self.carried_by, *self.turned_by())

    @cached_property
    def carried_by(self) -> tuple[Change, ...]:
        """Findings without which another would lead; one set at most."""
        kept = without_findings(self.case, self.solution, self.model, self.ranked)
        return (kept,) if kept else ()

    def turned_by(self, barred: frozenset[str] = frozenset()) -> tuple[Change, ...]:
        """Tests not barred of which one outcome would put another first."""
        if barred not in self._turned:
            self._turned[barred] = turning_tests(self.case, self.solution, self.model, self.ranked, barred)
        return self._turned[barred]

    @cached_property
    def _turned(self) -> dict[frozenset[str], tuple[Change, ...]]:
        return {}


def infer(case: Case, model: Model, *, with_intervals: bool = True) -> Posterior:
    """Probability and 90 % interval of every contributor, given story and findings.

    The order of findings does not matter; a finding repeated at the same procedure, side and level
    counts once, the last time. Absent fields say nothing. Without intervals, both ends are the probability itself.
    """
    network = build_network(case, model)
    orders = model.layouts.recall(("orders", layout_of(network.instances)), lambda: Recent(_ORDERS))
    solution = solve(network, orders=orders)
    low, high = intervals(solution, model) if with_intervals else (solution.probability, solution.probability)
    ranked = tuple(sorted(range(len(network.instances)), key=lambda i: (-solution.probability[i], i)))
    touched = network.touched
    beliefs = []
    for i in ranked:
        instance = network.instances[i]
        contributor = instance.contributor
        beliefs.append(
            Belief(
                id=instance.id,
                contributor=contributor.id,
                name=contributor.name,
                sentence=contributor.sentence,
                region=_region(contributor.region, instance.level),
                side=instance.side,
                level=instance.level,
                prior=instance.prior,
                probability=float(solution.probability[i]),
                low=float(low[i]),
                high=float(high[i]),
                treatment_class=contributor.treatment_class,
                tissue=contributor.tissue,
                prior_figures=contributor.prior_figures,
                examined=i in touched,
            )
        )
    return Posterior(case, model, solution, tuple(beliefs), ranked, _caveats(case, solution, model))


def _region(region: str, level: str | None) -> str:
    return "cervicothoracic" if region == "thoracic" and level in ("C7", "T1", "T2") else region


def _caveats(case: Case, solution: Solution, model: Model) -> tuple[str, ...]:
    seen = solution.network.observations
    said = []
    if solution.left_out_mass > AIM:
        said.append(
            f"TRUNCATED: up to {solution.left_out_mass:.1%} of the probability was left out at the widest search; "
            "read the ranking with that much doubt"
        )
    age = case.person.age
    if age is not None and age < model.parameters["adult_age"]:
        said.append(f"the figures are of adults; they say little about a person of {age}")
    if seen.unused:
        names = "; ".join(finding_words(case.findings[i], model.catalogue) for i in seen.unused)
        said.append(f"not used in the reasoning (no link, or nothing recorded it can use): {names}")
    if seen.superseded:
        said.append(f"{len(seen.superseded)} repeated finding(s): the last of each counts")
    return tuple(said)


def expected_information(posterior: Posterior, candidates: Sequence[Candidate]) -> tuple[float, ...]:
    """Bits each candidate (procedure, side, level) is expected to tell about the contributors, in the same order."""
    return tuple(float(b) for b in information_bits(candidates, posterior.solution, posterior.model))


def expected_class_information(posterior: Posterior, candidates: Sequence[Candidate]) -> tuple[float, ...]:
    """Bits each candidate is expected to tell about the treatment class it says most about."""
    return tuple(float(b) for b in class_information_bits(candidates, posterior.solution, posterior.model))
