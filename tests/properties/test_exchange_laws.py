"""Laws of the handing over: anybody's record is a good bundle, every finding comes back as it was."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from endfeel.evidence.library import Library
from endfeel.exchange import collection, person_resources, read_intake
from endfeel.exchange.elements import words
from endfeel.exchange.observations import finding_observation
from endfeel.exchange.reading_findings import finding_of
from endfeel.exchange.systems import ASPECTS, PROCEDURES
from endfeel.vocabulary.shorthand import Shorthand
from exchange_samples import NOON, people
from fhir_judges import faults
from strategies import any_finding

LAWS = settings(max_examples=30, deadline=None, suppress_health_check=list(HealthCheck))


def references(value: Any) -> set[str]:
    if isinstance(value, dict):
        own = {value["reference"]} if isinstance(value.get("reference"), str) else set()
        return own.union(*(references(part) for part in value.values()))
    return set().union(*(references(part) for part in value)) if isinstance(value, list) else set()


@LAWS
@given(data=st.data())
def test_anybodys_record_passes_every_judge_and_leads_nowhere_else(
    library: Library, shorthand: Shorthand, cues: tuple[str, ...], data: st.DataObject
) -> None:
    told = data.draw(people(library, shorthand, cues))
    bundle = collection(person_resources(told, library), NOON, "bundle")
    assert faults(bundle) == []
    names = [entry["fullUrl"] for entry in bundle["entry"]]
    assert len(set(names)) == len(names)
    assert references(bundle) <= set(names)


@settings(max_examples=150, deadline=None, suppress_health_check=list(HealthCheck))
@given(data=st.data())
def test_every_finding_comes_back_as_it_was(library: Library, shorthand: Shorthand, data: st.DataObject) -> None:
    told = data.draw(any_finding(shorthand))
    made = finding_observation("entry-1", told, NOON, library)
    back, left = finding_of(json.loads(json.dumps(made)), library, shorthand.limits)
    assert back == replace(told, note=words(told.note or "") or None)
    assert left == []


KEYS = st.sampled_from(["coding", "code", "system", "value", "text", "reference", "start", "unit", "valueQuantity"])
PLAIN = st.sampled_from(
    [None, True, -1, 7, 1e300, "", "a", "deg", "2026-01-05T12:00:00Z", "2026-13", PROCEDURES, ASPECTS]
)
ANYTHING = st.recursive(
    PLAIN, lambda inner: st.lists(inner, max_size=3) | st.dictionaries(KEYS, inner, max_size=4), max_leaves=6
)
ELEMENTS = (
    "id", "meta", "identifier", "name", "gender", "birthDate", "active", "status", "category", "subject", "issued",
    "effectiveDateTime", "effectivePeriod", "bodySite", "valueQuantity", "valueCodeableConcept", "valueString",
    "component", "note", "interpretation", "performer", "hasMember", "code",
)  # fmt: skip
OURS = {"coding": [{"system": PROCEDURES, "code": "gh_er_0"}]}
PARTS = [
    {"code": {"coding": [{"system": ASPECTS, "code": name}]}} for name in ("pain", "other", "end_feel", "familiar")
]


@settings(max_examples=250, deadline=None, suppress_health_check=list(HealthCheck))
@given(
    kind=st.sampled_from(["Patient", "Observation"]),
    given=st.dictionaries(st.sampled_from(ELEMENTS), ANYTHING, max_size=6),
    ours=st.booleans(),
    part=st.sampled_from(PARTS),
    value=ANYTHING,
)
def test_whatever_is_written_is_read_or_refused_in_words(  # type: ignore[no-untyped-def]
    library: Library, kind: str, given: dict[str, Any], ours: bool, part: dict[str, Any], value
) -> None:
    known = (
        {"code": OURS, "component": [part | {"valueQuantity": value, "valueCodeableConcept": value}]} if ours else {}
    )
    text = json.dumps({"resourceType": "Bundle", "entry": [{"resource": {"resourceType": kind, **given, **known}}]})
    read = read_intake(text, library, NOON)
    assert len(read.people) + len(read.observations) == 1
    for one in read.observations:
        assert one.finding is not None or one.reasons
        assert one.understood or one.reasons


@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
@given(words_in=st.lists(st.text("abcdefgh", min_size=4, max_size=9), min_size=3, max_size=6, unique=True))
def test_what_is_not_understood_is_kept_in_words_to_the_last(library: Library, words_in: list[str]) -> None:
    code, display, value, *rest = words_in
    told = {
        "resourceType": "Observation",
        "status": "final",
        "code": {"coding": [{"system": "http://example.org/codes", "code": code, "display": display}]},
        "valueString": value,
        "method": {"text": rest[0]} if rest else {"text": "none"},
        "component": [{"code": {"text": one}, "valueInteger": 7} for one in rest],
    }
    (read,) = read_intake(json.dumps(told), library, NOON).observations
    assert not read.understood
    assert read.unknown == (f"http://example.org/codes|{code} {display}",)
    assert read.finding is not None
    for word in words_in:
        assert word in (read.finding.note or "")


def test_two_files_made_of_the_same_say_the_same(library: Library) -> None:
    text = json.dumps({"resourceType": "Observation", "status": "final", "code": {"text": "a thing"}})
    assert read_intake(text, library, NOON) == read_intake(text + "\n", library, NOON)
