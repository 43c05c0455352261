"""A whole record as a bundle: what is in it, where it leads, and judges that have nothing against it."""

from __future__ import annotations

import base64
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from endfeel.assessment import read_case
from endfeel.evidence.library import Library
from endfeel.exchange import code_lists, code_system, collection, person_resources
from endfeel.exchange import systems as s
from endfeel.vocabulary import Case, Finding, Side, Unit
from endfeel.vocabulary.findings import both_pressures
from exchange_samples import NOON, visited, whole_person
from fhir_judges import faults

STORIES = sorted((Path(__file__).resolve().parents[3] / "stories").glob("[!t]*.txt"))
WANTED = {
    "Patient", "Practitioner", "Encounter", "Condition", "Observation", "QuestionnaireResponse", "Procedure",
    "CarePlan", "DocumentReference", "Provenance",
}  # fmt: skip


def story(library: Library, path: Path) -> Case:
    return read_case(path.read_text(encoding="utf-8"), path.name, library)


@pytest.fixture(scope="module")
def bundle(library: Library) -> dict[str, Any]:
    case = story(library, next(path for path in STORIES if path.name == "first_visit.txt"))
    return collection(person_resources(whole_person(case, library), library), NOON, "bundle-1")


def of_kind(bundle: dict[str, Any], kind: str) -> list[dict[str, Any]]:
    return [e["resource"] for e in bundle["entry"] if e["resource"]["resourceType"] == kind]


def inside(value: Any, key: str) -> Iterator[Any]:
    """Every value of a key, however deep."""
    if isinstance(value, dict):
        if key in value:
            yield value[key]
        for part in value.values():
            yield from inside(part, key)
    elif isinstance(value, list):
        for part in value:
            yield from inside(part, key)


def test_every_kind_is_in_it_and_the_judges_have_nothing_against_it(bundle: dict[str, Any]) -> None:
    assert {e["resource"]["resourceType"] for e in bundle["entry"]} == WANTED
    assert faults(bundle) == []


@pytest.mark.parametrize("path", STORIES, ids=lambda path: path.stem)
def test_every_written_story_is_a_good_bundle(library: Library, path: Path) -> None:
    bundle = collection(person_resources(whole_person(story(library, path), library), library), NOON, "bundle-2")
    assert faults(bundle) == []


def test_every_reference_leads_to_an_entry_of_the_bundle(bundle: dict[str, Any]) -> None:
    names = [e["fullUrl"] for e in bundle["entry"]]
    assert len(set(names)) == len(names)
    assert set(inside(bundle, "reference")) <= set(names)
    assert len(list(inside(bundle, "reference"))) > 100


def test_every_code_of_ours_is_in_our_code_systems_and_every_system_is_known(
    bundle: dict[str, Any], library: Library
) -> None:
    ours = {one.url: one.concepts for one in code_lists(library)}
    codings = [c for listed in inside(bundle, "coding") for c in listed]
    assert len(codings) > 100
    for one in codings:
        if one["system"].startswith(s.ROOT):
            assert one["code"] in ours[one["system"]], one
        else:
            assert one["system"] == s.LOINC or one["system"].startswith(s.HL7), one
    public = {row.statements["code"].text for row in library.tables["exchange_codes"]}
    assert {one["code"] for one in codings if one["system"] == s.LOINC} <= public


def test_the_numbers_of_the_public_list_carry_their_check_figure(library: Library) -> None:
    """The last figure of such a code is computed from the others (modulus 10; from memory)."""
    for row in library.tables["exchange_codes"]:
        number, check = row.statements["code"].text.split("-")
        doubled = sum(sum(divmod(2 * int(figure), 10)) for figure in number[::-2])
        plain = sum(int(figure) for figure in number[-2::-2])
        assert (10 - (doubled + plain) % 10) % 10 == int(check), row.id


def test_codes_of_ours_are_codes_and_their_lists_are_good_resources(library: Library) -> None:
    lists = code_lists(library)
    assert len({one.url for one in lists}) == len({one.id for one in lists}) == len(lists)
    for one in lists:
        assert one.concepts
        assert not [code for code in one.concepts if not re.fullmatch(r"[^\s]+", code)], one.id
        assert faults(code_system(one, library.release)) == []


