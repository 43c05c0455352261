"""Findings that cannot both be so as recorded, by rule and by what the model makes of them together.

The rules are data (`contradictions.toml`); none says which of two findings is wrong. A finding not made is never
part of a contradiction: unknown stays unknown.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from endfeel.evidence.library import Library
from endfeel.inference.factors import BinaryFactor, Factor
from endfeel.inference.leaving_out import leave_out
from endfeel.inference.model import Model
from endfeel.inference.solution import Solution
from endfeel.inference.words import finding_words
from endfeel.vocabulary import Case, Finding, Result, Unit, opposite_repeats

RULES = "contradictions"


@dataclass(frozen=True, slots=True)
class Contradiction:
    """One or two findings that do not fit together as recorded."""

    findings: tuple[int, ...]
    """Indices in case.findings."""
    sentence: str
    """What was found and why it does not fit, in words."""
    how_often: str
    """`never`: it cannot be; `seldom`: it can, but look again."""
    basis: str
    """Figure id of the rule, or empty where the model computed it."""
    provenance: str

    @property
    def lead(self) -> str:
        """How to begin: two findings of which one must be wrong, or something to look at again."""
        return "cannot both be so" if self.how_often == "never" and len(self.findings) > 1 else "look again"

    def __str__(self) -> str:
        return self.sentence


def contradictions(case: Case, library: Library, model: Model) -> tuple[Contradiction, ...]:
    """What the rules find, in the order of the findings; of a finding repeated at the same place the last counts."""
    rules = library.documents[RULES]
    last = {(f.procedure, f.side, f.level): i for i, f in enumerate(case.findings)}
    counted = [(i, case.findings[i]) for i in sorted(last.values())]
    found = [
        *_not_farther(counted, rules["not_farther"], model),
        *_within(counted, rules["within"], model),
        *_between(counted, rules["between"], model),
        *_no_lags(counted, rules["no_lag"], model),
        *_full_motions(counted, rules["full_motion"], model),
        *_other_sides(counted, model),
        *((pair, rules["repeated"][0], "repeated") for pair in opposite_repeats(case.findings)),
    ]
    return tuple(
        sorted(
            (_said(indices, rule, kind, case, model) for indices, rule, kind in found),
            key=lambda one: (one.how_often != "never", one.findings),
        )
    )


def odd_together(case: Case, solution: Solution, model: Model) -> tuple[Contradiction, ...]:
    """Pairs that the model finds far rarer together than apart, the rarest first; at most one for each finding.

    The lift of a pair is P(both) / (P(one) P(other)), story and nuisances given, nothing else found. Only pairs
    that share a contributor are looked at, and only where the finding is rare beside all the others as well.
    """
    observed = sorted(solution.network.findings)
    if len(observed) < 2:
        return ()
    everything = set(observed)
    singles = [everything - {index} for index in observed]
    left = leave_out(solution, [set(), everything, *singles, *({index} for index in observed)])
    whole, nothing, *rest = left.log_evidence.tolist()
    alone = dict(zip(observed, rest[: len(observed)], strict=True))
    without = dict(zip(observed, rest[len(observed) :], strict=True))
    most = -math.log(model.parameters["odd_together_ratio"])
    odd = [i for i in observed if whole - without[i] - (alone[i] - nothing) < most / 2.0]
    reach = _reach(solution)
    pairs = [(i, j) for i, j in itertools.combinations(observed, 2) if (i in odd or j in odd) and reach[i] & reach[j]]
    if not pairs:
        return ()
    both = leave_out(solution, [everything - set(pair) for pair in pairs]).log_evidence.tolist()
    lifts = [(joint - alone[i] - alone[j] + nothing, i, j) for joint, (i, j) in zip(both, pairs, strict=True)]
    said: list[Contradiction] = []
    used: set[int] = set()
    for lift, i, j in sorted(lifts):
        if lift < most and not used & {i, j}:
            used |= {i, j}
            one, other = (finding_words(case.findings[k], model.catalogue) for k in (i, j))
            times = f"about {math.exp(-lift):.0f} times rarer together than apart"
            sentence = f"{one} — and — {other}: {times} by the links used; look at both again"
            said.append(Contradiction((i, j), sentence, "seldom", "", "practice"))
    return tuple(said)


def _reach(solution: Solution) -> dict[int, set[int]]:
    """Contributors that each finding can speak about."""
    reach: dict[int, set[int]] = {}
    factors: tuple[Factor, ...] = (*solution.network.binaries, *solution.network.angles)
    for factor in factors:
        mine = factor.contributors if isinstance(factor, BinaryFactor) else factor.parents
        reach.setdefault(factor.observation.finding, set()).update(mine.tolist())
    return reach


Counted = Sequence[tuple[int, Finding]]
Found = tuple[tuple[int, ...], Mapping[str, Any], str]


def _not_farther(counted: Counted, rules: Sequence[Mapping[str, Any]], model: Model) -> Iterator[Found]:
    by_place = {(f.procedure, f.side): (i, f) for i, f in counted}
    for rule in rules:
        for i, lesser in counted:
            pair = by_place.get((rule["than"], lesser.side)) if lesser.procedure == rule["motion"] else None
            if pair and _exceeds(lesser, lesser.value, pair[1], pair[1].value, model):
                yield (i, pair[0]), rule, "not_farther"


def _exceeds(one: Finding, value: float | None, other: Finding, than: float | None, model: Model) -> bool:
    """Whether an angle is above another beyond the error of both."""
    if value is None or than is None or {one.unit, other.unit} - {None, Unit.DEGREES}:
        return False
    errors = [model.angles[f.procedure].error_sd_deg for f in (one, other) if f.procedure in model.angles]
    return len(errors) == 2 and value - than > model.parameters["error_bounds"] * math.hypot(*errors)


def _within(counted: Counted, rules: Sequence[Mapping[str, Any]], model: Model) -> Iterator[Found]:
    for rule in rules:
        for i, finding in counted:
            if _fits(finding, rule["when"], model) and not (rule.get("unless_note") and finding.note):
                yield (i,), rule, "within"


def _between(counted: Counted, rules: Sequence[Mapping[str, Any]], model: Model) -> Iterator[Found]:
    for rule in rules:
        firsts, seconds = (
            [(i, f) for i, f in counted if f.procedure in rule[which]["procedures"] and _fits(f, rule[which], model)]
            for which in ("first", "second")
        )
        for (i, first), (j, second) in itertools.product(firsts, seconds):
            if first.side is second.side and (first.level == second.level or not rule.get("same_level")):
                yield (i, j), rule, "between"


def _no_lags(counted: Counted, rules: Sequence[Mapping[str, Any]], model: Model) -> Iterator[Found]:
    """A lag, and an active motion that misses nothing of the passive one beyond the error of both."""
    by_place = {(f.procedure, f.side): (i, f) for i, f in counted}
    for rule in rules:
        for i, lag in counted:
            active, passive = (by_place.get((rule[which], lag.side)) for which in ("active", "passive"))
            if lag.procedure != rule["test"] or lag.result is not Result.POSITIVE or not active or not passive:
                continue
            values = active[1].value, passive[1].value
            if None not in values and not _exceeds(passive[1], values[1], active[1], values[0], model):
                yield (i, active[0], passive[0]), rule, "no_lag"


def _full_motions(counted: Counted, rules: Sequence[Mapping[str, Any]], model: Model) -> Iterator[Found]:
    for rule in rules:
        for i, motion in counted:
            if motion.procedure not in model.pairs or not _is_full(motion, model):
                continue
            for j, glide in counted:
                stuck = glide.mobility is not None and glide.mobility <= rule["glide_at_most"]
                if glide.procedure in model.pairs[motion.procedure] and glide.side is motion.side and stuck:
                    yield (i, j), rule, "full_motion"


def _is_full(motion: Finding, model: Model) -> bool:
    spec = model.angles.get(motion.procedure)
    if spec is None or motion.value is None or motion.unit not in (None, Unit.DEGREES):
        return False
    usual = motion.other if motion.other is not None else spec.normal_deg
    return motion.value >= usual - spec.error_sd_deg and motion.value >= spec.normal_deg - spec.normal_sd_deg


def _other_sides(counted: Counted, model: Model) -> Iterator[Found]:
    """The other side told beside a finding, and measured by itself: two numbers for one thing."""
    rule = {"says": "the same motion of the same side stands twice, with two numbers", "how_often": "never"}
    for (i, one), (j, other) in itertools.permutations(counted, 2):
        same = (one.procedure, one.level) == (other.procedure, other.level)
        if not same or one.side is None or other.side is None or one.side is other.side or one.other is None:
            continue
        apart = _exceeds(one, one.other, other, other.value, model) or _exceeds(
            other, other.value, one, one.other, model
        )
        if apart:
            yield (i, j), rule, ""


def _fits(finding: Finding, when: Mapping[str, Any], model: Model) -> bool:
    """Whether every condition holds; a field not recorded fulfils none."""
    grade, pain = finding.mobility, finding.pain
    onsets = [one for one in (finding.pain_onset, finding.resistance_onset) if one is not None]
    tests: dict[str, Callable[[Any], bool]] = {
        "procedures": lambda wanted: finding.procedure in wanted,
        "outcomes": lambda wanted: model.catalogue[finding.procedure].outcomes.value in wanted,
        "result": lambda wanted: finding.result is not None and finding.result.value in wanted,
        "end_feel": lambda wanted: finding.end_feel is not None and finding.end_feel.value in wanted,
        "familiar": lambda wanted: finding.familiar is wanted,
        "apprehension": lambda wanted: finding.apprehension in (None, wanted),
        "apprehensive": lambda wanted: finding.apprehension is wanted,
        "strength_at_most": lambda most: finding.strength is not None and finding.strength <= most,
        "share_of_other_at_least": lambda least: (
            finding.value is not None and finding.other is not None and finding.value >= least * finding.other > 0
        ),
        "mobility_at_least": lambda least: grade is not None and grade >= least,
        "mobility_at_most": lambda most: grade is not None and grade <= most,
        "strength_at_least": lambda least: finding.strength is not None and finding.strength >= least,
        "pain_at_most": lambda most: pain is not None and pain <= most,
        "onset_beyond_value": lambda _: finding.value is not None and any(one > finding.value for one in onsets),
    }
    return all(tests[name](wanted) for name, wanted in when.items())


def _said(indices: tuple[int, ...], rule: Mapping[str, Any], kind: str, case: Case, model: Model) -> Contradiction:
    words = " — and — ".join(finding_words(case.findings[i], model.catalogue) for i in indices)
    basis = f"{RULES}.{rule['id']}" if kind else ""
    return Contradiction(
        indices, f"{words}: {rule['says']}", rule["how_often"], basis, rule.get("provenance", "practice")
    )
