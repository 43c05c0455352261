"""Person, visits, complaint, treatments, screen, measures, notes and plan as resources of HL7 FHIR R4."""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Iterator

from endfeel.evidence.library import Library
from endfeel.exchange import systems as s
from endfeel.exchange.code_lists import CONCEPTS, public_codings
from endfeel.exchange.elements import (
    SCORE,
    Json,
    coding,
    concept,
    derived_id,
    filled,
    joined,
    moment,
    note,
    quantity,
    reference,
    words,
)
from endfeel.exchange.observations import finding_observation, owned
from endfeel.exchange.values import EpisodeTold, Measured, PersonTold, Planned, Recorded, Signed, Visited
from endfeel.vocabulary import AREAS, NO_TREATMENTS, OUTLOOK, SHORT_CAUTION
from endfeel.vocabulary.outcomes import Answering


def person_resources(told: PersonTold, library: Library) -> Iterator[Json]:
    """Every resource of a person, the person first; what is referred to comes before what refers to it."""
    yield patient(told)
    yield from practitioners(told)
    yield from _of_the_person(told, library)
    for episode in told.episodes:
        yield condition(told, episode)
        for visit in episode.visits:
            yield from _visit_resources(told, episode, visit, library)
        if episode.plan:
            yield care_plan(told, episode, episode.plan)


def patient(told: PersonTold) -> Json:
    """The person under the label of the record; an invented one says so."""
    test = [coding(s.ACT_REASON, "HTEST", "test health data")] if told.invented else []
    return filled(
        resourceType="Patient",
        id=told.id,
        meta=filled(tag=test),
        identifier=[{"system": s.PERSON_IDS, "value": told.id}],
        active=True,
        name=[{"use": "usual", "text": words(told.label) or told.id}],
        gender=told.person.sex,
    )


def practitioner_id(name: str) -> str:
    """The same person under the same name."""
    return derived_id("practitioner", name)


def practitioners(told: PersonTold) -> list[Json]:
    """Who signed, and who recorded what nobody signed."""
    visits = [visit for episode in told.episodes for visit in episode.visits]
    names = [one.by for visit in visits for one in (visit.signed, *visit.letters) if one]
    return [practitioner(name) for name in dict.fromkeys([told.who, *names])]


def practitioner(name: str) -> Json:
    return {"resourceType": "Practitioner", "id": practitioner_id(name), "name": [{"text": words(name) or "unnamed"}]}


def _who(told: PersonTold, visit: Visited) -> Json:
    name = visit.signed.by if visit.signed else told.who
    return reference("Practitioner", practitioner_id(name), name)


def _of_the_person(told: PersonTold, library: Library) -> Iterator[Json]:
    base = filled(
        resourceType="Observation",
        status="final",
        category=[concept(coding(s.OBSERVATION_CATEGORY, "social-history"))],
        subject=reference("Patient", told.id),
        effectiveDateTime=moment(told.told_at),
        performer=[reference("Practitioner", practitioner_id(told.who), told.who)],
    )
    if told.person.age is not None:
        code = concept(*public_codings(library, "age"), text="age")
        yield base | {"id": f"age-{told.id}", "code": code, "valueQuantity": quantity(told.person.age, "years", "a")}
    if told.person.dominant is not None:
        side = str(told.person.dominant)
        code = concept(coding(s.CONCEPTS, "dominant_hand", "dominant hand"), text="dominant hand")
        value = concept(coding(s.SITES, side, side), text=side)
        yield base | {"id": f"hand-{told.id}", "code": code, "valueCodeableConcept": value}


