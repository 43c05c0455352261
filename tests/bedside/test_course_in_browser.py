"""Two visits with outcome measures, answered by touch on a phone, and the course they make."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from endfeel import care
from endfeel.vocabulary import Complaint, Person, Side

ITEMS = 13


def answer_items(page: Page, value: int, items: int = ITEMS) -> None:
    """Touch one number of every item."""
    for item in range(1, items + 1):
        page.locator(f"label:has(input[name=item-{item}][value='{value}'])").click()


@pytest.mark.parametrize("bedside", ["phone"], indirect=True)
def test_two_visits_are_answered_and_followed(served: Any, bedside: Any) -> None:
    page: Page = bedside.page
    page.set_default_timeout(60_000)  # the first page after a start is a cold one
    now = served.desk.clock()
    then = replace(served.desk, clock=lambda: now - timedelta(weeks=6))
    person = care.new_person(then, "Invented, followed", Person(50, "female", Side.RIGHT), invented=True)
    episode = care.open_episode(then, person, Complaint(side=Side.RIGHT, weeks=10.0))
    first = care.open_visit(then, episode)

    page.goto(f"{served.address}visits/{first}/measures/spadi")
    answer_items(page, 6, 8)
    page.get_by_label("Day it was answered").fill(f"{then.clock().astimezone():%Y-%m-%d}")
    page.get_by_role("button", name="Keep").click()
    expect(page.locator("form .alarm")).to_contain_text("8 of 13 items answered")
    expect(page.locator("input[name=item-8][value='6']")).to_be_checked()
    answer_items(page, 6)
    page.get_by_role("button", name="Keep").click()
    expect(page.locator(".score")).to_have_text("60")

    second = care.open_visit(served.desk, episode)
    page.goto(f"{served.address}visits/{second}/measures")
    page.get_by_role("button", name="Pain at night: 3").click()
    page.get_by_role("link", name="SPADI, mean of the two subscale percentages visit 1: 60").click()
    answer_items(page, 2)
    page.get_by_role("button", name="Keep").click()
    expect(page.locator(".score").last).to_have_text("20")

    page.get_by_role("link", name="Course over the visits").click()
    line = page.locator(".followed", has_text="SPADI")
    expect(line.locator(".verdict")).to_contain_text("Better, and it matters")
    expect(line.locator(".verdict")).to_contain_text("60 → 20 points over 6 weeks")
    drawn = line.locator("svg").bounding_box()
    assert drawn is not None
    assert drawn["width"] <= 390
    assert line.locator("svg circle").count() == 3, "two values and the key"
    assert "verdict: better" in str(line.locator("svg desc").evaluate("one => one.textContent"))
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")
    refused = [one for one in bedside.complaints if "422" in one]
    assert bedside.complaints == refused, "the browser tells of nothing but the form that was refused"
    assert len(refused) == 1
