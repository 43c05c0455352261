"""A case as a text file or as TOML, and back. Every fault of a file is found in one reading."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, fields, replace
from difflib import get_close_matches
from enum import StrEnum
from typing import Any

from endfeel.vocabulary.cases import Case, Complaint, Person, Treatment
from endfeel.vocabulary.errors import CannotRead, Fault
from endfeel.vocabulary.findings import Finding
from endfeel.vocabulary.ranges import faults_of
from endfeel.vocabulary.shorthand import Shorthand, finding_text, parse_finding
from endfeel.vocabulary.shorthand.details import END_FEEL_WORDS, RESULT_WORDS, UNIT_WORDS
from endfeel.vocabulary.shorthand.grammar import plain
from endfeel.vocabulary.terms import AREAS, EndFeel, Irritability, Onset, Result, Side, Unit

AGE_YEARS = (0, 120)
WEEKS = (0, 5200)
SEXES = ("female", "male", "other")
HEADER = ("title", "invented", "age", "sex", "dominant", "side", "onset", "weeks", "irritability", "areas", "story")
"""Keys of a text file's header."""

_YES = {"yes": True, "y": True, "true": True, "no": False, "n": False, "false": False}
_SIDES = {"right": Side.RIGHT, "r": Side.RIGHT, "rt": Side.RIGHT, "left": Side.LEFT, "l": Side.LEFT, "lt": Side.LEFT}
_KEY = re.compile(r"\s*([A-Za-z][A-Za-z_ -]*?)\s*:\s*(.*)$")


@dataclass(slots=True)
class _Reading:
    """What has been read so far, and every fault."""

    name: str
    shorthand: Shorthand
    cues: tuple[str, ...]
    header: dict[str, Any] = field(default_factory=dict)
    screen: dict[str, bool] = field(default_factory=dict)
    findings: list[Finding] = field(default_factory=list)
    treatments: list[Treatment] = field(default_factory=list)
    retests: list[Finding] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)

    def fault(self, message: str, read: object, would: str, line: int, column: int = 1, **more: Any) -> None:
        self.faults.append(Fault(message, str(read), would, line, column, self.name, **more))

    def case(self) -> Case:
        """The case, or CannotRead with every fault in order of place."""
        if self.faults:
            raise CannotRead(sorted(self.faults, key=lambda fault: (fault.line, fault.column)))
        told = self.header
        return Case(
            person=Person(told.get("age"), told.get("sex"), told.get("dominant")),
            complaint=Complaint(
                told.get("side"), told.get("onset"), told.get("weeks"), told.get("irritability"),
                told.get("areas", ()), told.get("story", ""),
            ),
            screen=self.screen,
            findings=tuple(self.findings),
            treatments=tuple(self.treatments),
            retests=tuple(self.retests),
            title=told.get("title", ""),
            invented=told.get("invented", False),
        )  # fmt: skip


def parse_case(text: str, *, name: str, shorthand: Shorthand, cues: Iterable[str]) -> Case:
    """The case in `text`; a `name` ending in `.toml` is read as TOML, anything else as plain lines.

    Raises CannotRead with every fault of the file: line, column, what was read, what would do.
    """
    reading = _Reading(name, shorthand, tuple(cues))
    (_read_toml if name.endswith(".toml") else _read_lines)(text, reading)
    return reading.case()


# ---- header values, shared by both forms ---------------------------------------------------------------------------


def _number(low: float, high: float, whole: bool) -> Callable[[Any], Any]:
    def read(given: Any) -> Any:
        if isinstance(given, bool):
            raise ValueError
        value = float(str(given).replace(",", "."))
        if not low <= value <= high or (whole and not value.is_integer()):
            raise ValueError
        return int(value) if whole else value

    return read


def _chosen(options: Mapping[str, Any]) -> Callable[[Any], Any]:
    return lambda given: options[str(given).strip().lower()]


def _areas(given: Any) -> tuple[str, ...]:
    named = [str(a).strip().lower().replace(" ", "_") for a in (given if isinstance(given, list) else str(given).split(","))]
    unknown = [area for area in named if area and area not in AREAS]
    if unknown:
        raise ValueError(unknown[0])
    return tuple(dict.fromkeys(area for area in named if area))


