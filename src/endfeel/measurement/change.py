"""Has it changed beyond measurement error, and does it matter?"""

from __future__ import annotations

from dataclasses import dataclass
from difflib import get_close_matches
from enum import StrEnum

from endfeel.evidence.figures import cited, number
from endfeel.evidence.library import Library
from endfeel.measurement.error_figures import (
    RULES,
    ErrorBasis,
    ErrorFigure,
    Wanted,
    motion_basis,
    movement_of,
)
from endfeel.measurement.outcome_figures import important_change, measure_entry, outcome_basis
from endfeel.measurement.score import form_of
from endfeel.vocabulary import CannotRead, Fault, NotFound, OutcomeKind, Unit

PAIN = "pain"
ALIASES = {PAIN: "nprs"}
_ROUNDING = 1e-9


class ChangeVerdict(StrEnum):
    """What may be said about a difference."""

    WITHIN_ERROR = "within_error"
    CHANGED = "changed"
    CHANGED_AND_MATTERS = "changed_and_matters"
    UNKNOWN = "unknown"


class Direction(StrEnum):
    BETTER = "better"
    WORSE = "worse"
    NONE = "none"


@dataclass(frozen=True, slots=True)
class Change:
    """A difference between two measurements, judged with the figures it names."""

    measure: str
    name: str
    unit: str
    before: float
    after: float
    verdict: ChangeVerdict
    direction: Direction
    """Which way the numbers went, whatever the verdict."""
    sem: ErrorFigure | None
    mdc95: ErrorFigure | None
    mcid: ErrorFigure | None
    row: str
    """Id of the row or property the error comes from; empty when there is none."""
    why: str
    """Why that row."""
    caveats: tuple[str, ...]

    @property
    def difference(self) -> float:
        """After minus before, in `unit`."""
        return self.after - self.before

    @property
    def figures(self) -> tuple[ErrorFigure, ...]:
        """The figures used, in the order they are read."""
        return tuple(one for one in (self.sem, self.mdc95, self.mcid) if one is not None)


@dataclass(frozen=True, slots=True)
class _Subject:
    """What is compared: its scale, which way is better, and the figures that apply."""

    id: str
    name: str
    unit: str
    low: float
    high: float
    better: str
    """`up`, `down`, or `towards` a best value."""
    best: float = 0.0
    basis: ErrorBasis | None = None
    mcid: ErrorFigure | None = None
    caveats: tuple[str, ...] = ()


def compare(
    measure: str,
    before: float,
    after: float,
    library: Library,
    *,
    instrument: str | None = None,
    rater: str = "intra",
    population: str | None = None,
) -> Change:
    """Whether a measured difference is within error, changed, or changed and matters.

    Parameters
    ----------
    measure : an outcome measure or form id, a procedure id, `pain`, `mobility` (0 to 6) or `strength` (0 to 5).
    before, after : the two values, in the unit of the measure (degrees, newtons, points, grade).
    instrument : words of the instrument used both times, such as `goniometer`; None when not stated.
    rater : `intra` when the same examiner measured twice, `inter` when two did.
    population : words that must stand in the population of the figure used; None for the usual preference.

    Raises NotFound for an unknown measure, CannotRead for values outside the scale.
    """
    if rater not in ("intra", "inter"):
        raise CannotRead([Fault("not a rater design", read=rater, would_do="intra or inter", field="rater")])
    wanted = Wanted(instrument=instrument or "", rater=rater, population=population or "")
    subject = _subject(measure, wanted, library)
    _refuse_outside(subject, before, after)
    return _judge(subject, before, after, wanted)


def _subject(measure: str, wanted: Wanted, library: Library) -> _Subject:
    grade = next((one["id"] for one in library.documents[RULES]["grade"] if one["id"] == measure), None)
    if grade:
        return _grade_subject(measure, library)
    form = form_of(ALIASES.get(measure, measure), library)
    entry = measure_entry(form["measure"] if form else ALIASES.get(measure, measure), library)
    if entry:
        return _outcome_subject(form["id"] if form else entry["id"], wanted, library)
    if measure in library.catalogue:
        return _procedure_subject(measure, wanted, library)
    known = [*library.catalogue.by_id, *(one["id"] for one in library.documents["outcome_measures"]["measure"]), PAIN]
    near = get_close_matches(measure, known, 3)
    raise NotFound(f"no measure or procedure {measure!r}{'; did you mean: ' + ' | '.join(near) if near else ''}")


def _grade_subject(grade_id: str, library: Library) -> _Subject:
    rule = next(one for one in library.documents[RULES]["grade"] if one["id"] == grade_id)
    smallest = library.figure(f"{RULES}.{grade_id}")
    rows = [library.tables["accessory_motion"].rows[row] for row in rule["rows"]]
    seen = "; ".join(f"{row.text['procedure']}: {row.text['measure']} {row.text['value']}" for row in rows)
    largest_error = ErrorFigure(
        "custom",
        cited(number(smallest) - 1, [smallest]),
        "grade",
        "one grade, by custom; no published smallest detectable change",
        "manual grading",
        smallest.source,
    )
    basis = ErrorBasis(smallest.id, f"{rule['note']}{' (' + seen + ')' if seen else ''}", None, largest_error, (), ())
    caveats = ("grades by hand agree poorly; the limit of one grade is common practice, not a measured error",)
    return _Subject(
        grade_id, rule["name"], "grade", rule["low"], rule["high"], "towards", rule["best"], basis, None, caveats
    )


