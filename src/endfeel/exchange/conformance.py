"""What the read-only server can do, what its own form asks, and what went wrong, each as a resource."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date

from endfeel.evidence.library import Library
from endfeel.exchange import systems as s
from endfeel.exchange.elements import Json, words
from endfeel.vocabulary import SHORT_CAUTION

MEDIA_TYPE = "application/fhir+json"
FHIR_VERSION = "4.0.1"
SEARCHES: Mapping[str, Mapping[str, str]] = {
    "Patient": {"_id": "token", "name": "string", "gender": "token", "identifier": "token"},
    "Practitioner": {"_id": "token", "patient": "reference"},
    "Encounter": {"_id": "token", "patient": "reference", "status": "token"},
    "Condition": {"_id": "token", "patient": "reference"},
    "Observation": {
        "_id": "token",
        "patient": "reference",
        "encounter": "reference",
        "category": "token",
        "code": "token",
        "date": "date",
    },
    "QuestionnaireResponse": {"_id": "token", "patient": "reference", "encounter": "reference"},
    "Procedure": {"_id": "token", "patient": "reference", "encounter": "reference"},
    "CarePlan": {"_id": "token", "patient": "reference"},
    "DocumentReference": {"_id": "token", "patient": "reference", "encounter": "reference"},
    "Provenance": {"_id": "token", "patient": "reference"},
    "CodeSystem": {"_id": "token", "url": "uri"},
    "Questionnaire": {"_id": "token", "url": "uri"},
}
"""What may be asked of each kind, with the kind of the parameter."""
ABOUT_PEOPLE = tuple(kind for kind in SEARCHES if kind not in ("CodeSystem", "Questionnaire"))
SCREEN_ID = "safety-screen"


def capability_statement(version: str, release: str, written: date, address: str) -> Json:
    """Reading and searching, nothing that writes."""
    return {
        "resourceType": "CapabilityStatement",
        "id": "endfeel",
        "url": f"{s.CODE_LISTS}.1",
        "version": version,
        "name": "EndfeelReadOnly",
        "title": "Endfeel, records to be read",
        "status": "active",
        "date": written.isoformat(),
        "kind": "instance",
        "description": f"Reads records of a shoulder-girdle examination, writes nothing. {SHORT_CAUTION}",
        "software": {"name": "endfeel", "version": f"{version}, evidence release {release}"},
        "implementation": {"description": "one therapist's own records", "url": address},
        "fhirVersion": FHIR_VERSION,
        "format": ["json", MEDIA_TYPE],
        "rest": [
            {
                "mode": "server",
                "documentation": "Every look at a record is written down, as in the pages. Resources about people are "
                "searched by patient; a parameter that is not known is refused and not passed over.",
                "resource": [_resource(kind, searches) for kind, searches in SEARCHES.items()],
            }
        ],
    }


def _resource(kind: str, searches: Mapping[str, str]) -> Json:
    told: Json = {
        "type": kind,
        "interaction": [{"code": "read"}, {"code": "search-type"}],
        "versioning": "no-version",
        "searchParam": [{"name": name, "type": of} for name, of in searches.items()],
    }
    if kind == "Patient":
        definition = "http://hl7.org/fhir/OperationDefinition/Patient-everything"
        told["operation"] = [{"name": "everything", "definition": definition}]
    return told


def screen_questionnaire(library: Library) -> Json:
    """The safety screen as it may be asked."""
    return {
        "resourceType": "Questionnaire",
        "id": SCREEN_ID,
        "url": s.SCREEN_FORM,
        "version": library.release,
        "name": "SafetyScreen",
        "title": "Safety screen of the shoulder-girdle examination",
        "status": "active",
        "subjectType": ["Patient"],
        "item": [
            {"linkId": cue["id"], "text": words(cue["question"]), "type": "boolean", "required": False}
            for cue in library.documents["safety_rules"]["cue"]
        ],
    }


ISSUE_OF_STATUS: Mapping[int, str] = {
    400: "invalid",
    404: "not-found",
    405: "not-supported",
    406: "not-supported",
    409: "conflict",
    413: "too-long",
    422: "invalid",
    500: "exception",
    503: "transient",
}


def operation_outcome(told: Iterable[str], status: int) -> Json:
    """What went wrong, in sentences."""
    code = ISSUE_OF_STATUS.get(status, "processing")
    severity = "fatal" if status >= 500 else "error"
    sentences = [words(one) or "without words" for one in told] or ["without words"]
    return {
        "resourceType": "OperationOutcome",
        "issue": [{"severity": severity, "code": code, "diagnostics": one} for one in sentences],
    }