def _words(kind: type[StrEnum]) -> dict[str, Any]:
    return {member.value: member for member in kind}


_READERS: dict[str, tuple[Callable[[Any], Any], str]] = {
    "title": (str, "words"),
    "invented": (_chosen(_YES), "yes or no"),
    "age": (_number(*AGE_YEARS, whole=True), f"a whole number {AGE_YEARS[0]} to {AGE_YEARS[1]}"),
    "sex": (_chosen({sex: sex for sex in SEXES} | {"f": "female", "m": "male"}), ", ".join(SEXES)),
    "dominant": (_chosen(_SIDES), "right or left"),
    "side": (_chosen(_SIDES | {"central": None, "none": None}), "right, left or central"),
    "onset": (_chosen(_words(Onset)), ", ".join(Onset)),
    "weeks": (_number(*WEEKS, whole=False), f"a number {WEEKS[0]} to {WEEKS[1]}"),
    "irritability": (_chosen(_words(Irritability)), ", ".join(Irritability)),
    "areas": (_areas, ", ".join(AREAS)),
    "story": (str, "words"),
}


def _take(reading: _Reading, key: str, given: Any, line: int, column: int) -> None:
    reader, would = _READERS[key]
    try:
        value = reader(given)
    except (KeyError, ValueError):
        near = get_close_matches(str(given).strip().lower(), would.split(", "), n=2) if "," in would else []
        reading.fault(f"{key} cannot be {given!s:.40}", given, would, line, column, field=key, candidates=tuple(near))
        return
    if key in reading.header:
        reading.fault(f"{key} given twice", given, "one of them", line, column, field=key)
    reading.header[key] = value


def _answer(reading: _Reading, cue: str, given: Any, line: int, column: int) -> None:
    if cue not in reading.cues:
        near = get_close_matches(cue, reading.cues, n=3, cutoff=0.5)
        would = "" if near else "a cue id (endfeel vocabulary cues)"
        reading.fault("no such screen item", cue, would, line, column, field="screen", candidates=tuple(near))
        return
    answer = _YES.get(str(given).strip().lower())
    if answer is None:
        reading.fault(f"answer to {cue} cannot be {given!s:.40}", given, "yes or no; leave it out when not asked", line, column)
    elif cue in reading.screen and reading.screen[cue] != answer:
        reading.fault(f"{cue} answered twice", cue, "one of the answers", line, column)
    else:
        reading.screen[cue] = answer


# ---- plain lines ---------------------------------------------------------------------------------------------------


def _read_lines(text: str, reading: _Reading) -> None:
    lines = [line.split("#", 1)[0].rstrip() if line.lstrip().startswith("#") else line.rstrip() for line in text.splitlines()]
    later: list[tuple[int, int, str, list[Finding]]] = []
    for number, line in enumerate(lines, 1):
        found = _KEY.match(line)
        key = found[1].lower().replace(" ", "_") if found else ""
        if not line.strip():
            continue
        if found and key in HEADER:
            _take(reading, key, found[2], number, found.start(2) + 1)
        elif found and key in {"yes", "no", "screen"}:
            _screen_line(reading, key, found[2], number, found.start(2))
        elif found and key in {"treated", "treatment"}:
            _treated(reading, found[2], number, found.start(2) + 1)
        elif found and key in {"retest", "re_test", "re-test"}:
            later.append((number, found.start(2), found[2], reading.retests))
        elif found and ":" in line.split(";")[0] and get_close_matches(key, HEADER, n=1, cutoff=0.75):
            near = get_close_matches(key, HEADER, n=2, cutoff=0.75)
            reading.fault("unknown header", key, "", number, found.start(1) + 1, candidates=tuple(near))
        else:
            later.append((number, 0, line, reading.findings))
    for number, offset, line, into in later:
        _finding_line(reading, number, offset, line, into)


def _screen_line(reading: _Reading, key: str, rest: str, line: int, offset: int) -> None:
    """`yes: cue, cue` / `no: cue, cue` / `screen: cue = yes, cue = no`."""
    at = offset
    for part in rest.split(","):
        cue, _, given = part.partition("=")
        column = at + len(part) - len(part.lstrip()) + 1
        at += len(part) + 1
        if part.strip():
            _answer(reading, cue.strip(), given if key == "screen" else key, line, column)


