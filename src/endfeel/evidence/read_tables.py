"""Comma-separated text to a checked table. Every fault is collected with line and column."""

from __future__ import annotations

import csv
from collections.abc import Mapping
from types import MappingProxyType

from endfeel.evidence.cells import Reading, column_of, read_cell, read_number
from endfeel.evidence.figures import Figure, Provenance, Source
from endfeel.evidence.library import Row, Table
from endfeel.evidence.schema import Column, TableSchema, guess_table
from endfeel.vocabulary import Fault

_LABELS: dict[str, Provenance] = {label.label: label for label in Provenance}


def read_sources(file: str, text: str, faults: list[Fault]) -> dict[str, Source]:
    """The sources by id: `id, citation, address`."""
    lines, header, records = _records(file, text, faults)
    _check_header(file, lines, header, ("id", "citation", "address"), faults)
    sources: dict[str, Source] = {}
    for line, cells in records:
        record = dict(zip(header, cells, strict=False))
        source_id = record.get("id", "")
        for column in ("id", "citation"):
            if not record.get(column, "").strip():
                place = column_of(lines[line - 1], header.index(column)) if column in header else 0
                faults.append(
                    Fault(f"empty {column}", read=source_id, would_do=f"a {column}", line=line, column=place, file=file)
                )
        if source_id in sources:
            faults.append(
                Fault("duplicate id", read=source_id, would_do="an id of its own", line=line, column=1, file=file)
            )
            continue
        sources[source_id] = Source(source_id, record.get("citation", ""), record.get("address", ""))
    return sources


def read_table(
    name: str, text: str, schema: TableSchema | None, sources: Mapping[str, Source], faults: list[Fault]
) -> Table:
    """One table. A row with a fault that would make its figures unsafe is left out; the fault is kept."""
    file = f"{name}.csv"
    lines, header, records = _records(file, text, faults)
    schema = schema or guess_table(name, header)
    _check_header(file, lines, header, schema.header, faults)
    reader = _RowReader(file, schema, header, lines, sources, faults)
    rows: dict[str, Row] = {}
    for line, cells in records:
        row = reader.read(line, cells)
        if row is None:
            continue
        if row.id in rows:
            reader.fault("duplicate id", "id", line, row.id, "an id of its own")
            continue
        rows[row.id] = row
    return Table(name, schema.title, MappingProxyType(rows), schema.topic, schema)


def _records(file: str, text: str, faults: list[Fault]) -> tuple[list[str], list[str], list[tuple[int, list[str]]]]:
    lines = text.splitlines()
    reader = csv.reader(lines, strict=True)
    rows: list[tuple[int, list[str]]] = []
    try:
        rows.extend((reader.line_num, cells) for cells in reader if cells)
    except csv.Error as error:
        faults.append(Fault(f"not a table: {error}", line=reader.line_num, file=file))
    if not rows:
        faults.append(Fault("an empty table", would_do="a header line", line=1, file=file))
        return lines, [], []
    header = rows[0][1]
    whole = []
    for line, cells in rows[1:]:
        if len(cells) != len(header):
            wanted = f"{len(header)} cells"
            faults.append(
                Fault(
                    "wrong number of cells", read=f"{len(cells)} cells", would_do=wanted, line=line, column=1, file=file
                )
            )
        else:
            whole.append((line, cells))
    return lines, header, whole


def _check_header(file: str, lines: list[str], header: list[str], wanted: tuple[str, ...], faults: list[Fault]) -> None:
    for index, column in enumerate(header):
        if column not in wanted:
            faults.append(
                Fault(
                    "unknown column",
                    read=column,
                    would_do="a declared column",
                    line=1,
                    column=column_of(lines[0], index),
                    file=file,
                )
            )
        elif column in header[:index]:
            faults.append(Fault("column twice", read=column, line=1, column=column_of(lines[0], index), file=file))
    faults.extend(
        Fault(
            "missing column",
            read="",
            would_do=f"a column {column!r}",
            line=1,
            column=len(lines[0]) + 1 if lines else 1,
            file=file,
        )
        for column in wanted
        if column not in header
    )


