"""Ranked contributors with intervals, the reasons behind them, joint or soft tissue, and what would change it."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from endfeel.documents.case_sections import listing, table, text
from endfeel.documents.chart import chart_words, percent
from endfeel.documents.footnotes import Footnotes
from endfeel.documents.note import Block, BlockKind, Section, Tone
from endfeel.documents.words import joined, sentence, signed
from endfeel.treatment import POINTS

if TYPE_CHECKING:
    from endfeel.assessment import Assessment
    from endfeel.inference import Belief, ExplanationLine
    from endfeel.treatment import Course

MOST_SHOWN = 8
MOST_WAITING = 6
MOST_REASONS = 5
LIMITS = (
    "Probabilities are conditional on the evidence of this release, which is often weak. Several contributors at once "
    "are the rule; the figures do not add up to 100 %. The interval includes the uncertainty of the evidence."
)


def reasoning_sections(assessment: Assessment, notes: Footnotes) -> list[Section]:
    """The reasoning, as a section on contributors and one on articular judgements."""
    posterior = assessment.posterior
    if not assessment.case.findings:
        return [Section("reasoning", "Reasoning", (text("No findings yet: nothing to reason from."),))]
    shown = posterior.examined[:MOST_SHOWN]
    points = tuple((short_name(belief_name(one)), one.probability, one.low, one.high) for one in shown)
    chart = Block(
        BlockKind.CHART,
        "Probability of each contributor with its 90 % interval",
        points=points,
        alt=chart_words(points),
    )
    rows = [
        (belief_name(one), percent(one.probability), f"{percent(one.low)} to {percent(one.high)}", percent(one.prior))
        for one in shown
    ]
    first = [text("The safety verdict comes first; these figures do not weigh it.", Tone.ALERT)]
    blocks = [
        *(first if assessment.verdict.is_pressing else []),
        chart,
        table(("Contributor", "Probability", "90 % interval", "Before the findings"), rows),
    ]
    waiting = [f"{belief_name(one)} {percent(one.probability)}" for one in posterior.not_examined[:MOST_WAITING]]
    if waiting:
        known = "Not examined, known only from the story and how common it is"
        blocks.append(text(f"{known}: {joined(waiting, '; ')}.", Tone.QUIET))
    for belief in shown:
        reasons = [reason_words(line, notes) for line in _lines_of(belief, assessment)]
        if reasons:
            blocks.append(listing(reasons, f"{belief_name(belief)}, because:"))
    if assessment.what_would_change:
        blocks.append(listing([sentence(one.text) for one in assessment.what_would_change], "What would change this:"))
    if assessment.unfit:
        said = [f"{sentence(one.sentence)} ({one.provenance})" for one in assessment.unfit]
        blocks.append(listing(said, "Do not fit together as recorded; looked at again?"))
    if posterior.caveats:
        blocks.append(listing([sentence(one) for one in posterior.caveats], "Mind:"))
    mass = posterior.left_out_mass
    left_out = (
        f"The calculation left out at most {mass:.1e} of all combinations." if mass else "No combination was left out."
    )
    blocks.append(text(f"{LIMITS} {left_out}", Tone.QUIET))
    return [Section("reasoning", "Reasoning", tuple(blocks)), _articular(assessment), _decision(assessment, notes)]


def belief_name(belief: Belief) -> str:
    """`Segmental stiffness T5` or `Tight posterior capsule, right`."""
    level = belief.level if belief.level and belief.level not in belief.name.split() else None
    name = " ".join(filter(None, (sentence(belief.name), level)))
    return f"{name}, {belief.side}" if belief.side else name


def short_name(name: str) -> str:
    """Without what stands in brackets, for the chart; the table beside it has the whole name."""
    return re.sub(r" \([^)]*\)", "", name)


def found_reason(belief: Belief, assessment: Assessment) -> ExplanationLine | None:
    """The finding that speaks loudest about this contributor, for or against; None when only the story does."""
    return next((line for line in _lines_of(belief, assessment) if line.finding is not None), None)


def _lines_of(belief: Belief, assessment: Assessment) -> list[ExplanationLine]:
    """The strongest lines about this contributor at its own side and level."""
    place = belief.id, belief.side, belief.level
    own = [line for line in assessment.posterior.explanation if (line.contributor, line.side, line.level) == place]
    return sorted(own, key=lambda line: -abs(line.decibans))[:MOST_REASONS]


def reason_words(line: ExplanationLine, notes: Footnotes) -> str:
    """The finding, how much it speaks which way, its label and its footnotes."""
    label = f"{line.provenance} {notes.of_figures(line.figures)}".strip()
    return f"{sentence(line.text)}: {line.strength} {line.direction} it ({label})"


def _decision(assessment: Assessment, notes: Footnotes) -> Section:
    """What the contributors call for; nothing while safety withholds treatment."""
    decision, title = assessment.decision, "What it calls for"
    if decision.withheld:
        action = f"Nothing is treated before this is done: {assessment.verdict.action}"
        return Section("decision", title, (text(action, Tone.ALERT),))
    rows = [
        (
            sentence(_course_words(course)),
            f"{signed(course.expected_points)} ({signed(course.expected_low)} to {signed(course.expected_high)})",
            percent(course.needed),
            joined([f"{name} {percent(share)}" for name, share in course.needed_for[:2]], ", "),
            f"{sentence(course.harm_words)} ({course.provenance} {notes.of_figures(course.figures)})",
        )
        for course in decision.worthwhile[:MOST_REASONS]
    ]
    rows.append((sentence(decision.baseline), "0", "always open", "", "what the others are measured against"))
    columns = ("Course", "Expected gain, points", "Needed", "For", "What it may cost; sources")
    blocks = [table(columns, rows)]
    if decision.worthwhile[MOST_REASONS:]:
        names = "; ".join(course.name for course in decision.worthwhile[MOST_REASONS:])
        blocks.append(text(f"A little in favour, too: {names}."))
    if decision.unexamined:
        names = "; ".join(course.name for course in decision.unexamined)
        blocks.append(text(f"By the story alone, not examined: {names}."))
    if decision.closed:
        names = "; ".join(course.name for course in decision.closed)
        blocks.append(text(f"What was found does not speak for: {names}."))
    blocks += [text(f"Both are open. {sentence(one.sentence)}.", Tone.ALERT) for one in decision.both_open]
    if assessment.plan.settled:
        blocks.append(text("No test left was expected to change what is to be done."))
    blocks.append(text(POINTS, Tone.QUIET))
    return Section("decision", title, tuple(blocks))


def _course_words(course: Course) -> str:
    """Its name, and why it is asked for where a rule asks."""
    return f"{course.name}: {course.why}" if course.why else course.name


def _articular(assessment: Assessment) -> Section:
    judged = assessment.posterior.articular
    if not judged:
        return Section("articular", "Joint or soft tissue", (text("No restricted angular motion was recorded."),))
    rows = [
        (
            f"{one.name}, {one.side}" if one.side else one.name,
            "felt only" if one.deficit_deg is None else f"{one.deficit_deg:.0f}°",
            one.verdict,
            f"{percent(one.probability)} / {percent(one.soft_probability)}",
            joined(one.glides, "; "),
        )
        for one in judged
    ]
    columns = ("Motion", "Missing", "Judgement", "Joint / muscle", "Accessory glide")
    return Section("articular", "Joint or soft tissue", (table(columns, rows),))
