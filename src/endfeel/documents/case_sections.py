"""What the person said and what hands found: story, screen, findings, treatment and re-tests."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from endfeel.documents.footnotes import Footnotes
from endfeel.documents.note import Block, BlockKind, Section, Tone
from endfeel.documents.words import (
    NOT_RECORDED,
    REGIONS,
    apart,
    clean,
    found_words,
    joined,
    pain_words,
    plain,
    quantity,
    sentence,
    side_and_level,
    spoken,
    weakest,
    yes_no,
)
from endfeel.evidence.figures import number
from endfeel.evidence.library import Library
from endfeel.measurement import Change, ErrorFigure, FieldChange, RetestComparison
from endfeel.safety import RaisedFlag, ScreenItem, Verdict, first_screen, questions
from endfeel.vocabulary import AREAS, Case, Complaint, Finding

VERDICT_WORDS = {
    "within_error": "within measurement error",
    "changed": "changed beyond error",
    "changed_and_matters": "changed, and by an amount that matters",
    "unknown": "cannot be judged",
}
FIGURE_WORDS = {
    "SEM": "standard error of measurement",
    "MDC95": "smallest detectable change (95 %)",
    "MCID": "change that matters to people",
    "custom": "taken for examiner error by custom",
}
UNANSWERED = "unanswered"
FINDING_COLUMNS = ("Procedure", "Where", "Found", "Other side", "End feel", "Pain", "Familiar")
MOST_QUESTIONS = 4
"""Open questions of one flag shown in full."""


def text(words: str, tone: Tone = Tone.PLAIN) -> Block:
    return Block(BlockKind.TEXT, words, tone=tone)


def listing(items: Sequence[str], lead: str = "") -> Block:
    return Block(BlockKind.LIST, lead, tuple(items))


def table(columns: Sequence[str], rows: Sequence[Sequence[str]], caption: str = "") -> Block:
    return Block(BlockKind.TABLE, caption, columns=tuple(columns), rows=tuple(tuple(row) for row in rows))


def facts(rows: Sequence[tuple[str, str]]) -> Block:
    return Block(BlockKind.FACTS, rows=tuple(rows))


def story_section(case: Case) -> Section:
    """Person, complaint and story; what was not asked is said to be not recorded."""
    person, complaint = case.person, case.complaint
    since = since_words(complaint)
    rows = [
        ("Age", plain(person.age) if person.age is not None else NOT_RECORDED),
        ("Sex", person.sex or NOT_RECORDED),
        ("Dominant side", str(person.dominant or NOT_RECORDED)),
        ("Side of complaint", str(complaint.side or NOT_RECORDED)),
        ("Onset", joined([one for one in (complaint.onset, since) if one])),
        ("Irritability", str(complaint.irritability or NOT_RECORDED)),
        ("Areas", joined([AREAS.get(area, area) for area in complaint.areas])),
    ]
    story = clean(complaint.story) or "No story was recorded."
    return Section("story", "Person and story", (facts(rows), text(story)))


def since_words(complaint: Complaint, before: str = "ago") -> str | None:
    """`16 weeks ago`, or before what is given; None when it was not said."""
    weeks = complaint.weeks
    return None if weeks is None else f"under a week {before}" if weeks < 1 else f"{plain(weeks)} weeks {before}"


def safety_section(verdict: Verdict, notes: Footnotes) -> Section:
    """The safety verdict first, then what raised it."""
    tone = Tone.ALERT if verdict.is_pressing or verdict.is_held else Tone.PLAIN
    lead = f"Safety verdict: {verdict.words}. {sentence(verdict.action)}".strip()
    blocks = [text(lead, tone)]
    if verdict.is_overridden:
        by = f" by {clean(verdict.override_by)}" if verdict.override_by else ""
        blocks.append(text(f"Overridden{by}. Recorded reason: {clean(verdict.override_reason)}", Tone.ALERT))
    if verdict.stops_handson:
        blocks.append(text("Hands-on examination stops here.", Tone.ALERT))
    if verdict.raised:
        blocks.append(
            table(("Raised", "Urgency", "Because", "What to do"), [_flag(one, notes) for one in verdict.raised])
        )
    return Section("safety", "Safety", tuple(blocks), tone)


def screen_section(case: Case, verdict: Verdict, library: Library, notes: Footnotes) -> Section:
    """What cannot be excluded, what changes how hands are used, what was and was not asked."""
    blocks: list[Block] = []
    if verdict.not_excluded:
        rows = [_open_flag(one, notes, library) for one in verdict.not_excluded]
        blocks.append(table(("Not excluded", "Urgency", "Because", "Still unanswered"), rows))
    if verdict.conflicts:
        items = [f"{one.says} although the answer was no; the danger counts" for one in verdict.conflicts]
        blocks.append(listing(items, "Noticed against an answer:"))
    if verdict.precautions:
        rows = [
            (
                f"{sentence(one.condition)} {notes.of_source_id(one.source)}".strip(),
                one.because,
                joined([one.handling, one.mobilisation, one.thrust], "; "),
                one.provenance,
            )
            for one in verdict.precautions
        ]
        blocks.append(table(("Precaution", "Because", "Hands", "Label"), rows))
    return Section("screen", "Screen", (*blocks, *_answers(case, library)))


def _flag(flag: RaisedFlag, notes: Footnotes) -> tuple[str, ...]:
    because = joined([f"{reason.question} ({reason.known_from})" for reason in flag.reasons], "; ")
    label = f"{notes.of_source_id(flag.source)} ({weakest(_flag_labels(flag))})"
    return f"{sentence(flag.name)} {label}", flag.urgency.words, because, flag.action


def _flag_labels(flag: RaisedFlag) -> tuple[str, ...]:
    return flag.urgency_provenance, flag.cues_provenance, flag.action_provenance


def _open_flag(flag: RaisedFlag, notes: Footnotes, library: Library) -> tuple[str, ...]:
    name, urgency, because, _ = _flag(flag, notes)
    asked = {question.id: question.question for question in questions(library)}
    told = [asked.get(cue, spoken(cue)) for cue in flag.unanswered[:MOST_QUESTIONS]]
    more = len(flag.unanswered) - len(told)
    return name, urgency, because, joined([*told, *([f"and {more} more"] if more else [])], " ")


def _answers(case: Case, library: Library) -> list[Block]:
    asked = {question.id: question.question for question in questions(library)}
    states = [(item, *_state(item, case.screen)) for item in first_screen(library)]
    yes = [asked.get(cue, spoken(cue)) for cue, answer in case.screen.items() if answer]
    blocks = [listing(yes, "Answered yes:")] if yes else []
    rows = [(item.title, question, state) for item, question, state in states if state != UNANSWERED]
    if rows:
        blocks.append(table(("Screen", "Question", "Answer"), rows))
    open_ = [item.title.lower() for item, _, state in states if state == UNANSWERED]
    if open_:
        blocks.append(text(f"UNANSWERED: {', '.join(open_)}."))
    unanswered = sum(cue not in case.screen for cue in asked)
    count = f"{unanswered} of {len(asked)} single screening questions are unanswered. Unanswered is not no."
    return [*blocks, text(count, Tone.QUIET)]


def _state(item: ScreenItem, screen: Mapping[str, bool]) -> tuple[str, str]:
    """What was asked and how it stands. Where only some of the single questions were answered, these are named."""
    answers = [(one.question, screen.get(one.id)) for one in item.follow_up]
    if any(answer for _, answer in answers):
        return item.question, "YES"
    told = [question for question, answer in answers if answer is False]
    if not told:
        return item.question, UNANSWERED
    if len(told) == len(answers):
        return item.question, "no"
    return " ".join(told), f"no; the other {len(answers) - len(told)} of this group unanswered"


def finding_sections(case: Case, library: Library) -> list[Section]:
    """Baseline (active motion) and the findings by region, each against the other side."""
    by_region: dict[str, list[Finding]] = {}
    for finding in case.findings:
        by_region.setdefault(library.catalogue[finding.procedure].region, []).append(finding)
    baseline = by_region.pop("active_motion", [])
    first = _region_blocks("", baseline, case, library) if baseline else (text("No baseline was recorded."),)
    made = [Section("baseline", "Baseline: active motion", first)]
    order = {region: place for place, region in enumerate(REGIONS)}
    blocks: list[Block] = []
    for region in sorted(by_region, key=lambda one: order.get(one, len(order))):
        blocks += _region_blocks(REGIONS.get(region, spoken(region)), by_region[region], case, library)
    said = tuple(blocks) or (text("No hands-on findings were recorded."),)
    return [*made, Section("findings", "Findings by region", said)]


def _region_blocks(caption: str, findings: Sequence[Finding], case: Case, library: Library) -> tuple[Block, ...]:
    complained = case.complaint.side
    rows = [
        _finding_row(one, _counterpart(one, findings) if one.side == complained else None, library) for one in findings
    ]
    blocks = [_without_empty_columns(table(FINDING_COLUMNS, rows, caption))]
    notes = [
        f"{library.catalogue[one.procedure].name}: {clean(one.note)}"
        for one in findings
        if one.note and one.note.strip()
    ]
    return (*blocks, listing(notes)) if notes else tuple(blocks)


def findings_table(findings: Sequence[Finding], library: Library, caption: str = "") -> Block:
    """Findings against the other side, without columns in which nothing was recorded."""
    return _without_empty_columns(
        table(FINDING_COLUMNS, [_finding_row(one, None, library) for one in findings], caption)
    )


def _without_empty_columns(block: Block) -> Block:
    """The table without columns in which nothing was recorded."""
    kept = [at for at in range(len(block.columns)) if at < 2 or any(row[at] != NOT_RECORDED for row in block.rows)]
    rows = [[row[at] for at in kept] for row in block.rows]
    return table([block.columns[at] for at in kept], rows, block.text)


def _counterpart(finding: Finding, findings: Sequence[Finding]) -> Finding | None:
    """The last finding of the same procedure and level on the other side."""
    wanted = finding.procedure, finding.side.other if finding.side else None, finding.level
    same = [one for one in findings if finding.side and (one.procedure, one.side, one.level) == wanted]
    return same[-1] if same else None


def _finding_row(finding: Finding, counterpart: Finding | None, library: Library) -> tuple[str, ...]:
    unit = finding.unit.value if finding.unit else ""
    other = found_words(counterpart) if counterpart else NOT_RECORDED
    if finding.other is not None:
        other = quantity(finding.other, unit)
        if finding.value is not None:
            other += f" ({apart(finding.value, finding.other, unit)})"
    return (
        library.catalogue[finding.procedure].name,
        side_and_level(finding.side, finding.level),
        found_words(finding),
        other,
        spoken(finding.end_feel) if finding.end_feel else NOT_RECORDED,
        pain_words(finding),
        yes_no(finding.familiar),
    )


def treatment_section(
    case: Case, retests: Sequence[RetestComparison], notes: Footnotes, *, with_errors: bool = True
) -> Section:
    """What was tried, and whether the re-test differs by more than error; the error figures unless told elsewhere."""
    blocks: list[Block] = []
    if case.treatments:
        rows = [
            (clean(one.technique), clean(one.dose) or NOT_RECORDED, clean(one.note) or NOT_RECORDED)
            for one in case.treatments
        ]
        blocks.append(table(("Technique", "Dose", "Response"), rows))
    else:
        blocks.append(text("No treatment was recorded."))
    if retests:
        compared = [row for comparison in retests for row in retest_rows(comparison)]
        blocks.append(table(("Re-test", "Recorded", "Before", "After", "Verdict"), compared, "Re-tests"))
        items = error_items(retests, notes) if with_errors else []
        if items:
            blocks.append(listing(items, "Error figures used:"))
    elif case.treatments:
        blocks.append(text("No sign was re-tested: whether treatment changed anything is not known."))
    return Section("treatment", "Treatment tried and re-test", tuple(blocks))


def retest_rows(comparison: RetestComparison) -> list[tuple[str, ...]]:
    """One row a field that was recorded both times: sign, field, before, after, verdict."""
    name = f"{comparison.name}, {side_and_level(comparison.side, comparison.level)}"
    if not comparison.fields:
        why = joined(comparison.caveats, "; ")
        return [(name, NOT_RECORDED, NOT_RECORDED, NOT_RECORDED, f"cannot be judged: {why}")]
    return [(name, field.label, field.before, field.after, verdict_of(field)) for field in comparison.fields]


def verdict_of(field: FieldChange) -> str:
    """`better, changed beyond error`."""
    return change_words(field.verdict, field.direction)


def change_words(verdict: str, direction: str) -> str:
    """`better, changed beyond error`; `no difference`."""
    words = VERDICT_WORDS[verdict]
    if direction == "none":
        return "no difference" if verdict == "within_error" else words
    return f"{direction}, {words}"


def error_items(retests: Sequence[RetestComparison], notes: Footnotes) -> list[str]:
    """The error figures behind the verdicts, each once, with its label, population and footnote."""
    made: dict[str, None] = {}
    for comparison in retests:
        for field in comparison.fields:
            if field.change is None:
                if field.caveat:
                    made[f"{sentence(field.label)}: {field.caveat}."] = None
                continue
            made[change_item(field.change, notes)] = None
    return list(made)


def change_item(change: Change, notes: Footnotes) -> str:
    """The error figures behind one verdict, with what is to be minded about them."""
    figures = [_error_words(figure, notes) for figure in change.figures if figure.kind != "SEM"]
    said = joined(figures, "; ") if figures else "no error figure in the evidence"
    caveats = f" {sentence(joined(change.caveats, '; '))}." if change.caveats else ""
    return f"{sentence(change.name)}: {said}.{caveats}"


def _error_words(figure: ErrorFigure, notes: Footnotes) -> str:
    value = quantity(float(f"{number(figure.value):.3g}"), figure.unit)
    label = figure.value.provenance.label
    origin = f"({label}; {figure.printed}; {figure.population}) [{notes.mark(figure.source)}]"
    return f"{FIGURE_WORDS[figure.kind]} {value} {origin}"
