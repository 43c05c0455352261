"""What several letters say: to whom, how safe, which findings matter, what changed, what was done, what is coded."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from html import escape
from typing import TYPE_CHECKING

from endfeel.documents.case_sections import (
    change_item,
    error_items,
    facts,
    findings_table,
    listing,
    safety_section,
    since_words,
    table,
    text,
    verdict_of,
)
from endfeel.documents.chart import chart_words, percent
from endfeel.documents.footnotes import Footnotes
from endfeel.documents.frame import Written
from endfeel.documents.kinds import EpisodeOfCare, LetterWords, PastVisit
from endfeel.documents.note import Block, BlockKind, Section, Tone
from endfeel.documents.reasoning_section import LIMITS, belief_name, found_reason, reason_words, short_name
from endfeel.documents.words import NOT_RECORDED, clean, joined, plain, sentence, side_and_level, spoken
from endfeel.follow import KINDS, VERDICT_WORDS, Verdict
from endfeel.follow.chart import HEIGHT, WIDTH, line_chart
from endfeel.follow.chart import chart_words as chart_text
from endfeel.measurement import ChangeVerdict, RetestComparison
from endfeel.safety import Urgency, questions
from endfeel.vocabulary import REVIEW, Result

if TYPE_CHECKING:
    from endfeel.assessment import CodeSuggestion, Since
    from endfeel.evidence.library import Library
    from endfeel.follow import Trajectory
    from endfeel.safety import Verdict as SafetyVerdict
    from endfeel.vocabulary import Case, Finding

MOST_CONTRIBUTORS = 4
LOOKED_AT = 8
"""Contributors looked at for a reason that was found; the rest rests on the story alone."""
MOST_FINDINGS = 12
MOST_OPEN = 5
MOST_NAMED = 6
MOST_CHARTS, GAP = 2, 20
NORMAL_MOBILITY = 3
ORDER = (
    ChangeVerdict.CHANGED_AND_MATTERS,
    ChangeVerdict.CHANGED,
    ChangeVerdict.WITHIN_ERROR,
    ChangeVerdict.UNKNOWN,
)
"""What is sure to have changed is read first."""
ARRIVAL = (
    "Each sign as it was found on arrival, before treatment of its visit. A sign that was not repeated stays unknown."
)


def address_section(words: LetterWords, written: Written) -> Section:
    """To whom and from whom, and the reader's own number. A letter without a reader says so."""
    rows = [("To", clean(words.to) or "not named yet"), ("From", clean(written.by) or "not signed yet")]
    if words.reference:
        rows.append(("Your number", clean(words.reference)))
    rows.append(("Day", clean(written.at).partition(" ")[0] or NOT_RECORDED))
    return Section("address", "For", (facts(rows),))


def began_words(episode: EpisodeOfCare) -> str | None:
    """When it began, as it was told at the first visit."""
    return since_words(episode.visits[0].case.complaint, "before the first visit" if episode.is_long else "ago")


def person_section(case: Case, episode: EpisodeOfCare) -> Section:
    """Who it is about, in one table, with the story."""
    person, complaint = case.person, case.complaint
    since = began_words(episode)
    rows = [
        ("Age, sex", joined(filter(None, (plain(person.age) if person.age is not None else "", person.sex)))),
        ("Side", str(complaint.side or NOT_RECORDED)),
        ("Onset", joined([one for one in (complaint.onset, since) if one])),
        ("Irritability", str(complaint.irritability or NOT_RECORDED)),
    ]
    told = text(clean(complaint.story) or "No story was recorded.")
    return Section("story", "Person and complaint", (facts(rows), told))


def short_safety(verdict: SafetyVerdict, library: Library, notes: Footnotes) -> Section:
    """The verdict, what raised it, what changes how hands are used, and how much was asked."""
    section = safety_section(verdict, notes)
    blocks = (*section.blocks, *_mind(verdict, library))
    return Section(section.id, section.heading, blocks, section.tone)