def _treated(reading: _Reading, rest: str, line: int, column: int) -> None:
    told, _, note = rest.partition(";")
    technique, _, dose = told.partition(",")
    if not technique.strip():
        reading.fault("no technique named", rest, "treated: technique, dose ; note", line, column)
        return
    reading.treatments.append(Treatment(technique.strip(), dose.strip(), note.strip()))


def _finding_line(reading: _Reading, number: int, offset: int, line: str, into: list[Finding]) -> None:
    try:
        into.append(parse_finding(line, reading.shorthand, reading.header.get("side")))
    except CannotRead as error:
        for fault in error.faults:
            reading.faults.append(replace(fault, line=number, column=fault.column + offset, file=reading.name))


# ---- TOML ----------------------------------------------------------------------------------------------------------

_TABLES = {"person": ("age", "sex", "dominant"), "complaint": ("side", "onset", "weeks", "irritability", "areas", "story")}
_FINDING_FIELDS = tuple(f.name for f in fields(Finding))


def _read_toml(text: str, reading: _Reading) -> None:
    try:
        told = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        place = re.search(r"line (\d+), column (\d+)", str(error))
        line, column = (int(place[1]), int(place[2])) if place else (len(text.splitlines()), 1)
        shown = text.splitlines()[line - 1].strip() if 0 < line <= len(text.splitlines()) else ""
        reading.fault(f"not TOML: {str(error).split(' (at')[0]}", shown, "valid TOML", line, column)
        return
    places = _Places(text)
    for key, value in told.items():
        if key in {"title", "invented"}:
            _take(reading, key, value, *places.find("", 0, key))
        elif key in _TABLES and isinstance(value, dict):
            for name, given in value.items():
                _toml_header(reading, key, name, given, places)
        elif key == "screen" and isinstance(value, dict):
            for cue, given in value.items():
                _answer(reading, cue, given, *places.find("screen", 0, cue))
        elif key not in {"finding", "retest", "treatment"} or not isinstance(value, list):
            known = ["title", "invented", *_TABLES, "screen", "finding", "retest", "treatment"]
            line, column = places.find("", 0, key)
            reading.fault("unknown table or key", key, ", ".join(known), line, column, candidates=tuple(get_close_matches(key, known, n=2)))
    for name, into in (("finding", reading.findings), ("retest", reading.retests)):
        for index, row in enumerate(told.get(name, []) if isinstance(told.get(name, []), list) else []):
            _toml_finding(reading, row, name, index, places, into)
    for index, row in enumerate(told.get("treatment", []) if isinstance(told.get("treatment", []), list) else []):
        _toml_treatment(reading, row, index, places)


class _Places:
    """Where each key of a TOML text stands: (table, nth table of that name, key) → line and column."""

    def __init__(self, text: str) -> None:
        self.at: dict[tuple[str, int, str], tuple[int, int]] = {}
        table, nth, seen = "", 0, {"": 1}
        for number, line in enumerate(text.splitlines(), 1):
            head = re.match(r"\s*\[+\s*([^\]]+?)\s*\]+", line)
            if head:
                table = head[1]
                nth = seen.get(table, 0)
                seen[table] = nth + 1
                self.at[table, nth, ""] = (number, 1)
                self.at.setdefault(("", 0, table), (number, 1))
                continue
            key = re.match(r"\s*[\"']?([\w-]+)[\"']?\s*=\s*", line)
            if key:
                self.at.setdefault((table, nth, key[1]), (number, key.start(1) + 1))

    def find(self, table: str, nth: int, key: str) -> tuple[int, int]:
        """The place of a key, else of its table, else the top."""
        return self.at.get((table, nth, key)) or self.at.get((table, nth, "")) or (1, 1)


def _toml_header(reading: _Reading, table: str, name: str, given: Any, places: _Places) -> None:
    line, column = places.find(table, 0, name)
    name = {"dominant_side": "dominant"}.get(name, name)
    if name in _TABLES[table]:
        _take(reading, name, given, line, column)
    else:
        near = get_close_matches(name, _TABLES[table], n=2)
        reading.fault(f"[{table}] has no {name}", name, ", ".join(_TABLES[table]), line, column, candidates=tuple(near))


