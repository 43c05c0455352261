"""Review, change course, refer, discharge: stated rules out of the evidence, and which of them hold now."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from endfeel.evidence.figures import Figure, number
from endfeel.evidence.library import Library, Row
from endfeel.follow.trajectory import Trajectory, Verdict
from endfeel.vocabulary.outcomes import TRANSITIONS

RULES = "decision_rules"
KINDS = {
    "refer": "refer",
    "change_course": "change course",
    "discharge": "discharge",
    "review": "review",
}
"""In the order of their weight."""


@dataclass(frozen=True, slots=True)
class Decision:
    """A rule that holds, with what it rests on."""

    rule: str
    kind: str
    says: str
    because: str
    basis: Figure
    provenance: str
    note: str


@dataclass(frozen=True, slots=True)
class Standing:
    """How the outcome measures of an episode stand together."""

    weeks: float
    visits: int
    worse: tuple[str, ...]
    better: tuple[str, ...]
    all_better: bool
    matters: bool
    level: bool
    judged: int
    """Lines with a verdict."""
    reviewed: int
    """At which visit the last formal review was done; 0 without one."""
    visits_unreviewed: int
    weeks_unreviewed: float
    """Since the last formal review, or since the beginning."""


def standing_of(
    trajectories: Sequence[Trajectory], visits: int, weeks: float, plateau: int, reviewed: tuple[int, float] = (0, 0.0)
) -> Standing:
    """Outcome measures together; angles and ratings of change are shown and not counted.

    `plateau`: values in a row; `reviewed`: number and week of the visit with the last formal review.
    """
    main = [one for one in trajectories if one.line.is_outcome and one.line.measure not in TRANSITIONS]
    judged = [one for one in main if one.verdict not in (Verdict.FIRST, Verdict.SHOWN, Verdict.UNKNOWN)]
    better = tuple(one.line.name for one in judged if one.verdict is Verdict.BETTER)
    all_better = bool(judged) and len(better) == len(judged)
    return Standing(
        weeks=weeks,
        visits=visits,
        worse=tuple(one.line.name for one in judged if one.verdict is Verdict.WORSE),
        better=better,
        all_better=all_better,
        matters=all_better and any(one.matters for one in judged),
        level=bool(judged) and all(_is_level(one, plateau) for one in judged),
        judged=len(judged),
        reviewed=reviewed[0],
        visits_unreviewed=visits - reviewed[0],
        weeks_unreviewed=weeks - reviewed[1],
    )


def _is_level(one: Trajectory, plateau: int) -> bool:
    last = [reading.value for reading in one.line.readings[-plateau:]]
    limit = one.detectable
    return len(last) == plateau and limit is not None and max(last) - min(last) <= number(limit)


def decisions(standing: Standing, contributors: Mapping[str, float], library: Library) -> tuple[Decision, ...]:
    """Every rule that holds, the weightiest kind first."""
    found = [
        Decision(
            rule=row.id,
            kind=row.text["kind"],
            says=row.statements["says"].text,
            because=_because(row, standing),
            basis=library.figure(row.text["basis"]),
            provenance=row.provenance.label,
            note=row.note,
        )
        for row in library.tables[RULES]
        if _holds(row, standing, contributors)
    ]
    order = list(KINDS)
    return tuple(sorted(found, key=lambda one: order.index(one.kind)))


def _holds(row: Row, standing: Standing, contributors: Mapping[str, float]) -> bool:
    weeks, visits = row.figures.get("weeks_from"), row.figures.get("visits_from")
    is_review = row.text["kind"] == "review"
    if weeks is not None and (standing.weeks_unreviewed if is_review else standing.weeks) < number(weeks):
        return False
    if visits is not None and (standing.visits_unreviewed if is_review else standing.visits) < number(visits):
        return False
    wanted = row.text.get("contributor", "")
    if wanted and contributors.get(wanted, 0.0) < number(row.figures["least_share"]):
        return False
    return _state_holds(row.text["state"], standing)


def _state_holds(state: str, standing: Standing) -> bool:
    judged = standing.judged > 0
    return {
        "any": True,
        "worse": bool(standing.worse),
        "not_better": judged and not standing.better,
        "not_matters": judged and not standing.matters,
        "matters": standing.matters,
        "level": standing.level,
    }[state]


def _because(row: Row, standing: Standing) -> str:
    told = {
        "worse": f"worse: {', '.join(standing.worse)}",
        "not_better": "no outcome measure is better beyond error",
        "not_matters": "not every outcome measure is better by what matters",
        "matters": f"better: {', '.join(standing.better)}",
        "level": "the last values of each lie within error",
        "any": "",
    }[row.text["state"]]
    when = f"visit {standing.visits}, {standing.weeks:.0f} weeks since the first"
    if row.text["kind"] == "review" and standing.reviewed:
        when += f"; last reviewed at visit {standing.reviewed}"
    return f"{told}; {when}" if told else when
