"""Limits a recorded value may not pass, and what each outcome kind may hold."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from endfeel.vocabulary.errors import Fault
from endfeel.vocabulary.findings import Finding
from endfeel.vocabulary.procedures import Procedure
from endfeel.vocabulary.terms import LEVELS, RIBS, OutcomeKind, Unit

MOBILITY = (0, 6)
PAIN = (0, 10)
STRENGTH = (0, 5)

_FEEL = {"end_feel", "pain", "pain_onset", "resistance_onset", "familiar", "note"}
ALLOWED: Mapping[OutcomeKind, frozenset[str]] = {
    OutcomeKind.GLIDE: frozenset(_FEEL | {"mobility", "value", "other"}),
    OutcomeKind.ANGULAR: frozenset(_FEEL | {"mobility", "value", "other", "apprehension"}),
    OutcomeKind.ACTIVE: frozenset({"value", "other", "pain", "pain_onset", "familiar", "result", "note"}),
    OutcomeKind.TEST: frozenset({"result", "pain", "familiar", "apprehension", "value", "other", "note"}),
    OutcomeKind.STRESS: frozenset(_FEEL | {"mobility", "value", "other", "apprehension", "result"}),
    OutcomeKind.RESISTED: frozenset({"strength", "value", "other", "pain", "familiar", "result", "note"}),
    OutcomeKind.PALPATION: frozenset({"pain", "result", "familiar", "note"}),
    OutcomeKind.NEURO: frozenset({"result", "value", "note"}),
    OutcomeKind.VITAL: frozenset({"value", "other", "result", "note"}),
    OutcomeKind.OBSERVATION: frozenset({"result", "value", "pain", "familiar", "note"}),
    OutcomeKind.LENGTH: frozenset({"value", "other", "end_feel", "pain", "familiar", "note"}),
}
"""Fields a finding may fill, by outcome kind, beside procedure, side, level and unit."""

UNITS: Mapping[OutcomeKind, tuple[Unit, ...]] = {
    OutcomeKind.GLIDE: (Unit.MILLIMETRES, Unit.NEWTONS),
    OutcomeKind.ANGULAR: (Unit.DEGREES,),
    OutcomeKind.ACTIVE: (Unit.DEGREES, Unit.CENTIMETRES, Unit.GRADE),
    OutcomeKind.TEST: (Unit.DEGREES, Unit.SECONDS, Unit.NEWTONS),
    OutcomeKind.STRESS: (Unit.MILLIMETRES, Unit.NEWTONS, Unit.DEGREES),
    OutcomeKind.RESISTED: (Unit.NEWTONS, Unit.KILOGRAMS),
    OutcomeKind.NEURO: (Unit.GRADE, Unit.SECONDS),
    OutcomeKind.VITAL: (Unit.MMHG, Unit.PER_MINUTE, Unit.PERCENT, Unit.CENTIMETRES),
    OutcomeKind.OBSERVATION: (Unit.GRADE, Unit.CENTIMETRES, Unit.DEGREES),
    OutcomeKind.LENGTH: (Unit.MILLIMETRES, Unit.CENTIMETRES, Unit.DEGREES),
}
"""Units a value may carry, the usual one first."""


@dataclass(frozen=True, slots=True)
class Limits:
    """Lowest and highest plausible value by unit (from the data file `ranges`)."""

    by_unit: Mapping[Unit, tuple[float, float]]


def faults_of(finding: Finding, procedure: Procedure, limits: Limits) -> Iterator[tuple[str, Fault]]:
    """Every reason why this finding cannot be what the procedure yields, with the field it concerns."""
    kind = procedure.outcomes
    for name in ("mobility", "end_feel", "value", "other", "pain", "pain_onset", "resistance_onset", "familiar"):
        yield from _allowed(finding, name, procedure)
    for name in ("result", "apprehension", "strength"):
        yield from _allowed(finding, name, procedure)
    yield from _between("mobility", finding.mobility, MOBILITY, "a grade")
    yield from _between("pain", finding.pain, PAIN, "pain")
    yield from _between("strength", finding.strength, STRENGTH, "strength")
    if finding.value is not None and finding.unit is None:
        yield "unit", Fault(f"{finding.value:g} has no unit", would_do=" or ".join(UNITS.get(kind, ())))
    if finding.unit is not None:
        if kind in UNITS and finding.unit not in UNITS[kind]:
            yield "unit", Fault(
                f"{procedure.id} is not measured in {finding.unit}", str(finding.unit), " or ".join(UNITS[kind])
            )
        low_high = limits.by_unit.get(finding.unit)
        if low_high:
            for name in ("value", "other", "pain_onset", "resistance_onset"):
                yield from _between(name, getattr(finding, name), low_high, f"{name.replace('_', ' ')} in {finding.unit}")
    yield from _level_faults(finding, procedure)
    if finding.side is None and procedure.sided:
        yield "side", Fault(f"{procedure.id} needs a side", would_do="right or left, or a complaint with a side")


def _allowed(finding: Finding, name: str, procedure: Procedure) -> Iterator[tuple[str, Fault]]:
    if getattr(finding, name) is not None and name not in ALLOWED[procedure.outcomes]:
        would = ", ".join(sorted(ALLOWED[procedure.outcomes] - {"note"})).replace("_", " ")
        word = name.replace("_", " ")
        yield name, Fault(f"{procedure.id} ({procedure.outcomes}) has no {word}", str(getattr(finding, name)), would)


def _between(
    name: str, value: float | None, limits: tuple[float, float], what: str
) -> Iterator[tuple[str, Fault]]:
    low, high = limits
    if value is not None and not low <= value <= high:
        yield name, Fault(f"{what} of {value:g} is out of range", f"{value:g}", f"{low:g} to {high:g}")


def _level_faults(finding: Finding, procedure: Procedure) -> Iterator[tuple[str, Fault]]:
    level = finding.level
    if level is None:
        if procedure.levels:
            yield "level", Fault(f"{procedure.id} needs a level", would_do=" ".join(procedure.levels))
        return
    if level not in LEVELS and level not in RIBS:
        return  # said where the level was read
    if not procedure.levels:
        yield "level", Fault(f"{procedure.id} has no levels", level, "the finding without a level")
    elif level not in procedure.levels:
        yield "level", Fault(f"{procedure.id} is not done at {level}", level, " ".join(procedure.levels))
