"""Counts of the evidence: rows by table and provenance, entries and figures of documents."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from endfeel.evidence.figures import Provenance
from endfeel.evidence.library import Library

START, END = "<!-- counts: written by `endfeel evidence --counts docs/evidence.md` -->", "<!-- end of counts -->"
_LABELS = tuple(label.label for label in Provenance)


@dataclass(frozen=True, slots=True)
class Count:
    """What one table (rows) or document (entries with a label) holds."""

    name: str
    title: str
    topic: str
    entries: Mapping[str, int]
    """Rows or labelled entries by provenance label."""
    figures: int

    @property
    def total(self) -> int:
        return sum(self.entries.values())


def census(library: Library) -> tuple[Count, ...]:
    """One count a table and document, tables first."""
    counts = []
    for name, table in library.tables.items():
        labels = Counter(row.provenance.label for row in table)
        figures = sum(len(row.figures) + len(row.statements) for row in table)
        counts.append(Count(name, table.title, table.topic, labels, figures))
    for name, document in library.documents.items():
        labels = Counter(_labels(document))
        figures = len(library.marked[name]) if name in library.marked else 0
        counts.append(
            Count(name, library.titles.get(name, name), library.topics.get(name, "undeclared"), labels, figures)
        )
    return tuple(counts)


def _labels(node: Any) -> Iterator[str]:
    """The label of every entry that has one; labels of single keys (`cues_provenance`) where the entry has none."""
    if isinstance(node, Mapping):
        if node.get("provenance") in _LABELS:
            yield node["provenance"]
        else:
            yield from (value for key, value in node.items() if key.endswith("_provenance") and value in _LABELS)
        for value in node.values():
            yield from _labels(value)
    elif isinstance(node, list):
        for value in node:
            yield from _labels(value)


def census_rows(library: Library) -> list[tuple[str, ...]]:
    """The counts as rows of words, header first and the sum last."""
    counts = census(library)
    rows: list[tuple[str, ...]] = [("file", "what", *_LABELS, "all", "figures")]
    for count in counts:
        cells = (str(count.entries.get(label, 0)) for label in _LABELS)
        rows.append((count.name, count.title, *cells, str(count.total), str(count.figures)))
    sums = (str(sum(count.entries.get(label, 0) for count in counts)) for label in _LABELS)
    total, figures = sum(count.total for count in counts), sum(count.figures for count in counts)
    rows.append(("all", f"{len(library.sources)} sources", *sums, str(total), str(figures)))
    return rows


def census_markdown(library: Library) -> str:
    """The table of counts as it stands in docs/evidence.md, markers included."""
    header, *body = census_rows(library)
    lines = [START, _line(header), _line(["---", "---", *["---:"] * (len(header) - 2)]), *map(_line, body), END]
    return "\n".join(lines)


def _line(cells: Any) -> str:
    return f"| {' | '.join(cells)} |"
