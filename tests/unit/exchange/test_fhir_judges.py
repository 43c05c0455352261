"""Each judge catches what it is there for; what one misses another catches. One that cannot say no proves nothing."""

from __future__ import annotations

import copy
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from endfeel.assessment import read_case
from endfeel.evidence.library import Library
from endfeel.exchange import collection, person_resources
from exchange_samples import NOON, whole_person
from fhir_judges import definition_faults, fits_schema, library_faults, schema_digest

Resource = dict[str, Any]
STORY = Path(__file__).resolve().parents[3] / "stories" / "first_visit.txt"


@pytest.fixture(scope="module")
def bundle(library: Library) -> Resource:
    case = read_case(STORY.read_text(encoding="utf-8"), STORY.name, library)
    return collection(person_resources(whole_person(case, library), library), NOON, "bundle-1")


def broken(bundle: Resource, kind: str, change: Callable[[Resource], object]) -> Resource:
    """The bundle with the first resource of a kind changed."""
    changed = copy.deepcopy(bundle)
    change(next(e["resource"] for e in changed["entry"] if e["resource"]["resourceType"] == kind))
    return changed


def put(**given: Any) -> Callable[[Resource], object]:
    return lambda resource: resource.update(given)


def drop(name: str) -> Callable[[Resource], object]:
    return lambda resource: resource.pop(name)


CODES_OF_THE_SCHEMA = [
    ("Observation", put(status="done")),
    ("Encounter", put(status="open")),
    ("QuestionnaireResponse", put(status="half")),
    ("Patient", put(gender="unknown to us")),
]
CODES_IT_MISSES = [
    ("Procedure", put(status="given")),
    ("CarePlan", put(intent="wish")),
    ("Condition", lambda r: r["clinicalStatus"]["coding"][0].update(code="sore")),
    ("Condition", lambda r: r["verificationStatus"]["coding"][0].update(code="perhaps")),
]
MISSING = [
    ("Observation", drop("code")),
    ("Encounter", drop("class")),
    ("Condition", drop("subject")),
    ("DocumentReference", drop("content")),
    ("Provenance", drop("agent")),
]
MISSING_PLAIN = [
    ("Observation", drop("status")),
    ("CarePlan", drop("status")),
    ("QuestionnaireResponse", drop("status")),
    ("Provenance", drop("recorded")),
]
UNKNOWN = [
    ("Patient", put(nickname="x")),
    ("Observation", lambda r: r["code"].update(colour="red")),
    ("Provenance", lambda r: r["agent"][0].update(mood="good")),
]
DOUBLED = [
    ("Observation", put(valueString="x", valueBoolean=True)),
    ("Procedure", put(performedString="yesterday")),
    ("Condition", put(onsetString="x", onsetDateTime="2026-01-05")),
]
WRONG_FORM = [
    ("Observation", put(effectiveDateTime="2026-13-40")),
    ("Patient", put(active="yes")),
    ("Patient", put(name="a name")),
]


@pytest.mark.parametrize(("kind", "change"), MISSING + UNKNOWN + WRONG_FORM)
def test_both_catch_missing_elements_unknown_names_and_wrong_forms(
    bundle: Resource, kind: str, change: Callable[[Resource], object]
) -> None:
    changed = broken(bundle, kind, change)
    assert not fits_schema(changed)
    assert library_faults(changed)


@pytest.mark.parametrize(("kind", "change"), MISSING + MISSING_PLAIN)
def test_library_and_definitions_catch_every_missing_element(
    bundle: Resource, kind: str, change: Callable[[Resource], object]
) -> None:
    changed = broken(bundle, kind, change)
    assert [fault for fault in library_faults(changed) if "required" in fault]
    assert [fault for fault in definition_faults(changed) if "missing" in fault]


@pytest.mark.parametrize(("kind", "change"), CODES_OF_THE_SCHEMA + CODES_IT_MISSES)
def test_the_definitions_catch_every_wrong_required_code(
    bundle: Resource, kind: str, change: Callable[[Resource], object]
) -> None:
    assert [fault for fault in definition_faults(broken(bundle, kind, change)) if "required codes" in fault]


@pytest.mark.parametrize(("kind", "change"), CODES_OF_THE_SCHEMA)
def test_the_schema_catches_the_required_codes_it_knows(
    bundle: Resource, kind: str, change: Callable[[Resource], object]
) -> None:
    assert not fits_schema(broken(bundle, kind, change))


@pytest.mark.parametrize(("kind", "change"), DOUBLED)
def test_the_library_catches_a_choice_given_twice_and_the_schema_does_not(
    bundle: Resource, kind: str, change: Callable[[Resource], object]
) -> None:
    changed = broken(bundle, kind, change)
    assert [fault for fault in library_faults(changed) if "only one type" in fault]
    assert fits_schema(changed), "the schema has learned it: the second judge may go"


def test_the_bundle_as_it_is_passes_all(bundle: Resource) -> None:
    assert fits_schema(bundle)
    assert library_faults(bundle) == definition_faults(bundle) == []


def test_the_schema_is_the_file_that_is_written_down() -> None:
    told = (Path(__file__).resolve().parents[2] / "kept" / "fhir" / "README.md").read_text(encoding="utf-8")
    assert schema_digest() in told
