"""From the rows of a table to findings: which column is what, in which unit, of which test; every fault by its row."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from enum import StrEnum
from typing import Any

from endfeel.instruments.table_text import Row, Table
from endfeel.measurement.error_figures import NEWTONS_PER_KILOGRAM_FORCE
from endfeel.vocabulary import Fault, Finding, Procedure, Side, Unit
from endfeel.vocabulary.case_header import SIDES
from endfeel.vocabulary.findings import measured_with
from endfeel.vocabulary.ranges import faults_of, units_of
from endfeel.vocabulary.shorthand import Shorthand, named_procedure
from endfeel.vocabulary.shorthand.fields import FIELD_READERS

KILOGRAMS_PER_POUND = 0.45359237
"""Exact by definition (international pound, 1959)."""


class Column(StrEnum):
    """What a column holds."""

    TEST = "test"
    SIDE = "side"
    LEVEL = "level"
    VALUE = "value"
    UNIT = "unit"
    PAIN = "pain"
    NOTE = "note"
    LEAVE = "leave"
    """Not taken; it stays in the pasted text."""


HEADINGS: Mapping[Column, tuple[str, ...]] = {
    Column.TEST: ("test", "movement", "muscle", "motion", "procedure", "exercise", "name", "protocol"),
    Column.SIDE: ("side", "limb", "arm", "r/l", "l/r"),
    Column.LEVEL: ("level", "segment", "vertebra"),
    Column.VALUE: (
        "value",
        "reading",
        "force",
        "peak",
        "max",
        "angle",
        "range",
        "rom",
        "strength",
        "result",
        "measured",
    ),
    Column.UNIT: ("unit", "units"),
    Column.PAIN: ("pain", "nrs", "vas"),
    Column.NOTE: ("note", "notes", "comment", "remark", "time", "date", "trial"),
}
"""Words of a heading by which a column is guessed; the guess is always shown and may be changed."""
UNITS: Mapping[str, tuple[Unit, float]] = {
    "n": (Unit.NEWTONS, 1.0), "newton": (Unit.NEWTONS, 1.0), "newtons": (Unit.NEWTONS, 1.0),
    "kgf": (Unit.NEWTONS, NEWTONS_PER_KILOGRAM_FORCE), "kg": (Unit.NEWTONS, NEWTONS_PER_KILOGRAM_FORCE),
    "kp": (Unit.NEWTONS, NEWTONS_PER_KILOGRAM_FORCE),
    "lb": (Unit.NEWTONS, KILOGRAMS_PER_POUND * NEWTONS_PER_KILOGRAM_FORCE),
    "lbs": (Unit.NEWTONS, KILOGRAMS_PER_POUND * NEWTONS_PER_KILOGRAM_FORCE),
    "lbf": (Unit.NEWTONS, KILOGRAMS_PER_POUND * NEWTONS_PER_KILOGRAM_FORCE),
    "°": (Unit.DEGREES, 1.0), "deg": (Unit.DEGREES, 1.0), "degs": (Unit.DEGREES, 1.0),
    "degree": (Unit.DEGREES, 1.0), "degrees": (Unit.DEGREES, 1.0),
    "mm": (Unit.MILLIMETRES, 1.0), "cm": (Unit.CENTIMETRES, 1.0), "s": (Unit.SECONDS, 1.0),
}  # fmt: skip
"""How units are written, what they are kept in, and by which factor."""
OFFERED_UNITS = ("N", "kgf", "lb", "deg", "mm", "cm", "s")
_CELL = re.compile(r"^([-−+]?[\d.,' ]*\d)\s*([^\d\s].*)?$")
_IN_HEADING = re.compile(r"[\[(]\s*([^\])]+?)\s*[\])]|\bin (\S+)$")
_GROUPS = re.compile(r"^[-−+]?\d{1,3}([.,' ])\d{3}(?:\1\d{3})*$")


@dataclass(frozen=True, slots=True)
class ColumnMap:
    """Which column is what, and what holds for all rows where no column says it."""

    columns: tuple[Column, ...]
    unit: str = ""
    procedure: str = ""
    side: Side | None = None
    instrument: str = ""
    names: Mapping[str, str] = field(default_factory=dict)
    """Words of a test column that were given a procedure by hand: words → id."""


@dataclass(frozen=True, slots=True)
class Reading:
    """What one row becomes."""

    row: Row
    words: str
    """The words of its test column."""
    finding: Finding | None
    faults: tuple[Fault, ...]
    key: str
    """The same for the same reading of the same test; a repeat in one table gets a number of its own."""


def guess(table: Table, shorthand: Shorthand) -> ColumnMap:
    """What the columns seem to be, by heading and by what stands in them."""
    columns = list(_by_heading(table)) if table.header else [Column.LEAVE] * table.width
    if Column.VALUE not in columns or not table.header:
        columns = _by_content(table, columns, shorthand)
    unit = ""
    for heading, column in zip(table.header, columns, strict=False):
        if column is Column.VALUE:
            unit = _unit_in(heading) or unit
    kept_in = {UNITS[one.lower()][0] for one in (unit, *_units_in(table, columns)) if one.lower() in UNITS}
    instrument = _INSTRUMENTS.get(kept_in.pop(), "") if len(kept_in) == 1 else ""
    return ColumnMap(tuple(columns), unit, instrument=instrument)


LOOKED_UP = 20
"""Different words of a column that are looked up before it counts as one without tests: judgement, no source."""
_INSTRUMENTS = {Unit.NEWTONS: "dynamometer", Unit.DEGREES: "inclinometer"}


def _units_in(table: Table, columns: list[Column]) -> Iterator[str]:
    """Units as the cells themselves say them."""
    for row in table.rows:
        for column, cell in zip(columns, row.cells, strict=False):
            if column is Column.UNIT:
                yield cell
            elif column is Column.VALUE and (found := _CELL.match(cell)):
                yield (found[2] or "").strip()


def _by_heading(table: Table) -> Iterator[Column]:
    used: set[Column] = set()
    for heading in table.header:
        words = re.sub(r"[\[(].*?[\])]", " ", heading.lower()).replace("_", " ")
        found = next(
            (column for column, names in HEADINGS.items() if column not in used
             and any(re.search(rf"(?<!\w){re.escape(name)}(?!\w)", words) for name in names)),
            Column.LEAVE,
        )  # fmt: skip
        used.add(found)
        yield found


def _by_content(table: Table, columns: list[Column], shorthand: Shorthand) -> list[Column]:
    """Columns without a telling heading: words of a side, a number, words of a test."""
    made = list(columns)
    for at in range(table.width):
        if made[at] is not Column.LEAVE:
            continue
        cells = [row.cells[at] for row in table.rows if row.cells[at]]
        if not cells:
            continue
        if Column.SIDE not in made and all(cell.lower().rstrip(".") in SIDES for cell in cells):
            made[at] = Column.SIDE
        elif Column.UNIT not in made and all(cell.lower() in UNITS for cell in cells):
            made[at] = Column.UNIT
        elif Column.VALUE not in made and all(_CELL.match(cell) for cell in cells):
            made[at] = Column.VALUE
        elif Column.TEST not in made and _names_a_test(cells, shorthand):
            made[at] = Column.TEST
    return made


def _names_a_test(cells: list[str], shorthand: Shorthand) -> bool:
    """Whether one of the first different cells names a test: to look a word up takes long where nothing is like it."""
    different = list(dict.fromkeys(cells))[:LOOKED_UP]
    return any(not isinstance(named_procedure(one, shorthand), Fault) for one in different)


def _unit_in(heading: str) -> str:
    found = _IN_HEADING.search(heading)
    told = (found[1] or found[2]).strip() if found else heading.split()[-1] if heading.split() else ""
    return told if told.lower() in UNITS else ""


def readings(
    table: Table, mapping: ColumnMap, shorthand: Shorthand, complaint_side: Side | None
) -> tuple[Reading, ...]:
    """What each row becomes, in the order of the table. No row is left out: one that cannot be read has its faults."""
    proven = _decimal_comma_is_proven(table, mapping)
    seen: dict[str, int] = {}
    made = []
    for row in table.rows:
        one = _reading(row, mapping, shorthand, complaint_side, proven)
        count = seen[one.key] = seen.get(one.key, 0) + 1
        made.append(replace(one, key=f"{one.key}|{count}"))
    return tuple(made)


def _reading(
    row: Row, mapping: ColumnMap, shorthand: Shorthand, complaint_side: Side | None, comma_is_decimal: bool
) -> Reading:
    cells: dict[Column, str] = {}
    notes = []
    for column, cell in zip(mapping.columns, row.cells, strict=False):
        if column is Column.NOTE and cell:
            notes.append(cell)
        elif column is not Column.LEAVE:
            cells.setdefault(column, cell)
    faults: list[Fault] = []
    words = cells.get(Column.TEST, "")
    level = _field("level", cells.get(Column.LEVEL, ""), faults)
    procedure = _procedure(words, mapping, shorthand, level, faults)
    side = _side(cells.get(Column.SIDE, ""), mapping.side or complaint_side, faults)
    value, unit, as_read = _quantity(cells, mapping, procedure, shorthand, comma_is_decimal, faults)
    pain = _field("pain", cells.get(Column.PAIN, ""), faults)
    finding = None
    if procedure is not None and value is not None and not faults:
        told = [f"read {as_read}"] if as_read else []
        note = "; ".join(told + notes)
        finding = Finding(
            procedure.id,
            side if procedure.sided else None,
            level,
            value=value,
            unit=unit,
            pain=pain,
            note=measured_with(mapping.instrument, note) if mapping.instrument else note or None,
        )
        faults += [replace(one, field=name) for name, one in faults_of(finding, procedure, shorthand.limits)]
    where = f"{procedure.id if procedure else words}|{side or ''}|{level or ''}"
    key = "|".join((where, *(" ".join(cell.split()).lower() for cell in row.cells)))
    return Reading(row, words, None if faults else finding, tuple(faults), key)


def _procedure(
    words: str, mapping: ColumnMap, shorthand: Shorthand, level: str | None, faults: list[Fault]
) -> Procedure | None:
    chosen = mapping.names.get(words, "") or ("" if words else mapping.procedure)
    if not chosen and not words:
        faults.append(Fault("no test is named", would_do="a column with the test, or one test for all", field="test"))
        return None
    if chosen:
        if chosen in shorthand.catalogue:
            return shorthand.catalogue[chosen]
        faults.append(Fault("no such test", chosen, "one of the list", field="test"))
        return None
    found = named_procedure(words, shorthand, level)
    if isinstance(found, Fault):
        faults.append(replace(found, field="test", column=0))
        return None
    return found


def _side(cell: str, otherwise: Side | None, faults: list[Fault]) -> Side | None:
    if not cell:
        return otherwise
    side = SIDES.get(cell.lower().rstrip("."))
    if side is None:
        faults.append(Fault("no such side", cell, "right or left", field="side"))
    return side


def _field(name: str, cell: str, faults: list[Fault]) -> Any:
    if not cell:
        return None
    read = FIELD_READERS[name](cell)
    if isinstance(read, Fault):
        faults.append(replace(read, field=name))
        return None
    return read


def _quantity(
    cells: Mapping[Column, str],
    mapping: ColumnMap,
    procedure: Procedure | None,
    shorthand: Shorthand,
    comma_is_decimal: bool,
    faults: list[Fault],
) -> tuple[float | None, Unit | None, str]:
    """The value in the unit it is kept in, and how it was written where that is another one."""
    cell = cells.get(Column.VALUE, "")
    if not cell:
        faults.append(Fault("no value in this row", would_do="a number", field="value"))
        return None, None, ""
    found = _CELL.match(cell)
    number = _number(found[1], comma_is_decimal) if found else None
    if isinstance(number, Fault) or number is None or not found:
        faults.append(
            number if isinstance(number, Fault) else Fault("not a number", cell, "12.5 or 12,5", field="value")
        )
        return None, None, ""
    written = (found[2] or "").strip() or cells.get(Column.UNIT, "") or mapping.unit
    if not written and procedure is not None:
        usual = units_of(procedure, shorthand.limits)
        would = " or ".join(
            dict.fromkeys([*(str(one) for one in usual), "kgf", "lb"] if Unit.NEWTONS in usual else usual)
        )
        faults.append(Fault("the unit is not said", cell, would, field="unit"))
        return None, None, ""
    if written.lower() not in UNITS:
        if written:
            faults.append(Fault("no such unit", written, ", ".join(OFFERED_UNITS), field="unit"))
        return None, None, ""
    unit, factor = UNITS[written.lower()]
    kept = round(number * factor, 1) if factor != 1.0 else number
    return kept, unit, f"{found[1].strip()} {written}" if factor != 1.0 else ""


def _number(text: str, comma_is_decimal: bool) -> float | Fault:
    """A number with a decimal point or comma; with both, the later one is the decimal mark."""
    plain = text.replace("−", "-").replace("'", "").replace(" ", "")
    if "," in plain and "." in plain:
        decimal = max(",.", key=plain.rfind)
        plain = plain.replace("," if decimal == "." else ".", "")
    elif _GROUPS.match(text) and "," in plain and not comma_is_decimal:
        would = "a point for the decimals, or no comma between thousands"
        return Fault("may be a thousand or a fraction", text, would, field="value")
    plain = plain.replace(",", ".")
    try:
        return float(plain)
    except ValueError:
        return Fault("not a number", text, "12.5 or 12,5", field="value")


def _decimal_comma_is_proven(table: Table, mapping: ColumnMap) -> bool:
    """Whether some value has a comma that cannot stand between thousands, so that all of them are decimal."""
    if Column.VALUE not in mapping.columns:
        return False
    at = mapping.columns.index(Column.VALUE)
    values = [found[1] for row in table.rows if (found := _CELL.match(row.cells[at]))]
    return any("," in value and "." not in value and not _GROUPS.match(value) for value in values)
