"""Reads every data file, collects every fault, builds the library."""

from __future__ import annotations

import csv
import hashlib
import tomllib
from functools import lru_cache
from importlib import resources
from types import MappingProxyType
from typing import Any

from endfeel.evidence.figures import Figure, Provenance, Source
from endfeel.evidence.library import Library, Row, Table
from endfeel.vocabulary import Catalogue, OutcomeKind, Position, Procedure


@lru_cache(maxsize=1)
def load_library() -> Library:
    """The library of the data files shipped with the program (provisional reader)."""
    folder = resources.files("endfeel.evidence") / "data"
    files = {entry.name: entry.read_bytes() for entry in folder.iterdir() if entry.name.endswith((".csv", ".toml"))}
    digest = hashlib.sha256()
    for name in sorted(files):
        digest.update(name.encode() + b"\0" + files[name] + b"\0")
    rows = {n[:-4]: list(csv.DictReader(b.decode().splitlines(keepends=True))) for n, b in files.items() if n[-4:] == ".csv"}
    sources = {r["id"]: Source(r["id"], r["citation"], r["address"]) for r in rows.pop("sources")}
    tables: dict[str, Table] = {}
    figures: dict[str, Figure] = {}
    for name, records in rows.items():
        made: dict[str, Row] = {}
        for r in records:
            source, provenance = sources[r["source"]], Provenance.from_label(r["provenance"])
            mine: dict[str, Figure] = {}
            for column, cell in r.items():
                if column in ("id", "source", "provenance", "note") or not cell:
                    continue
                try:
                    value = float(cell)
                except ValueError:
                    continue
                figure = Figure(
                    f"{name}.{r['id']}.{column}", value, cell, r.get("unit", ""), None, None, None,
                    r.get("population", ""), source, provenance, r["note"],
                )
                mine[column] = figures[figure.id] = figure
            made[r["id"]] = Row(r["id"], MappingProxyType(dict(r)), MappingProxyType(mine), source, provenance, r["note"])
        tables[name] = Table(name, name, MappingProxyType(made))
    documents: dict[str, dict[str, Any]] = {n[:-5]: tomllib.loads(b.decode()) for n, b in files.items() if n[-5:] == ".toml"}
    catalogue = Catalogue.of(tuple(_procedure(p) for p in documents["procedures"]["procedure"]))
    return Library(digest.hexdigest()[:12], sources, tables, documents, catalogue, figures)


def _procedure(p: dict[str, Any]) -> Procedure:
    return Procedure(
        id=p["id"], name=p["name"], region=p["region"], technique=p["technique"],
        positions=tuple(Position(x) for x in p["patient_positions"]),
        preferred_position=Position(p["preferred_position"]), side_lying=p["side_lying"],
        fixed=p["fixed"], moved=p["moved"], direction=p["direction"], informs=tuple(p["informs"]),
        typical_seconds=float(p["typical_seconds"]), irritability_load=p["irritability_load"],
        outcomes=OutcomeKind(p["outcomes"]), levels=tuple(x.split("-")[0] for x in p.get("levels", [])),
        accessory_of=p.get("accessory_of", ""), note=p.get("note", ""), source=p["source"], provenance=p["provenance"],
    )
