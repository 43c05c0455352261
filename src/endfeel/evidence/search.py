"""Find figures by words: every word must occur somewhere in the row, the best match first."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from endfeel.evidence.figures import Figure, Provenance, Source
from endfeel.evidence.library import Library, Row, Table

_WORD = re.compile(r"[a-z0-9]+(?:[.+-][a-z0-9]+)*")
_EXACT_TITLE, _TITLE, _EXACT_REST, _REST = 8, 4, 2, 1


@dataclass(frozen=True, slots=True)
class Hit:
    """One row of a table, or one entry of a document, with its figures."""

    id: str
    title: str
    topic: str
    figures: tuple[Figure, ...]
    source: Source
    provenance: Provenance
    note: str
    doubt: str = ""
    score: int = 0


def search(
    library: Library, words: Sequence[str], *, topic: str = "", provenance: Provenance | None = None
) -> tuple[Hit, ...]:
    """Rows whose text, table title or citation contains every word; a word in the row's own description counts most.

    `topic` keeps the tables and documents of one topic, `provenance` the rows with that label. Without words everything
    that passes the two filters is returned in file order.
    """
    wanted = [word for given in words for word in _WORD.findall(given.lower())]
    hits = []
    for hit, rest in _entries(library, topic):
        if provenance is not None and hit.provenance is not provenance:
            continue
        score = _score(wanted, f"{hit.id} {hit.title}".lower(), rest.lower())
        if score is not None:
            hits.append(replace(hit, score=score))
    return tuple(sorted(hits, key=lambda hit: (-hit.score, hit.provenance))) if wanted else tuple(hits)


def _score(wanted: Iterable[str], title: str, rest: str) -> int | None:
    """How well the words fit; None when one of them occurs nowhere."""
    title_words, rest_words = set(_WORD.findall(title.replace("_", " "))), set(_WORD.findall(rest.replace("_", " ")))
    total = 0
    for word in wanted:
        if word in title_words:
            total += _EXACT_TITLE
        elif word in title:
            total += _TITLE
        elif word in rest_words:
            total += _EXACT_REST
        elif word in rest:
            total += _REST
        else:
            return None
    return total


def _entries(library: Library, topic: str) -> Iterator[tuple[Hit, str]]:
    for table in library.tables.values():
        if not topic or table.topic == topic:
            for row in table:
                hit = _row_hit(table, row)
                cells = " ".join(cell for column, cell in row.text.items() if column != "source")
                yield hit, f"{cells} {table.title} {row.source.citation}"
    for name, of in library.topics.items():
        if topic and of != topic:
            continue
        for figure in library.marked[name].values():
            hit = Hit(figure.id, figure.population, of, (figure,), figure.source, figure.provenance, figure.note)
            yield hit, f"{figure.text} {figure.unit} {figure.note} {figure.source.citation} {name}"


def _row_hit(table: Table, row: Row) -> Hit:
    columns = table.schema.columns.values() if table.schema else ()
    apart = table.schema.supporting if table.schema else frozenset()
    hidden = {column.unit_from for column in columns} | {"doubt", "use"} | apart
    found = {**row.figures, **row.statements}
    figures = tuple(found[column.name] for column in columns if column.name in found and column.name not in apart)
    words = [
        row.text[column.name]
        for column in columns
        if column.name not in found and column.name not in hidden and row.text.get(column.name)
    ]
    title = " · ".join(dict.fromkeys(words))
    doubt = row.text.get("doubt", "")
    return Hit(f"{table.name}.{row.id}", title, table.topic, figures, row.source, row.provenance, row.note, doubt)