def _toml_treatment(reading: _Reading, row: Any, index: int, places: _Places) -> None:
    line, column = places.find("treatment", index, "technique")
    known = ("technique", "dose", "note")
    for key in row:
        if key not in known:
            reading.fault("[[treatment]] has no such field", key, ", ".join(known), *places.find("treatment", index, key))
    if not str(row.get("technique", "")).strip():
        reading.fault("no technique named", row.get("technique", ""), 'technique = "..."', line, column)
        return
    reading.treatments.append(Treatment(*(str(row.get(key, "")).strip() for key in known)))


def _toml_finding(
    reading: _Reading, row: Mapping[str, Any], table: str, index: int, places: _Places, into: list[Finding]
) -> None:
    before = len(reading.faults)
    given: dict[str, Any] = {}
    for key, value in row.items():
        line, column = places.find(table, index, key)
        if key not in _FINDING_FIELDS:
            near = get_close_matches(key, _FINDING_FIELDS, n=2)
            reading.fault(f"[[{table}]] has no such field", key, ", ".join(_FINDING_FIELDS), line, column, candidates=tuple(near))
            continue
        try:
            given[key] = _FIELD_READERS[key](value)
        except (KeyError, ValueError, TypeError):
            reading.fault(f"{key} cannot be {value!s:.40}", value, _FIELD_WOULD[key], line, column, field=key)
    line, column = places.find(table, index, "procedure")
    catalogue = reading.shorthand.catalogue
    if given.get("procedure") not in catalogue:
        near = get_close_matches(str(given.get("procedure", "")), list(catalogue.by_id), n=3)
        would = "" if near else "a procedure id (endfeel vocabulary procedures)"
        reading.fault("no such procedure", given.get("procedure", ""), would, line, column, field="procedure", candidates=tuple(near))
        return
    procedure = catalogue[given["procedure"]]
    if given.get("side") is None and procedure.sided:
        given["side"] = reading.header.get("side")
    _usual_unit(given, reading, procedure.id)
    finding = Finding(**given)
    for name, fault in faults_of(finding, procedure, reading.shorthand.limits):
        line, column = places.find(table, index, name)
        reading.faults.append(replace(fault, line=line, column=column, file=reading.name, field=name))
    if len(reading.faults) == before:
        into.append(finding)


def _usual_unit(given: dict[str, Any], reading: _Reading, procedure: str) -> None:
    from endfeel.vocabulary.ranges import UNITS

    if given.get("unit") is None and any(given.get(n) is not None for n in ("value", "other", "pain_onset", "resistance_onset")):
        units = UNITS.get(reading.shorthand.catalogue[procedure].outcomes, ())
        given["unit"] = units[0] if units else None


def _toml_number(value: Any) -> float:
    if isinstance(value, bool):
        raise ValueError
    return float(value)


def _toml_whole(value: Any) -> int | float:
    number = _toml_number(value)
    if not number.is_integer():
        raise ValueError
    return int(number)


def _toml_level(value: Any) -> str:
    found = re.fullmatch(r"([CTR])(\d{1,2})(?:\s*[-–/]\s*[CT]?\d{1,2})?", str(value).strip().upper())
    from endfeel.vocabulary.terms import LEVELS, RIBS

    level = f"{found[1]}{int(found[2])}" if found else ""
    if level not in LEVELS and level not in RIBS:
        raise ValueError
    return level


def _key(value: Any) -> str:
    return str(value).strip().lower()


_FIELD_READERS: dict[str, Callable[[Any], Any]] = {
    "procedure": lambda value: str(value).strip(),
    "side": lambda value: _SIDES[_key(value)],
    "level": _toml_level,
    "mobility": _toml_whole,
    "end_feel": lambda value: _END_FEELS[_key(value).replace("_", " ")],
    "value": _toml_number,
    "unit": lambda value: _UNITS[_key(value)],
    "other": _toml_number,
    "pain": _toml_number,
    "pain_onset": _toml_number,
    "resistance_onset": _toml_number,
    "familiar": lambda value: _YES[_key(value)],
    "result": lambda value: _RESULTS[_key(value).replace("_", " ")],
    "apprehension": lambda value: _YES[_key(value)],
    "strength": _toml_whole,
    "note": lambda value: str(value).strip() or None,
}
_END_FEELS = END_FEEL_WORDS | {member.value.replace("_", " "): member for member in EndFeel}
_UNITS = UNIT_WORDS | {member.value.lower(): member for member in Unit}
_RESULTS = RESULT_WORDS | {member.value.replace("_", " "): member for member in Result}
_FIELD_WOULD: dict[str, str] = {
    "procedure": "a procedure id", "side": "right or left", "level": "C5 to T9, R1 to R8", "mobility": "a whole grade 0 to 6",
    "end_feel": ", ".join(EndFeel), "value": "a number", "unit": ", ".join(Unit), "other": "a number",
    "pain": "a number 0 to 10", "pain_onset": "a number", "resistance_onset": "a number", "familiar": "yes or no",
    "result": ", ".join(Result), "apprehension": "yes or no", "strength": "a whole number 0 to 5", "note": "words",
}  # fmt: skip