def _outcome_subject(form_id: str, wanted: Wanted, library: Library) -> _Subject:
    form = form_of(form_id, library)
    entry = measure_entry(form["measure"] if form else form_id, library)
    assert entry is not None  # noqa: S101 - the caller has found it
    name = form["name"] if form else entry["name"]
    caveats: list[str] = []
    if form and form.get("other_form"):
        caveats.append(f"two totals of this measure circulate; both values must be {name}")
    return _Subject(
        form_id,
        name,
        "points",
        entry["score_min"],
        entry["score_max"],
        "down" if entry["direction"].startswith("lower") else "up",
        basis=outcome_basis(entry, wanted.population, library),
        mcid=important_change(entry, wanted.population, library),
        caveats=tuple(caveats),
    )


def _procedure_subject(procedure_id: str, wanted: Wanted, library: Library) -> _Subject:
    procedure = library.catalogue[procedure_id]
    if procedure.outcomes is OutcomeKind.GLIDE:
        grade = _grade_subject("mobility", library)
        return _Subject(
            procedure_id, f"{procedure.name}, {grade.name}", grade.unit, grade.low, grade.high, grade.better,
            grade.best, grade.basis, None, grade.caveats,
        )  # fmt: skip
    movement = movement_of(procedure_id, library)
    reached = not movement and procedure_id in library.documents["ranges"]["procedure"][Unit.LEVEL]
    usual = "N" if procedure.outcomes is OutcomeKind.RESISTED else "deg"
    unit = movement["unit"] if movement else Unit.LEVEL.value if reached else usual
    low, high = library.documents["ranges"]["limit"][unit]
    mode = "" if unit == "N" else "active" if procedure.outcomes is OutcomeKind.ACTIVE else "passive"
    asked = Wanted(mode, wanted.instrument, wanted.rater, wanted.population)
    basis = motion_basis(movement, asked, library) if movement else None
    caveats = ("instrument not stated; use the same one both times",) if not (wanted.instrument or reached) else ()
    return _Subject(
        procedure_id, procedure.name, unit, low, high, movement["better"] if movement else "up",
        basis=basis, caveats=caveats,
    )  # fmt: skip


def _refuse_outside(subject: _Subject, before: float, after: float) -> None:
    faults = [
        Fault(
            "outside the scale",
            read=f"{value:g}",
            would_do=f"{subject.low:g} to {subject.high:g} {subject.unit}",
            field=field,
        )
        for field, value in (("before", before), ("after", after))
        if not subject.low <= value <= subject.high
    ]
    if faults:
        raise CannotRead(faults)


def _judge(subject: _Subject, before: float, after: float, wanted: Wanted) -> Change:
    basis, mcid = subject.basis, subject.mcid
    caveats = list(subject.caveats)
    if basis is None:
        caveats.append("no error figure for this measurement is in the evidence")
    else:
        caveats += [*basis.mismatches, *basis.caveats]
        if basis.mdc95.value.provenance > 1:
            caveats.append(f"the error figure is {basis.mdc95.value.provenance.label}, not read")
        if mcid and number(mcid.value) < number(basis.mdc95.value):
            caveats.append("a change can matter and still lie within the error of one person's score")
    if mcid is None:
        caveats.append("no figure for how much change matters to people is in the evidence")
    if wanted.rater == "inter":
        caveats.append("two examiners: differences between them are part of the change")
    return Change(
        measure=subject.id,
        name=subject.name,
        unit=subject.unit,
        before=before,
        after=after,
        verdict=_verdict(abs(after - before), basis, mcid),
        direction=_direction(subject, before, after),
        sem=basis.sem if basis else None,
        mdc95=basis.mdc95 if basis else None,
        mcid=mcid,
        row=basis.row if basis else "",
        why=basis.why if basis else "",
        caveats=tuple(dict.fromkeys(caveats)),
    )


def _verdict(size: float, basis: ErrorBasis | None, mcid: ErrorFigure | None) -> ChangeVerdict:
    if basis is None:
        return ChangeVerdict.UNKNOWN
    if size <= number(basis.mdc95.value) + _ROUNDING:
        return ChangeVerdict.WITHIN_ERROR
    if mcid is not None and size >= number(mcid.value) - _ROUNDING:
        return ChangeVerdict.CHANGED_AND_MATTERS
    return ChangeVerdict.CHANGED


def _direction(subject: _Subject, before: float, after: float) -> Direction:
    if subject.better == "towards":
        gain = abs(before - subject.best) - abs(after - subject.best)
    else:
        gain = after - before if subject.better == "up" else before - after
    return Direction.BETTER if gain > 0 else Direction.WORSE if gain < 0 else Direction.NONE
