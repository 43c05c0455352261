"""The first minute of a newcomer: what to do is on the page, faults stand beside their field, no manual is opened."""

from __future__ import annotations

from typing import Any

from playwright.sync_api import expect


def test_a_newcomer_looks_round_in_the_example_and_examines_somebody_new(program: Any, bedside: Any) -> None:
    page = bedside.page
    opened: list[str] = []
    page.on("framenavigated", lambda frame: opened.append(frame.url))
    page.goto(program.address)
    expect(page.get_by_role("heading", name="Nobody is on record yet")).to_be_visible()
    bedside.shot("first-page-of-all")
    page.get_by_role("button", name="Open the invented example").tap()
    expect(page.locator("h1")).to_contain_text("invented")
    expect(page.locator("#findings [data-entry]").first).to_be_visible()

    page.get_by_role("link", name="People", exact=True).tap()
    expect(page.locator(".people")).to_contain_text("invented")
    page.get_by_role("link", name="New person").tap()
    page.get_by_label("Age").fill("a hundred and ten")
    page.get_by_role("button", name="Save and go to the safety screen").tap()
    label = page.get_by_label("Label")
    expect(label).to_be_focused()
    for field in (label, page.get_by_label("Age")):
        expect(field).to_have_attribute("aria-invalid", "true")
        beside = page.locator(f"#{field.get_attribute('aria-describedby')}")
        fault, box = beside.bounding_box(), field.bounding_box()
        assert fault is not None
        assert box is not None
        assert 0 <= fault["y"] - box["y"] - box["height"] < 24
    bedside.shot("faults-beside-their-fields")
    label.fill("My first")
    page.get_by_label("Age").fill("44")
    page.locator("label.choice:has(input[name=side][value=right])").tap()
    page.get_by_role("button", name="Save and go to the safety screen").tap()
    page.locator("#item0 fieldset.strong label.choice:has(input[value=no])").tap()
    page.get_by_role("button", name="Save the answers").tap()

    expect(page.locator("#findings")).to_contain_text("Nothing yet. The first test stands above.")
    bedside.shot("first-visit-of-all")
    for number in range(1, 5):
        page.locator("button[name=quick][value=normal]").tap()
        expect(page.locator("#findings [data-entry]")).to_have_count(number)
    page.locator("button[name=hurt][value='familiar 5']").first.tap()
    expect(page.locator("#findings [data-entry]")).to_have_count(5)
    page.get_by_role("link", name="To the note").tap()
    expect(page.locator(".note")).to_contain_text("not signed")
    assert not [address for address in opened if "shorthand" in address]
    assert [one for one in bedside.complaints if "422" not in one] == []
