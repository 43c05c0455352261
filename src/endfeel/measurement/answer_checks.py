"""What is wrong with an answered outcome measure before it is kept: every fault at once, in words for a page."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from datetime import date, datetime
from math import isfinite

from endfeel.evidence.library import Library
from endfeel.measurement.score import form_of, score_of
from endfeel.vocabulary import CannotRead, Fault, Refused
from endfeel.vocabulary.outcomes import OCCASION_WORDS, OCCASIONS, WITH_ACTIVITIES, OutcomeAnswer

LONGEST_INSTRUMENT = 60
LONGEST_ACTIVITY = 80


def answer_faults(answer: OutcomeAnswer, library: Library) -> list[Fault]:
    """What the answer says of itself that cannot be: range, number of items, what the number is about, activities.

    Raises NotFound for an unknown measure. Too few items answered is no fault of this kind: `score_of` refuses it.
    """
    faults = list(_shape_faults(answer))
    numbers = [one for one in (*answer.answers, answer.total) if one is not None]
    if any(not isfinite(one) for one in numbers):
        return [*faults, Fault("not a number", would_do="a number, or left blank", field="answers")]
    try:
        score_of(answer, library)
    except CannotRead as error:
        faults += [_placed(one, answer) for one in error.faults]
    except Refused as error:
        if form_of(answer.measure, library) is None:
            faults.append(Fault(str(error), field="answers"))
    return faults


def _placed(fault: Fault, answer: OutcomeAnswer) -> Fault:
    """The fault at the field of a form: the total, or the item it stands at."""
    if answer.total is not None:
        return replace(fault, field="total", column=0)
    return replace(fault, field=f"item-{fault.column}" if fault.column else "answers", column=0)


def _shape_faults(answer: OutcomeAnswer) -> Iterator[Fault]:
    if answer.total is None and not answer.answered:
        yield Fault("nothing was answered", would_do="the items in their order, or a total", field="answers")
    if answer.total is not None and answer.answers:
        yield Fault("items and a total at once", would_do="one of the two", field="total")
    wanted = OCCASIONS.get(answer.measure, ())
    listed = ", ".join(OCCASION_WORDS[one] for one in wanted)
    if wanted and answer.occasion not in wanted:
        read = OCCASION_WORDS[answer.occasion] if answer.occasion else ""
        yield Fault("what the number is about is not said", read, listed, field="occasion")
    if not wanted and answer.occasion is not None:
        yield Fault("this measure is not about one occasion", OCCASION_WORDS[answer.occasion], field="occasion")
    if len(answer.instrument) > LONGEST_INSTRUMENT:
        yield Fault(
            "too long", f"{len(answer.instrument)} letters", f"at most {LONGEST_INSTRUMENT}", field="instrument"
        )
    yield from _activity_faults(answer)


def _activity_faults(answer: OutcomeAnswer) -> Iterator[Fault]:
    names = [" ".join(one.split()) for one in answer.activities]
    if answer.measure != WITH_ACTIVITIES:
        if names:
            yield Fault("this measure asks for no activities", names[0], field="activities")
        return
    if answer.total is None and len(names) != len(answer.answers):
        yield Fault("an activity for every answer", str(len(names)), str(len(answer.answers)), field="activities")
    if any(not name for name in names):
        yield Fault("an activity has no name", would_do="a few words of the person's own", field="activities")
    if len({name.casefold() for name in names}) < len(names):
        yield Fault("the same activity twice", "; ".join(names), "each activity once", field="activities")
    for name in names:
        if len(name) > LONGEST_ACTIVITY:
            yield Fault("too long", name, f"at most {LONGEST_ACTIVITY} letters", field="activities")


def local_day(moment: datetime) -> date:
    """The day of a moment where this machine stands."""
    return moment.astimezone().date()


def day_faults(answered_on: date, today: date, after: date | None = None, before: date | None = None) -> list[Fault]:
    """A day that has not come yet, or that belongs to another visit; `after` and `before` are the visits around."""
    if answered_on > today:
        return [Fault("a day that has not come yet", f"{answered_on}", f"{today} or earlier", field="answered_on")]
    if after is not None and answered_on < after:
        wanted = f"{after} or later here; else enter it with the visit it belongs to"
        return [Fault("answered before the visit before this one", f"{answered_on}", wanted, field="answered_on")]
    if before is not None and answered_on > before:
        wanted = f"{before} or earlier here; else enter it with the visit it belongs to"
        return [Fault("answered after the visit after this one", f"{answered_on}", wanted, field="answered_on")]
    return []


def series_faults(answer: OutcomeAnswer, earlier: Sequence[OutcomeAnswer]) -> list[Fault]:
    """What keeps the answer off the line of the earlier ones of the same measure; nothing when it begins one.

    The two totals of one measure are two measures here: neither is ever on the line of the other.
    """
    same = [one for one in earlier if (one.measure, one.occasion) == (answer.measure, answer.occasion)]
    if not same or any(one.series == answer.series for one in same):
        return []
    last = same[-1]
    faults = []
    if last.series[2] != answer.series[2]:
        read, was = answer.instrument or "not stated", last.instrument or "not stated"
        faults.append(Fault("another instrument than before", read, was, field="instrument"))
    if last.series[3] != answer.series[3]:
        faults.append(
            Fault("other activities than before", _list(answer.activities), _list(last.activities), field="activities")
        )
    return faults


def _list(names: Iterable[str]) -> str:
    return "; ".join(names)
