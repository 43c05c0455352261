"""Which published error figure speaks about this measurement, and why that one.

Preferred: people with the complaint, the same movement, instrument, mode and rater design. What a row lacks is
listed as a mismatch and becomes a caveat; between rows that fit equally well the widest error is taken.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from endfeel.evidence.figures import Cited, Figure, Source, cited, number
from endfeel.evidence.library import Library, Row
from endfeel.measurement.confidence import CONFIDENCE_PERCENT, detectable_change, rescale, sem_from_detectable_change

NEWTONS_PER_KILOGRAM_FORCE = 9.80665
"""Standard gravity, exact by definition (3rd CGPM 1901)."""
RULES = "measurement_rules"
STUDIED_AS = {"phone": "inclinometer"}
"""How studies name an instrument, where they name it otherwise than a finding does."""


@dataclass(frozen=True, slots=True)
class ErrorFigure:
    """One figure a verdict rests on: what it is, its size, where it comes from."""

    kind: str
    """`SEM`, `MDC95`, `MCID`, or `custom` for a limit that no study supports."""
    value: Cited
    unit: str
    printed: str
    """As the source prints it, with its confidence level."""
    population: str
    source: Source


@dataclass(frozen=True, slots=True)
class ErrorBasis:
    """The figures chosen for one comparison, the row they come from, and why."""

    row: str
    why: str
    sem: ErrorFigure | None
    mdc95: ErrorFigure
    mismatches: tuple[str, ...]
    caveats: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Wanted:
    """What the measurement was: mode, instrument, rater design and people, where stated."""

    mode: str = ""
    instrument: str = ""
    rater: str = ""
    population: str = ""


def movement_of(procedure_id: str, library: Library) -> Mapping[str, Any] | None:
    """The movement entry of measurement_rules.toml that names this procedure."""
    movements = library.documents[RULES]["movement"]
    return next((one for one in movements if procedure_id in one["procedures"]), None)


def motion_basis(movement: Mapping[str, Any], wanted: Wanted, library: Library) -> ErrorBasis | None:
    """The error figures for a movement or a force, out of measurement_error.csv."""
    found = [basis for basis in (_basis(row, movement, wanted, library) for row in _rows(movement, library)) if basis]
    if not found:
        return None
    best = min(found, key=lambda one: (_is_floor(one), _is_other(one), len(one.mismatches), -number(one.mdc95.value)))
    rivals = len(found) - 1
    chosen = f"chosen among {len(found)} rows" if rivals else "the only row"
    why = f"{best.why}; {chosen}; that this row speaks about this procedure is our judgement (practice)"
    return ErrorBasis(best.row, why, best.sem, best.mdc95, best.mismatches, best.caveats)


def _is_floor(basis: ErrorBasis) -> bool:
    return any(mismatch.startswith("healthy") for mismatch in basis.mismatches)


def _is_other(basis: ErrorBasis) -> bool:
    """Whether it speaks about another instrument than the one that was named; such a row comes after all others."""
    return any(mismatch.startswith("other instrument") for mismatch in basis.mismatches)


def _rows(movement: Mapping[str, Any], library: Library) -> Iterator[Row]:
    words = {*movement["same"], *movement["pooled"]}
    unused = {one["row"] for one in library.documents[RULES]["left_out"] if one["file"] == "measurement_error"}
    for row in library.tables["measurement_error"]:
        cell = row.text
        fits = cell["measure"] in movement["measures"] and cell["movement_or_muscle"] in words
        trusted = row.id not in unused and cell.get("use") != "no_weight"
        if fits and trusted and cell["rater"] != "between methods":
            yield row


def _basis(row: Row, movement: Mapping[str, Any], wanted: Wanted, library: Library) -> ErrorBasis | None:
    cell = row.text
    factor = _unit_factor(cell["unit"], movement["unit"])
    if factor is None:
        return None
    sem, mdc95, caveats = error_from_row(row, factor, movement["unit"])
    if mdc95 is None:
        return None
    mismatches = tuple(_mismatches(cell, movement, wanted, library))
    why = (
        f"{row.id}: {cell['movement_or_muscle']}, {cell['instrument']}, {cell['mode']}, "
        f"{cell['rater']}-rater, {cell['population']}"
    )
    return ErrorBasis(row.id, why, sem, mdc95, mismatches, caveats)


def _unit_factor(printed: str, wanted: str) -> float | None:
    if printed == wanted:
        return 1.0
    return NEWTONS_PER_KILOGRAM_FORCE if (printed, wanted) == ("kg", "N") else None


def _mismatches(
    cell: Mapping[str, str], movement: Mapping[str, Any], wanted: Wanted, library: Library
) -> Iterator[str]:
    people = cell["population"].lower()
    if wanted.population:
        if wanted.population.lower() not in people:
            yield f"other people: {cell['population']}"
    elif any(word in people for word in library.documents[RULES]["populations"]["healthy"]):
        yield f"healthy people only ({cell['population']}): their error is a floor"
    if cell["movement_or_muscle"] not in movement["same"]:
        yield f"figure pooled over movements ({cell['movement_or_muscle']})"
    if wanted.mode and wanted.mode not in cell["mode"]:
        yield f"mode differs or is not stated ({cell['mode'] or 'none'})"
    if wanted.instrument and wanted.instrument.lower() not in cell["instrument"].lower():
        yield f"other instrument ({cell['instrument']})"
    if wanted.rater and wanted.rater not in cell["rater"] and "test-retest" not in cell["rater"]:
        yield f"other rater design ({cell['rater']}-rater)"


def error_from_row(
    row: Row, factor: float, unit: str
) -> tuple[ErrorFigure | None, ErrorFigure | None, tuple[str, ...]]:
    """SEM and smallest detectable change at 95 % of one row; the upper end of a printed range."""
    cell = row.text
    level = float(cell["mdc_confidence_percent"]) if cell["mdc_confidence_percent"] else None
    sem_at, mdc_at = _upper(cell, "sem"), _upper(cell, "mdc")
    return error_pair(
        (_figure_of(row, sem_at), float(cell[sem_at]) * factor) if sem_at else None,
        (_figure_of(row, mdc_at), float(cell[mdc_at]) * factor) if mdc_at else None,
        level,
        unit,
    )


def error_pair(
    sem: tuple[Figure, float] | None, mdc: tuple[Figure, float] | None, level: float | None, unit: str
) -> tuple[ErrorFigure | None, ErrorFigure | None, tuple[str, ...]]:
    """SEM and MDC95 from whichever of the two is printed; a stated level other than 95 % is rescaled."""
    sem_shown = _shown("SEM", sem[1], sem[0], unit, f"SEM {sem[0].text} {sem[0].unit}") if sem else None
    if mdc is None:
        if sem is None:
            return None, None, ()
        printed = f"from SEM {sem[0].text} {sem[0].unit}: x 1.96 x sqrt 2"
        return sem_shown, _shown("MDC95", detectable_change(sem[1]), sem[0], unit, printed), ()
    figure, value = mdc
    caveats: tuple[str, ...] = ()
    printed = f"MDC {figure.text} {figure.unit}"
    if level is None:
        caveats = ("the confidence level of the smallest detectable change is not stated; taken as printed",)
        at_95, printed = value, f"{printed}, level not stated"
    elif level == CONFIDENCE_PERCENT:
        at_95, printed = value, f"{printed} at 95 %"
    else:
        at_95, printed = rescale(value, level), f"{printed} at {level:g} %, rescaled to 95 %"
    if sem_shown is None and level is not None:
        derived = sem_from_detectable_change(value, level)
        sem_shown = _shown("SEM", derived, figure, unit, f"derived from MDC {figure.text} {figure.unit} at {level:g} %")
    return sem_shown, _shown("MDC95", at_95, figure, unit, printed, caveats), caveats


def _shown(
    kind: str, value: float, figure: Figure, unit: str, printed: str, caveats: Sequence[str] = ()
) -> ErrorFigure:
    return ErrorFigure(kind, cited(value, [figure], caveats), unit, printed, figure.population, figure.source)


def _upper(cell: Mapping[str, str], column: str) -> str | None:
    """The column that holds the value, or the upper end of its range."""
    return next((name for name in (column, f"{column}_high", f"{column}_low") if cell.get(name)), None)


def _figure_of(row: Row, column: str) -> Figure:
    found = row.figures.get(column)
    if found is not None:
        return found
    text = row.text[column]
    return Figure(
        f"measurement_error.{row.id}.{column}", float(text), text, row.text["unit"], None, None, None,
        row.text["population"], row.source, row.provenance, row.note,
    )  # fmt: skip
