"""One line of shorthand ↔ one finding."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any

from endfeel.vocabulary.errors import CannotRead, Fault
from endfeel.vocabulary.findings import Finding, both_pressures
from endfeel.vocabulary.procedures import Catalogue, Procedure
from endfeel.vocabulary.ranges import LAXITY, MOBILITY, PAIN, Limits, Reached, faults_of, units_of
from endfeel.vocabulary.shorthand.details import (
    END_FEEL_WORDS,
    MOBILITY_WORDS,
    NO_SEGMENT,
    NO_SUCH_LEVEL,
    RESULT_WORDS,
    VAGUE_MOBILITY,
    Scan,
    no_such_level,
    scan_line,
)
from endfeel.vocabulary.shorthand.fields import settle
from endfeel.vocabulary.shorthand.lookup import procedure_of
from endfeel.vocabulary.shorthand.words import Names, Spelling
from endfeel.vocabulary.terms import REACHED, OutcomeKind, Result, Side, Unit, level_reached

Key = frozenset[str]
Placed = tuple[str, int]
"""A word and the column (from 0) where it stands."""


@dataclass(frozen=True, slots=True)
class Shorthand:
    """The grammar of one evidence release: procedures, phrases, spelling and limits. Build it once and keep it."""

    catalogue: Catalogue
    spelling: Spelling
    names: Names
    exact: Mapping[Key, tuple[str, ...]]
    """Full set of words → procedures it names outright."""
    keys: tuple[tuple[Key, str], ...]
    """Every phrase as a set of words, with its procedure."""
    words: frozenset[str]
    limits: Limits

    @classmethod
    def of(cls, catalogue: Catalogue, aliases: Mapping[str, Any], ranges: Mapping[str, Any]) -> Shorthand:
        """Build the grammar from the catalogue and the data files `aliases` and `ranges`."""
        spelling = Spelling.of(aliases["word"], aliases["meta"]["stop_words"])
        phrases = {p: texts for p, texts in aliases["phrase"].items() if p in catalogue}
        chosen: dict[Key, tuple[str, ...]] = {}
        for procedure_id, texts in phrases.items():
            _add(chosen, procedure_id, [spelling.key(text) for text in texts])
        named: dict[Key, tuple[str, ...]] = {}
        for procedure in catalogue:
            _add(named, procedure.id, [spelling.key(procedure.name), spelling.key(procedure.id.replace("_", " "))])
        keys = [(key, procedure) for found in (named, chosen) for key, ids in found.items() for procedure in ids]
        full = [(p.name, p.id) for p in catalogue if _stands_whole(p.name)]
        full += [(text, p) for p, texts in phrases.items() for text in texts if _holds_a_detail(text)]
        return cls(
            catalogue,
            spelling,
            Names.of(catalogue.by_id, full),
            {**named, **chosen},
            tuple(keys),
            frozenset(word for key, _ in keys for word in key),
            Limits.of(ranges),
        )


def _add(table: dict[Key, tuple[str, ...]], procedure_id: str, keys: list[Key]) -> None:
    for key in keys:
        table[key] = tuple(dict.fromkeys((*table.get(key, ()), procedure_id)))


def _stands_whole(name: str) -> bool:
    return len(name.split()) > 2 or _holds_a_detail(name)


_DETAIL_WORDS = {*END_FEEL_WORDS, *RESULT_WORDS, *MOBILITY_WORDS, *VAGUE_MOBILITY}


def _holds_a_detail(text: str) -> bool:
    words = text.lower().split()
    return len(words) > 1 and any(word in _DETAIL_WORDS for word in words)


def parse_finding(line: str, shorthand: Shorthand, default_side: Side | None = None) -> Finding:
    """The finding written on one line. Raises CannotRead with every fault of the line.

    `default_side` (the complaint's side) is used when the line names none and the procedure needs one.
    """
    scan = scan_line(line, shorthand.names.at)
    procedure = procedure_of(scan, shorthand)
    if procedure is None:
        raise CannotRead(sorted(scan.faults, key=lambda fault: fault.column))
    units = units_of(procedure, shorthand.limits)
    if Unit.LEVEL in units:
        _read_reach(scan)
    else:
        _refuse_reach(scan, procedure)
    finding = _finding(scan, procedure, default_side, units)
    faults = list(scan.faults)
    for name, fault in faults_of(finding, procedure, shorthand.limits):
        if name not in {fault.field for fault in scan.faults} and not (name == "procedure" and faults):
            faults.append(replace(_with_hint(fault, scan), column=scan.columns.get(name, 1)))
    if faults:
        raise CannotRead(sorted(faults, key=lambda fault: fault.column))
    return finding


def _with_hint(fault: Fault, scan: Scan) -> Fault:
    """Where nothing was found because a number was taken for the arm's position, say so."""
    number = next((word.lstrip("@") for word, _ in scan.words if re.fullmatch(r"@?\d+", word)), "")
    if fault.field != "procedure" or not number:
        return fault
    hint = f"; {number} was read as the position of the arm, write {number}° where it is the range"
    return replace(fault, would_do=fault.would_do + hint)


def finding_text(finding: Finding) -> str:
    """The canonical line: parsing it gives the same finding back."""
    parts = [finding.procedure, finding.side, finding.level]
    parts.append(f"mobility {finding.mobility}" if finding.mobility is not None else None)
    parts.append(finding.end_feel)
    if finding.value is not None:
        parts.append(_measured_text(finding.value, finding.unit))
    for name, word in (("other", "other "), ("pain_onset", "pain@"), ("resistance_onset", "resistance@")):
        value = getattr(finding, name)
        parts.append(f"{word}{_measured_text(value, finding.unit)}" if value is not None else None)
    parts.append(f"pain {plain(finding.pain)}" if finding.pain is not None else None)
    parts.append({True: "familiar", False: "not familiar", None: None}[finding.familiar])
    parts.append("result normal" if finding.result is Result.NORMAL else str(finding.result or "").replace("_", " "))
    parts.append({True: "apprehensive", False: "not apprehensive", None: None}[finding.apprehension])
    parts.append(f"strength {finding.strength}/5" if finding.strength is not None else None)
    line = " ".join(str(part) for part in parts if part)
    note = " ".join((finding.note or "").split())
    return f"{line} ; {note}" if note else line


def _measured_text(value: float, unit: Unit | None) -> str:
    if unit is Unit.LEVEL:
        return level_reached(value)
    return f"{plain(value)} {_UNIT_TEXT.get(unit, unit) if unit else ''}".strip()


_UNIT_TEXT: dict[Unit, str] = {Unit.GRADE: "points"}


def plain(value: float) -> str:
    """A number as short as it can be without loss, never in powers of ten."""
    if float(value).is_integer():
        return str(int(value))
    short = repr(float(value))
    return short if "e" not in short else f"{Decimal(short):f}"


def _finding(scan: Scan, procedure: Procedure, default_side: Side | None, units: tuple[Unit, ...]) -> Finding:
    given = dict(scan.given)
    kind = procedure.outcomes
    firm = given.pop("firm", None)
    if firm is not None and "end_feel" not in given:
        given["end_feel"] = "firm"
        scan.columns["end_feel"] = firm + 1
    graded = given.pop("vague_grade", None)
    if graded is not None and kind is OutcomeKind.STRESS and given["mobility"] <= LAXITY[1]:
        scan.faults.append(_two_readings(given["mobility"], graded, kind))
    for value, column in given.pop("bare", []):
        _bare(value, column, kind, units, given, scan)
    if given.pop("normal", None) is not None:
        given.setdefault(*_normal(kind))
    _two_numbers(given, procedure, scan)
    given.pop("half_grade", None)
    given.pop("strength_next", None)
    if given.get("side") is None and procedure.sided:
        given["side"] = default_side
    settle(given, procedure)
    return Finding(procedure=procedure.id, **given)


def _read_reach(scan: Scan) -> None:
    """A level beside a procedure that asks how high the hand reaches is what was found."""
    scan.faults = [fault for fault in scan.faults if fault.message not in (NO_SUCH_LEVEL, NO_SEGMENT)]
    level, column = scan.given.pop("level", None), scan.columns.pop("level", 1)
    if level is None:
        return
    if level in REACHED and not re.match(r"\w+\s*[-–/]\s*\w*\d", scan.text[column - 1 :]):
        scan.put("value", Reached(REACHED.index(level)), column - 1)
        scan.put("unit", Unit.LEVEL, column - 1)
        return
    would = f"one vertebra from {REACHED[-1]} to {REACHED[3]}, or sacrum, buttock, thigh"
    scan.faults.append(Fault("not a place the hand reaches", level, would, column=column, field="procedure"))


def _refuse_reach(scan: Scan, procedure: Procedure) -> None:
    for name in ("value", "other"):
        if isinstance(scan.given.get(name), Reached):
            word = level_reached(scan.given.pop(name))
            scan.given.pop("unit", None)
            column = scan.columns[name]
            known = no_such_level(word, column)
            fault = Fault(f"{procedure.id} does not say how high the hand reaches", word, column=column)
            scan.faults.append(replace(known if word in SPINE_BELOW else fault, field="procedure"))


SPINE_BELOW = REACHED[3:11]
"""L5 to T10: vertebrae below the last level of the examination."""


ARC = "painful_arc"
"""The record of an arc: pain begins at the first angle (its onset) and is gone at the second (the value)."""


def _two_numbers(given: dict[str, Any], procedure: Procedure, scan: Scan) -> None:
    """`142/88` is a blood pressure and `60-120` a painful arc; beside anything else two numbers are asked about."""
    pressure, arc = given.pop("pressure", None), given.pop("range", None)
    if pressure and procedure.outcomes is OutcomeKind.VITAL:
        upper, lower, start = pressure
        if lower >= upper:
            turned = (f"{plain(lower)}/{plain(upper)}",)
            scan.faults.append(_asked("the upper pressure stands first and is the larger", turned, start, scan))
        scan.put("value", upper, start)
        scan.put("unit", Unit.MMHG, start)
        given |= {"value": upper, "unit": Unit.MMHG}
        both = both_pressures(plain(upper), plain(lower))
        if both not in given.get("note", ""):
            given["note"] = "; ".join(filter(None, (both, given.get("note"))))
    elif pressure:
        first, second, start = pressure
        offers = (f"{plain(first)}° other {plain(second)}°", "two lines")
        scan.faults.append(_asked("two numbers with a stroke are read as a blood pressure only", offers, start, scan))
    if arc and procedure.id == ARC:
        given |= {"pain_onset": arc[0], "value": arc[1], "unit": Unit.DEGREES}
        given.setdefault("result", Result.POSITIVE)
    elif arc:
        either = (f"{plain(arc[0])}°", f"{plain(arc[1])}°", "the range in a note, after ;")
        scan.faults.append(_asked("a range where one value is kept", either, arc[2], scan))


def _asked(message: str, offers: tuple[str, ...], start: int, scan: Scan) -> Fault:
    read = re.match(r"\S+", scan.text[start:])
    return Fault(message, read[0] if read else "", "one of these", column=start + 1, candidates=offers)


def _normal(kind: OutcomeKind) -> tuple[str, Any]:
    return ("mobility", 3) if kind in {OutcomeKind.GLIDE, OutcomeKind.STRESS} else ("result", Result.NORMAL)


def _bare(
    value: float, column: int, kind: OutcomeKind, units: tuple[Unit, ...], given: dict[str, Any], scan: Scan
) -> None:
    """A number without a word: a grade for glides, degrees for angles; else a fault that asks which is meant."""
    graded = kind in {OutcomeKind.GLIDE, OutcomeKind.STRESS} and given.get("mobility") is None
    measured = Unit.LEVEL not in units and kind in {OutcomeKind.ANGULAR, OutcomeKind.ACTIVE}
    measured = measured and given.get("value") is None
    doubtful = kind is OutcomeKind.STRESS and LAXITY[0] <= value <= LAXITY[1]
    alone = given.get("other") is None and given.get("mobility") is None
    doubtful |= kind is OutcomeKind.ANGULAR and alone and MOBILITY[0] <= value <= MOBILITY[1] and value.is_integer()
    if (graded or measured) and doubtful:
        scan.faults.append(_two_readings(value, column, kind))
    elif graded:
        given["mobility"] = int(value) if value.is_integer() else value
        scan.columns["mobility"] = column + 1
    elif given.get("strength_next") and given.get("strength") is None:
        given["strength"] = int(value) if value.is_integer() else value
        scan.columns["strength"] = column + 1
    elif measured:
        given["value"], given["unit"] = value, given.get("unit", Unit.DEGREES)
        scan.columns["value"] = column + 1
    else:
        pain = f"p{plain(value)} for pain" if PAIN[0] <= value <= PAIN[1] else ""
        offer = f"a unit: {', '.join(unit for unit in units if unit is not Unit.LEVEL)}" if units else ""
        offer = f"a place the hand reaches such as T7, {offer}" if Unit.LEVEL in units else offer
        would = ", or ".join(filter(None, (pain, offer))) or "a word that says what it is"
        scan.faults.append(Fault("a number without a word", plain(value), would, column=column + 1))


def _two_readings(value: float, column: int, kind: OutcomeKind) -> Fault:
    """A bare number that the trade reads in two ways with opposite meanings; the writer says which."""
    number = plain(value)
    other = f"laxity {number} (0 to 3)" if kind is OutcomeKind.STRESS else f"{number}° (degrees)"
    offers = (f"m{number} (mobility, 0 to 6)", other)
    return Fault("could be read in two ways", number, "one of these", column=column + 1, candidates=offers)
