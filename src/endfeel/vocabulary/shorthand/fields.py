"""The fields of a finding given one by one (a row of a file, a form) instead of on a line."""

from __future__ import annotations

from collections.abc import Callable
from difflib import get_close_matches
from typing import Any

from endfeel.vocabulary.errors import Fault
from endfeel.vocabulary.procedures import Procedure
from endfeel.vocabulary.ranges import UNITS, Reached
from endfeel.vocabulary.shorthand.details import (
    END_FEEL_WORDS,
    REACH_WORDS,
    RESULT_WORDS,
    UNIT_WORDS,
    number_of,
    scan_line,
)
from endfeel.vocabulary.terms import LEVELS, EndFeel, OutcomeKind, Result, Unit

QUANTITIES = ("value", "other", "pain_onset", "resistance_onset")


def settle(given: dict[str, Any], procedure: Procedure) -> None:
    """Complete what the kind of procedure decides: the unit of a bare quantity, and which firm end is meant."""
    if given.get("end_feel") == "firm":
        given["end_feel"] = firm_end(procedure)
    if given.get("unit") is None and any(isinstance(given.get(name), Reached) for name in QUANTITIES):
        given["unit"] = Unit.LEVEL
    if given.get("unit") is None and any(given.get(name) is not None for name in QUANTITIES):
        unit = usual_unit(procedure.outcomes, only=given.get("value") is not None)
        if unit is not None:
            given["unit"] = unit


def usual_unit(kind: OutcomeKind, *, only: bool) -> Unit | None:
    """The unit of a quantity without one: the usual one, or (`only`) the one there is when there is no other."""
    units = UNITS.get(kind, ())
    return units[0] if units and (not only or len(units) == 1 or units[0] is Unit.DEGREES) else None


def firm_end(procedure: Procedure) -> EndFeel:
    """`firm` alone means the firm end that the joint normally has: ligament at SC and AC, capsule elsewhere."""
    ligament = procedure.region in {"sternoclavicular", "acromioclavicular"}
    return EndFeel.FIRM_LIGAMENT if ligament else EndFeel.FIRM_CAPSULAR


def _scanned(name: str, offer: str, before: str = "") -> Callable[[Any], Any]:
    """Read the field as it would be read on a line."""

    def read(value: object) -> Any:
        text = str(value).strip()
        for line in dict.fromkeys((before + text, text)):
            scan = scan_line(line, lambda _line, _at: None)
            if scan.faults:
                return scan.faults[0]
            if list(scan.given) == [name] and not scan.words:
                return scan.given[name]
        return Fault(f"not a {name.replace('_', ' ')}", text, offer)

    return read


def _whole(name: str, offer: str, before: str) -> Callable[[Any], Any]:
    words = _scanned(name, offer, before)

    def read(value: object) -> Any:
        if isinstance(value, bool) or (isinstance(value, float) and not value.is_integer()):
            return Fault(f"{name} is not a whole number", str(value).lower(), offer)
        return words(int(value) if isinstance(value, float) else value)

    return read


def _quantity(value: object) -> Any:
    """A plain number, or the place a hand reached."""
    step = REACH_WORDS.get(" ".join(str(value).lower().split()))
    return _number(value) if step is None else Reached(step)


def _number(value: object) -> Any:
    if isinstance(value, bool):
        return Fault("a number is wanted here", str(value).lower(), "a plain number; the unit stands in `unit`")
    try:
        return number_of(str(value).strip())
    except ValueError:
        return Fault("a number is wanted here", str(value), "a plain number; the unit stands in `unit`")


def _pain(value: object) -> Any:
    if isinstance(value, str):
        return _scanned("pain", "a number from 0 to 10", "p")(value)
    return _number(value)


def _end_feel(value: object) -> Any:
    words = " ".join(str(value).lower().replace("_", " ").replace("-", " ").split()).removesuffix(" end feel")
    if words == "firm":
        return words
    if words in END_FEEL_WORDS:
        return END_FEEL_WORDS[words]
    alike = get_close_matches(words, list(END_FEEL_WORDS), n=4, cutoff=0.6)
    return Fault(
        "no such end feel", str(value), "endfeel vocabulary end-feels",
        candidates=tuple(dict.fromkeys(str(END_FEEL_WORDS[word]) for word in alike)),
    )  # fmt: skip


def _unit(value: object) -> Any:
    word = str(value).strip().lower()
    return UNIT_WORDS.get(word) or Fault("no such unit", str(value), ", ".join(Unit))


def _result(value: object) -> Any:
    words = " ".join(str(value).lower().replace("_", " ").split())
    if value is True or value is False:
        return Result.POSITIVE if value else Result.NEGATIVE
    return RESULT_WORDS.get(words) or Fault("no such result", str(value), ", ".join(Result).replace("_", " "))


FIELD_READERS: dict[str, Callable[[Any], Any]] = {
    "level": _scanned("level", f"{LEVELS[0]} to {LEVELS[-1]}, R1 to R8"),
    "mobility": _whole("mobility", "a grade from 0 to 6", "m"),
    "end_feel": _end_feel,
    "value": _quantity,
    "unit": _unit,
    "other": _quantity,
    "pain": _pain,
    "pain_onset": _number,
    "resistance_onset": _number,
    "result": _result,
    "strength": _whole("strength", "a grade from 0 to 5", "strength "),
}
"""Reader by field: a written value to the value kept, or to the Fault that says what would do."""
