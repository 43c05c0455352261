"""Readings by paste or file: shown, changed, kept once; what could not be read stays in the field."""

from __future__ import annotations

import re

from starlette.testclient import TestClient

from endfeel import care
from endfeel.vocabulary import Treatment

TABLE = "Muscle;Side;Peak force (kgf);Pain\niso er;R;12,5;3\niso er;L;14,1;0\nwobble;R;12,0;\n"


def fields_of(html: str) -> dict[str, str]:
    """What a browser would send back: selects as chosen, hidden fields, the text."""
    given = dict(re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)"', html))
    for name, inside in re.findall(r'<select id="[^"]+" name="([^"]+)">(.*?)</select>', html, re.DOTALL):
        chosen = re.search(r'<option value="([^"]*)" selected', inside)
        given[name] = chosen[1] if chosen else ""
    text = re.search(r"<textarea[^>]*>\n(.*?)</textarea>", html, re.DOTALL)
    assert text is not None
    return {**given, "text": text[1].replace("&#34;", '"')}


def test_from_paste_to_findings_and_the_same_again_adds_nothing(
    client: TestClient, desk: care.Desk, visit_id: str
) -> None:
    address = f"/visits/{visit_id}/readings"
    page = client.post(address, data={"text": TABLE, "do": "read"})
    assert page.status_code == 200
    assert "iso_er right 122.6 N pain 3" in page.text
    assert "unknown word" in page.text.lower()
    assert care.view_visit(desk, visit_id).entries == ()
    kept = client.post(address, data=fields_of(page.text) | {"do": "keep"})
    assert "Kept: 2." in kept.text
    assert "Not read, still below: 1." in kept.text
    left = fields_of(kept.text)
    assert left["text"].splitlines() == ["Muscle;Side;Peak force (kgf);Pain", "wobble;R;12,0;"]
    found = [entry.finding for entry in care.view_visit(desk, visit_id).entries]
    assert [(one.side, one.value, one.instrument) for one in found if one] == [
        ("right", 122.6, "dynamometer"),
        ("left", 138.3, "dynamometer"),
    ]
    again = client.post(address, data={"text": TABLE, "do": "read"})
    assert again.text.count("kept before") >= 2
    twice = client.post(address, data=fields_of(again.text) | {"do": "keep"})
    assert "Nothing new to keep. Kept before: 2." in twice.text
    assert len(care.view_visit(desk, visit_id).entries) == 2
    named = client.post(address, data=left | {"name-0": "iso_abd", "do": "keep"})
    assert "Kept: 1." in named.text
    assert len(care.view_visit(desk, visit_id).entries) == 3


def test_columns_and_units_may_be_changed(client: TestClient, desk: care.Desk, visit_id: str) -> None:
    address = f"/visits/{visit_id}/readings"
    shown = client.post(address, data={"text": "a;b\n12;30\n13;31", "do": "read"}).text
    assert "no test is named" in shown.lower()
    given = fields_of(shown) | {
        "column-0": "leave",
        "column-1": "value",
        "unit": "lb",
        "procedure": "iso_er",
        "side": "left",
    }
    client.post(address, data=given | {"do": "keep"})
    found = [entry.finding for entry in care.view_visit(desk, visit_id).entries]
    assert [(one.procedure, one.side, one.value) for one in found if one] == [
        ("iso_er", "left", 133.4),
        ("iso_er", "left", 137.9),
    ]


def test_a_file_of_an_old_program_is_read(client: TestClient, desk: care.Desk, visit_id: str) -> None:
    content = "Movement\tAngle (°)\nact abd\t121,5\n".encode("utf-16")
    file = {"file": ("readings.txt", content, "text/plain")}
    page = client.post(f"/visits/{visit_id}/readings", data={"text": ""}, files=file)
    assert "act_abduction right 121.5 deg" in page.text


def test_after_treatment_the_same_numbers_are_a_re_test(client: TestClient, desk: care.Desk, visit_id: str) -> None:
    address, text = f"/visits/{visit_id}/readings", "test;force (N)\niso er;100"
    given = fields_of(client.post(address, data={"text": text}).text)
    client.post(address, data=given | {"do": "keep"})
    care.record_treatment(desk, visit_id, Treatment("posterior glide"))
    client.post(address, data=given | {"do": "keep", "retest": "yes"})
    client.post(address, data=given | {"do": "keep", "retest": "yes"})
    assert [entry.kind for entry in care.view_visit(desk, visit_id).entries] == ["finding", "treatment", "retest"]


def test_nothing_or_too_much_is_said_beside_the_field_and_a_signed_visit_is_closed(
    client: TestClient, desk: care.Desk, visit_id: str
) -> None:
    address = f"/visits/{visit_id}/readings"
    assert client.get(address).status_code == 200
    empty = client.post(address, data={"text": " "})
    assert empty.status_code == 422
    assert 'id="fault-text"' in empty.text
    hostile = client.post(address, data={"text": "test;value\n<script>alert(1)</script>;{{7*7}}"})
    assert "<script>alert" not in hostile.text
    care.sign_note(desk, visit_id, "A. Therapist")
    given = fields_of(client.post(address, data={"text": TABLE}).text)
    assert client.post(address, data=given | {"do": "keep"}).status_code == 409
