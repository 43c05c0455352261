"""Everything that can be checked about the data files, slow checks included: what `endfeel evidence --check` runs."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path

from endfeel.evidence.contradictions import row_faults
from endfeel.evidence.library import Row, Table
from endfeel.evidence.load import DECLARATION, SOURCES, DataFiles, data_files
from endfeel.evidence.read_documents import cited_sources, document_faults, unlabelled_facts
from endfeel.evidence.read_tables import place_of
from endfeel.evidence.schema import Schema
from endfeel.vocabulary import Fault

_BARE_ADDRESS = re.compile(r"10\.\d{4,}/|PMC\d|PMID|https?://dx\.doi\.org/|http://doi\.org/")


def check_library(folder: Path | None = None) -> tuple[Fault, ...]:
    """Every fault of the data files in `folder`, or of those shipped, in the order of file and line."""
    return check_files(DataFiles(data_files(folder)))


def check_files(files: DataFiles) -> tuple[Fault, ...]:
    """Every fault of one set of data files, slow checks included."""
    faults = files.faults()
    faults.extend(_undeclared(files.files, files.schema))
    for name, document in files.documents.items():
        file = f"{name}.toml"
        faults.extend(document_faults(file, files.text(file), document, files.sources))
        if name in files.schema.documents:
            faults.extend(unlabelled_facts(files.schema.documents[name], document, files.sources))
    for table in files.tables.values():
        faults.extend(_table_faults(table, files.text(f"{table.name}.csv")))
    faults.extend(_source_faults(files))
    return tuple(sorted(faults, key=lambda fault: (fault.file, fault.line, fault.column)))


def _undeclared(files: Iterable[str], schema: Schema) -> Iterator[Fault]:
    known = {f"{name}.csv" for name in schema.tables} | {f"{name}.toml" for name in schema.documents}
    for name in sorted(set(files) - known - {SOURCES, DECLARATION}):
        yield Fault("undeclared file", file=name, would_do=f"a section in {DECLARATION}")


def _source_faults(files: DataFiles) -> Iterator[Fault]:
    used = {row.source.id for table in files.tables.values() for row in table}
    for document in files.documents.values():
        used.update(str(source) for source in cited_sources(document))
    lines = {line.split(",", 1)[0]: at for at, line in enumerate(files.text(SOURCES).splitlines(), 1)}
    for source_id, source in files.sources.items():
        at = lines.get(source_id, 0)
        if source_id not in used:
            wanted = "a row that cites it"
            yield Fault("unused source", read=source_id, would_do=wanted, line=at, column=1, file=SOURCES)
        if _BARE_ADDRESS.match(source.address):
            wanted = "https://doi.org/…, https://pmc.ncbi.nlm.nih.gov/articles/PMC…, https://pubmed.ncbi.nlm.nih.gov/…/"
            yield Fault("address in short form", read=source.address, would_do=wanted, line=at, column=1, file=SOURCES)


def _table_faults(table: Table, text: str) -> Iterator[Fault]:
    places: Mapping[str, int] | None = None
    alike: dict[tuple[str, ...], str] = {}
    lines = text.splitlines()
    for row in table:
        found = [*row_faults(table, row), *_repeated(row, alike)]
        if not found:
            continue
        if places is None:
            places = {line.split(",", 1)[0]: at for at, line in enumerate(lines, 1)}
        at = places.get(row.id, 0)
        for column, message, read, would_do in found:
            place = place_of(lines, at, column)
            yield Fault(
                message, read=read, would_do=would_do, line=at, column=place, file=f"{table.name}.csv", field=column
            )


def _repeated(row: Row, alike: dict[tuple[str, ...], str]) -> Iterator[tuple[str, str, str, str]]:
    content = tuple(cell for column, cell in row.text.items() if column != "id")
    first = alike.setdefault(content, row.id)
    if first != row.id:
        yield "id", f"says the same as {first}", row.id, "one row"
