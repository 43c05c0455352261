"""The library: every figure, source and rule of one evidence release, as values."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any, TypeVar

from endfeel.evidence.figures import Figure, Provenance, Source
from endfeel.evidence.schema import TableSchema
from endfeel.vocabulary import Catalogue, NotFound

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Row:
    """One row of a table: its words by column, its figures by column, and where it was seen."""

    id: str
    text: Mapping[str, str]
    figures: Mapping[str, Figure]
    """The columns that hold a number, by column name; empty cells are absent."""
    source: Source
    provenance: Provenance
    note: str = ""
    statements: Mapping[str, Figure] = field(default_factory=dict)
    """The columns that hold a range, a bound or words instead of one number."""

    @property
    def carries_weight(self) -> bool:
        """Whether anything may be computed from the row: not when its `use` column says `no_weight`."""
        return self.text.get("use") != "no_weight"


@dataclass(frozen=True, slots=True)
class Table:
    """One data file."""

    name: str
    title: str
    rows: Mapping[str, Row]
    topic: str = ""
    schema: TableSchema | None = None
    """What was declared about its columns; None for a table made by hand in a test."""

    def __iter__(self) -> Iterator[Row]:
        return iter(self.rows.values())


class Shelf(Mapping[str, T]):
    """Values by name, each made when it is first asked for and kept."""

    def __init__(self, names: Iterable[str], read: Callable[[str], T]) -> None:
        self._names = dict.fromkeys(names)
        self._read = read
        self._kept: dict[str, T] = {}

    def __getitem__(self, name: str) -> T:
        if name not in self._kept:
            if name not in self._names:
                raise KeyError(name)
            self._kept[name] = self._read(name)
        return self._kept[name]

    def __contains__(self, name: object) -> bool:
        return name in self._names

    def __iter__(self) -> Iterator[str]:
        return iter(self._names)

    def __len__(self) -> int:
        return len(self._names)


class FigureIndex(Mapping[str, Figure]):
    """Every figure by id. The first word of an id names its table or document, so only that one is read."""

    def __init__(self, tables: Mapping[str, Table], marked: Mapping[str, Mapping[str, Figure]]) -> None:
        self._tables, self._marked = tables, marked

    def __getitem__(self, figure_id: str) -> Figure:
        name = figure_id.partition(".")[0]
        if name in self._marked:
            return self._marked[name][figure_id]
        _, row_id, column = figure_id.split(".", 2) if figure_id.count(".") > 1 else ("", "", "")
        row = self._tables[name].rows[row_id]
        return row.figures[column] if column in row.figures else row.statements[column]

    def __iter__(self) -> Iterator[str]:
        for table in self._tables.values():
            for row in table:
                for figure in (*row.figures.values(), *row.statements.values()):
                    yield figure.id
        for figures in self._marked.values():
            yield from figures

    def __len__(self) -> int:
        return sum(1 for _ in self)


@dataclass(frozen=True, slots=True)
class Library:
    """Everything the data files say. Built only by `evidence.load`."""

    release: str
    """Content hash of the data files; printed with every conclusion."""
    sources: Mapping[str, Source]
    tables: Mapping[str, Table]
    documents: Mapping[str, Mapping[str, Any]]
    """The TOML files, parsed and checked, by name (`safety`, `joint_rules`, `outcome_measures`, ...)."""
    catalogue: Catalogue
    figures: Mapping[str, Figure]
    """Every figure by id, those of tables and those inside TOML documents."""
    titles: Mapping[str, str] = field(default_factory=dict)
    """Title of every declared document by name; a table carries its own."""
    topics: Mapping[str, str] = field(default_factory=dict)
    """Topic of every declared document by name; a table carries its own."""
    marked: Mapping[str, Mapping[str, Figure]] = field(default_factory=dict)
    """The figures inside each declared document, by name."""

    def figure(self, figure_id: str) -> Figure:
        """One figure by id. Raises NotFound."""
        try:
            return self.figures[figure_id]
        except KeyError:
            raise NotFound(f"no figure {figure_id!r}; `endfeel evidence WORDS` searches them") from None

    def source(self, source_id: str) -> Source:
        """One source by id. Raises NotFound."""
        try:
            return self.sources[source_id]
        except KeyError:
            raise NotFound(f"no source {source_id!r}") from None
