"""What others recorded: understood or in words, shown first, kept once, never over what is there."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from endfeel import care
from endfeel.assessment import read_case
from endfeel.cli.main import main
from endfeel.exchange.systems import ENTRY_IDS, LOINC, PERSON_IDS, PROCEDURES
from endfeel.records import open_engine
from endfeel.records.hands import keep_hands
from endfeel.vocabulary import CannotRead, Complaint, NotFound, Person
from endfeel.vocabulary.outcomes import Occasion, OutcomeAnswer
from endfeel.vocabulary.shorthand import finding_text

STORIES = Path(__file__).resolve().parents[3] / "stories"
NOON = datetime(2026, 1, 5, 12, tzinfo=UTC)


@pytest.fixture(scope="module")
def loaded() -> Iterator[care.Desk]:
    """A desk whose evidence is read once; each test gets its own store."""
    opened = care.open_desk(":memory:", clock=lambda: NOON)
    yield opened
    opened.engine.dispose()


@pytest.fixture
def desk(loaded: care.Desk, store_file: str) -> Iterator[care.Desk]:
    opened = replace(loaded, engine=open_engine(store_file))
    yield opened
    opened.engine.dispose()


PATIENT = {
    "resourceType": "Patient",
    "id": "example",
    "identifier": [{"system": "urn:oid:1.2.3", "value": "4711"}],
    "name": [{"family": "Example", "given": ["Ada"]}],
    "gender": "female",
    "birthDate": "1970-06-01",
    "telecom": [{"system": "phone", "value": "0123"}],
}


def observation(**given: Any) -> dict[str, Any]:
    base = {
        "resourceType": "Observation",
        "id": "o1",
        "status": "final",
        "code": {"coding": [{"system": LOINC, "code": "41299-9", "display": "Abduction"}]},
        "subject": {"reference": "Patient/example"},
        "effectiveDateTime": "2025-12-01T09:00:00+01:00",
        "valueQuantity": {"value": 95, "unit": "deg", "code": "deg"},
    }
    return {name: value for name, value in (base | given).items() if value is not None}


def bundle(*resources: dict[str, Any]) -> str:
    return json.dumps({"resourceType": "Bundle", "type": "collection", "entry": [{"resource": r} for r in resources]})


WEIGHT = observation(
    id="o2",
    code={"coding": [{"system": LOINC, "code": "29463-7", "display": "Body weight"}]},
    valueQuantity={"value": 72.5, "unit": "kg", "system": "http://unitsofmeasure.org", "code": "kg"},
)


def lines(desk: care.Desk) -> list[str]:
    return [
        finding_text(entry.finding)
        for person in care.list_people(desk)
        for visit in reversed(person.visits)
        for entry in care.recall_visit(desk, visit.id).entries
        if entry.finding
    ]


def test_what_is_known_becomes_a_finding_and_the_rest_is_kept_in_words(desk: care.Desk) -> None:
    plan = care.take_over(desk, bundle(PATIENT, observation(), WEIGHT))
    assert plan.intake.unknown == {f"{LOINC}|29463-7 Body weight": 1}
    (person,) = care.list_people(desk)
    assert (person.label, person.age, person.sex) == ("Ada Example", 55, "female")
    kept = lines(desk)
    assert "act_abduction left 95 deg" in kept
    (weight,) = [one for one in kept if "Body weight" in one]
    assert weight.startswith("obs_general")
    assert "72.5 kg" in weight
    (told,) = [one for one in kept if "1970-06-01" in one]
    assert "0123" in told
    assert "4711" in told
    days = {visit.opened_at.date().isoformat() for visit in person.visits}
    assert days == {"2025-12-01", "2026-01-05"}


def test_looking_keeps_nothing_and_the_same_file_twice_changes_nothing(desk: care.Desk) -> None:
    text = bundle(PATIENT, observation(), WEIGHT)
    looked = care.look_at(desk, text)
    assert care.list_people(desk) == ()
    first = care.take_over(desk, text)
    assert [one.status for one in looked.entries] == [one.status for one in first.entries] == ["new"] * 3
    before = care.list_people(desk)
    again = care.take_over(desk, text)
    assert {one.status for one in again.entries} == {"kept before"}
    assert not again.visits
    assert care.list_people(desk) == before


def test_a_changed_observation_is_told_and_what_was_kept_stays(desk: care.Desk) -> None:
    care.take_over(desk, bundle(PATIENT, observation()))
    changed = observation(valueQuantity={"value": 120, "code": "deg"})
    plan = care.take_over(desk, bundle(PATIENT, changed))
    assert [one.status for one in plan.entries if one.read] == ["differs from what was kept"]
    assert "act_abduction left 95 deg" in lines(desk)
    twice = care.look_at(desk, bundle(PATIENT, observation(id="x"), observation(id="x"), WEIGHT | {"id": "x"}))
    told = [one.status for one in twice.entries if one.read]
    assert sorted(told) == ["differs from what was kept", "kept before", "new"]


def test_own_hands_do_not_read_what_came_from_a_file(desk: care.Desk) -> None:
    with desk.transaction() as session:
        keep_hands(session, "", NOON, 'name = "Ann"\n\n[[angle]]\nprocedure = "gh_er_0"\nsd_deg = 9.0\nsubjects = 9\n')
    mine = care.open_visit(desk, care.open_episode(desk, care.new_person(desk, "P", Person()), Complaint()))
    assert "(Ann)" in " ".join(care.view_visit(desk, mine).assessment.posterior.caveats)
    care.take_over(desk, bundle(PATIENT, observation()))
    theirs = [visit.id for person in care.list_people(desk) if person.label == "Ada Example" for visit in person.visits]
    assert len(theirs) == 2
    for visit in theirs:
        said = " ".join(care.view_visit(desk, visit).assessment.posterior.caveats)
        assert "came from a file" in said
        assert "(Ann)" not in said


def test_a_record_of_ours_comes_into_another_store_whole_and_back_without_change(
    desk: care.Desk, tmp_path: Path
) -> None:
    case = read_case((STORIES / "first_visit.txt").read_text(encoding="utf-8"), "first_visit.txt", desk.library)
    visit = care.import_case(desk, case)
    care.record_measure(desk, visit, OutcomeAnswer("nprs", NOON.date(), (4.0,), occasion=Occasion.NIGHT))
    person_id = care.view_visit(desk, visit).person_id
    text = json.dumps(care.fhir_bundle(desk, person_id))
    assert {one.status for one in care.look_at(desk, text).entries} <= {"kept before", "not kept"}
    other = replace(desk, engine=open_engine(str(tmp_path / "other.sqlite")))
    plan = care.take_over(other, text)
    assert {one.status for one in plan.entries} == {"new", "not kept"}
    assert [one.read.name for one in plan.entries if one.read and one.status == "not kept"] == ["safety verdict"]
    (person,) = care.list_people(other)
    assert (person.id, person.age, person.sex, person.invented) == (person_id, case.person.age, case.person.sex, True)
    found = [entry.finding for entry in care.recall_visit(other, person.visits[0].id).entries]
    assert found[: len(case.findings) + len(case.retests)] == [*case.findings, *case.retests]
    (measure,) = [one for one in plan.entries if one.answer]
    assert measure.finding is None
    assert measure.answer == OutcomeAnswer("nprs", NOON.date(), (4.0,), occasion=Occasion.NIGHT)
    assert plan.intake.unknown == {}
    back = care.take_over(desk, json.dumps(care.fhir_bundle(other, person_id)))
    assert not back.count("new")
    other.engine.dispose()


def test_it_goes_to_a_person_on_record_and_a_signed_visit_is_left_alone(desk: care.Desk) -> None:
    mine = care.new_person(desk, "On record")
    lone = json.dumps(observation(subject=None))
    assert care.look_at(desk, lone).entries[0].reasons[0] == "it does not say whose it is"
    plan = care.take_over(desk, lone, mine)
    (visit,) = plan.visits
    care.sign_note(desk, visit, "A. Therapist")
    more = care.take_over(desk, json.dumps(WEIGHT | {"subject": {"reference": "Patient/unheard-of"}}), mine)
    assert more.visits
    assert visit not in more.visits
    assert care.recall_visit(desk, visit).signed is not None
    assert len(care.recall_visit(desk, visit).entries) == 1
    assert len(care.list_people(desk)) == 1
    with pytest.raises(NotFound):
        care.take_over(desk, lone, "nobody")
    with pytest.raises(CannotRead, match="several people"):
        care.take_over(desk, bundle(PATIENT, PATIENT | {"identifier": [{"value": "2"}]}), mine)


def test_nobody_gets_what_belongs_to_somebody_else(desk: care.Desk) -> None:
    plan = care.take_over(desk, bundle(PATIENT, observation(subject={"reference": "Patient/another"})))
    (lost,) = [one for one in plan.entries if one.read]
    assert (lost.status, lost.reasons[0]) == ("not kept", "nobody in the file is Patient/another")
    two = PATIENT | {
        "id": "second",
        "identifier": [{"system": "urn:oid:1.2.3", "value": "4712"}],
        "name": [{"text": "B"}],
    }
    care.take_over(
        desk, bundle(PATIENT, two, observation(subject={"reference": "http://a.example/fhir/Patient/second"}))
    )
    owners = {p.label: p for p in care.list_people(desk)}
    assert any(visit.opened_at.year == 2025 for visit in owners["B"].visits)
    assert not any(visit.opened_at.year == 2025 for visit in owners["Ada Example"].visits)


def test_ids_of_two_clinics_do_not_make_two_people_one(desk: care.Desk) -> None:
    other = {"resourceType": "Patient", "id": "example", "name": [{"text": "Somebody else"}]}
    care.take_over(desk, bundle(PATIENT))
    care.take_over(desk, bundle(other))
    assert len(care.list_people(desk)) == 2


@pytest.mark.parametrize(
    ("change", "reason"),
    [
        ({"effectiveDateTime": "2031-01-01"}, "future"),
        ({"effectiveDateTime": "2025-02-30"}, "date cannot be read"),
        ({"effectiveDateTime": "2025-02-03T10:00:00"}, "date cannot be read"),
        ({"status": "entered-in-error"}, "entered in error"),
        ({"status": "cancelled"}, "cancelled"),
    ],
)
def test_what_must_not_be_kept_is_told_and_not_kept(desk: care.Desk, change: dict[str, Any], reason: str) -> None:
    plan = care.take_over(desk, bundle(PATIENT, observation(**change)))
    (one,) = [entry for entry in plan.entries if entry.read]
    assert one.status == "not kept"
    assert any(reason in told for told in one.reasons)


@pytest.mark.parametrize(
    ("change", "reason"),
    [
        ({"valueQuantity": {"value": 1.6, "unit": "rad", "code": "rad"}}, "unit is not one"),
        ({"valueQuantity": {"value": 900, "code": "deg"}}, "900"),
        ({"valueQuantity": {"value": 90, "code": "deg", "comparator": "<"}}, "only a bound"),
        ({"valueQuantity": {"unit": "deg"}}, "no number"),
        ({"code": {"coding": [{"system": PROCEDURES, "code": "gh_er_0"}]}}, "no side"),
        ({"code": {"coding": [{"system": PROCEDURES, "code": "th_pa_central"}]}, "valueQuantity": None}, "no level"),
        ({"code": {"text": "something"}}, "no code"),
    ],
)
def test_what_cannot_be_a_finding_is_kept_in_words_with_the_reason(
    desk: care.Desk, change: dict[str, Any], reason: str
) -> None:
    plan = care.take_over(desk, bundle(PATIENT, observation(**change)))
    (one,) = [entry for entry in plan.entries if entry.read]
    assert one.status == "new"
    assert any(reason in told for told in one.reasons), one.reasons
    assert one.finding is not None
    assert one.finding.procedure == "obs_general"


def test_the_side_is_read_from_words_too_and_an_interpretation_is_a_result(desk: care.Desk) -> None:
    told = observation(
        code={"coding": [{"system": PROCEDURES, "code": "hawkins"}]},
        bodySite={"text": "Right shoulder joint"},
        valueQuantity=None,
        interpretation=[{"coding": [{"code": "POS"}]}],
        method={"text": "as taught"},
    )
    care.take_over(desk, bundle(PATIENT, told))
    (line,) = [one for one in lines(desk) if one.startswith("hawkins")]
    assert line.startswith("hawkins right positive")
    assert "as taught" in line


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("", "nothing is written"),
        ("<Bundle/>", "XML is not read"),
        ("{", "not JSON"),
        ("[1, 2]", "no resourceType"),
        ('{"resourceType": "Bundle", "entry": 3}', "no list"),
        ('{"resourceType": "Bundle", "entry": [3]}', "no object"),
        ('{"resourceType": "Bundle", "entry": []}', "nothing to take over"),
        ('{"resourceType": "Medication", "id": "1"}', "1 Medication"),
        ('{"resourceType": "Observation", "valueQuantity": {"value": NaN}}', "not a number"),
        ("[" * 100_000, "too deep"),
        ('{"resourceType": "Observation", "a": ' + "[" * 200 + "]" * 200 + "}", "too deep"),
    ],
)
def test_what_is_no_such_file_is_refused_in_words(desk: care.Desk, text: str, reason: str) -> None:
    with pytest.raises(CannotRead) as told:
        care.take_over(desk, text)
    assert reason in str(told.value)
    assert care.list_people(desk) == ()


def test_letters_that_no_database_keeps_are_replaced_and_all_else_is_kept(desk: care.Desk) -> None:
    odd = observation(code={"text": "a\x00b \ud800 c"}, valueQuantity=None, valueString="line\nline\x07")
    plan = care.take_over(desk, bundle(PATIENT | {"name": [{"text": "A\x00da"}]}, odd))
    assert plan.count("new") == 2
    (person,) = care.list_people(desk)
    assert person.label == "A\ufffdda"
    assert any("a\ufffdb \ufffd c: line\nline\ufffd" in (one.finding.note or "") for one in plan.entries if one.finding)


def test_one_resource_a_line_is_read_and_an_id_that_is_none_of_ours_is_not_used(desk: care.Desk) -> None:
    odd = PATIENT | {"identifier": [{"system": PERSON_IDS, "value": "../../etc"}]}
    told = observation(identifier=[{"system": ENTRY_IDS, "value": "no id, this"}])
    plan = care.take_over(desk, f"{json.dumps(odd)}\n{json.dumps(told)}\n")
    assert plan.count("new") >= 1
    assert all("/" not in person.id and " " not in entry.id for person in plan.people for entry in plan.entries)


def test_the_command_shows_and_keeps(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    store, file = str(tmp_path / "store.sqlite"), tmp_path / "in.json"
    file.write_text(bundle(PATIENT, observation(), WEIGHT), encoding="utf-8")
    assert main(["import", str(file), "--store", store]) == 0
    said = capsys.readouterr()
    assert "becomes: act_abduction left 95 deg" in said.out
    assert "unknown code: http://loinc.org|29463-7" in said.out
    assert "Nothing is kept yet" in said.err
    assert main(["import", str(file), "--store", store, "--keep", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["kept"]
    assert {one["status"] for one in told["entries"]} == {"new"}
    assert main(["import", str(file), "--store", store, "--keep", "--person", "Ada Example"]) == 0
    assert "kept before" in capsys.readouterr().out
    assert main(["export", "Ada Example", "--store", store, "--fhir", "--out", str(tmp_path / "out.json")]) == 0
    assert json.loads((tmp_path / "out.json").read_text(encoding="utf-8"))["resourceType"] == "Bundle"
    assert main(["import", str(tmp_path / "missing.json"), "--store", store]) == 1