def condition(told: PersonTold, episode: EpisodeTold) -> Json:
    """The complaint as the person told it. What may be behind it is no diagnosis: it stands in signed notes alone."""
    complaint = episode.complaint
    weeks = f"{complaint.weeks:g} weeks before {episode.opened_at:%Y-%m-%d}" if complaint.weeks is not None else ""
    grade = str(complaint.irritability) if complaint.irritability else ""
    stage = {
        "summary": concept(coding(s.IRRITABILITY, grade, grade), text=f"irritability {grade}"),
        "type": concept(coding(s.CONCEPTS, "irritability", "irritability"), text="irritability"),
    }
    sites = [concept(coding(s.AREAS_OF_PAIN, area, AREAS[area]), text=AREAS[area]) for area in complaint.areas]
    side = [concept(coding(s.SITES, str(complaint.side), str(complaint.side)))] if complaint.side else []
    return filled(
        resourceType="Condition",
        id=episode.id,
        clinicalStatus=concept(coding(s.CONDITION_CLINICAL, "active", "Active")),
        verificationStatus=concept(coding(s.CONDITION_VERIFICATION, "unconfirmed", "Unconfirmed")),
        category=[concept(coding(s.CONDITION_CATEGORY, "encounter-diagnosis", "Encounter Diagnosis"))],
        code=concept(text=episode.title or "complaint of the shoulder girdle"),
        bodySite=[*side, *sites],
        subject=reference("Patient", told.id),
        onsetString=joined((f"began by {complaint.onset}" if complaint.onset else "", weeks)),
        recordedDate=moment(episode.opened_at),
        stage=[stage] if grade else [],
        note=note(complaint.story),
    )


def _visit_resources(told: PersonTold, episode: EpisodeTold, visit: Visited, library: Library) -> Iterator[Json]:
    by = _who(told, visit)
    yield encounter(told, episode, visit, by)
    if visit.screen:
        yield screen_response(told, visit, library, by)
    if visit.safety:
        yield safety_observation(told, visit, by)
    last_treatment = ""
    for entry in visit.entries:
        if entry.treatment is not None:
            if entry.treatment.technique != OUTLOOK:
                yield procedure(told, episode, visit, entry, library, by)
            last_treatment = last_treatment if entry.treatment.technique in NO_TREATMENTS else entry.id
        elif entry.finding is not None:
            again = entry.kind == "retest"
            made = finding_observation(entry.id, entry.finding, entry.at, library, retest=again)
            part = {"partOf": [reference("Procedure", last_treatment)]} if again and last_treatment else {}
            yield owned(made, told.id, visit.id, by) | part
    for measure in visit.measures:
        yield from measure_resources(told, visit, measure, library, by)
    for paper in filter(None, (visit.signed, *visit.letters)):
        yield document(told, visit, paper, library)
        yield provenance(visit, paper)


def encounter(told: PersonTold, episode: EpisodeTold, visit: Visited, by: Json) -> Json:
    """The visit; finished once its note is signed."""
    end = moment(visit.signed.at) if visit.signed else ""
    return filled(
        resourceType="Encounter",
        id=visit.id,
        identifier=[{"system": s.VISIT_IDS, "value": visit.id}],
        status="finished" if visit.signed else "in-progress",
        **{"class": coding(s.ACT_CODE, "AMB", "ambulatory")},
        type=[concept(text=f"visit {visit.number} of the episode")],
        subject=reference("Patient", told.id),
        participant=[{"individual": by}],
        period=filled(start=moment(visit.opened_at), end=end),
        reasonReference=[reference("Condition", episode.id)],
    )


def procedure(
    told: PersonTold, episode: EpisodeTold, visit: Visited, entry: Recorded, library: Library, by: Json
) -> Json:
    """A technique as it was given."""
    given = entry.treatment
    if given is None:
        raise ValueError("only a treatment becomes a procedure")
    known = [row.id for row in library.tables["techniques"] if row.text["name"] == given.technique]
    return filled(
        resourceType="Procedure",
        id=entry.id,
        identifier=[{"system": s.ENTRY_IDS, "value": entry.id}],
        status="completed",
        code=concept(*(coding(s.TECHNIQUES, one, given.technique) for one in known), text=given.technique),
        subject=reference("Patient", told.id),
        encounter=reference("Encounter", visit.id),
        performedDateTime=moment(entry.at),
        performer=[{"actor": by}],
        reasonReference=[reference("Condition", episode.id)],
        note=[*note(f"dose: {given.dose}" if given.dose else ""), *note(given.note)],
    )


