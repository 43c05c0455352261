"""A pasted or uploaded table as rows of cells: delimiter found, header told from readings, nothing dropped."""

from __future__ import annotations

import csv
import re
from collections.abc import Sequence
from dataclasses import dataclass

from endfeel.vocabulary import CannotRead, Fault

DELIMITERS = ("\t", ";", ",", "|")
MOST_ROWS = 500
MOST_COLUMNS = 40
_NUMBER = re.compile(r"^[-−+]?\d[\d.,' ]*\s*[^\d\s]{0,8}$")


@dataclass(frozen=True, slots=True)
class Row:
    """One row as written: its line in the text, and its cells, as many as the widest row has."""

    line: int
    cells: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Table:
    """A table of readings."""

    delimiter: str
    header: tuple[str, ...]
    """Empty when the first row already holds a reading."""
    rows: tuple[Row, ...]

    @property
    def width(self) -> int:
        """How many columns there are."""
        return max((len(row.cells) for row in self.rows), default=len(self.header))


def decoded(content: bytes) -> str:
    """The text of a file: UTF-8 or UTF-16 where it says so, else the Western code page old programs write."""
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        return content.decode("utf-16", errors="replace")
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError:
        return content.decode("cp1252", errors="replace")


def read_table(text: str) -> Table:
    """The rows of a table; empty lines are passed over. Raises CannotRead for none, too many, or too wide ones."""
    delimiter = _delimiter(text)
    reader = csv.reader(text.splitlines(), delimiter=delimiter, skipinitialspace=True)
    found: list[Row] = []
    try:
        told = ((reader.line_num, tuple(cell.strip() for cell in cells)) for cells in reader)
        found.extend(Row(line, cells) for line, cells in told if any(cells))
    except csv.Error as error:
        raise CannotRead([Fault("the table cannot be read", str(error), "plain rows", line=reader.line_num)]) from error
    if not found:
        raise CannotRead([Fault("there is no reading here", "", "one row a reading, with or without a header")])
    if len(found) > MOST_ROWS:
        raise CannotRead([Fault("too many rows in one go", str(len(found)), f"at most {MOST_ROWS}")])
    width = max(len(row.cells) for row in found)
    if width > MOST_COLUMNS:
        raise CannotRead([Fault("too many columns", str(width), f"at most {MOST_COLUMNS}")])
    even = [Row(row.line, row.cells + ("",) * (width - len(row.cells))) for row in found]
    if len(even) > 1 and not any(_NUMBER.match(cell) for cell in even[0].cells):
        return Table(delimiter, even[0].cells, tuple(even[1:]))
    return Table(delimiter, (), tuple(even))


def _delimiter(text: str) -> str:
    """The one that splits most lines into the same number of cells; a comma between figures may be a decimal one."""
    lines = [line for line in text.splitlines() if line.strip()][:50]
    best, most = ",", 0.0
    for mark in DELIMITERS:
        counts = [_cells(line, mark) for line in lines]
        usual = max(set(counts), key=counts.count) if counts else 1
        worth = (usual > 1) * (counts.count(usual) + 1 / (DELIMITERS.index(mark) + 2))
        if mark == "," and all(_is_decimal(line) for line in lines if "," in line):
            worth = 0.0
        if worth > most:
            best, most = mark, worth
    return best if most else "\t"


def _cells(line: str, mark: str) -> int:
    """How many cells a line has; none where it cannot be split so, which is told when the table is read."""
    try:
        return len(next(csv.reader([line], delimiter=mark, skipinitialspace=True), []))
    except csv.Error:
        return 0


def _is_decimal(line: str) -> bool:
    """Whether every comma of a line stands between two figures and there is at most one: `ER right 12,5`."""
    return line.count(",") == 1 and bool(re.search(r"\d,\d", line))


def written_back(table: Table, lines: Sequence[int]) -> str:
    """The header and these rows as text, to be put right and read again."""
    rows = [table.header] if table.header else []
    rows += [row.cells for row in table.rows if row.line in lines]
    mark = table.delimiter
    return "\n".join(mark.join(_quoted(cell, mark) for cell in row) for row in rows)


def _quoted(cell: str, mark: str) -> str:
    if mark in cell or '"' in cell:
        return '"' + cell.replace('"', '""') + '"'
    return cell
