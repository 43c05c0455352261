"""Several visits in one file: CSV with a line a measure, or JSON with a list of visits. Every fault names its place."""

from __future__ import annotations

import csv
import json
import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from endfeel.vocabulary.cases import REVIEW_OUTCOMES
from endfeel.vocabulary.errors import CannotRead, Fault
from endfeel.vocabulary.outcomes import OCCASION_WORDS, Answering, Occasion, OutcomeAnswer

COLUMNS = ("date", "measure", "answers", "total", "occasion", "activities", "instrument", "answering")
WANTED = "date,measure,total or date,measure,answers; answers with spaces, - for a blank; activities with ;"


@dataclass(frozen=True, slots=True)
class WrittenVisit:
    """One visit of a file."""

    day: date
    answers: tuple[OutcomeAnswer, ...]
    findings: tuple[str, ...]
    """Lines of shorthand."""
    instrument: str
    line: int
    review: str = ""
    """What a formal review decided; empty without one."""
    outlook: Mapping[str, str] = field(default_factory=dict)
    """What else foretells: answers by question."""


def read_visits(text: str, name: str) -> tuple[WrittenVisit, ...]:
    """The visits of a file; JSON where it begins with a brace or bracket, else CSV. Raises CannotRead."""
    if not text.strip():
        raise CannotRead([Fault("nothing is written in it", file=name, would_do=WANTED)])
    return _read_json(text, name) if text.lstrip()[:1] in "{[" else _read_csv(text, name)


def _read_csv(text: str, name: str) -> tuple[WrittenVisit, ...]:
    lines_read = text.lstrip("\ufeff").splitlines(keepends=True)
    try:
        rows = list(csv.DictReader(lines_read, skipinitialspace=True))
    except csv.Error as error:
        raise CannotRead([Fault("not a table of values with commas", str(error), WANTED, file=name)]) from None
    header = [(word or "").strip().lower() for word in next(csv.reader(lines_read), [])]
    unknown = [word for word in header if word not in COLUMNS]
    if unknown or not {"date", "measure"} <= set(header):
        raise CannotRead([Fault("not the columns of a course", ",".join(header), WANTED, line=1, file=name)])
    faults: list[Fault] = []
    visits: dict[date, list[OutcomeAnswer]] = {}
    lines: dict[date, int] = {}
    for line, row in enumerate(rows, 2):
        told = {
            (key or "").strip().lower(): (value or "").strip() for key, value in row.items() if isinstance(value, str)
        }
        answer = _answer(told, line, name, faults)
        if answer:
            if answer.answered_on not in lines and any(day > answer.answered_on for day in lines):
                faults.append(_fault(name, line, "date", "before the line above it", told["date"], "in order of days"))
            visits.setdefault(answer.answered_on, []).append(answer)
            lines.setdefault(answer.answered_on, line)
    if faults:
        raise CannotRead(faults)
    return tuple(WrittenVisit(day, tuple(answers), (), "", lines[day]) for day, answers in visits.items())


def _answer(told: Mapping[str, str], line: int, name: str, faults: list[Fault]) -> OutcomeAnswer | None:
    before = len(faults)
    day = _day(told.get("date", ""), line, name, faults)
    measure = told.get("measure", "").lower()
    if not measure:
        faults.append(_fault(name, line, "measure", "no measure is named", "", "an id such as spadi"))
    answers = tuple(_number(one, line, "answers", name, faults) for one in told.get("answers", "").split())
    total = _number(told["total"], line, "total", name, faults) if told.get("total") else None
    said = {words: str(one) for one, words in OCCASION_WORDS.items()}
    occasion = told.get("occasion", "").lower()
    occasion = _word(Occasion, said.get(occasion, occasion), line, "occasion", name, faults)
    answering = _word(Answering, told.get("answering", ""), line, "answering", name, faults) or Answering.PERSON
    activities = tuple(one.strip() for one in told.get("activities", "").split(";") if one.strip())
    if len(faults) > before or day is None:
        return None
    if occasion and total is not None and not answers:
        answers, total = (total,), None
    return OutcomeAnswer(measure, day, answers, total, occasion, activities, answering, told.get("instrument", ""))