def test_a_signed_note_is_in_it_whole_and_says_who_signed_with_what(bundle: dict[str, Any]) -> None:
    note, letter = of_kind(bundle, "DocumentReference")
    assert [one["type"]["coding"][0]["code"] for one in (note, letter)] == ["11508-9", "57133-1"]
    assert letter["description"] == "referral letter, visit 1, for Dr X"
    text, pdf = (base64.b64decode(c["attachment"]["data"]) for c in note["content"])
    assert (text, pdf) == (b"The note.", b"%PDF-")
    signed, other = of_kind(bundle, "Provenance")
    assert [len(one["target"]) for one in (signed, other)] == [2, 1]
    assert "evidence release r1" in signed["agent"][1]["who"]["display"]
    assert {one["name"][0]["text"] for one in of_kind(bundle, "Practitioner")} == {
        "therapist",
        "A. Therapist",
        "B. Another",
    }
    assert [one["status"] for one in of_kind(bundle, "Encounter")] == ["finished", "in-progress"]


def test_no_contributor_leaves_as_a_diagnosis(bundle: dict[str, Any]) -> None:
    (complaint,) = of_kind(bundle, "Condition")
    assert complaint["verificationStatus"]["coding"][0]["code"] == "unconfirmed"
    assert "coding" not in complaint["code"]


def test_an_invented_person_is_marked_as_test_data(bundle: dict[str, Any]) -> None:
    (person,) = of_kind(bundle, "Patient")
    assert person["meta"]["tag"][0]["code"] == "HTEST"
    assert "birthDate" not in person


def test_a_measure_is_a_total_with_its_items_by_number_and_a_total_alone_has_none(bundle: dict[str, Any]) -> None:
    surveys = [o for o in of_kind(bundle, "Observation") if o["category"][0]["coding"][0]["code"] == "survey"]
    assert [one.get("valueQuantity", {}).get("value") for one in surveys] == [43.8, 40, 7, None]
    assert ["derivedFrom" in one for one in surveys] == [True, False, True, True]
    assert surveys[3]["dataAbsentReason"]["text"] == "too few items"
    parts = [(one["code"]["coding"][0]["code"], one.get("valueString")) for one in surveys[2]["component"]]
    assert parts == [("occasion", None), ("answering", None), ("instrument", "numbers")]
    items = next(r for r in of_kind(bundle, "QuestionnaireResponse") if r["id"].startswith("items-"))["item"]
    told = [(one["linkId"], [given["valueDecimal"] for given in one.get("answer", [])]) for one in items]
    assert told == [("1", [4.0]), ("2", []), ("3", [5.0])], "an item left blank has no answer"


def observation(library: Library, finding: Finding) -> dict[str, Any]:
    case = Case(findings=(finding,))
    told = whole_person(case, library)
    (entry,) = visited(case, library, "first").entries
    return next(r for r in person_resources(told, library) if r["id"] == entry.id)


@pytest.mark.parametrize(
    ("finding", "code"),
    [
        (Finding("act_abduction", Side.LEFT, value=100, unit=Unit.DEGREES), "41299-9"),
        (Finding("act_abduction", Side.RIGHT, value=100, unit=Unit.DEGREES), None),
        (Finding("gh_hadd", Side.RIGHT, value=100, unit=Unit.DEGREES), "56046-6"),
        (Finding("bp_pulse", value=70, unit=Unit.PER_MINUTE), "8867-4"),
        (Finding("bp_pulse", value=98, unit=Unit.PERCENT), None),
    ],
)
def test_a_public_code_stands_first_where_one_is_known_for_this_side(
    library: Library, finding: Finding, code: str | None
) -> None:
    codings = observation(library, finding)["code"]["coding"]
    assert [one["code"] for one in codings] == [*([code] if code else []), finding.procedure]


def test_blood_pressure_is_a_panel_of_two(library: Library) -> None:
    told = observation(library, Finding("bp_pulse", value=128, unit=Unit.MMHG, note=both_pressures("128", "81")))
    assert "valueQuantity" not in told
    assert [c["valueQuantity"]["value"] for c in told["component"]] == [128, 81]
    alone = observation(library, Finding("bp_pulse", value=128, unit=Unit.MMHG))
    assert alone["component"][1]["dataAbsentReason"]["coding"][0]["code"] == "not-performed"
    assert faults(told) == faults(alone) == []
