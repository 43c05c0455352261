"""A case as TOML: [person], [complaint], [screen], and rows of [[finding]], [[treatment]] and [[retest]]."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from endfeel.vocabulary.case_header import BY_KEY, FIELDS, NO, SIDES, YES, free_words, near, one_of, yes_or_no
from endfeel.vocabulary.case_lines import header_values
from endfeel.vocabulary.case_places import NOT_TOML, Places, places_in, read_toml
from endfeel.vocabulary.cases import Case, Complaint, Person, Treatment
from endfeel.vocabulary.errors import CannotRead, Fault
from endfeel.vocabulary.findings import Finding
from endfeel.vocabulary.ranges import faults_of
from endfeel.vocabulary.shorthand import Shorthand, named_procedure, plain
from endfeel.vocabulary.shorthand.fields import FIELD_READERS, settle
from endfeel.vocabulary.terms import Side, Unit, level_reached

TABLES = ("person", "complaint", "screen", "finding", "treatment", "retest")


@dataclass(slots=True)
class _Reading:
    name: str
    shorthand: Shorthand
    places: Places
    faults: list[Fault] = field(default_factory=list)

    def fault(self, fault: Fault, table: str, number: int = 0, key: str = "") -> None:
        line, column = self.places.of(table, number, key)
        self.faults.append(replace(fault, file=self.name, line=line, column=column, field=key or table))

    def lost_a_line(self, table: str, number: int) -> bool:
        """Whether a line of this row was left out because it is not TOML."""
        first, after = self.places.span(table, number)
        return any(first < fault.line < after for fault in self.faults if fault.message.startswith(NOT_TOML))


def parse_case_tables(text: str, name: str, shorthand: Shorthand, cues: tuple[str, ...]) -> Case:
    """The case written as TOML. Raises CannotRead with every fault of the file."""
    text = text.replace("\r\n", "\n")
    document, slips = read_toml(text)
    reading = _Reading(name, shorthand, places_in(text), [replace(fault, file=name) for fault in slips])
    parts = _header(document, reading)
    side = parts["complaint"].get("side")
    if side is None and any(fault.field == "side" for fault in reading.faults):
        side = Side.RIGHT  # stands in, so that the one fault is not told again for every finding
    case = Case(
        person=Person(**parts["person"]),
        complaint=Complaint(**parts["complaint"]),
        screen=_screen(document, cues, reading),
        findings=tuple(_findings("finding", document, side, reading)),
        treatments=tuple(_treatments(document, reading)),
        retests=tuple(_findings("retest", document, side, reading)),
        **parts["case"],
    )
    if reading.faults:
        raise CannotRead(sorted(reading.faults, key=lambda fault: (fault.line, fault.column)))
    return case


def _header(document: Mapping[str, Any], reading: _Reading) -> dict[str, dict[str, Any]]:
    parts: dict[str, dict[str, Any]] = {"case": {}, "person": {}, "complaint": {}}
    top = {key: value for key, value in document.items() if key not in TABLES}
    for part, table in (("case", top), *((part, document.get(part, {})) for part in ("person", "complaint"))):
        where = "" if part == "case" else part
        if not isinstance(table, dict):
            reading.fault(Fault("a table is wanted here", str(table), f"[{part}] and its keys below"), "", 0, part)
            continue
        for key, value in table.items():
            header = BY_KEY.get(key.lower())
            if header is None or header.part != part:
                known = tuple(one.key for one in FIELDS if one.part == part)
                offer = ", ".join((*known, *TABLES) if part == "case" else known)
                fault = Fault("unknown key", key, offer, candidates=near(key.lower(), (*known, *TABLES)))
                reading.fault(fault, where, 0, key)
                if isinstance(value, (dict, list)) and where == "":
                    reading.faults[-1] = replace(reading.faults[-1], line=reading.places.of(key)[0], column=1)
                continue
            read = header.read(value)
            if isinstance(read, Fault):
                reading.fault(read, where, 0, key)
            else:
                parts[part][header.key] = read
    return parts


def _screen(document: Mapping[str, Any], cues: tuple[str, ...], reading: _Reading) -> dict[str, bool]:
    table = document.get("screen", {})
    if not isinstance(table, dict):
        reading.fault(Fault("a table is wanted here", str(table), '[screen] and below it cue = "yes"'), "", 0, "screen")
        return {}
    answers: dict[str, bool] = {}
    for cue, value in table.items():
        if cues and cue not in cues:
            reading.fault(
                Fault("no such cue", cue, "endfeel vocabulary cues", candidates=near(cue, cues)), "screen", 0, cue
            )
        elif str(value).lower() not in YES | NO:
            if str(value).lower() not in {"?", "unanswered", ""}:
                reading.fault(Fault("neither yes nor no", str(value), '"yes" or "no"'), "screen", 0, cue)
        else:
            answers[cue] = str(value).lower() in YES
    return answers


def _rows(table: str, document: Mapping[str, Any], reading: _Reading) -> Iterator[tuple[int, dict[str, Any]]]:
    rows = document.get(table, [])
    for number, row in enumerate(rows if isinstance(rows, list) else [rows]):
        if isinstance(row, dict):
            yield number, row
        else:
            reading.fault(Fault("a table is wanted here", str(row), f"[[{table}]] and its keys below"), "", 0, table)


def _treatments(document: Mapping[str, Any], reading: _Reading) -> Iterator[Treatment]:
    for number, row in _rows("treatment", document, reading):
        given: dict[str, str] = {}
        for key, value in row.items():
            read: Any = free_words(value)
            if key not in {"technique", "dose", "note"}:
                read = Fault(
                    "unknown key", key, "technique, dose, note", candidates=near(key, ("technique", "dose", "note"))
                )
            if isinstance(read, Fault):
                reading.fault(read, "treatment", number, key)
            else:
                given[key] = read
        if given.get("technique"):
            yield Treatment(**given)
        elif "technique" not in row or row["technique"] == "":
            reading.fault(Fault("no technique named", "", 'technique = "words"'), "treatment", number, "technique")


def _findings(
    table: str, document: Mapping[str, Any], default_side: Side | None, reading: _Reading
) -> Iterator[Finding]:
    for number, row in _rows(table, document, reading):
        finding = _finding(table, number, row, default_side, reading)
        if finding is not None:
            yield finding


def _finding(
    table: str, number: int, row: Mapping[str, Any], default_side: Side | None, reading: _Reading
) -> Finding | None:
    before = len(reading.faults)
    given: dict[str, Any] = {}
    for key, value in row.items():
        if key == "procedure":
            continue
        reader = _READERS.get(key)
        if reader is None:
            known = ("procedure", *_READERS)
            reading.fault(Fault("unknown key", key, ", ".join(known), candidates=near(key, known)), table, number, key)
            continue
        read = reader(value)
        if isinstance(read, Fault):
            reading.fault(read, table, number, key)
        elif read is not None and read != "":
            given[key] = read
    procedure = named_procedure(str(row.get("procedure", "")), reading.shorthand, given.get("level"))
    if isinstance(procedure, Fault):
        reading.fault(procedure, table, number, "procedure")
        return None
    if given.get("side") is None and procedure.sided and "side" not in row:
        given["side"] = default_side
    settle(given, procedure)
    finding = Finding(procedure=procedure.id, **given)
    for key, fault in faults_of(finding, procedure, reading.shorthand.limits):
        faulty = {old.field for old in reading.faults[before:]}
        silenced = key == "procedure" and (faulty or reading.lost_a_line(table, number))
        if key not in faulty and not silenced:
            reading.fault(fault, table, number, key)
    return finding


_READERS: dict[str, Any] = {
    "side": one_of("side", SIDES, "right or left"),
    "familiar": yes_or_no,
    "apprehension": yes_or_no,
    "note": free_words,
    **FIELD_READERS,
}


def case_toml(case: Case) -> str:
    """The canonical TOML of a case: reading it gives the same case back."""
    header = header_values(case)
    blocks = [_table("", header["case"])] if header["case"] else []
    blocks += [_table(f"[{part}]", header[part]) for part in ("person", "complaint") if header[part]]
    if case.screen:
        blocks.append(_table("[screen]", {cue: "yes" if answer else "no" for cue, answer in case.screen.items()}))
    blocks += [_table("[[finding]]", _stated(finding)) for finding in case.findings]
    blocks += [_table("[[treatment]]", _stated(treatment)) for treatment in case.treatments]
    blocks += [_table("[[retest]]", _stated(finding)) for finding in case.retests]
    return "\n\n".join(blocks) + "\n"


def _stated(value: Finding | Treatment) -> dict[str, Any]:
    stated = {name: given for name in value.__slots__ if (given := getattr(value, name)) is not None and given != ""}
    if stated.get("unit") is Unit.LEVEL:
        stated |= {name: level_reached(stated[name]) for name in ("value", "other") if name in stated}
    return stated


def _table(head: str, rows: Mapping[str, Any]) -> str:
    lines = [f"{key} = {_toml(value)}" for key, value in rows.items()]
    return "\n".join([head, *lines] if head else lines)


def _toml(value: object) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, (int, float)):
        return plain(value)
    if isinstance(value, tuple):
        return "[" + ", ".join(_toml(one) for one in value) + "]"
    return json.dumps(str(value), ensure_ascii=False).replace("\x7f", "\\u007f")