def _read_json(text: str, name: str) -> tuple[WrittenVisit, ...]:
    try:
        told = json.loads(text)
    except json.JSONDecodeError as error:
        raise CannotRead([Fault(f"not JSON: {error.msg}", line=error.lineno, column=error.colno, file=name)]) from error
    except (RecursionError, ValueError) as error:
        told = "nested too deep" if isinstance(error, RecursionError) else "a number with too many figures"
        raise CannotRead([Fault(f"not JSON as it is written here: {told}", file=name, would_do=WANTED)]) from error
    visits = told.get("visits") if isinstance(told, dict) else told
    if not isinstance(visits, list) or not visits or not all(isinstance(one, dict) for one in visits):
        raise CannotRead([Fault("no visits in it", file=name, would_do='{"visits": [{"date": "2026-03-02", ...}]}')])
    faults: list[Fault] = []
    read = [_json_visit(one, number, name, faults) for number, one in enumerate(visits, 1)]
    if faults:
        raise CannotRead(faults)
    return tuple(one for one in read if one is not None)


def _json_visit(told: Mapping[str, Any], number: int, name: str, faults: list[Fault]) -> WrittenVisit | None:
    day = _day(str(told.get("date", "")), number, name, faults)
    answers = []
    for one in _listed(told, "measures", number, name, faults):
        if not isinstance(one, dict):
            faults.append(
                _fault(name, number, "measures", "not a measure", str(one), '{"measure": "spadi", "total": 40}')
            )
            continue
        flat = {key: _flat(value, ";" if key == "activities" else " ") for key, value in one.items()}
        unknown = [key for key in flat if key not in COLUMNS]
        if unknown:
            faults.append(_fault(name, number, unknown[0], "no such key", unknown[0], ", ".join(COLUMNS)))
        flat.setdefault("date", str(told.get("date", "")))
        answer = _answer(flat, number, name, faults)
        if answer:
            answers.append(answer)
    findings = tuple(str(one) for one in _listed(told, "findings", number, name, faults))
    if day is None:
        return None
    review = str(told.get("review", ""))
    if review and review not in REVIEW_OUTCOMES:
        faults.append(_fault(name, number, "review", "no such word", review, ", ".join(REVIEW_OUTCOMES)))
    decided = REVIEW_OUTCOMES.get(review, "")
    outlook = told.get("outlook") or {}
    if not isinstance(outlook, dict):
        faults.append(
            _fault(name, number, "outlook", "no answers", str(outlook), '"outlook": {"expectation": "slight"}')
        )
        return None
    answered = {str(question): str(answer) for question, answer in outlook.items()}
    return WrittenVisit(day, tuple(answers), findings, str(told.get("instrument", "")), number, decided, answered)


def _listed(told: Mapping[str, Any], key: str, number: int, name: str, faults: list[Fault]) -> list[Any]:
    """The list under a key; nothing where there is none."""
    value = told.get(key)
    if value is None or isinstance(value, list):
        return value or []
    faults.append(_fault(name, number, key, "not a list", str(value), f'"{key}": [...]'))
    return []


def _flat(value: Any, between: str) -> str:
    if isinstance(value, list):
        return between.join("-" if one is None else str(one) for one in value)
    return "" if value is None else str(value)


def _day(word: str, line: int, name: str, faults: list[Fault]) -> date | None:
    try:
        return date.fromisoformat(word)
    except ValueError:
        faults.append(_fault(name, line, "date", "not a day", word, "a day such as 2026-03-02"))
        return None


def _number(word: str, line: int, field: str, name: str, faults: list[Fault]) -> float | None:
    if word in ("-", "–", "_"):
        return None
    try:
        value = float(word.replace(",", "."))
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        faults.append(_fault(name, line, field, "not a number", word, "a number, - for a blank"))
        return None
    return value


def _word(kind: Any, word: str, line: int, field: str, name: str, faults: list[Fault]) -> Any:
    if not word:
        return None
    try:
        return kind(word.lower().replace(" ", "_"))
    except ValueError:
        faults.append(_fault(name, line, field, "no such word", word, ", ".join(kind)))
        return None


def _fault(name: str, line: int, field: str, message: str, read: str, would_do: str) -> Fault:
    return Fault(f"{field}: {message}", read, would_do, line=line, file=name, field=field)
