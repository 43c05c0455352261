"""Laws of the handing over: anybody's record is a good bundle, every finding comes back as it was."""

from __future__ import annotations

from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from endfeel.evidence.library import Library
from endfeel.exchange import collection, person_resources
from endfeel.vocabulary.shorthand import Shorthand
from exchange_samples import NOON, people
from fhir_judges import faults

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