def raised_section(verdict: SafetyVerdict, library: Library, notes: Footnotes) -> Section:
    """For the reader of a letter: what raised it and how that is known, what is open. What to do stands above it."""
    blocks: list[Block] = []
    if verdict.raised:
        rows = [
            (
                f"{sentence(flag.name)} {notes.of_source_id(flag.source)}",
                flag.urgency.words,
                joined([f"{one.question} ({one.known_from})" for one in flag.reasons], "; "),
            )
            for flag in verdict.raised
        ]
        blocks.append(table(("Suspected", "Urgency", "Because"), rows))
    else:
        blocks.append(text("No red flag is raised by what was asked and found. That does not exclude disease."))
    if verdict.not_excluded and not verdict.is_pressing:
        names = [sentence(one.name) for one in verdict.not_excluded[:MOST_OPEN]]
        more = len(verdict.not_excluded) - len(names)
        blocks.append(listing([*names, *([f"and {more} more"] if more else [])], "Not excluded:"))
    return Section("safety", "Safety", (*blocks, *_mind(verdict, library)))


def _minded(condition: str, because: str) -> str:
    """What to mind and why, once where the two are the same words."""
    same = set(because.casefold().split()) == set(condition.casefold().split())
    return condition if same else f"{condition}: {because}"


def _mind(verdict: SafetyVerdict, library: Library) -> list[Block]:
    asked = len(questions(library))
    told = [sentence(_minded(one.condition, library.catalogue.with_names(one.because))) for one in verdict.precautions]
    count = text(f"{len(verdict.unanswered)} of {asked} screening questions are unanswered.", Tone.QUIET)
    return [*([listing(told, "Mind:")] if told else []), count]


def telling(finding: Finding) -> bool:
    """Whether a finding is worth a reader's time: familiar, positive, not normal, or unlike the other side."""
    return bool(
        finding.familiar
        or finding.apprehension
        or finding.result is Result.POSITIVE
        or finding.mobility not in (None, NORMAL_MOBILITY)
        or (finding.other is not None and finding.value is not None and finding.value != finding.other)
    )


def found_section(case: Case, library: Library, earlier: Sequence[Finding] = (), when: str = "") -> Section:
    """The telling findings in a table, the others by name; then those of an earlier visit that were not repeated."""
    told = [one for one in case.findings if telling(one)]
    blocks: list[Block] = [findings_table(told[:MOST_FINDINGS], library)] if told else []
    if not case.findings:
        blocks.append(text("No findings were recorded."))
    elif not told:
        blocks.append(text("Nothing that was examined was abnormal or gave the familiar symptom."))
    if told[MOST_FINDINGS:]:
        blocks.append(text(f"{len(told) - MOST_FINDINGS} further abnormal findings stand in the note."))
    names = dict.fromkeys(_named(one, library) for one in case.findings if one not in told)
    if names:
        blocks.append(text(f"Examined, not abnormal: {'; '.join(names)}.", Tone.QUIET))
    before = [one for one in earlier if telling(one)]
    if before:
        blocks.append(findings_table(before[:MOST_FINDINGS], library, f"{when}, not repeated since"))
    return Section("findings", "What was found", tuple(blocks))


def _named(finding: Finding, library: Library) -> str:
    where = f", {side_and_level(finding.side, finding.level)}" if finding.side or finding.level else ""
    return f"{library.catalogue[finding.procedure].name}{where}"


def thought_section(episode: EpisodeOfCare, notes: Footnotes) -> Section:
    """The leading contributors with their intervals and the strongest finding for each."""
    assessment, heading = episode.thought, "What may contribute"
    later = any(one.case.findings for one in episode.visits[episode.thought_at + 1 :])
    visit = episode.name_of(episode.thought_at)
    since = f"; {'less' if later else 'nothing'} was examined since" if episode.examined else ""
    if not assessment.case.findings:
        return Section("reasoning", heading, (text("No findings yet: nothing to reason from."),))
    reasons = {one: found_reason(one, assessment) for one in assessment.posterior.beliefs[:LOOKED_AT]}
    spoken_of = [(one, line) for one, line in reasons.items() if line][:MOST_CONTRIBUTORS]
    if not spoken_of:
        return Section("reasoning", heading, (text("Nothing that was found speaks for a contributor."),))
    points = tuple((short_name(belief_name(one)), one.probability, one.low, one.high) for one, _ in spoken_of)
    caption = "Probability of each contributor with its 90 % interval"
    rows = [
        (
            belief_name(one),
            f"{percent(one.probability)} ({percent(one.low)} to {percent(one.high)})",
            reason_words(line, notes),
        )
        for one, line in spoken_of
    ]
    blocks = (
        Block(BlockKind.CHART, caption, points=points, alt=chart_words(points)),
        table(("Contributor", "Probability, 90 % interval", "Strongest finding"), rows),
        *([text(f"Reckoned from the findings of {visit.lower()} alone{since}.")] if episode.is_long else []),
        text(f"This is no diagnosis. {LIMITS}", Tone.QUIET),
    )
    return Section("reasoning", heading, blocks)


