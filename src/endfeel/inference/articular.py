"""Joint or soft tissue: a lost angular motion against the accessory glides that belong to it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from endfeel.inference.model import Model
from endfeel.inference.solution import Solution
from endfeel.inference.words import finding_words, percent
from endfeel.vocabulary import Case, Finding, Result, Side

ONE_SIDED_90 = 1.645
"""Standard errors a deficit must exceed to count as beyond error (one-sided 95 %)."""


@dataclass(frozen=True, slots=True)
class ArticularJudgement:
    """One restricted angular motion."""

    motion: str
    name: str
    side: Side | None
    deficit_deg: float | None
    """Degrees missing, None when only felt."""
    error_sd_deg: float | None
    verdict: str
    """`articular` (motion and glide restricted), `extra-articular` (the motion alone), `mixed glides`, `not tested`;
    `apprehension` where that stopped the motion and no glide was stiff."""
    probability: float
    """Posterior probability that some joint or capsule contributor that takes this motion is present."""
    soft_probability: float
    """The same for muscle."""
    glides: tuple[str, ...]
    """What was found in the accessory glides, in words."""
    to_test: tuple[str, ...]
    """Accessory glides not yet felt, by procedure id."""
    sentence: str

    def __str__(self) -> str:
        return f"{self.sentence} ({self.shares})"

    @property
    def shares(self) -> str:
        """How probable a cause of either kind is, in words; both may be there."""
        joint, soft = percent(self.probability), percent(self.soft_probability)
        return f"a cause in joint or capsule {joint}, one in muscle or its control {soft}; both may be there"


def judge(case: Case, solution: Solution, model: Model, states: NDArray[np.bool_]) -> tuple[ArticularJudgement, ...]:
    """A judgement for every restricted motion of accessory_pairs.csv; `states` are drawn combinations."""
    last = {(f.procedure, f.side, f.level): f for f in case.findings}
    made = []
    for finding in last.values():
        if finding.procedure not in model.pairs:
            continue
        restricted = _restricted(finding, solution, model, case)
        if restricted is not None:
            wanted = model.pairs[finding.procedure]
            glides = [f for f in last.values() if f.procedure in wanted and f.side is finding.side]
            made.append(_judgement(finding, restricted, glides, case, solution, model, states))
    return tuple(made)


def _restricted(
    finding: Finding, solution: Solution, model: Model, case: Case
) -> tuple[float | None, float | None] | None:
    """(deficit, its error) when beyond error, (None, None) when only felt, None when not restricted."""
    for factor in solution.network.angles:
        seen = factor.observation
        if case.findings[seen.finding] is finding:
            return (seen.deficit_deg, seen.sd_deg) if seen.deficit_deg > ONE_SIDED_90 * seen.sd_deg else None
    felt = finding.mobility is not None and finding.mobility <= model.parameters["hypo_grade"]
    return (None, None) if felt or finding.result is Result.REDUCED else None


def _judgement(
    finding: Finding,
    restricted: tuple[float | None, float | None],
    glides: list[Finding],
    case: Case,
    solution: Solution,
    model: Model,
    states: NDArray[np.bool_],
) -> ArticularJudgement:
    felt = [f for f in glides if f.mobility is not None]
    stiff = [f for f in felt if f.mobility is not None and f.mobility <= model.parameters["hypo_grade"]]
    verdict = "not tested" if not felt else "articular" if stiff else "extra-articular"
    if stiff and len(stiff) * 2 < len(felt):
        verdict = "mixed glides"
    if finding.apprehension and not stiff:
        verdict = "apprehension"
    joint = _chance(finding, solution, model, states, ("joint",))
    soft = _chance(finding, solution, model, states, ("muscle", "control"))
    name = model.catalogue[finding.procedure].name
    done = {f.procedure for f in felt}
    apart = verdict == "apprehension"
    to_test = () if apart else tuple(glide for glide in model.pairs[finding.procedure] if glide not in done)
    relaxed = any(
        f.procedure == "gh_contract_relax" and f.side is finding.side and f.result is Result.POSITIVE
        for f in case.findings
    )
    sentence = {
        "articular": f"{name}: the motion and its glide are both restricted; a joint or capsule restriction is likely",
        "extra-articular": f"{name}: the glide is free; muscle, scapular or guarding restriction is likely",
        "mixed glides": f"{name}: few of the glides are restricted; part of the loss may lie outside the joint",
        "not tested": f"{name}: restricted, but no accessory glide was felt; joint or soft tissue cannot be told",
        "apprehension": f"{name}: stopped by apprehension, which is not stiffness; nothing is to be mobilised for it",
    }[verdict] + ("; contract-relax gained range, which speaks for muscle" if relaxed else "")
    return ArticularJudgement(
        finding.procedure, name, finding.side, *restricted, verdict, joint, soft,
        tuple(finding_words(f, model.catalogue) for f in felt), to_test, sentence,
    )  # fmt: skip


def _chance(
    finding: Finding, solution: Solution, model: Model, states: NDArray[np.bool_], tissues: tuple[str, ...]
) -> float:
    """Share of drawn combinations in which a contributor of these tissues takes this motion."""
    causes: set[int] = set()
    if finding.procedure in model.angles:
        causes |= {i for i, link in model.angles[finding.procedure].causes if link.effect_deg > 0}
    if (finding.procedure, "hypo") in model.binaries:
        causes |= {i for i, _, _ in model.binaries[finding.procedure, "hypo"].causes}
    mine = [
        k
        for k, instance in enumerate(solution.network.instances)
        if instance.index in causes
        and instance.contributor.tissue in tissues
        and (instance.side is None or finding.side is None or instance.side is finding.side)
    ]
    return float(states[:, mine].any(axis=1).mean()) if mine else 0.0
