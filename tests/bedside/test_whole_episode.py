"""An episode of six visits by touch, from the first finding to the signed discharge summary."""

from __future__ import annotations

import io
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page, expect
from pypdf import PdfReader

from endfeel import care
from endfeel.vocabulary import Complaint, Irritability, Person, Side

WEEKS_AGO = (12, 10, 8, 6, 3, 0)
ITEM = (7, 6, 5, 4, 2, 0)
"""The same number for each item of the disability index, visit by visit."""
DEGREES = (30, 36, 42, 48, 55, 62)
ITEMS = 13
REVIEWED = 4
"""At which visit the episode is reviewed."""


def record(page: Page, line: str, said: str) -> None:
    page.locator("#line").fill(line)
    page.locator("form.line").get_by_role("button", name="Save").tap()
    expect(page.locator("#said")).to_contain_text(f"Saved: {said}")


@pytest.mark.parametrize("bedside", ["tablet-portrait"], indirect=True)
def test_six_visits_from_the_first_finding_to_discharge(served: Any, bedside: Any) -> None:
    page: Page = bedside.page
    page.set_default_timeout(60_000)
    names = served.desk.library.catalogue
    now = served.desk.clock()
    then = replace(served.desk, clock=lambda: now - timedelta(weeks=WEEKS_AGO[0], minutes=5))
    person = care.new_person(then, "Invented, six visits", Person(52, "female", Side.RIGHT), invented=True)
    complaint = Complaint(side=Side.RIGHT, weeks=14.0, irritability=Irritability.LOW, areas=("lateral",))
    episode = care.open_episode(then, person, complaint)

    for number, (weeks, item, degrees) in enumerate(zip(WEEKS_AGO, ITEM, DEGREES, strict=True), 1):
        day = replace(served.desk, clock=lambda weeks=weeks: now - timedelta(weeks=weeks))
        visit = f"{served.address}visits/{care.open_visit(day, episode)}"
        page.goto(f"{visit}/screen")
        for question in page.locator("section.question").all():
            question.locator("fieldset.strong label.choice:has(input[value=no])").tap()
        page.get_by_role("button", name="Save the answers").tap()
        expect(page.locator("#urgency")).to_have_text("nothing raised")
        pain = max(0, 6 - number)
        record(page, f"gh er 0 {degrees} other 65 p{pain} fam firm capsular", names["gh_er_0"].name)
        record(page, f"gh inf glide {2 if number < 5 else 3} p{max(0, pain - 2)}", names["gh_inf"].name)

        page.goto(f"{visit}/measures/spadi")
        for one in range(1, ITEMS + 1):
            page.locator(f"label:has(input[name=item-{one}][value='{item}'])").tap()
        page.get_by_label("Day it was answered").fill(f"{day.clock().astimezone():%Y-%m-%d}")
        page.get_by_role("button", name="Keep").tap()
        expect(page.locator(".score").last).to_have_text(str(10 * item))

        if number == REVIEWED:
            page.goto(f"{served.address}episodes/{episode}/course")
            expect(page.locator(".rules .review").first).to_be_visible()
            page.get_by_role("button", name="Carry on").tap()
            expect(page.locator("#said")).to_contain_text("Review kept")
            expect(page.locator(".rules .review")).to_have_count(0)
        if number < len(WEEKS_AGO):
            page.goto(f"{visit}/treatment")
            page.get_by_role("button", name="Record as given").first.tap()
            expect(page.locator("#said")).to_contain_text("Recorded")
        page.goto(f"{visit}/note")
        page.get_by_label("Your name").fill("A. Therapist")
        page.get_by_role("button", name="Sign the note").tap()
        expect(page.locator("#signed")).to_contain_text("Signed by A. Therapist")

    page.goto(f"{served.address}episodes/{episode}/course")
    line = page.locator(".followed", has_text="SPADI")
    expect(line.locator(".verdict")).to_contain_text("Better, and it matters")
    expect(line.locator(".verdict")).to_contain_text("70 → 0 points over 12 weeks")
    expect(page.locator(".rules .discharge")).to_be_visible()
    bedside.shot("episode-course")

    page.goto(f"{visit}/documents/discharge")
    expect(page.locator("div.paper")).to_contain_text("70")
    expect(page.locator("div.paper")).to_contain_text("formal review: carry on")
    page.locator("#field-to").fill("Dr B. Example")
    page.locator("#field-closing").fill("Reached what was wanted.")
    page.locator("#by").fill("A. Therapist")
    page.get_by_role("button", name="Sign", exact=True).tap()
    expect(page.locator("#signed")).to_contain_text("It can no longer change")
    bedside.shot("episode-discharge")
    with page.expect_download() as waiting:
        page.get_by_role("link", name="PDF").tap()
    words = " ".join(one.extract_text() for one in PdfReader(io.BytesIO(Path(waiting.value.path()).read_bytes())).pages)
    assert "Dr B. Example" in words
    assert "A. Therapist" in words
    assert bedside.complaints == []
