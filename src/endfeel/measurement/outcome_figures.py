"""Error and importance figures of the outcome measures, out of outcome_measures.toml."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from endfeel.evidence.figures import Figure, cited, number
from endfeel.evidence.library import Library
from endfeel.measurement.error_figures import RULES, ErrorBasis, ErrorFigure, error_pair

IMPORTANCE = ("MCID", "MIC", "MID", "MCIC")
"""Kinds of figure that say how much change matters to people."""


def measure_entry(measure_id: str, library: Library) -> Mapping[str, Any] | None:
    """The entry of one outcome measure, or None."""
    return next((one for one in library.documents["outcome_measures"]["measure"] if one["id"] == measure_id), None)


def outcome_basis(measure: Mapping[str, Any], population: str, library: Library) -> ErrorBasis | None:
    """Smallest detectable change of an outcome measure: conservative care and read figures first, then the widest."""
    found = []
    for entry, figure in _figures(measure, ("MDC", "SEM"), library):
        pair = (figure, _upper(entry))
        level = entry.get("confidence_percent")
        is_sem = entry["kind"] == "SEM"
        sem, mdc95, caveats = error_pair(pair if is_sem else None, None if is_sem else pair, level, "points")
        if mdc95 is not None:
            why = f"{figure.id}: {entry['population']}"
            found.append(ErrorBasis(figure.id, why, sem, mdc95, _mismatches(entry, population, library), caveats))
    direct = [basis for basis in found if not basis.mdc95.printed.startswith("from SEM")]
    best = min(
        direct or found,
        key=lambda one: (len(one.mismatches), one.mdc95.value.provenance, -number(one.mdc95.value)),
        default=None,
    )
    if best is None:
        return None
    why = f"{best.why}; chosen among {len(direct or found)} figures"
    return ErrorBasis(best.row, why, best.sem, best.mdc95, best.mismatches, best.caveats)


def important_change(measure: Mapping[str, Any], population: str, library: Library) -> ErrorFigure | None:
    """How much change matters: conservative care and read figures first, then the largest."""
    found = []
    for entry, figure in _figures(measure, IMPORTANCE, library):
        printed = f"{entry['kind']} {figure.text}"
        shown = ErrorFigure("MCID", cited(_upper(entry), [figure]), "points", printed, figure.population, figure.source)
        found.append((len(_mismatches(entry, population, library)), shown))
    best = min(found, key=lambda pair: (pair[0], pair[1].value.provenance, -number(pair[1].value)), default=None)
    return best[1] if best else None


def _figures(
    measure: Mapping[str, Any], kinds: tuple[str, ...], library: Library
) -> Iterator[tuple[Mapping[str, Any], Figure]]:
    units = ("points", "percent points", "T")
    for entry in measure.get("property", ()):
        if entry["kind"] in kinds and entry["unit"] in units and not _left_out(measure["id"], entry, library):
            yield entry, _figure(measure["id"], entry, library)


def _left_out(measure_id: str, entry: Mapping[str, Any], library: Library) -> bool:
    return any(
        rule["file"] == "outcome_measures" and rule["row"] == measure_id and rule["population"] in entry["population"]
        for rule in library.documents[RULES]["left_out"]
    )


def _figure(measure_id: str, entry: Mapping[str, Any], library: Library) -> Figure:
    """The property as a figure, with `MDC 13`-like text for a range as printed."""
    known = library.figure(f"outcome_measures.{measure_id}.{entry['id']}")
    high = entry.get("value_high")
    text = f"{entry['value']:g}" if high is None else f"{entry['value']:g} to {high:g}"
    return Figure(
        known.id, _upper(entry), text, entry["unit"], None, None, entry.get("n"),
        entry["population"], known.source, known.provenance, entry.get("note", ""),
    )  # fmt: skip


def _upper(entry: Mapping[str, Any]) -> float:
    return float(entry.get("value_high", entry["value"]))


def _mismatches(entry: Mapping[str, Any], population: str, library: Library) -> tuple[str, ...]:
    people = entry["population"].lower()
    if population:
        return () if population.lower() in people else (f"other people: {entry['population']}",)
    words = library.documents[RULES]["populations"]["surgical"]
    return (f"people after an operation ({entry['population']})",) if any(word in people for word in words) else ()
