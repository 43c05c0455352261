"""What the data files may hold, as declared in `data/tables.toml`.

A table declares its columns: kind, unit, bounds, and which columns hold the interval, spread and
sample size of which. A document declares where its figures stand. A new file needs no code.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any, TypeVar

from endfeel.vocabulary import Fault

Made = TypeVar("Made")
COMMON = ("id", "source", "provenance", "note")
"""Columns every table has."""
KINDS = ("number", "integer", "range", "measure", "statement", "text", "choice", "auto")
"""number, integer; range: a number or two ends or one bound; measure: a range or words;
statement: words that are themselves the fact; text and choice: description; auto: not declared."""
_NUMERIC = ("number", "integer", "range", "measure")


@dataclass(frozen=True, slots=True)
class Column:
    name: str
    kind: str
    unit: str = ""
    unit_from: str = ""
    """Column that gives the unit of each row."""
    least: float | None = None
    most: float | None = None
    low: str = ""
    high: str = ""
    sd: str = ""
    n: str = ""
    choices: tuple[str, ...] = ()
    required: bool = False
    aside: bool = False
    """Left out of a search's answer: it says how much stands behind a figure."""

    @property
    def holds_figure(self) -> bool:
        return self.kind not in ("text", "choice")


@dataclass(frozen=True, slots=True)
class TableSchema:
    name: str
    title: str
    topic: str
    columns: Mapping[str, Column]
    population: str = ""
    """Column that says who was measured."""
    n: str = ""
    """Column with the sample size of the row, unless a column names its own."""
    declared: bool = True

    @property
    def supporting(self) -> frozenset[str]:
        """Columns that only qualify another: interval ends, spread, sample sizes, asides."""
        named = {name for column in self.columns.values() for name in (column.low, column.high, column.sd, column.n)}
        aside = {column.name for column in self.columns.values() if column.aside}
        return frozenset((named | aside | {self.n}) - {""})

    @property
    def header(self) -> tuple[str, ...]:
        return ("id", *self.columns, "source", "provenance", "note")


@dataclass(frozen=True, slots=True)
class FigurePlace:
    """Where figures stand in a document: a path of keys, and the keys that hold the facts."""

    at: tuple[str, ...]
    values: tuple[str, ...]
    unit: str = ""
    """A fixed unit, or empty when `unit_key` gives it."""
    unit_key: str = "unit"
    low: str = ""
    high: str = ""
    n: str = "n"
    population: str = "population"
    provenance: str = ""
    """A label for entries that carry none."""


@dataclass(frozen=True, slots=True)
class DocumentSchema:
    name: str
    title: str
    topic: str
    places: tuple[FigurePlace, ...] = ()


@dataclass(frozen=True, slots=True)
class Schema:
    tables: Mapping[str, TableSchema] = field(default_factory=dict)
    documents: Mapping[str, DocumentSchema] = field(default_factory=dict)


def guess_table(name: str, header: list[str]) -> TableSchema:
    """A stand-in for a table that nobody has declared yet: numbers are figures, the rest is text."""
    columns = {
        column: Column(column, "auto", unit_from="unit" if "unit" in header else "")
        for column in header
        if column not in COMMON
    }
    population = "population" if "population" in header else ""
    return TableSchema(name, name, "undeclared", columns, population, "n" if "n" in header else "", declared=False)


def read_schema(declaration: Mapping[str, Any], faults: list[Fault], file: str = "tables.toml") -> Schema:
    """The declared tables and documents; what is wrong with the declaration itself goes to `faults`."""
    tables = _declared("table", declaration, _table, faults, file)
    for table in tables.values():
        faults.extend(Fault(reason, file=file, field=table.name) for reason in _table_faults(table))
    return Schema(tables, _declared("document", declaration, _document, faults, file))


def _declared(
    sort: str, declaration: Mapping[str, Any], make: Callable[[str, Any], Made], faults: list[Fault], file: str
) -> dict[str, Made]:
    made: dict[str, Made] = {}
    sections = declaration.get(sort, {})
    for name, body in sections.items() if isinstance(sections, Mapping) else ():
        try:
            made[name] = make(name, body)
        except KeyError as error:
            faults.append(Fault(f"{sort} {name}: missing {error.args[0]}", file=file, field=name))
        except (TypeError, AttributeError):
            faults.append(Fault(f"{sort} {name}: not in the form of a declaration", file=file, field=name))
    return made


def _table(name: str, body: Mapping[str, Any]) -> TableSchema:
    columns = {
        column: Column(
            column,
            kind=rule["kind"],
            unit=rule.get("unit", ""),
            unit_from=rule.get("unit_from", ""),
            least=rule.get("min"),
            most=rule.get("max"),
            low=rule.get("low", ""),
            high=rule.get("high", ""),
            sd=rule.get("sd", ""),
            n=rule.get("n", ""),
            choices=tuple(rule.get("choices", ())),
            required=rule.get("required", False),
            aside=rule.get("aside", False),
        )
        for column, rule in body["column"].items()
    }
    return TableSchema(name, body["title"], body["topic"], columns, body.get("population", ""), body.get("n", ""))


def _table_faults(table: TableSchema) -> Iterator[str]:
    for column in table.columns.values():
        place = f"{table.name}.{column.name}"
        if column.kind not in KINDS:
            yield f"{place}: unknown kind {column.kind!r}"
        if column.kind in _NUMERIC and not (column.unit or column.unit_from):
            yield f"{place}: missing unit (declare unit or unit_from)"
        if column.kind == "choice" and not column.choices:
            yield f"{place}: a choice needs its choices"
        for other in (column.low, column.high, column.sd, column.n, column.unit_from):
            if other and other not in table.columns:
                yield f"{place}: names a column {other!r} that is not declared"
    for other in (table.population, table.n):
        if other and other not in table.columns:
            yield f"{table.name}: names a column {other!r} that is not declared"


def _document(name: str, body: Mapping[str, Any]) -> DocumentSchema:
    places = tuple(
        FigurePlace(
            at=tuple(place["at"].split(".")),
            values=tuple(place["values"]),
            unit=place.get("unit", ""),
            unit_key=place.get("unit_key", "unit"),
            low=place.get("low", ""),
            high=place.get("high", ""),
            n=place.get("n", "n"),
            population=place.get("population", "population"),
            provenance=place.get("provenance", ""),
        )
        for place in body.get("figures", ())
    )
    return DocumentSchema(name, body["title"], body["topic"], places)
