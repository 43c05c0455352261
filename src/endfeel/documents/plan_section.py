"""What comes next: the next test and the rest of the examination, or why there is none."""

from __future__ import annotations

from typing import TYPE_CHECKING

from endfeel.documents.case_sections import facts, listing, table, text
from endfeel.documents.note import Block, Section, Tone
from endfeel.documents.words import sentence, side_and_level, spoken

if TYPE_CHECKING:
    from endfeel.assessment import Assessment
    from endfeel.evidence.library import Library
    from endfeel.planner import Plan

MOST_STEPS = 12
STOPPED = "Examination {} and treatment is withheld until the safety verdict is settled."


def plan_section(assessment: Assessment, library: Library) -> Section:
    """The plan, or the statement that examination and treatment are withheld and what to do instead."""
    verdict = assessment.verdict
    if verdict.stops_plan:
        blocks: list[Block] = [
            text(STOPPED.format("waits" if verdict.is_held else "stops"), Tone.ALERT),
            text(sentence(verdict.action)),
        ]
        return Section("plan", "Plan", tuple(blocks), Tone.ALERT)
    blocks = []
    if verdict.is_overridden:
        blocks.append(text("The safety verdict was overridden; its reason stands in the safety screen.", Tone.ALERT))
    if verdict.forbidden:
        blocks.append(_forbidden(assessment, library))
    if assessment.next_tests:
        best = assessment.next_tests[0]
        where = side_and_level(best.side, best.level)
        how = f"{where}, {spoken(best.position)}, {best.seconds:.0f} s"
        blocks.append(text(f"Next test: {best.name}, {how}. {sentence(library.catalogue.with_names(best.reason))}"))
    else:
        blocks.append(text("No further test is worth its time now."))
    blocks += _steps(assessment.plan)
    return Section("plan", "Plan", tuple(blocks))


def _forbidden(assessment: Assessment, library: Library) -> Block:
    reasons: dict[str, list[str]] = {}
    for procedure_id, reason in assessment.verdict.forbidden.items():
        reasons.setdefault(reason, []).append(library.catalogue[procedure_id].name)
    items = [f"{sentence(reason)}: {', '.join(names)}" for reason, names in reasons.items()]
    return listing(items, "Not to be done:")


def _steps(plan: Plan) -> list[Block]:
    if not plan.steps:
        return []
    rows = [
        (
            step.name,
            side_and_level(step.side, step.level),
            spoken(step.position),
            f"{step.seconds:.0f} s",
        )
        for step in plan.steps[:MOST_STEPS]
    ]
    more = len(plan.steps) - len(rows)
    caption = "Rest of the examination" + (f" (first {MOST_STEPS} of {len(plan.steps)} steps)" if more else "")
    cost = [
        ("Time", f"{plan.seconds / 60:.0f} min"),
        ("Changes of position", str(plan.position_changes)),
        ("Left out", f"{len(plan.left_out)} procedures"),
    ]
    return [table(("Procedure, in order", "Where", "Position", "Time"), rows, caption), facts(cost)]
