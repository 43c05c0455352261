"""A finding against its re-test, field by field."""

from __future__ import annotations

from dataclasses import dataclass, replace

from endfeel.evidence.library import Library
from endfeel.measurement.change import Change, ChangeVerdict, Direction, compare
from endfeel.measurement.error_figures import STUDIED_AS
from endfeel.vocabulary import Finding, OutcomeKind, Procedure, Unit, level_reached

MIXED = "mixed"


@dataclass(frozen=True, slots=True)
class FieldChange:
    """One recorded field before and after. `change` is None for yes/no fields: no error figure applies."""

    field: str
    label: str
    before: str
    after: str
    verdict: ChangeVerdict
    direction: Direction
    change: Change | None = None
    caveat: str = ""


@dataclass(frozen=True, slots=True)
class RetestComparison:
    """Everything a re-test recorded, set against the finding before treatment."""

    procedure: str
    name: str
    side: str
    level: str
    before: Finding | None
    after: Finding
    fields: tuple[FieldChange, ...]
    verdict: ChangeVerdict
    """The strongest verdict among the fields; unknown when nothing can be compared."""
    direction: str
    """better, worse, none, or mixed when fields that changed point both ways."""
    caveats: tuple[str, ...] = ()


_STRENGTH = {
    ChangeVerdict.UNKNOWN: 0,
    ChangeVerdict.WITHIN_ERROR: 1,
    ChangeVerdict.CHANGED: 2,
    ChangeVerdict.CHANGED_AND_MATTERS: 3,
}


def compare_findings(
    before: Finding | None,
    after: Finding,
    procedure: Procedure,
    library: Library,
    *,
    instrument: str | None = None,
    rater: str = "intra",
) -> RetestComparison:
    """A re-test against the finding before treatment: value, pain, mobility, strength, familiar symptom."""
    named = RetestComparison(
        procedure.id,
        procedure.name,
        after.side.value if after.side else "",
        after.level or "",
        before,
        after,
        (),
        ChangeVerdict.UNKNOWN,
        Direction.NONE,
    )
    if before is None:
        return replace(named, caveats=("not examined before treatment: nothing to compare with",))
    fields: list[FieldChange] = []
    caveats: list[str] = []
    if before.value is not None and after.value is not None:
        if before.unit == after.unit:
            with_what = instrument or _instrument(before, after)
            fields.append(_value_field(before, after, procedure, library, with_what, rater))
            if before.instrument and after.instrument and before.instrument != after.instrument:
                caveats.append(
                    f"measured with {before.instrument} before and {after.instrument} after: "
                    "two instruments need not agree"
                )
        else:
            caveats.append(
                f"measured in {before.unit or 'no unit'} before and {after.unit or 'no unit'} after: not comparable"
            )
    for field, label, top in (("pain", "pain", 10), ("mobility", "mobility", 6), ("strength", "strength", 5)):
        first, second = getattr(before, field), getattr(after, field)
        if first is not None and second is not None:
            change = compare(field, first, second, library, rater=rater)
            fields.append(_field(field, label, f"{first:g}/{top}", f"{second:g}/{top}", change))
    fields += _yes_no(before, after)
    lost = [name for name in ("value", "pain", "mobility", "familiar") if _lost(before, after, name)]
    if lost:
        caveats.append(f"recorded before but not at the re-test: {', '.join(lost)}")
    if not fields:
        caveats.append("no field was recorded both times")
    return replace(
        named, fields=tuple(fields), verdict=_overall(fields), direction=_heading(fields), caveats=tuple(caveats)
    )


def _lost(before: Finding, after: Finding, field: str) -> bool:
    return getattr(before, field) is not None and getattr(after, field) is None


def _instrument(before: Finding, after: Finding) -> str | None:
    """What both were measured with, as studies name it; None when not said, or not the same."""
    same = before.instrument if before.instrument == after.instrument else None
    return STUDIED_AS.get(same, same) if same else None


def _value_field(
    before: Finding, after: Finding, procedure: Procedure, library: Library, instrument: str | None, rater: str
) -> FieldChange:
    first, second = before.value or 0.0, after.value or 0.0
    unit = before.unit.value if before.unit else ""
    texts = _quantity(first, unit), _quantity(second, unit)
    expected = "N" if procedure.outcomes is OutcomeKind.RESISTED else "deg"
    if procedure.outcomes is OutcomeKind.GLIDE or unit not in ("", expected):
        where = "levels" if unit == Unit.LEVEL else unit or "this unit"
        caveat = f"no error figure for {procedure.name} in {where} is in the evidence"
        return FieldChange("value", "value", *texts, ChangeVerdict.UNKNOWN, Direction.NONE, None, caveat)
    change = compare(procedure.id, first, second, library, instrument=instrument, rater=rater)
    return _field("value", "force" if expected == "N" else "range", *texts, change)


def _quantity(value: float, unit: str) -> str:
    if unit == Unit.LEVEL:
        return level_reached(value)
    return f"{value:g}°" if unit == "deg" else f"{value:g} {unit}".strip()


def _field(field: str, label: str, before: str, after: str, change: Change) -> FieldChange:
    return FieldChange(field, label, before, after, change.verdict, change.direction, change)


def _yes_no(before: Finding, after: Finding) -> list[FieldChange]:
    made = []
    for field, label in (("familiar", "familiar symptom reproduced"), ("apprehension", "apprehension")):
        first, second = getattr(before, field), getattr(after, field)
        if first is None or second is None:
            continue
        same = first == second
        direction = Direction.NONE if same else Direction.BETTER if first else Direction.WORSE
        verdict = ChangeVerdict.WITHIN_ERROR if same else ChangeVerdict.UNKNOWN
        caveat = "" if same else "a yes or no has no measurement error to set it against"
        made.append(FieldChange(field, label, _word(first), _word(second), verdict, direction, None, caveat))
    return made


def _word(answer: bool) -> str:
    return "yes" if answer else "no"


def _overall(fields: list[FieldChange]) -> ChangeVerdict:
    return max((one.verdict for one in fields), key=_STRENGTH.__getitem__, default=ChangeVerdict.UNKNOWN)


def _heading(fields: list[FieldChange]) -> str:
    changed = [one for one in fields if one.verdict in (ChangeVerdict.CHANGED, ChangeVerdict.CHANGED_AND_MATTERS)]
    ways = {one.direction for one in changed} - {Direction.NONE}
    if not ways:
        return Direction.NONE
    return ways.pop() if len(ways) == 1 else MIXED
