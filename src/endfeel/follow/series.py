"""From what was answered and measured over the visits to lines: one measure, one instrument, one value a day."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from endfeel.evidence.library import Library
from endfeel.follow.outlook import outlook_faults
from endfeel.measurement.answer_checks import answer_faults, series_faults
from endfeel.measurement.score import form_of, score_of
from endfeel.vocabulary import CannotRead, EndfeelError, Fault, Finding, NotFound, Refused
from endfeel.vocabulary.outcomes import OCCASION_WORDS, WITH_ACTIVITIES, Occasion, OutcomeAnswer

NUMBER_UNITS = ("deg", "N", "cm")


@dataclass(frozen=True, slots=True)
class FollowedVisit:
    """One visit as it is followed: its day, what was answered, what was measured, and by what."""

    day: date
    answers: tuple[OutcomeAnswer, ...] = ()
    findings: tuple[Finding, ...] = ()
    """As found before treatment."""
    instrument: str = ""
    """By what angles were measured."""
    id: str = ""
    review: str = ""
    """What a formal review in this visit decided; empty without one."""
    outlook: Mapping[str, str] = field(default_factory=dict)
    """What else foretells, as it was answered in this visit: answers by question."""
    line: int = 0
    """Where it stands in a file; 0 when it came from the records."""


@dataclass(frozen=True, slots=True)
class Reading:
    """One value on one day."""

    day: date
    value: float
    visit: int
    """Which visit, from 1."""


@dataclass(frozen=True, slots=True)
class Line:
    """The values of one measure that may be set against each other."""

    id: str
    measure: str
    """Id of the form or of the procedure."""
    name: str
    readings: tuple[Reading, ...]
    occasion: Occasion | None = None
    instrument: str = ""
    activities: tuple[str, ...] = ()
    is_outcome: bool = True
    """An outcome measure; False for an angle or a force."""
    left_out: tuple[str, ...] = ()
    """What is not on the line, with the reason."""


def last_examination(found: Sequence[Sequence[Finding]], share: float) -> int:
    """Place of the last visit in which at least this share of what was found in the fullest was found; the last of all
    where nothing ever was. `found` holds the findings of each visit, at least one visit."""
    counts = [len({(one.procedure, one.side, one.level) for one in visit}) for visit in found]
    return max(place for place, count in enumerate(counts) if count >= share * max(counts))


def check_visits(visits: Sequence[FollowedVisit], today: date, library: Library) -> None:
    """Raises CannotRead with every fault: days out of order or still to come, answers that cannot be, a changed
    instrument, the same measure twice on a visit. What else foretells is checked in files alone: records may be older
    than the questions."""
    faults: list[Fault] = []
    for number, visit in enumerate(visits, 1):
        if visit.line:
            faults += [replace(one, line=visit.line) for one in outlook_faults(visit.outlook, library)]
        if visit.day > today:
            faults.append(_at(visit, "a day that has not come yet", f"{visit.day}", f"{today} or earlier"))
        before = visits[number - 2] if number > 1 else None
        if before and visit.day < before.day:
            faults.append(
                _at(visit, f"visit {number} comes before visit {number - 1}", f"{visit.day}", f"{before.day} or later")
            )
        for answer in visit.answers:
            faults += _answer_faults(visit, answer, today, library)
    faults += _broken_lines(visits)
    if faults:
        raise CannotRead(faults)


def _at(visit: FollowedVisit, message: str, read: str = "", would_do: str = "", field: str = "date") -> Fault:
    return Fault(message, read, would_do, line=visit.line, field=field)


def _answer_faults(visit: FollowedVisit, answer: OutcomeAnswer, today: date, library: Library) -> list[Fault]:
    try:
        own = answer_faults(answer, library)
    except NotFound as error:
        own = [Fault(str(error), field="measure")]
    found = [
        Fault(f"{answer.measure}: {one.message}", one.read, one.would_do, line=visit.line, field=one.field)
        for one in own
    ]
    if answer.answered_on > today:
        found.append(_at(visit, f"{answer.measure}: a day that has not come yet", f"{answer.answered_on}"))
    if answer.answered_on > visit.day:
        found.append(_at(visit, f"{answer.measure}: answered after its visit", f"{answer.answered_on}", f"{visit.day}"))
    if sum(one.series == answer.series for one in visit.answers) > 1:
        found.append(_at(visit, f"{answer.measure}: answered twice in one visit", field="measure"))
    return found


def _broken_lines(visits: Sequence[FollowedVisit]) -> list[Fault]:
    """Answers of a file that cannot stand on the line of the earlier ones: another instrument, other activities.

    In the records such a line was begun on purpose, and is shown as one of its own.
    """
    faults: list[Fault] = []
    earlier: list[OutcomeAnswer] = []
    for visit in visits:
        for answer in visit.answers if visit.line else ():
            faults += [
                replace(one, message=f"{answer.measure}: {one.message}", line=visit.line)
                for one in series_faults(answer, earlier)
            ]
        earlier += visit.answers
    return faults


def lines_of(visits: Sequence[FollowedVisit], library: Library) -> tuple[Line, ...]:
    """Every line of these visits: outcome measures first, then what was measured by hand at two visits or more."""
    return (*_outcome_lines(visits, library), *_finding_lines(visits, library))


def _outcome_lines(visits: Sequence[FollowedVisit], library: Library) -> Iterable[Line]:
    groups: dict[object, list[tuple[int, OutcomeAnswer]]] = {}
    for number, visit in enumerate(visits, 1):
        for answer in visit.answers:
            groups.setdefault(answer.series, []).append((number, answer))
    for told in groups.values():
        yield _outcome_line(told, library)


def _outcome_line(told: Sequence[tuple[int, OutcomeAnswer]], library: Library) -> Line:
    first = told[0][1]
    common = _common_activities([answer for _, answer in told])
    readings, left_out = [], []
    for number, answer in told:
        try:
            value = _activity_mean(answer, common) if common else score_of(answer, library).total
        except EndfeelError as error:
            left_out.append(f"visit {number}: {error}")
            continue
        readings.append(Reading(answer.answered_on, value, number))
    rated = {name for _, answer in told for name in _named(answer)}
    if common and len(common) < len(rated):
        left_out.append(f"averaged over the activities rated every time: {', '.join(sorted(common))}")
    form = form_of(first.measure, library)
    entry = next((m for m in library.documents["outcome_measures"]["measure"] if m["id"] == first.measure), None)
    name = form["name"] if form else entry["name"] if entry else first.measure
    where = f", {OCCASION_WORDS[first.occasion]}" if first.occasion else ""
    by = f" ({first.instrument})" if first.instrument else ""
    parts = (first.measure, first.occasion or "", first.series[2].replace(" ", "-"))
    return Line(
        id="-".join(str(part) for part in parts if part),
        measure=first.measure,
        name=f"{name}{where}{by}",
        readings=tuple(readings),
        occasion=first.occasion,
        instrument=first.instrument,
        activities=first.activities,
        left_out=tuple(left_out),
    )


def _named(answer: OutcomeAnswer) -> dict[str, float]:
    """The rated activities by their plain name."""
    names = (" ".join(one.casefold().split()) for one in answer.activities)
    return {name: value for name, value in zip(names, answer.answers, strict=False) if value is not None}


def _common_activities(answers: Sequence[OutcomeAnswer]) -> frozenset[str]:
    """Activities rated every time; none for a measure without activities or with a total."""
    if answers[0].measure != WITH_ACTIVITIES or any(one.total is not None for one in answers):
        return frozenset()
    rated = [frozenset(_named(one)) for one in answers if one.answered]
    return frozenset.intersection(*rated) if rated else frozenset()


def _activity_mean(answer: OutcomeAnswer, common: frozenset[str]) -> float:
    rated = _named(answer)
    if not common <= set(rated):
        raise Refused("no activity was rated")
    return sum(rated[name] for name in common) / len(common)


def _finding_lines(visits: Sequence[FollowedVisit], library: Library) -> Iterable[Line]:
    groups: dict[tuple[str, str, str, str, str], list[Reading]] = {}
    for number, visit in enumerate(visits, 1):
        last: dict[tuple[str, str, str, str, str], float] = {}
        for one in visit.findings:
            if one.value is not None and one.unit in NUMBER_UNITS:
                key = (one.procedure, str(one.side or ""), one.level or "", str(one.unit), visit.instrument.casefold())
                last[key] = one.value
        for key, value in last.items():
            groups.setdefault(key, []).append(Reading(visit.day, value, number))
    instruments: dict[tuple[str, ...], set[str]] = {}
    for key in groups:
        instruments.setdefault(key[:4], set()).add(key[4])
    for (procedure, side, level, unit, instrument), readings in groups.items():
        if len(readings) < 2:
            continue
        place = ", ".join(word for word in (side, level) if word)
        named = library.catalogue[procedure].name
        others = instruments[procedure, side, level, unit] - {instrument}
        split = ", ".join(one or "something not stated" for one in sorted(others))
        yield Line(
            id="-".join(part for part in (procedure, side, level, instrument.replace(" ", "-")) if part),
            measure=procedure,
            name=f"{named}{f', {place}' if place else ''}{f' ({instrument})' if instrument else ''}",
            readings=tuple(readings),
            instrument=instrument,
            is_outcome=False,
            left_out=(f"also measured by {split}: not on this line",) if others else (),
        )
