"""One Observation of somebody else as a finding, or why it is none."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any

from endfeel.evidence.library import Library
from endfeel.exchange import systems as s
from endfeel.exchange.code_lists import public_code
from endfeel.exchange.elements import SCORE, UCUM_CODES, Json
from endfeel.exchange.reading_json import codings, compact, objects
from endfeel.vocabulary import REACHED, EndFeel, Finding, Result, Side, Unit
from endfeel.vocabulary.findings import both_pressures
from endfeel.vocabulary.ranges import Limits, faults_of

FROM_ELSEWHERE = "Taken over from elsewhere"
_PRESSURES = ("systolic", "diastolic")
_SILENT = {
    "resourceType", "id", "meta", "text", "language", "implicitRules", "identifier", "status", "category", "code",
    "subject", "issued", "bodySite", "component", "note", "effectiveDateTime", "effectiveInstant", "effectivePeriod",
}  # fmt: skip
_OURS = {"encounter", "performer", "partOf"}
_UNITS = (
    {code: unit for unit, code in UCUM_CODES.items()} | {str(unit): unit for unit in UCUM_CODES} | {"°": Unit.DEGREES}
)
_RESULTS = {"POS": Result.POSITIVE, "NEG": Result.NEGATIVE, "N": Result.NORMAL, "IND": Result.UNCLEAR}
"""Interpretations of the standard that are outcomes of a test."""


class NotUnderstood(Exception):  # noqa: N818 (reads as a sentence)
    """Why an observation is no finding of ours."""

    def __init__(self, reasons: Iterable[str], unknown: Iterable[str] = ()) -> None:
        self.reasons, self.unknown = tuple(reasons), tuple(unknown)
        super().__init__("; ".join(self.reasons))


def finding_of(told: Json, library: Library, limits: Limits) -> tuple[Finding, list[str]]:
    """The finding, and in words what has no place in it. Raises NotUnderstood."""
    what, side = _procedure(told, library)
    vital = what if what in ("blood_pressure", "pulse", *_PRESSURES) else ""
    procedure = library.catalogue["bp_pulse" if vital else what]
    given: dict[str, Any] = {"procedure": procedure.id}
    left: list[str] = []
    own_side, level = _site(told.get("bodySite"))
    given |= {"side": own_side or side if procedure.sided or own_side else None, "level": level}
    _take_value(told, given, left)
    parts = objects(told.get("component"))
    left += [_part_words(part) for part in parts if not _take_part(part, given, library)]
    placed = {"interpretation"} if _take_interpretation(told, given) else set()
    notes = [str(one.get("text", "")) for one in objects(told.get("note"))]
    if vital == "diastolic":
        raise NotUnderstood(["a lower pressure alone is not recorded"])
    if "diastolic" in given:
        lower = given.pop("diastolic")
        pair = both_pressures(f"{given.get('value', 0):g}", f"{lower:g}")
        notes = notes if any(re.search(r"\d/\d", one) for one in notes) else [pair, *notes]
    given["note"] = "\n".join(one for one in notes if one.strip()) or None
    left += [f"{name}: {compact(value)}" for name, value in told.items() if name not in placed and _is_left(name, told)]
    finding = Finding(**given)
    reasons = [fault.sentence() for _, fault in faults_of(finding, procedure, limits)]
    if procedure.sided and finding.side is None:
        reasons.append("no side is told")
    if procedure.levels and finding.level not in procedure.levels:
        reasons.append(f"no level is told that {procedure.name} has")
    if reasons:
        raise NotUnderstood(reasons)
    return finding, [one for one in left if one]


def found_note(finding: Finding, left: Iterable[str]) -> Finding:
    """The finding with what has no place in it told in its note."""
    told = "; ".join(left)
    if not told:
        return finding
    return replace(finding, note="\n".join(filter(None, (finding.note, f"{FROM_ELSEWHERE}: {told}"))))


def is_ours(told: Json) -> bool:
    """Whether it came out of a record of this kind."""
    return any(one.get("system") == s.ENTRY_IDS for one in objects(told.get("identifier")))


def name_of_observation(told: Json) -> str:
    """What it calls itself."""
    code = told.get("code")
    if not isinstance(code, dict):
        return "without a name"
    listed = codings(code)
    spoken = [code.get("text"), *(one.get("display") for one in listed), *(one.get("code") for one in listed)]
    return next((str(one) for one in spoken if one), "without a name")


def in_words(told: Json) -> str:
    """All that is in it: its name and codes, its value, its parts, and the rest as it was written."""
    codes = ", ".join(_code_words(one) for one in codings(told.get("code")))
    named = f"{name_of_observation(told)} ({codes})" if codes else name_of_observation(told)
    parts = [f"{named}: {_value_words(told) or 'no value'}"]
    parts += [_part_words(one) for one in objects(told.get("component"))]
    site = told.get("bodySite")
    parts += [f"at {_concept_words(site)}"] if site else []
    parts += [f"on {told[name]}" for name in ("effectiveDateTime", "effectiveInstant") if told.get(name)]
    parts += [str(one.get("text", "")) for one in objects(told.get("note"))]
    known = {*_SILENT, "subject"} - {"effectivePeriod", "issued"}
    parts += [
        f"{name}: {compact(value)}"
        for name, value in told.items()
        if name not in known and not name.startswith("value") and value
    ]
    return f"{FROM_ELSEWHERE}: " + "; ".join(part for part in parts if part)


def _procedure(told: Json, library: Library) -> tuple[str, Side | None]:
    """What was done, and the side the code itself tells. Raises NotUnderstood with the codes that mean nothing here."""
    told_codes = codings(told.get("code"))
    for one in told_codes:
        if one.get("system") == s.PROCEDURES and str(one.get("code")) in library.catalogue:
            return str(one["code"]), None
    for one in told_codes:
        row = public_code(library, str(one.get("code"))) if one.get("system") == s.LOINC else None
        if row is not None and (row.text["concept"] in library.catalogue or row.text["concept"] in _VITAL):
            side = row.text.get("side")
            return row.text["concept"], Side(side) if side else None
    if any(one.get("system") == s.MEASURES for one in told_codes):
        raise NotUnderstood(["an outcome measure that is not known here"])
    if not told_codes:
        raise NotUnderstood(["it has no code"])
    raise NotUnderstood(["none of its codes is known here"], (_code_words(one) for one in told_codes))


_VITAL = ("blood_pressure", "pulse", *_PRESSURES)


def _site(site: Any) -> tuple[Side | None, str | None]:
    """Side and level: by our own code, else the side by the words right and left."""
    if not isinstance(site, dict):
        return None, None
    for one in codings(site):
        if one.get("system") == s.SITES:
            side, _, level = str(one.get("code", "")).partition("-")
            if side in tuple(Side):
                return Side(side), level or None
            return None, side or None
    said = re.findall(r"\b(right|left)\b", _concept_words(site).lower())
    return (Side(said[0]), None) if len(set(said)) == 1 else (None, None)


def _take_value(told: Json, given: dict[str, Any], left: list[str]) -> None:
    """The value at the top into `value` and `unit`, or into `result`; anything else is left in words."""
    if "valueQuantity" in told:
        given["value"], given["unit"] = _measured(told["valueQuantity"])
    elif "valueCodeableConcept" in told:
        field, value = _coded(told["valueCodeableConcept"])
        if field == "value":
            given["value"], given["unit"] = value, Unit.LEVEL
        elif field == "result":
            given["result"] = value
        else:
            left.append(_value_words(told))
    elif _value_words(told):
        left.append(_value_words(told))


def _measured(quantity: Any) -> tuple[float, Unit | None]:
    """Value and unit. Raises NotUnderstood for a unit that is not recorded here, or a value with a doubt."""
    value = quantity.get("value") if isinstance(quantity, dict) else None
    if not isinstance(value, int | float) or isinstance(value, bool):
        raise NotUnderstood(["its quantity has no number"])
    if quantity.get("comparator"):
        raise NotUnderstood([f"its value is only a bound: {quantity['comparator']} {value}"])
    code, unit = quantity.get("code"), quantity.get("unit")
    if code is None and unit is None:
        return float(value), None
    known = _UNITS.get(str(code)) or _UNITS.get(str(unit))
    if known is None and code != SCORE:
        raise NotUnderstood([f"its unit is not one that is recorded here: {unit or code}"])
    return float(value), known


def _coded(concept: Any) -> tuple[str, Any]:
    """Field and value of a coded value that is ours; two empty ones when it is not."""
    for one in codings(concept):
        system, code = one.get("system"), str(one.get("code"))
        if system == s.RESULTS and code in tuple(Result):
            return "result", Result(code)
        if system == s.REACHED_LEVELS and code in REACHED:
            return "value", float(REACHED.index(code))
    return "", None


def _take_part(part: Json, given: dict[str, Any], library: Library) -> bool:
    """One component into its field; False when it has none here."""
    what = _aspect(part, library)
    if what in _PRESSURES:
        if "valueQuantity" not in part:
            return what == "diastolic"
        value, unit = _measured(part["valueQuantity"])
        given |= {"value": value, "unit": unit} if what == "systolic" else {"diastolic": value}
        return True
    taken = _aspect_value(what, part, given)
    if taken is None:
        return False
    given[what] = taken
    return True


def _aspect(part: Json, library: Library) -> str:
    for one in codings(part.get("code")):
        if one.get("system") == s.ASPECTS:
            return str(one.get("code"))
        row = public_code(library, str(one.get("code"))) if one.get("system") == s.LOINC else None
        if row is not None:
            return row.text["concept"]
    return ""


def _aspect_value(what: str, part: Json, given: dict[str, Any]) -> Any:
    """The value of an aspect, or None when it is not in the form that aspect has."""
    codes = [str(one.get("code")) for one in codings(part.get("valueCodeableConcept"))]
    if what in ("other", "pain_onset", "resistance_onset"):
        if codes:
            field, value = _coded(part["valueCodeableConcept"])
            given.setdefault("unit", Unit.LEVEL)
            return value if field == "value" else None
        if "valueQuantity" not in part:
            return None
        value, unit = _measured(part["valueQuantity"])
        if given.setdefault("unit", unit) != unit:
            raise NotUnderstood([f"two units in one finding: {given['unit']} and {unit}"])
        return value
    if what == "pain" and "valueQuantity" in part:
        return _measured(part["valueQuantity"])[0]
    if what in ("familiar", "apprehension"):
        return part["valueBoolean"] if isinstance(part.get("valueBoolean"), bool) else None
    if what == "strength":
        return part["valueInteger"] if isinstance(part.get("valueInteger"), int) else None
    if what == "mobility":
        return next((int(code) for code in codes if code.isdecimal()), None)
    if what == "end_feel":
        return next((EndFeel(code) for code in codes if code in tuple(EndFeel)), None)
    return _coded(part.get("valueCodeableConcept"))[1] if what == "result" else None


def _take_interpretation(told: Json, given: dict[str, Any]) -> bool:
    """The first interpretation that is the outcome of a test, where no other value is told; whether it was taken."""
    for one in objects(told.get("interpretation")):
        for code in (str(c.get("code")) for c in codings(one)):
            if code in _RESULTS and given.get("result") is None and given.get("value") is None:
                given["result"] = _RESULTS[code]
                return True
    return False


def _is_left(name: str, told: Json) -> bool:
    """Whether an element is neither placed nor without meaning for a record."""
    if name in _SILENT or name.startswith("value") or not told[name]:
        return False
    return not (name in _OURS and is_ours(told))


def _value_words(told: Mapping[str, Any]) -> str:
    name = next((one for one in told if one.startswith("value")), "")
    if not name:
        return _concept_words(told["dataAbsentReason"]) if told.get("dataAbsentReason") else ""
    value = told[name]
    if name == "valueQuantity" and isinstance(value, dict):
        bound = f"{value['comparator']} " if value.get("comparator") else ""
        return f"{bound}{value.get('value', '')} {value.get('unit') or value.get('code') or ''}".strip()
    if name == "valueBoolean":
        return "yes" if value else "no"
    return _concept_words(value) if name == "valueCodeableConcept" else compact(value)


def _part_words(part: Json) -> str:
    rest = [
        f"{name}: {compact(value)}"
        for name, value in part.items()
        if name not in ("code", "id", "dataAbsentReason") and not name.startswith("value")
    ]
    return ", ".join([f"{name_of_observation(part)} {_value_words(part) or 'no value'}", *rest])


def _concept_words(concept: Any) -> str:
    if not isinstance(concept, dict):
        return compact(concept)
    codes = ", ".join(_code_words(one) for one in codings(concept))
    text = str(concept.get("text") or "")
    return f"{text} ({codes})" if text and codes else text or codes


def _code_words(coding: Json) -> str:
    display = f" {coding['display']}" if coding.get("display") else ""
    return f"{coding.get('system', '')}|{coding.get('code', '')}{display}"