def change_section(since: Since, before: str, now: str, library: Library) -> Section:
    """What differs between two visits, each with its verdict against measurement error; then what is as before, what
    was not repeated, what is new."""
    blocks: list[Block] = []
    differing = [(one, field) for one in since.compared for field in one.fields if field.before != field.after]
    differing.sort(key=lambda pair: ORDER.index(pair[1].verdict))
    rows: list[tuple[str, ...]] = [
        (_place(one), field.label, field.before, field.after, verdict_of(field)) for one, field in differing
    ]
    rows += [row for one in since.compared for row in _result_rows(one)]
    if rows:
        blocks.append(table(("Sign", "Recorded", before, now, "Verdict"), rows))
    elif since.compared:
        blocks.append(text("No sign that was repeated differs."))
    else:
        blocks.append(text("No sign was found both times: whether anything has changed is not known."))
    moved = {row[0] for row in rows}
    same = dict.fromkeys(_place(one) for one in since.compared if _place(one) not in moved)
    if same:
        blocks.append(text(f"As before: {'; '.join(same)}."))
    if since.not_again:
        names = list(dict.fromkeys(_named(one, library) for one in since.not_again))
        more = f" and {len(names) - MOST_NAMED} more" if names[MOST_NAMED:] else ""
        blocks.append(text(f"Not repeated, so not known: {'; '.join(names[:MOST_NAMED])}{more}."))
    if since.new:
        blocks.append(findings_table(since.new, library, "Found for the first time"))
    return Section("findings", "What has changed", tuple(blocks))


def _place(one: RetestComparison) -> str:
    return f"{one.name}, {side_and_level(one.side, one.level)}"


def _result_rows(one: RetestComparison) -> list[tuple[str, ...]]:
    """A test that reads positive or negative has no error figure: that it reads otherwise is all there is to say."""
    if one.before is None or one.before.result is None or one.after.result in (None, one.before.result):
        return []
    words = spoken(one.before.result), spoken(str(one.after.result))
    return [(_place(one), "result", *words, "reads otherwise; no error figure for it")]


def _done(visit: PastVisit) -> list[str]:
    return [clean(joined(filter(None, (each.technique, each.dose)))) for each in visit.case.treatments]


def judged_section(
    comparisons: Sequence[RetestComparison], measures: Sequence[Trajectory], notes: Footnotes
) -> Section | None:
    """The error figures behind every verdict above, each once; None where nothing was compared."""
    moved = [replace(one, fields=tuple(f for f in one.fields if f.before != f.after)) for one in comparisons]
    told = [change_item(one.change, notes) for one in measures if len(one.line.readings) > 1]
    items = list(dict.fromkeys([*error_items(moved, notes), *told]))
    blocks = (listing(items, "Error figures used:"), text(ARRIVAL, Tone.QUIET))
    return Section("judged", "How changes are judged", blocks, Tone.QUIET) if items else None


def measures_section(episode: EpisodeOfCare, notes: Footnotes, *, drawn: bool = True) -> Section:
    """Outcome measures from first to last, drawn where there is a course; that there are none is said."""
    if not episode.measures:
        said = "No outcome measure is on record: what the person can do is not measured."
        return Section("measures", "Measures", (text(said),))
    rows = [
        (one.line.name, _value(one, 0), _value(one, -1) if len(one.line.readings) > 1 else "–", _measured_verdict(one))
        for one in episode.measures
    ]
    courses = [one for one in episode.measures if len(one.line.readings) > 1]
    blocks = [table(("Measure", "First", "Last", "Verdict"), rows)]
    if drawn and courses:
        shown = courses[:MOST_CHARTS]
        words = " ".join(f"{one.line.name}: {chart_text(one)}" for one in shown)
        caption = "; ".join(one.line.name for one in shown)
        picture = side_by_side([line_chart(one) for one in shown], words)
        blocks.append(Block(BlockKind.PICTURE, caption, alt=words, picture=picture))
        blocks += [text(_expected(one, notes), Tone.QUIET) for one in shown]
    return Section("measures", "Measures", tuple(blocks))


