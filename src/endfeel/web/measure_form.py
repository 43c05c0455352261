"""From what a form of an outcome measure holds to an answer; every fault names its field."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from endfeel.measurement.items import Form
from endfeel.vocabulary import CannotRead, Fault
from endfeel.vocabulary.outcomes import Answering, Occasion, OutcomeAnswer

MOST_ON_BUTTONS = 16
"""An item with so many steps or fewer is answered by buttons, one with more by typing."""


def read_answer(given: Mapping[str, str], form: Form) -> OutcomeAnswer:
    """The answer a form brought. Raises CannotRead with a fault for every field that does not do."""
    faults: list[Fault] = []
    answers: list[float | None] = []
    activities: list[str] = []
    for item in form.items:
        field = f"item-{item.number}"
        value = _number(given.get(field, ""), field, faults)
        if value is not None and not item.low <= value <= item.high:
            faults.append(Fault("out of range", f"{value:g}", f"{item.low} to {item.high}", field=field))
        name = " ".join(given.get(f"activity-{item.number}", "").split())
        if form.with_activities:
            if value is not None and not name:
                faults.append(Fault("rated, but not named", would_do="a few words", field=f"activity-{item.number}"))
            if not name:
                continue
            activities.append(name)
        answers.append(value)
    total = _number(given.get("total", ""), "total", faults)
    if total is not None and all(one is None for one in answers):
        answers, activities = [], []
    day = _day(given.get("answered_on", ""), faults)
    if faults or day is None:
        raise CannotRead(faults)
    return OutcomeAnswer(
        form.id,
        day,
        tuple(answers),
        total,
        Occasion(given["occasion"]) if given.get("occasion") in tuple(Occasion) else None,
        tuple(activities),
        Answering(given["answering"]) if given.get("answering") in tuple(Answering) else Answering.PERSON,
        " ".join(given.get("instrument", "").split()),
        given.get("note", "").strip(),
    )


def answer_fields(answer: OutcomeAnswer) -> dict[str, str]:
    """The fields of an answer as its form shows them, without the numbers: what stays the same from visit to visit."""
    named = {f"activity-{number}": name for number, name in enumerate(answer.activities, 1)}
    told = {"occasion": str(answer.occasion or ""), "answering": str(answer.answering), "instrument": answer.instrument}
    return {**told, **named}


def _number(word: str, field: str, faults: list[Fault]) -> float | None:
    word = word.strip().replace(",", ".").replace("−", "-")
    if not word:
        return None
    try:
        value = float(word)
    except ValueError:
        value = float("nan")
    if value != value or value in (float("inf"), float("-inf")):
        faults.append(Fault("not a number", word[:40], "a number, or left blank", field=field))
        return None
    return value


def _day(word: str, faults: list[Fault]) -> date | None:
    try:
        return date.fromisoformat(word.strip())
    except ValueError:
        faults.append(Fault("not a day", word[:40], "a day such as 2026-03-02", field="answered_on"))
        return None