# ---- writing -------------------------------------------------------------------------------------------------------


def case_text(case: Case) -> str:
    """The canonical text of a case: reading it gives the same case back."""
    lines = [f"{key}: {value}" for key, value in _header_of(case)]
    for word, wanted in (("yes", True), ("no", False)):
        cues = [cue for cue, answer in case.screen.items() if answer is wanted]
        lines += [f"{word}: {', '.join(cues)}"] if cues else []
    lines += ["", *(finding_text(finding) for finding in case.findings)]
    lines += [_treatment_line(treatment) for treatment in case.treatments]
    lines += [f"retest: {finding_text(finding)}" for finding in case.retests]
    return "\n".join(lines) + "\n"


def _header_of(case: Case) -> list[tuple[str, str]]:
    person, complaint = case.person, case.complaint
    told = [
        ("title", case.title), ("invented", "yes" if case.invented else ""),
        ("age", "" if person.age is None else str(person.age)), ("sex", person.sex or ""),
        ("dominant", person.dominant or ""), ("side", complaint.side or ""), ("onset", complaint.onset or ""),
        ("weeks", "" if complaint.weeks is None else plain(complaint.weeks)),
        ("irritability", complaint.irritability or ""), ("areas", ", ".join(complaint.areas)), ("story", complaint.story),
    ]  # fmt: skip
    return [(key, str(value)) for key, value in told if value]


def _treatment_line(treatment: Treatment) -> str:
    dose = f", {treatment.dose}" if treatment.dose else ""
    note = f" ; {treatment.note}" if treatment.note else ""
    return f"treated: {treatment.technique}{dose}{note}"


def case_toml(case: Case) -> str:
    """The same case as TOML."""
    told = dict(_header_of(case))
    lines = [f"title = {_quoted(told['title'])}"] if "title" in told else []
    lines += ["invented = true"] if case.invented else []
    for table, keys in _TABLES.items():
        lines += ["", f"[{table}]"]
        for key in keys:
            if key == "areas" and case.complaint.areas:
                lines.append("areas = [" + ", ".join(_quoted(area) for area in case.complaint.areas) + "]")
            elif key in told and key != "areas":
                lines.append(f"{key} = {told[key] if key in {'age', 'weeks'} else _quoted(told[key])}")
    if case.screen:
        lines += ["", "[screen]", *(f'{cue} = "{"yes" if yes else "no"}"' for cue, yes in case.screen.items())]
    for name, rows in (("finding", case.findings), ("retest", case.retests)):
        for row in rows:
            lines += ["", f"[[{name}]]", *_toml_row({f: getattr(row, f) for f in _FINDING_FIELDS})]
    for treatment in case.treatments:
        row = {"technique": treatment.technique, "dose": treatment.dose or None, "note": treatment.note or None}
        lines += ["", "[[treatment]]", *_toml_row(row)]
    return "\n".join(lines).lstrip("\n") + "\n"


def _toml_row(row: Mapping[str, Any]) -> list[str]:
    return [f"{key} = {_toml_value(value)}" for key, value in row.items() if value is not None]


def _toml_value(value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, (int, float)):
        return plain(float(value))
    return _quoted(str(value))


def _quoted(text: str) -> str:
    escaped = text.replace("\\", "\\\\").replace('"', '\\"')
    return '"' + "".join(c if c >= " " and c != "\x7f" else f"\\u{ord(c):04x}" for c in escaped) + '"'
