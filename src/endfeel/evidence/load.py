"""Reads every data file, collects every fault, builds the library. The only reader of the data files.

`load_library` does what must hold before any figure is used: known sources and labels, units,
numbers that are numbers, bounds the right way round. `check_library` adds what takes longer and
can wait for `endfeel evidence --check`: counts against printed percentages, intervals against
their values, unused sources, undeclared files.
"""

from __future__ import annotations

import gc
import hashlib
from collections.abc import Mapping
from functools import lru_cache
from importlib import resources
from pathlib import Path
from types import MappingProxyType
from typing import Any

from endfeel.evidence.figures import Figure
from endfeel.evidence.library import Library, Table
from endfeel.evidence.procedures import read_procedures
from endfeel.evidence.read_documents import document_figures, parse_document
from endfeel.evidence.read_tables import read_sources, read_table
from endfeel.evidence.schema import Schema, read_schema
from endfeel.vocabulary import Catalogue, EvidenceFault, Fault

DECLARATION = "tables.toml"
SOURCES = "sources.csv"


@lru_cache(maxsize=1)
def load_library() -> Library:
    """The library of the data files shipped with the program. Raises EvidenceFault with every fault."""
    library, faults, _ = read_library(data_files())
    if faults:
        raise EvidenceFault(faults)
    return library


def data_files(folder: Path | None = None) -> dict[str, bytes]:
    """The data files by name: those of `folder`, or those shipped with the program."""
    place = folder if folder is not None else resources.files("endfeel.evidence") / "data"
    return {entry.name: entry.read_bytes() for entry in place.iterdir() if entry.name.endswith((".csv", ".toml"))}


def release_of(files: Mapping[str, bytes]) -> str:
    """Twelve hexadecimal digits that change when any byte of any data file changes."""
    digest = hashlib.sha256()
    for name in sorted(files):
        digest.update(name.encode() + b"\0" + len(files[name]).to_bytes(8, "big") + files[name])
    return digest.hexdigest()[:12]


def read_library(files: Mapping[str, bytes]) -> tuple[Library, list[Fault], Schema]:
    """The library as far as it could be read, and every fault found on the way."""
    was_collecting = gc.isenabled()
    gc.disable()  # tens of thousands of small values that all stay: collecting between them only costs time
    try:
        return _read(files)
    finally:
        if was_collecting:
            gc.enable()


def _read(files: Mapping[str, bytes]) -> tuple[Library, list[Fault], Schema]:
    faults: list[Fault] = []
    texts = {name: _text(name, raw, faults) for name, raw in files.items()}
    schema = read_schema(parse_document(DECLARATION, texts.get(DECLARATION, ""), faults), faults)
    missing = {
        SOURCES,
        DECLARATION,
        *(f"{name}.csv" for name in schema.tables),
        *(f"{name}.toml" for name in schema.documents),
    }
    faults.extend(Fault("missing file", file=name, would_do="the file") for name in sorted(missing - set(files)))
    sources = read_sources(SOURCES, texts.get(SOURCES, "id,citation,address\n"), faults)
    tables: dict[str, Table] = {}
    documents: dict[str, Mapping[str, Any]] = {}
    for file in sorted(texts):
        name, suffix = file.rsplit(".", 1)
        if suffix == "csv" and file != SOURCES:
            tables[name] = read_table(name, texts[file], schema.tables.get(name), sources, faults)
        elif suffix == "toml" and file != DECLARATION:
            documents[name] = parse_document(file, texts[file], faults)
    figures: dict[str, Figure] = {}
    for table in tables.values():
        for row in table:
            for figure in (*row.figures.values(), *row.statements.values()):
                figures[figure.id] = figure
    for name, declared in schema.documents.items():
        for figure in document_figures(declared, documents.get(name, {}), sources):
            if figure.id in figures:
                faults.append(Fault("two figures of one id", read=figure.id, file=f"{name}.toml"))
            figures[figure.id] = figure
    procedures = documents.get("procedures")
    catalogue = read_procedures(procedures, texts["procedures.toml"], faults) if procedures else Catalogue()
    library = Library(
        release_of(files),
        MappingProxyType(sources),
        MappingProxyType(tables),
        MappingProxyType(documents),
        catalogue,
        MappingProxyType(figures),
    )
    return library, faults, schema


def _text(name: str, raw: bytes, faults: list[Fault]) -> str:
    try:
        return raw.decode("utf-8")
    except UnicodeDecodeError as error:
        line = raw[: error.start].count(b"\n") + 1
        faults.append(Fault("not UTF-8", line=line, column=1, file=name, would_do="UTF-8 text"))
        return raw.decode("utf-8", errors="replace")
