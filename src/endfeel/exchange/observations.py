"""A finding as an Observation, and back: every field has its one place."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime

from endfeel.evidence.library import Library
from endfeel.exchange import systems as s
from endfeel.exchange.code_lists import public_codings, site_code
from endfeel.exchange.elements import SCORE, Json, coding, concept, filled, measured, moment, note, quantity, reference
from endfeel.vocabulary import MOBILITY_NAMES, Finding, Unit, level_reached

BLOOD = "bp_pulse"
_IN_UNIT = ("other", "pain_onset", "resistance_onset")


def finding_observation(
    entry_id: str, finding: Finding, at: datetime, library: Library, *, retest: bool = False
) -> Json:
    """The finding with its codes, values and words; whose it is and in which visit is told by the caller."""
    procedure = library.catalogue[finding.procedure]
    vital = _vital_concept(finding)
    codings = public_codings(library, vital or procedure.id, finding.side)
    codings = [*codings, coding(s.PROCEDURES, procedure.id, procedure.name)]
    kinds = [concept(coding(s.OBSERVATION_CATEGORY, "vital-signs" if vital else "exam"))]
    if retest:
        kinds.append(concept(coding(s.ENTRY_KINDS, "retest", "the same found again after treatment")))
    site = site_code(finding.side, finding.level)
    return filled(
        resourceType="Observation",
        id=entry_id,
        identifier=[{"system": s.ENTRY_IDS, "value": entry_id}],
        status="final",
        category=kinds,
        code=concept(*codings, text=procedure.name),
        bodySite=concept(coding(s.SITES, site, site.replace("-", " ")), text=site.replace("-", " ")) if site else None,
        effectiveDateTime=moment(at),
        issued=moment(at),
        **_main_value(finding, vital),
        component=list(_components(finding, vital, library)),
        note=note(finding.note or ""),
    )


def _vital_concept(finding: Finding) -> str:
    if finding.procedure != BLOOD or finding.value is None:
        return ""
    return {Unit.MMHG: "blood_pressure", Unit.PER_MINUTE: "pulse"}.get(finding.unit or Unit.GRADE, "")


def _main_value(finding: Finding, vital: str) -> Json:
    if vital == "blood_pressure":
        return {}
    if finding.value is not None:
        return _value(finding.value, finding.unit)
    if finding.result is not None:
        return {"valueCodeableConcept": _result(finding)}
    return {}


def _value(value: float, unit: Unit | None) -> Json:
    if unit is Unit.LEVEL:
        word = level_reached(value)
        return {"valueCodeableConcept": concept(coding(s.REACHED_LEVELS, word, word), text=word)}
    return {"valueQuantity": measured(value, unit)}


def _result(finding: Finding) -> Json:
    word = str(finding.result)
    return concept(coding(s.RESULTS, word, word.replace("_", " ")), text=word.replace("_", " "))


def _components(finding: Finding, vital: str, library: Library) -> Iterator[Json]:
    if vital == "blood_pressure" and finding.value is not None:
        yield _pressure("systolic", finding.value, library)
        yield _pressure("diastolic", finding.lower_pressure, library)
    if finding.result is not None and finding.value is not None:
        yield _aspect("result", {"valueCodeableConcept": _result(finding)})
    if finding.mobility is not None:
        grade = str(finding.mobility)
        yield _aspect(
            "mobility", {"valueCodeableConcept": concept(coding(s.MOBILITY, grade, MOBILITY_NAMES[finding.mobility]))}
        )
    if finding.end_feel is not None:
        word = str(finding.end_feel)
        yield _aspect("end_feel", {"valueCodeableConcept": concept(coding(s.END_FEELS, word, word.replace("_", " ")))})
    for name in _IN_UNIT:
        if getattr(finding, name) is not None:
            yield _aspect(name, _value(getattr(finding, name), finding.unit))
    if finding.pain is not None:
        public = public_codings(library, "pain")
        value = {"valueQuantity": quantity(finding.pain, "of 10", SCORE)}
        yield {"code": concept(*public, coding(s.ASPECTS, "pain"), text="pain, 0 to 10"), **value}
    for name in ("familiar", "apprehension"):
        if getattr(finding, name) is not None:
            yield _aspect(name, {"valueBoolean": getattr(finding, name)})
    if finding.strength is not None:
        yield _aspect("strength", {"valueInteger": finding.strength})


def _aspect(name: str, value: Json) -> Json:
    return {"code": concept(coding(s.ASPECTS, name), text=name.replace("_", " ")), **value}


def _pressure(which: str, value: float | None, library: Library) -> Json:
    code = concept(*public_codings(library, which), text=f"{which} pressure")
    if value is None:
        return {"code": code, "dataAbsentReason": concept(coding(s.ABSENT, "not-performed", "Not Performed"))}
    return {"code": code, "valueQuantity": measured(value, Unit.MMHG)}


def owned(observation: Json, person_id: str, visit_id: str, by: Json) -> Json:
    """The observation with whose it is, in which visit, and who made it."""
    return observation | {
        "subject": reference("Patient", person_id),
        "encounter": reference("Encounter", visit_id),
        "performer": [by],
    }