class _RowReader:
    """Reads the rows of one table; holds what all rows share."""

    def __init__(
        self,
        file: str,
        schema: TableSchema,
        header: list[str],
        lines: list[str],
        sources: Mapping[str, Source],
        faults: list[Fault],
    ) -> None:
        self.file, self.schema, self.header, self.lines = file, schema, header, lines
        self.sources, self.faults = sources, faults
        present = set(header)
        self.columns = [column for column in schema.columns.values() if column.name in present]

    def fault(self, message: str, column: str, line: int, read: str = "", would_do: str = "") -> None:
        place = column_of(self.lines[line - 1], self.header.index(column)) if column in self.header else 0
        self.faults.append(
            Fault(message, read=read, would_do=would_do, line=line, column=place, file=self.file, field=column)
        )

    def read(self, line: int, cells: list[str]) -> Row | None:
        text = dict(zip(self.header, cells, strict=True))
        row_id = text.get("id", "")
        if not row_id:
            self.fault("empty id", "id", line, would_do="a stable id")
        source = self.sources.get(text.get("source", ""))
        if source is None:
            self.fault("unknown source", "source", line, text.get("source", ""), "an id of sources.csv")
        provenance = _LABELS.get(text.get("provenance", ""))
        if provenance is None:
            self.fault("unknown provenance", "provenance", line, text.get("provenance", ""), "read, memory or practice")
        readings = self._readings(line, text)
        if not row_id or source is None or provenance is None:
            return None
        note = text.get("note", "")
        numbers: dict[str, Figure] = {}
        statements: dict[str, Figure] = {}
        prefix = f"{self.schema.name}.{row_id}."
        people = text.get(self.schema.population, "") if self.schema.population else ""
        for column, reading in readings:
            figure = Figure(
                prefix + column.name,
                reading.value,
                text[column.name],
                column.unit or text.get(column.unit_from, ""),
                _end(text, column.low, reading.low),
                _end(text, column.high, reading.high),
                _count(text, column.n or self.schema.n),
                people,
                source,
                provenance,
                note,
            )
            (statements if reading.value is None else numbers)[column.name] = figure
        return Row(
            row_id,
            MappingProxyType(text),
            MappingProxyType(numbers),
            source,
            provenance,
            note,
            MappingProxyType(statements),
        )

    def _readings(self, line: int, text: Mapping[str, str]) -> list[tuple[Column, Reading]]:
        found: list[tuple[Column, Reading]] = []
        for column in self.columns:
            cell = text[column.name]
            if not cell:
                if column.required:
                    self.fault(f"empty {column.name}", column.name, line, would_do=f"a {column.kind}")
                continue
            kind = column.kind
            if kind == "text":
                continue
            if kind == "choice":
                if cell not in column.choices:
                    self.fault("not one of the choices", column.name, line, cell, " | ".join(column.choices))
                continue
            reading = self._reading(line, column, cell)
            if reading is None:
                continue
            if kind in ("range", "measure", "number") and column.unit_from and not text.get(column.unit_from):
                self.fault("missing unit", column.unit_from, line, would_do=f"the unit of {column.name}")
                continue
            found.append((column, reading))
        self._check_ends(line, text)
        return found

    def _reading(self, line: int, column: Column, cell: str) -> Reading | None:
        if column.kind == "statement":
            return Reading(None)
        reading = Reading(read_number(cell)) if column.kind in ("number", "integer") else read_cell(cell)
        if column.kind == "auto":
            return None if reading.value is None else reading
        if column.kind != "measure" and reading.is_words:
            wanted = {"range": "a number, or two as in 0.60 to 0.79, or <0.001"}.get(column.kind, f"a {column.kind}")
            self.fault("not a number", column.name, line, cell, wanted)
            return None
        if column.kind == "integer" and reading.value is not None and not reading.value.is_integer():
            self.fault("not a whole number", column.name, line, cell, "a whole number")
            return None
        if reading.low is not None and reading.high is not None and reading.low > reading.high:
            self.fault("bounds reversed", column.name, line, cell, f"{reading.high:g} to {reading.low:g}")
            return None
        for value in reading:
            if value is not None and (
                (column.least is not None and value < column.least) or (column.most is not None and value > column.most)
            ):
                self.fault(f"{column.name} out of bounds", column.name, line, cell, _bounds(column))
                return None
        return reading

    def _check_ends(self, line: int, text: Mapping[str, str]) -> None:
        for column in self.columns:
            if not (column.low and column.high):
                continue
            low, high = read_number(text.get(column.low, "")), read_number(text.get(column.high, ""))
            if low is not None and high is not None and low > high:
                self.fault("bounds reversed", column.low, line, f"{low:g} to {high:g}", f"{high:g} to {low:g}")


def _bounds(column: Column) -> str:
    if column.least is not None and column.most is not None:
        return f"{column.least:g} to {column.most:g}"
    return f"{column.least:g} or more" if column.least is not None else f"{column.most:g} or less"


def _end(text: Mapping[str, str], column: str, own: float | None) -> float | None:
    return read_number(text.get(column, "")) if column and own is None else own


def _count(text: Mapping[str, str], column: str) -> int | None:
    cell = text.get(column, "") if column else ""
    return int(cell) if cell.isdigit() else None


def place_of(lines: list[str], line: int, column: str) -> int:
    """Where the cell of `column` begins in `line`, counting from 1; 0 when it cannot be told."""
    header = lines[0].split(",") if lines else []
    return column_of(lines[line - 1], header.index(column)) if line and column in header else 0
