"""Comparable signs: which one or two findings to do again after a technique, and what they say then, on one line.

A sign is worth doing again when it is far from where it should be in units of its own smallest detectable change, when
its error is known in people with the complaint, when it provokes little, and when it brings the familiar symptom.
"""

from __future__ import annotations

from collections.abc import Container, Iterable, Sequence
from dataclasses import dataclass

from endfeel.evidence.cite import MARKS, short_citation
from endfeel.evidence.figures import Provenance, number
from endfeel.evidence.library import Library
from endfeel.measurement.change import Change, ChangeVerdict, compare
from endfeel.measurement.error_figures import STUDIED_AS, Wanted, motion_basis, movement_of
from endfeel.measurement.retest import FieldChange, RetestComparison
from endfeel.vocabulary import Finding, OutcomeKind, Procedure, Unit

STEERS = (
    "Change within a visit steers the technique: carry on, change it or leave it. It is no prognosis: whether the "
    "person gets better is seen between visits."
)
STEERS_FIGURES = ("treatment_evidence.te088.effect", "treatment_evidence.te089.effect")
"""What that statement rests on."""
_PARAMETERS = "treatment_parameters"
_VERDICTS = {
    ChangeVerdict.WITHIN_ERROR: "within measurement error",
    ChangeVerdict.CHANGED: "changed beyond error",
    ChangeVerdict.CHANGED_AND_MATTERS: "changed and it matters",
    ChangeVerdict.UNKNOWN: "cannot be judged: no error figure",
}


@dataclass(frozen=True, slots=True)
class Sign:
    """A finding to do again, and why this one."""

    finding: Finding
    name: str
    score: float
    """What the choice goes by; higher is better."""
    shown: str
    """What was found, in the field that makes it a sign: `35° against 65°`."""
    deficits: float
    """How far off, in units of the smallest detectable change of that field."""
    smallest: str
    """The smallest change that would count, with its source; empty where none is known."""
    figures: tuple[str, ...]
    reasons: tuple[str, ...]


def comparable_signs(
    findings: Sequence[Finding],
    library: Library,
    *,
    forbidden: Container[str] = (),
    among: Iterable[str] = (),
    most: int | None = None,
    instrument: str | None = None,
    rater: str = "intra",
) -> tuple[Sign, ...]:
    """The one or two findings most worth doing again, the best first; never two of the same movement.

    `among` narrows the choice to some procedures, where any of them was found; `forbidden` ones are never chosen.
    """
    last = {(one.procedure, one.side, one.level): one for one in findings}
    signs = [
        sign
        for one in last.values()
        if one.procedure not in forbidden
        and library.catalogue[one.procedure].irritability_load <= _parameter(library, "sign_load_most")
        and (sign := _sign(one, library, instrument, rater)) is not None
    ]  # fmt: skip
    wanted = set(among)
    if wanted and any(sign.finding.procedure in wanted for sign in signs):
        signs = [sign for sign in signs if sign.finding.procedure in wanted]
    signs.sort(key=lambda sign: -sign.score)
    kept: list[Sign] = []
    limit = int(_parameter(library, "signs_most")) if most is None else most
    for sign in signs:
        if len(kept) < limit and _movement(sign, library) not in {_movement(one, library) for one in kept}:
            kept.append(sign)
    return tuple(kept)


def line_of(comparison: RetestComparison) -> str:
    """Before and after on one line, with the verdict against the error of this measure."""
    place = " ".join(part for part in (comparison.name, comparison.side, comparison.level) if part)
    if not comparison.fields:
        return f"{place}: {'; '.join(comparison.caveats) or 'nothing to compare'}"
    return f"{place}: " + "; ".join(_told(one) for one in comparison.fields)


def _told(one: FieldChange) -> str:
    said = f"{one.label} {one.before} → {one.after}"
    if one.change is None:
        return f"{said} ({one.caveat or _VERDICTS[one.verdict]})"
    way = f", {one.direction}" if one.verdict in (ChangeVerdict.CHANGED, ChangeVerdict.CHANGED_AND_MATTERS) else ""
    least = _smallest_words(one.change)
    return f"{said}, {_VERDICTS[one.verdict]}{way}{f' ({least})' if least else ''}"


