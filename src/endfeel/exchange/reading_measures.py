"""An outcome measure out of an Observation and the QuestionnaireResponse it was derived from, or why it is none."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

from endfeel.evidence.library import Library
from endfeel.exchange import systems as s
from endfeel.exchange.code_lists import public_code
from endfeel.exchange.elements import Json
from endfeel.exchange.reading_findings import NotUnderstood
from endfeel.exchange.reading_json import codings, objects
from endfeel.measurement import Form, form
from endfeel.measurement.answer_checks import answer_faults
from endfeel.measurement.score import score_of
from endfeel.vocabulary import NotFound, Refused
from endfeel.vocabulary.outcomes import Answering, Occasion, OutcomeAnswer

MEASURE = "measure."
"""Before the id of a form in the table of public codes."""
ROUNDED = 0.06
"""Points by which a total that was rounded on paper may differ from what its items make."""


def measure_named(told: Json, library: Library) -> str:
    """Id of the form an observation holds, by our own code, else by a public one that is a measure and nothing else."""
    listed = codings(told.get("code"))
    for one in listed:
        if one.get("system") == s.MEASURES and _is_form(str(one.get("code")), library):
            return str(one["code"])
    for one in listed:
        row = public_code(library, str(one.get("code")), MEASURE) if one.get("system") == s.LOINC else None
        if row is not None:
            return row.text["concept"].removeprefix(MEASURE)
    return ""


def answer_of(told: Json, form_id: str, sheets: Mapping[str, Json], library: Library) -> OutcomeAnswer:
    """The answered measure. `sheets` are QuestionnaireResponses by every name they are referred to.

    Raises NotUnderstood: no day, no occasion where one is needed, a number outside its range, items that do not make
    the total that stands beside them.
    """
    asked = form(form_id, library)
    parts = _parts(told)
    total = _number(told.get("valueQuantity"))
    sheet = next((sheets[one] for one in derived_from(told) if one in sheets), None)
    answers, activities = _items(sheet, asked) if sheet is not None else ((), ())
    if not answers and total is not None and len(asked.items) == 1:
        answers = (total,)
    answer = OutcomeAnswer(
        form_id,
        _day(told),
        answers,
        None if answers else total,
        parts.get("occasion"),
        activities,
        parts.get("answering") or Answering.PERSON,
        parts.get("instrument", ""),
        "\n".join(str(one["text"]) for one in objects(told.get("note")) if one.get("text")).strip(),
    )
    faults = [fault.sentence() for fault in answer_faults(answer, library)]
    if not faults and answers:
        faults = _unlike_total(answer, total, library)
    if faults:
        raise NotUnderstood(faults)
    return answer


def _is_form(form_id: str, library: Library) -> bool:
    try:
        form(form_id, library)
    except NotFound:
        return False
    return True


def _unlike_total(answer: OutcomeAnswer, total: float | None, library: Library) -> list[str]:
    try:
        made = score_of(answer, library).total
    except Refused as error:
        return [] if total is None else [f"a total beside too few items: {error}"]
    if total is not None and abs(made - total) > ROUNDED:
        return [f"its items make {made:g}, its total says {total:g}"]
    return []


def _items(sheet: Json, asked: Form) -> tuple[tuple[float | None, ...], tuple[str, ...]]:
    """Answers in item order, None where one was left blank; the person's activities where the form asks for them."""
    told: dict[int, tuple[float | None, str]] = {}
    for item in objects(sheet.get("item")):
        number = str(item.get("linkId", ""))
        if not number.isdecimal() or not 1 <= int(number) <= len(asked.items):
            raise NotUnderstood([f"it has no item {number or 'without a number'}"])
        told[int(number)] = _answer(objects(item.get("answer"))), " ".join(str(item.get("text") or "").split())
    if asked.with_activities:
        rated = [told[number] for number in sorted(told)]
        return tuple(value for value, _ in rated), tuple(name for _, name in rated)
    return tuple(told.get(number, (None, ""))[0] for number in range(1, len(asked.items) + 1)), ()


def _answer(answers: list[Json]) -> float | None:
    for one in answers:
        for name in ("valueDecimal", "valueInteger"):
            value = one.get(name)
            if isinstance(value, int | float) and not isinstance(value, bool):
                return float(value)
        raise NotUnderstood(["an item is not answered by a number"])
    return None


def _parts(told: Json) -> dict[str, Any]:
    """Occasion, who answered and the form, out of the components."""
    found: dict[str, Any] = {}
    for part in objects(told.get("component")):
        what = next((str(one.get("code")) for one in codings(part.get("code")) if one.get("system") == s.CONCEPTS), "")
        if what == "instrument":
            found[what] = " ".join(str(part.get("valueString", "")).split())
            continue
        kind = {"occasion": Occasion, "answering": Answering}.get(what)
        words = [str(one.get("code", "")) for one in codings(part.get("valueCodeableConcept"))]
        word = next((one.removeprefix(f"{what}-") for one in words if one.startswith(f"{what}-")), "")
        if kind is None or word not in tuple(kind):
            raise NotUnderstood(["a part of it is not one that is recorded here"])
        found[what] = kind(word)
    return found


def derived_from(told: Json) -> list[str]:
    """Names of what an observation was derived from."""
    return [str(one.get("reference", "")) for one in objects(told.get("derivedFrom"))]


def _day(told: Json) -> date:
    written = str(told.get("effectiveDateTime") or told.get("effectiveInstant") or "")
    try:
        return date.fromisoformat(written[:10])
    except ValueError:
        raise NotUnderstood(["the day it was answered is not told"]) from None


def _number(quantity: Any) -> float | None:
    value = quantity.get("value") if isinstance(quantity, dict) else None
    if isinstance(value, bool) or not isinstance(value, int | float):
        return None
    if quantity.get("comparator"):
        raise NotUnderstood([f"its value is only a bound: {quantity['comparator']} {value}"])
    return float(value)