def screen_response(told: PersonTold, visit: Visited, library: Library, by: Json) -> Json:
    """Answers to the safety screen. An item without an answer was not answered: that is not a no."""
    asked = {cue["id"]: cue["question"] for cue in library.documents["safety_rules"]["cue"]}
    items = [
        filled(linkId=cue, text=words(asked.get(cue, cue))) | {"answer": [{"valueBoolean": yes}]}
        for cue, yes in visit.screen.items()
    ]
    return {
        "resourceType": "QuestionnaireResponse",
        "id": f"screen-{visit.id}",
        "questionnaire": s.SCREEN_FORM,
        "status": "completed" if set(asked) <= set(visit.screen) else "in-progress",
        "subject": reference("Patient", told.id),
        "encounter": reference("Encounter", visit.id),
        "authored": moment(visit.opened_at),
        "author": by,
        "item": items,
    }


def safety_observation(told: PersonTold, visit: Visited, by: Json) -> Json:
    """How soon somebody else must look, and why."""
    found = visit.safety
    if found is None:
        raise ValueError("no verdict was told")
    code = concept(coding(s.CONCEPTS, "safety_verdict", "safety verdict"), text="safety verdict")
    said = joined((found.action, f"raised: {', '.join(found.raised)}" if found.raised else "", found.overridden))
    made = filled(
        resourceType="Observation",
        id=f"safety-{visit.id}",
        status="preliminary" if visit.signed is None else "final",
        category=[concept(coding(s.OBSERVATION_CATEGORY, "exam"))],
        code=code,
        effectiveDateTime=moment(visit.signed.at if visit.signed else visit.opened_at),
        valueCodeableConcept=concept(
            coding(s.URGENCIES, found.urgency, found.urgency.replace("_", " ")), text=found.words
        ),
        note=[*note(said), *note(SHORT_CAUTION)],
    )
    return owned(made, told.id, visit.id, by)


def measure_resources(
    told: PersonTold, visit: Visited, measure: Measured, library: Library, by: Json
) -> Iterator[Json]:
    """The total as an Observation, the items by number as a QuestionnaireResponse; an item left blank has no answer."""
    codings = [
        *public_codings(library, f"measure.{measure.measure}"),
        coding(s.MEASURES, measure.measure, measure.name),
    ]
    made = filled(
        resourceType="Observation",
        id=measure.id,
        identifier=[{"system": s.ENTRY_IDS, "value": measure.id}],
        status="final",
        category=[concept(coding(s.OBSERVATION_CATEGORY, "survey"))],
        code=concept(*codings, text=measure.name),
        effectiveDateTime=measure.answered_on.isoformat(),
        valueQuantity=quantity(measure.total, "score", SCORE) if measure.total is not None else None,
        dataAbsentReason=concept(coding(s.ABSENT, "not-applicable"), text=measure.no_score)
        if measure.total is None
        else None,
        derivedFrom=[reference("QuestionnaireResponse", f"items-{measure.id}")] if measure.answers else [],
        component=_measure_parts(measure),
        note=note(measure.words),
    )
    if measure.answers:
        items = [
            filled(
                linkId=str(k),
                text=words(measure.labels[k - 1]) if k <= len(measure.labels) else "",
                answer=[] if value is None else [{"valueDecimal": value}],
            )
            for k, value in enumerate(measure.answers, 1)
        ]
        yield {
            "resourceType": "QuestionnaireResponse",
            "id": f"items-{measure.id}",
            "status": "completed" if measure.total is not None else "in-progress",
            "subject": reference("Patient", told.id),
            "encounter": reference("Encounter", visit.id),
            "authored": measure.answered_on.isoformat(),
            "item": items,
        }
    yield owned(made, told.id, visit.id, by)


