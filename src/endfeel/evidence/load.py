"""The only reader of the data files.

`load_library` reads a file when something in it is first asked for, so that a command pays only for
what it uses; a figure is never handed out before its whole file has passed. `load_folder` and
`check.check_library` read everything at once and name every fault of every file.
"""

from __future__ import annotations

import gc
import hashlib
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from functools import lru_cache
from pathlib import Path
from typing import Any

from endfeel.evidence.figures import Figure, Source
from endfeel.evidence.library import FigureIndex, Library, Shelf, Table
from endfeel.evidence.procedures import FILE as PROCEDURES
from endfeel.evidence.procedures import read_procedures
from endfeel.evidence.read_documents import document_figures, parse_document
from endfeel.evidence.read_tables import read_sources, read_table
from endfeel.evidence.schema import Schema, read_schema
from endfeel.vocabulary import EvidenceFault, Fault

DECLARATION = "tables.toml"
SOURCES = "sources.csv"
SHIPPED = Path(__file__).with_name("data")


@lru_cache(maxsize=1)
def load_library() -> Library:
    """The library of the data files shipped with the program.

    Raises EvidenceFault, now or when a file is first used, with every fault of the files read so far.
    """
    return DataFiles(data_files()).library()


def load_folder(folder: Path) -> Library:
    """The library of the data files in `folder`, all read. Raises EvidenceFault with every fault of every file."""
    files = DataFiles(data_files(folder))
    faults = files.faults()
    if faults:
        raise EvidenceFault(faults)
    return files.library()


def data_files(folder: Path | None = None) -> dict[str, bytes]:
    """The data files by name: those of `folder`, or those shipped with the program."""
    place = folder if folder is not None else SHIPPED
    return {entry.name: entry.read_bytes() for entry in place.iterdir() if entry.name.endswith((".csv", ".toml"))}


def release_of(files: Mapping[str, bytes]) -> str:
    """Twelve hexadecimal digits that change when any byte of any data file changes."""
    digest = hashlib.sha256()
    for name in sorted(files):
        digest.update(name.encode() + b"\0" + len(files[name]).to_bytes(8, "big") + files[name])
    return digest.hexdigest()[:12]


class DataFiles:
    """The data files of one release, each read once, with the faults found in each."""

    def __init__(self, files: Mapping[str, bytes]) -> None:
        self.files = files
        self.release = release_of(files)
        self._faults: dict[str, list[Fault]] = {name: [] for name in files}
        found = self._faults.setdefault(DECLARATION, [])
        self.schema: Schema = read_schema(parse_document(DECLARATION, self.text(DECLARATION), found), found)
        self.sources: Mapping[str, Source] = read_sources(
            SOURCES, self.text(SOURCES), self._faults.setdefault(SOURCES, [])
        )
        names = sorted(files)
        self.tables = Shelf((name[:-4] for name in names if name.endswith(".csv") and name != SOURCES), self._table)
        self.documents = Shelf(
            (name[:-5] for name in names if name.endswith(".toml") and name != DECLARATION), self._document
        )
        self.marked = Shelf((name for name in self.schema.documents if name in self.documents), self._marked)

    def library(self) -> Library:
        """The library; a file with a fault raises EvidenceFault when it is first asked for."""
        self._stop_at(DECLARATION, self._missing())
        self._stop_at(SOURCES)
        tables = Shelf(self.tables, lambda name: self._passed(self.tables[name], f"{name}.csv"))
        documents = Shelf(self.documents, lambda name: self._passed(self.documents[name], f"{name}.toml"))
        marked = Shelf(self.marked, lambda name: self._passed(self.marked[name], f"{name}.toml"))
        with _no_collecting():
            faults = self._faults.setdefault(PROCEDURES, [])
            catalogue = read_procedures(documents.get("procedures", {}), self.text(PROCEDURES), faults)
        self._stop_at(PROCEDURES)
        titles = {name: document.title for name, document in self.schema.documents.items()}
        topics = {name: document.topic for name, document in self.schema.documents.items()}
        figures = FigureIndex(tables, marked)
        return Library(self.release, self.sources, tables, documents, catalogue, figures, titles, topics, marked)

    def faults(self) -> list[Fault]:
        """Every fault of every file: reads them all."""
        with _no_collecting():
            for shelf in (self.tables, self.documents, self.marked):
                for name in shelf:
                    shelf[name]
            faults = [*self._missing(), *(fault for name in sorted(self._faults) for fault in self._faults[name])]
            read_procedures(self.documents.get("procedures", {}), self.text(PROCEDURES), faults)
        return faults

    def text(self, file: str) -> str:
        """The words of one file; a file that is missing reads as empty, bytes that are no UTF-8 are a fault."""
        raw = self.files.get(file, b"")
        try:
            return raw.decode("utf-8")
        except UnicodeDecodeError as error:
            line = raw[: error.start].count(b"\n") + 1
            fault = Fault("not UTF-8", line=line, column=1, file=file, would_do="UTF-8 text")
            if fault not in self._faults[file]:
                self._faults[file].append(fault)
            return raw.decode("utf-8", errors="replace")

    def _missing(self) -> list[Fault]:
        wanted = {SOURCES, DECLARATION}
        wanted.update(f"{name}.csv" for name in self.schema.tables)
        wanted.update(f"{name}.toml" for name in self.schema.documents)
        return [Fault("missing file", file=name, would_do="the file") for name in sorted(wanted - set(self.files))]

    def _table(self, name: str) -> Table:
        file = f"{name}.csv"
        with _no_collecting():
            return read_table(name, self.text(file), self.schema.tables.get(name), self.sources, self._faults[file])

    def _document(self, name: str) -> Mapping[str, Any]:
        file = f"{name}.toml"
        with _no_collecting():
            return parse_document(file, self.text(file), self._faults[file])

    def _marked(self, name: str) -> Mapping[str, Figure]:
        figures: dict[str, Figure] = {}
        for figure in document_figures(self.schema.documents[name], self.documents[name], self.sources):
            if figure.id in figures:
                self._faults[f"{name}.toml"].append(Fault("two figures of one id", read=figure.id, file=f"{name}.toml"))
            figures[figure.id] = figure
        return figures

    def _passed(self, value: Any, file: str) -> Any:
        self._stop_at(file)
        return value

    def _stop_at(self, file: str, more: list[Fault] | None = None) -> None:
        faults = [*(more or ()), *self._faults[file]]
        if faults:
            raise EvidenceFault(faults)


@contextmanager
def _no_collecting() -> Iterator[None]:
    """Thousands of small values that all stay: collecting between them only costs time."""
    was_collecting = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_collecting:
            gc.enable()