def _smallest_words(change: Change) -> str:
    """`smallest detectable change 15 deg, Kolber 2011`; empty where none applies."""
    if change.mdc95 is None:
        return ""
    mark, source = MARKS[change.mdc95.value.provenance], short_citation(change.mdc95.source)
    if change.mdc95.value.provenance is Provenance.PRACTICE:
        source = "common practice"
    return f"smallest detectable change {mark}{number(change.mdc95.value):.3g} {change.mdc95.unit}, {source}"


def _sign(finding: Finding, library: Library, instrument: str | None, rater: str) -> Sign | None:
    procedure = library.catalogue[finding.procedure]
    options = [
        option
        for option in (
            _angle(finding, procedure, library, instrument, rater),
            _graded("pain", finding.pain, 0.0, "/10", library),
            _graded("mobility", finding.mobility, 3.0, "/6", library),
            _graded("strength", finding.strength, 5.0, "/5", library),
        )
        if option is not None and option[1] > 0.0
    ]
    if not options and not finding.familiar:
        return None
    shown, deficits, change, floor = max(options, key=lambda one: one[1], default=("familiar symptom", 0.0, None, True))
    reasons = [f"{shown}, {deficits:.1f} times what can be detected"] if options else [shown]
    score = min(deficits, _parameter(library, "sign_deficit_most"))
    if finding.familiar:
        score += _parameter(library, "sign_familiar_weight")
        reasons.append("brings the familiar symptom")
    if floor:
        score -= _parameter(library, "sign_error_weight")
        reasons.append("its error in people with the complaint is not known")
    score -= _parameter(library, "sign_load_weight") * procedure.irritability_load
    reasons.append(
        ("does not provoke", "provokes little", "provokes", "provokes strongly")[procedure.irritability_load]
    )
    return Sign(
        finding,
        procedure.name,
        score,
        shown,
        deficits,
        _smallest_words(change) if change else "",
        change.mdc95.value.figures if change and change.mdc95 else (),
        tuple(reasons),
    )


Option = tuple[str, float, Change | None, bool]
"""What was found, how many smallest detectable changes off, that change, whether its error is a floor."""


def _angle(
    finding: Finding, procedure: Procedure, library: Library, instrument: str | None, rater: str
) -> Option | None:
    movement = movement_of(procedure.id, library)
    comparable = finding.unit in (Unit.DEGREES, Unit.NEWTONS) and procedure.outcomes is not OutcomeKind.GLIDE
    own = finding.instrument
    instrument = instrument or (STUDIED_AS.get(own, own) if own else None)
    normal = finding.other if finding.other is not None else _usual(procedure.id, library)
    if finding.value is None or movement is None or normal is None or not comparable:
        return None
    basis = motion_basis(movement, Wanted(instrument=instrument or "", rater=rater), library)
    if basis is None:
        return None
    change = compare(procedure.id, finding.value, normal, library, instrument=instrument, rater=rater)
    unit = "°" if finding.unit is Unit.DEGREES else " N"
    floor = any(mismatch.startswith("healthy") for mismatch in basis.mismatches)
    told = f"{finding.value:g}{unit} against {normal:g}{unit}"
    return told, (normal - finding.value) / number(basis.mdc95.value), change, floor


def _graded(measure: str, value: float | None, best: float, of: str, library: Library) -> Option | None:
    if value is None:
        return None
    change = compare(measure, value, best, library)
    if change.mdc95 is None:
        return None
    return f"{measure} {value:g}{of}", abs(value - best) / number(change.mdc95.value), change, measure != "pain"


def _usual(procedure: str, library: Library) -> float | None:
    for row in library.tables["angle_reference"]:
        if row.text["procedure"] == procedure and "normal_deg" in row.figures:
            return number(row.figures["normal_deg"])
    return None


def _movement(sign: Sign, library: Library) -> str:
    entry = movement_of(sign.finding.procedure, library)
    return str(entry["id"]) if entry else sign.finding.procedure


def _parameter(library: Library, quantity: str) -> float:
    rows = library.tables[_PARAMETERS]
    return next(number(row.figures["value"]) for row in rows if row.text["quantity"] == quantity)
