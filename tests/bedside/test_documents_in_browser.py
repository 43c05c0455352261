"""From the first visit to a signed letter and its addendum, on a tablet and a phone; nothing typed is lost."""

from __future__ import annotations

import io
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import expect
from pypdf import PdfReader


@pytest.mark.parametrize("bedside", ["tablet-portrait", "phone"], indirect=True)
def test_a_letter_is_written_signed_taken_along_and_added_to(served: Any, bedside: Any) -> None:
    page = bedside.page
    page.set_default_timeout(90_000)  # the first page after a start is a cold one
    visit = served.story("anterior_laxity.txt")
    page.goto(visit)
    page.get_by_role("link", name="Documents", exact=True).click()
    page.get_by_role("link", name="Referral letter").click()
    expect(page.locator(".paper")).to_contain_text("Urgency: routine")
    expect(page.locator(".paper")).to_contain_text("an opinion on repair")
    page.locator("#field-to").fill("Dr B. Example")
    page.get_by_role("button", name="Sign", exact=True).click()
    expect(page.locator("#said")).to_contain_text("Not signed")
    expect(page.locator("#fault-told")).to_be_visible()
    expect(page.locator("#field-to")).to_have_value("Dr B. Example")
    page.locator("#field-told").fill("That a letter goes out today.")
    page.get_by_text("Codes that may fit").click()
    page.locator("label", has_text="ICD-10 M25.3").click()
    page.get_by_role("button", name="Show it so").click()
    expect(page.locator(".paper")).to_contain_text("That a letter goes out today.")
    expect(page.locator(".paper")).to_contain_text("M25.3")
    bedside.shot("letter-draft")
    page.locator("#by").fill("A. Therapist")
    page.get_by_role("button", name="Sign", exact=True).click()
    expect(page.locator("#signed")).to_contain_text("It can no longer change")
    signed = page.locator(".paper").inner_text()
    with page.expect_download() as waiting:
        page.get_by_role("link", name="PDF").click()
    paper = Path(waiting.value.path()).read_bytes()
    words = "".join(one.extract_text() for one in PdfReader(io.BytesIO(paper)).pages)
    assert "That a letter goes out today." in " ".join(words.split())
    page.locator("#field-text").fill("They rang back.")
    page.locator("#by").fill("A. Therapist")
    page.get_by_role("button", name="Add", exact=True).click()
    expect(page.locator(".paper")).to_contain_text("They rang back.")
    assert all(line in page.locator(".paper").inner_text() for line in signed.splitlines())
    bedside.shot("letter-signed")
    for button in page.locator(".button:visible").all():
        box = button.bounding_box()
        assert box is not None
        assert box["height"] >= 44
    page.get_by_role("link", name="Documents of").click()
    expect(page.get_by_role("link", name="Referral letter to Dr B. Example")).to_contain_text("1 added")
    page.get_by_role("link", name="Referral letter", exact=False).first.click()
    page.locator("#field-to").fill("Dr B. Example")
    page.locator("#field-told").fill("Once more.")
    page.locator("#by").fill("A. Therapist")
    page.get_by_role("button", name="Sign", exact=True).click()
    expect(page.locator("#fault-by")).to_contain_text("was signed by A. Therapist")
    expect(page.locator("#field-told")).to_have_value("Once more.")
    assert [one for one in bedside.complaints if "status of 4" not in one] == []
