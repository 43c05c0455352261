"""The library: every figure, source and rule of one evidence release, as values."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from endfeel.evidence.figures import Figure, Provenance, Source
from endfeel.evidence.schema import TableSchema
from endfeel.vocabulary import Catalogue, NotFound


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


@dataclass(frozen=True, slots=True)
class Library:
    """Everything the data files say. Built only by `evidence.load.load_library`."""

    release: str
    """Content hash of the data files; printed with every conclusion."""
    sources: Mapping[str, Source]
    tables: Mapping[str, Table]
    documents: Mapping[str, Mapping[str, Any]]
    """The TOML files, parsed and checked, by name (`safety`, `joint_rules`, `outcome_measures`, ...)."""
    catalogue: Catalogue
    figures: Mapping[str, Figure]
    """Every figure by id, those of tables and those inside TOML documents."""

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
