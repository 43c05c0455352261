"""Taking over on both databases: all or nothing, once, and handed over again as it came."""

from __future__ import annotations

import json
from typing import Any

import pytest

from endfeel import care
from endfeel.exchange.systems import LOINC, PROCEDURES
from endfeel.vocabulary import CannotRead

PATIENT = {
    "resourceType": "Patient",
    "id": "p",
    "identifier": [{"system": "urn:x", "value": "7"}],
    "name": [{"text": "A"}],
}


def angle(number: int, **given: Any) -> dict[str, Any]:
    return {
        "resourceType": "Observation",
        "id": f"o{number}",
        "status": "final",
        "code": {"coding": [{"system": PROCEDURES, "code": "gh_er_0"}]},
        "bodySite": {"text": "left shoulder"},
        "subject": {"reference": "Patient/p"},
        "effectiveDateTime": f"2025-12-0{number}T08:00:00Z",
        "valueQuantity": {"value": 30 + number, "code": "deg"},
    } | given


def bundle(*resources: dict[str, Any]) -> str:
    return json.dumps({"resourceType": "Bundle", "entry": [{"resource": one} for one in resources]})


def test_taken_over_once_and_handed_over_as_it_came(desk: care.Desk) -> None:
    text = bundle(PATIENT, angle(1), angle(2), angle(3, code={"coding": [{"system": LOINC, "code": "0-0"}]}))
    first = care.take_over(desk, text)
    assert len(first.visits) == 4, "three days, and today for what was told of the person"
    assert {one.status for one in care.take_over(desk, text).entries} == {"kept before"}
    (person,) = care.list_people(desk)
    rows = care.export_person(desk, person.id)["rows"]
    assert (len(rows["episode"]), len(rows["visit"]), len(rows["entry"])) == (1, 4, 4)
    told = care.fhir_resources(desk, person.id)
    values = [one["valueQuantity"]["value"] for one in told if one.get("bodySite", {}).get("text") == "left"]
    assert sorted(values) == [31, 32]
    when = sorted(
        one["effectiveDateTime"] for one in told if "bodySite" in one and one["resourceType"] == "Observation"
    )
    assert when[:2] == ["2025-12-01T08:00:00Z", "2025-12-02T08:00:00Z"]


def test_one_that_cannot_be_kept_leaves_nothing_of_the_file(desk: care.Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*_: object) -> None:
        raise CannotRead([])

    monkeypatch.setattr("endfeel.care.intake._keep", full)
    with pytest.raises(CannotRead):
        care.take_over(desk, bundle(PATIENT, angle(1)))
    monkeypatch.undo()
    assert care.list_people(desk) == ()
    care.take_over(desk, bundle(PATIENT, angle(1)))
    (person,) = care.list_people(desk)
    care.delete_person(desk, person.id)
    assert care.list_people(desk) == ()