def _expected(one: Trajectory, notes: Footnotes) -> str:
    """What the dotted line and the bar ahead in a chart are, with their sources and how little they say."""
    estimate = f"{one.line.name}: the true value is an estimate"
    if not one.courses:
        return f"{estimate}. No published course fits; nothing is forecast."
    course = one.courses[0]
    made = next((each for each in one.forecasts if each.course == course.id), None)
    ahead = f"; the bar ahead is to hold {made.percent:g} % of such people" if made else ""
    if made and made.shift:
        rests = notes.of_figures([figure.id for figure in made.shift.figures])
        ahead += f", moved by {made.shift.points:+.1f} by what else foretells ({made.middle.provenance.label} {rests})"
    label = f"({course.provenance.label} {notes.of_figures(course.figures)})"
    weak = sentence(course.weakness).rstrip(".")
    return f"{estimate}; dotted, a published group: {course.name} {label}{ahead}. {weak}."


def _value(one: Trajectory, at: int) -> str:
    return f"{plain(round(one.line.readings[at].value, 1))} of {plain(one.high)}"


def _measured_verdict(one: Trajectory) -> str:
    matters = ", by an amount that matters" if one.matters and one.verdict is Verdict.BETTER else ""
    return f"{VERDICT_WORDS[one.verdict]}{matters}"


def side_by_side(pictures: Sequence[str], words: str) -> str:
    """Up to two charts as one picture, so that each keeps its size on paper."""
    inner = "".join(
        one.replace("<svg ", f'<svg x="{at * (WIDTH + GAP)}" width="{WIDTH}" height="{HEIGHT}" ', 1)
        for at, one in enumerate(pictures)
    )
    whole = MOST_CHARTS * WIDTH + GAP
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" role="img" viewBox="0 0 {whole} {HEIGHT}" color="#1d2629">'
        f"<title>{escape(words)}</title>{inner}</svg>"
    )


def decided(episode: EpisodeOfCare, notes: Footnotes) -> list[Block]:
    """Decision points that hold now, with what they rest on; the therapist weighs them. Safety comes first."""
    verdict = episode.assessment.verdict
    safety = [f"Refer: safety comes first. {verdict.action}"] if verdict.urgency.rank >= Urgency.REFER.rank else []
    if verdict.is_pressing:
        return [listing(safety, "Decision points that hold:")]
    items = safety + [
        f"{sentence(KINDS[one.kind])}: {one.says} ({one.because}; {one.provenance} {notes.of_figures([one.basis.id])})"
        for one in episode.decisions
    ]
    return [listing(items, "Decision points that hold:")] if items else []


def done_table(episode: EpisodeOfCare) -> Block:
    """Every visit in a line: safety, and what was done."""
    rows = [
        (
            str(number),
            clean(one.day) or NOT_RECORDED,
            one.verdict.words,
            joined([*_done(one), *([f"{REVIEW}: {clean(one.review)}"] if one.review else [])], "; "),
        )
        for number, one in enumerate(episode.visits, 1)
    ]
    return table(("Visit", "Day", "Safety", "What was done"), rows)


def called_for(episode: EpisodeOfCare, notes: Footnotes, most: int = 3) -> list[Block]:
    """The courses the findings favour, without their arithmetic; that anything may also be left as it is."""
    assessment = episode.assessment
    if assessment.decision.withheld:
        return [text(f"Nothing is treated before this is done: {assessment.verdict.action}", Tone.ALERT)]
    decision = assessment.decision if episode.thought.decision.withheld else episode.thought.decision
    items = [
        f"{sentence(one.name)} ({one.provenance} {notes.of_figures(one.figures)})" for one in decision.worthwhile[:most]
    ]
    return [listing([*items, f"{sentence(decision.baseline)}: always open"], "What the findings favour:")]


def codes_section(codes: Sequence[CodeSuggestion], offered: Sequence[CodeSuggestion], notes: Footnotes) -> Section:
    """Codes the writer confirmed. A draft shows what could be; it is not a code before a clinician says so."""
    blocks: list[Block] = []
    if codes:
        rows = [(one.system, one.code, sentence(one.label), _origin(one, notes)) for one in codes]
        blocks.append(table(("Classification", "Code", "Our label", "Label, source"), rows))
        blocks.append(text("Confirmed by the writer; the wording is ours, not that of the classification.", Tone.QUIET))
    else:
        blocks.append(text("No code was confirmed."))
    if offered:
        items = [f"{one.words} ({_origin(one, notes)})" for one in offered]
        blocks.append(listing(items, "May fit; not coded before you confirm it:"))
    return Section("codes", "Codes", tuple(blocks))


def _origin(one: CodeSuggestion, notes: Footnotes) -> str:
    return f"{one.provenance} {notes.of_figures([one.figure])}"
