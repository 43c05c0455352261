"""From the text of a file to its resources, with clear faults where it is not what it should be."""

from __future__ import annotations

import json
import unicodedata
from typing import Any, NoReturn

from endfeel.exchange.elements import Json
from endfeel.vocabulary import CannotRead, Fault

DEEPEST = 60
"""Levels of nesting; resources of the standard have a dozen."""
MOST_FIGURES = 300
"""Of a whole number; a floating one of more would be endless."""
NO_LETTER = "\ufffd"
"""In the place of a control character or half a letter, which no database keeps."""
WANTED = "a FHIR R4 bundle, or one Patient or Observation, as JSON"


def resources_in(text: str) -> list[tuple[Json, str]]:
    """Every resource with the address it was given in its bundle; one a line is read too. Raises CannotRead."""
    whole = text.lstrip("\ufeff").strip()
    if not whole:
        raise CannotRead([Fault("nothing is written in it", would_do=WANTED)])
    if whole.startswith("<"):
        raise CannotRead([Fault("XML is not read", whole[:40], f"{WANTED}; most programs offer both")])
    found: list[tuple[Json, str]] = []
    faults: list[Fault] = []
    for number, value in enumerate(_values(whole), 1):
        _collect(value, f"resource {number}", found, faults)
    if faults:
        raise CannotRead(faults)
    return found


def objects(value: Any) -> list[Json]:
    """The objects of a list; nothing for what is no list."""
    return [one for one in value if isinstance(one, dict)] if isinstance(value, list) else []


def codings(concept: Any) -> list[Json]:
    """The codings of a concept; nothing for what is none."""
    return objects(concept.get("coding")) if isinstance(concept, dict) else []


def compact(value: Any) -> str:
    """Anything that was written as words on one line: names before their values, nothing left out."""
    if isinstance(value, str):
        return value
    if isinstance(value, list):
        return " / ".join(compact(one) for one in value)
    if isinstance(value, dict):
        told = ((name, one) for name, one in value.items() if one not in (None, "", [], {}))
        return ", ".join(
            f"{name} ({compact(one)})" if isinstance(one, dict) else f"{name} {compact(one)}" for name, one in told
        )
    return json.dumps(value)


def _values(whole: str) -> list[Any]:
    try:
        return [_parsed(whole)]
    except json.JSONDecodeError as error:
        lines = [line for line in whole.splitlines() if line.strip()]
        if error.msg != "Extra data" or len(lines) < 2:
            fault = Fault(
                f"not JSON: {error.msg}", whole[error.pos : error.pos + 30], WANTED, error.lineno, error.colno
            )
            raise CannotRead([fault]) from error
    try:
        return [_parsed(line) for line in lines]
    except json.JSONDecodeError as error:
        raise CannotRead([Fault(f"not JSON, one resource a line: {error.msg}", error.doc[:40], WANTED)]) from error


def _parsed(text: str) -> Any:
    try:
        return _kept(json.loads(text, parse_constant=_no_number, parse_int=_whole))
    except RecursionError as error:
        raise CannotRead([_TOO_DEEP]) from error


_TOO_DEEP = Fault("nested too deep to be read", would_do=WANTED)


def _kept(value: Any, depth: int = 0) -> Any:
    """The same with letters that can be kept alone. Raises CannotRead for what is nested too deep."""
    if depth > DEEPEST:
        raise CannotRead([_TOO_DEEP])
    if isinstance(value, str):
        return "".join(
            NO_LETTER if unicodedata.category(one) in ("Cc", "Cs") and one not in "\n\r\t" else one for one in value
        )
    if isinstance(value, dict):
        return {_kept(name, depth): _kept(one, depth + 1) for name, one in value.items()}
    return [_kept(one, depth + 1) for one in value] if isinstance(value, list) else value


def _whole(figures: str) -> int:
    if len(figures) > MOST_FIGURES:
        raise CannotRead([Fault("a number with too many figures", figures, f"at most {MOST_FIGURES}")])
    return int(figures)


def _no_number(word: str) -> NoReturn:
    raise CannotRead([Fault("not a number of JSON", word, "a plain number")])


def _collect(value: Any, place: str, found: list[tuple[Json, str]], faults: list[Fault], url: str = "") -> None:
    kind = value.get("resourceType") if isinstance(value, dict) else None
    if not isinstance(kind, str) or not kind:
        read = _short(value)
        faults.append(Fault(f"{place} says no resourceType", read, WANTED))
        return
    if kind != "Bundle":
        found.append((value, url))
        return
    entries = value.get("entry", [])
    if not isinstance(entries, list):
        faults.append(Fault(f"{place}: entry is no list", _short(entries), "a list of entries"))
        return
    for number, entry in enumerate(entries, 1):
        at = f"{place}, entry {number}"
        if not isinstance(entry, dict):
            faults.append(Fault(f"{at} is no object", _short(entry), "an entry with a resource"))
        elif "resource" in entry:
            inside = entry["resource"]
            if isinstance(inside, dict) and inside.get("resourceType") == "Bundle":
                found.append((inside, ""))
            else:
                _collect(inside, at, found, faults, str(entry.get("fullUrl", "")))


def _short(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False, default=str)[:60]