def _measure_parts(measure: Measured) -> list[Json]:
    """What the number is about, who answered unless it was the person alone, and in which form."""
    coded = []
    if measure.occasion is not None:
        coded.append(("occasion", measure.occasion.value))
    if measure.answering is not Answering.PERSON:
        coded.append(("answering", measure.answering.value))
    parts: list[Json] = [
        {
            "code": concept(coding(s.CONCEPTS, what, CONCEPTS[what])),
            "valueCodeableConcept": concept(coding(s.CONCEPTS, f"{what}-{word}", CONCEPTS[f"{what}-{word}"])),
        }
        for what, word in coded
    ]
    if words(measure.instrument):
        code = concept(coding(s.CONCEPTS, "instrument", CONCEPTS["instrument"]))
        parts.append({"code": code, "valueString": words(measure.instrument)})
    return parts


def care_plan(told: PersonTold, episode: EpisodeTold, plan: Planned) -> Json:
    """What is proposed next, as it stands: a draft until somebody signs."""
    activities = [
        {
            "detail": filled(
                kind="ServiceRequest",
                code=concept(coding(s.EXERCISES, one, name), text=name),
                status="not-started",
                description=words(dose),
            )
        }
        for one, name, dose in plan.exercises
    ]
    last = episode.visits[-1] if episode.visits else None
    return filled(
        resourceType="CarePlan",
        id=f"plan-{episode.id}",
        status="draft",
        intent="proposal",
        title=words(plan.title),
        description=words(plan.words),
        subject=reference("Patient", told.id),
        encounter=reference("Encounter", last.id) if last else None,
        created=moment(last.opened_at if last else episode.opened_at),
        addresses=[reference("Condition", episode.id)],
        activity=activities,
        note=note(SHORT_CAUTION),
    )


def document(told: PersonTold, visit: Visited, signed: Signed, library: Library) -> Json:
    """What was signed, as text and as PDF, with what was added to it."""
    reader = f", for {signed.recipient}" if signed.recipient else ""
    contents = (("text/plain; charset=utf-8", signed.text.encode()), ("application/pdf", signed.pdf))
    return filled(
        resourceType="DocumentReference",
        id=signed.id,
        status="current",
        docStatus="final",
        type=concept(*public_codings(library, signed.kind), text=signed.title),
        subject=reference("Patient", told.id),
        date=moment(signed.at),
        author=[reference("Practitioner", practitioner_id(signed.by), signed.by)],
        description=words(f"{signed.title}, visit {visit.number}{reader}"),
        content=[{"attachment": _attachment(kind, content, signed.title)} for kind, content in contents if content],
        context={"encounter": [reference("Encounter", visit.id)]},
    )


def _attachment(kind: str, content: bytes, title: str) -> Json:
    return {
        "contentType": kind,
        "data": base64.b64encode(content).decode(),
        "size": len(content),
        "hash": base64.b64encode(hashlib.sha1(content, usedforsecurity=False).digest()).decode(),
        "title": title,
    }


def provenance(visit: Visited, signed: Signed) -> Json:
    """Who signed, with which program on which evidence; a note stands for its whole visit."""
    by = reference("Practitioner", practitioner_id(signed.by), signed.by)
    whole = [reference("Encounter", visit.id)] if signed is visit.signed else []
    made_with = {"display": f"endfeel {signed.program}, evidence release {signed.release}"}
    return {
        "resourceType": "Provenance",
        "id": f"signed-{signed.id}",
        "target": [reference("DocumentReference", signed.id), *whole],
        "recorded": moment(signed.at),
        "agent": [
            {"type": concept(coding(s.AGENT, "legal", "Legal Authenticator")), "who": by},
            {"type": concept(coding(s.AGENT, "assembler", "Assembler")), "who": made_with},
        ],
    }
