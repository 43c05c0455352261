"""Limits a recorded value may not pass, and what each outcome kind may hold."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from math import isfinite
from typing import Any

from endfeel.vocabulary.errors import Fault
from endfeel.vocabulary.findings import Finding
from endfeel.vocabulary.procedures import Procedure
from endfeel.vocabulary.terms import LEVELS, REACHED, RIBS, OutcomeKind, Unit, level_reached

MOBILITY = (0, 6)
PAIN = (0, 10)
STRENGTH = (0, 5)
LAXITY = (0, 3)
"""Stress tests have a second scale of the trade beside mobility; kept as a value with the unit `grade`."""
AGE_YEARS = (0, 120)
WEEKS = (0, 5200)

_ALWAYS = {"result", "pain", "familiar", "note"}
_ONSETS = {"pain_onset", "resistance_onset"}
_FELT = _ALWAYS | _ONSETS | {"mobility", "end_feel", "value", "other", "apprehension"}
ALLOWED: Mapping[OutcomeKind, frozenset[str]] = {
    OutcomeKind.GLIDE: frozenset(_FELT),
    OutcomeKind.ANGULAR: frozenset(_FELT),
    OutcomeKind.ACTIVE: frozenset(_ALWAYS | {"value", "other", "pain_onset", "apprehension"}),
    OutcomeKind.TEST: frozenset(_ALWAYS | _ONSETS | {"value", "other", "apprehension", "strength"}),
    OutcomeKind.STRESS: frozenset(_FELT),
    OutcomeKind.RESISTED: frozenset(_ALWAYS | {"strength", "value", "other", "pain_onset"}),
    OutcomeKind.PALPATION: frozenset(_ALWAYS | {"end_feel"}),
    OutcomeKind.NEURO: frozenset(_ALWAYS | {"value", "strength"}),
    OutcomeKind.VITAL: frozenset({"value", "other", "result", "note"}),
    OutcomeKind.OBSERVATION: frozenset(_ALWAYS | {"value"}),
    OutcomeKind.LENGTH: frozenset(_ALWAYS | {"value", "other", "end_feel", "pain_onset", "resistance_onset"}),
}
"""Fields a finding may fill, by outcome kind, beside procedure, side, level and unit."""

UNITS: Mapping[OutcomeKind, tuple[Unit, ...]] = {
    OutcomeKind.GLIDE: (Unit.MILLIMETRES, Unit.NEWTONS),
    OutcomeKind.ANGULAR: (Unit.DEGREES,),
    OutcomeKind.ACTIVE: (Unit.DEGREES, Unit.CENTIMETRES, Unit.GRADE),
    OutcomeKind.TEST: (Unit.DEGREES, Unit.SECONDS, Unit.NEWTONS),
    OutcomeKind.STRESS: (Unit.MILLIMETRES, Unit.CENTIMETRES, Unit.NEWTONS, Unit.DEGREES, Unit.GRADE),
    OutcomeKind.RESISTED: (Unit.NEWTONS, Unit.KILOGRAMS),
    OutcomeKind.NEURO: (Unit.GRADE, Unit.SECONDS),
    OutcomeKind.VITAL: (Unit.MMHG, Unit.PER_MINUTE, Unit.PERCENT, Unit.CENTIMETRES),
    OutcomeKind.OBSERVATION: (Unit.GRADE, Unit.CENTIMETRES, Unit.DEGREES),
    OutcomeKind.LENGTH: (Unit.MILLIMETRES, Unit.CENTIMETRES, Unit.DEGREES),
}
"""Units a value may carry, the usual one first."""


_WITHOUT_LIMIT = (float("-inf"), float("inf"))


class Reached(float):
    """A step of REACHED that was written as its word. A bare number beside it is not a step and is refused."""


@dataclass(frozen=True, slots=True)
class Limits:
    """Lowest and highest plausible value, from the data file `ranges`: by unit, kind, procedure (last wins)."""

    by_unit: Mapping[Unit, tuple[float, float]]
    by_kind: Mapping[tuple[OutcomeKind, Unit], tuple[float, float]]
    by_procedure: Mapping[tuple[str, Unit], tuple[float, float]]

    @classmethod
    def of(cls, ranges: Mapping[str, Any]) -> Limits:
        """Built from the parsed data file: tables `limit`, `kind` and `procedure`."""
        return cls(
            {Unit(unit): _pair(pair) for unit, pair in ranges["limit"].items()},
            {
                (OutcomeKind(kind), Unit(unit)): _pair(pair)
                for kind, units in ranges.get("kind", {}).items()
                for unit, pair in units.items()
            },
            {
                (procedure, Unit(unit)): _pair(pair)
                for unit, procedures in ranges.get("procedure", {}).items()
                for procedure, pair in procedures.items()
            },
        )

    def of_value(self, procedure: Procedure, unit: Unit) -> tuple[float, float]:
        """The limits of a quantity in `unit` measured by `procedure`."""
        return (
            self.by_procedure.get((procedure.id, unit))
            or self.by_kind.get((procedure.outcomes, unit))
            or self.by_unit.get(unit)
            or _WITHOUT_LIMIT
        )


def units_of(procedure: Procedure, limits: Limits) -> tuple[Unit, ...]:
    """Units a value of this procedure may carry: those of its kind, and first a level where a hand reaches for one."""
    reach = (Unit.LEVEL,) if (procedure.id, Unit.LEVEL) in limits.by_procedure else ()
    return (*reach, *UNITS.get(procedure.outcomes, ()))


def _pair(pair: Sequence[float]) -> tuple[float, float]:
    low, high = pair
    return float(low), float(high)


def faults_of(finding: Finding, procedure: Procedure, limits: Limits) -> Iterator[tuple[str, Fault]]:
    """Every reason why this finding cannot be what the procedure yields, with the field it concerns."""
    for name, fault in _faults_of(finding, procedure, limits):
        yield name, replace(fault, field=name)


def _faults_of(finding: Finding, procedure: Procedure, limits: Limits) -> Iterator[tuple[str, Fault]]:
    for name in _CHECKED:
        yield from _allowed(finding, name, procedure)
    yield from _between("mobility", finding.mobility, MOBILITY, "mobility", whole=True)
    yield from _between("pain", finding.pain, PAIN, "pain")
    yield from _between("strength", finding.strength, STRENGTH, "strength", whole=True)
    yield from _quantity_faults(finding, procedure, limits)
    yield from _level_faults(finding, procedure)
    if finding.side is None and procedure.sided:
        yield "side", Fault(f"{procedure.id} needs a side", would_do="right or left, or a complaint with a side")
    if all(getattr(finding, name) is None for name in (*_CHECKED, "note")):
        would = "what was found: a grade, degrees, a result, pain"
        yield "procedure", Fault(f"nothing found is written for {procedure.id}", would_do=would)


_CHECKED = (
    "mobility", "end_feel", "value", "other", "pain", "pain_onset", "resistance_onset", "familiar", "result",
    "apprehension", "strength",
)  # fmt: skip
_QUANTITIES = ("value", "other", "pain_onset", "resistance_onset")


def _quantity_faults(finding: Finding, procedure: Procedure, limits: Limits) -> Iterator[tuple[str, Fault]]:
    given = [name for name in _QUANTITIES if getattr(finding, name) is not None]
    units = units_of(procedure, limits)
    unit = finding.unit
    if given and unit is None:
        yield given[0], Fault(f"{getattr(finding, given[0]):g} has no unit", would_do=" or ".join(units))
    if unit is None:
        return
    if not given:
        yield "unit", Fault("a unit without a value", str(unit), "the value, or no unit")
    if unit not in units:
        if any(name in ALLOWED[procedure.outcomes] for name in given):
            yield "unit", Fault(f"{procedure.id} is not measured in {unit}", str(unit), " or ".join(units))
        return
    if unit is Unit.LEVEL or any(isinstance(getattr(finding, name), Reached) for name in given):
        yield from _reach_faults(finding, given)
    for name in given:
        what = f"{name.replace('_', ' ')} in {unit}"
        limit = limits.of_value(procedure, unit)
        yield from _between(name, getattr(finding, name), limit, what, whole=unit is Unit.LEVEL)


def _reach_faults(finding: Finding, given: Sequence[str]) -> Iterator[tuple[str, Fault]]:
    """A level is a place, not a distance: its onset is no level, and numbers and places do not mix."""
    would = f"{REACHED[-1]} to {REACHED[3]}, sacrum, buttock or thigh"
    words = [name for name in given if isinstance(getattr(finding, name), Reached)]
    for name in given:
        if name in _ONSETS:
            yield name, Fault(f"a level reached has no {name.replace('_', ' ')}", would_do="the words in a note")
        elif words and name not in words:
            yield name, Fault("a number beside a level", f"{getattr(finding, name):g}", would)
        elif name in words and finding.unit is not Unit.LEVEL:
            yield name, Fault(f"a level is not a number of {finding.unit}", level_reached(getattr(finding, name)))


def _allowed(finding: Finding, name: str, procedure: Procedure) -> Iterator[tuple[str, Fault]]:
    if getattr(finding, name) is not None and name not in ALLOWED[procedure.outcomes]:
        would = ", ".join(sorted(ALLOWED[procedure.outcomes] - {"note"})).replace("_", " ")
        word = name.replace("_", " ")
        yield name, Fault(f"{procedure.id} ({procedure.outcomes}) has no {word}", str(getattr(finding, name)), would)


def of_number(value: float) -> str:
    """` of 14`; nothing for what is no number that could be shown."""
    return f" of {value:g}" if isfinite(value) else ""


def _between(
    name: str, value: float | None, limits: tuple[float, float], what: str, *, whole: bool = False
) -> Iterator[tuple[str, Fault]]:
    low, high = limits
    if value is None:
        return
    if not low <= value <= high:
        yield name, Fault(f"{what}{of_number(value)} is out of range", f"{value:g}", f"{low:g} to {high:g}")
    elif whole and not float(value).is_integer():
        yield name, Fault(f"{what} is a whole number", f"{value:g}", f"{low:g} to {high:g}")


def _level_faults(finding: Finding, procedure: Procedure) -> Iterator[tuple[str, Fault]]:
    level = finding.level
    if level is None:
        if procedure.levels:
            yield "level", Fault(f"{procedure.id} needs a level", would_do=" ".join(procedure.levels))
        return
    if level not in LEVELS and level not in RIBS:
        return  # said where the level was read
    if not procedure.levels:
        yield "level", Fault(f"{procedure.id} has no levels", level, "the level in a note, after ;")
    elif level not in procedure.levels:
        yield "level", Fault(f"{procedure.id} is not done at {level}", level, " ".join(procedure.levels))
