"""At the couch: a technique recorded with one tap, the sign done again, the sheet for home, on a phone and a tablet."""

from __future__ import annotations

from typing import Any

import pytest
from playwright.sync_api import expect


@pytest.mark.parametrize("bedside", ["phone", "tablet-landscape"], indirect=True)
def test_one_tap_records_the_technique_and_the_sign_is_done_again_in_place(served: Any, bedside: Any) -> None:
    page = bedside.page
    page.set_default_timeout(60_000)  # the first page after a start is a cold one
    page.goto(served.story("first_visit.txt") + "/treatment")
    page.get_by_role("button", name="side-lying").click()
    expect(page.locator(".chip[aria-current]", has_text="side-lying")).to_be_visible()
    first = page.locator(".technique").first
    name = first.locator("h3").inner_text()
    assert "Posterior glide" in name
    first.get_by_role("button", name="Record as given").click()
    expect(page.locator("#said")).to_contain_text(f"Recorded: {name}")
    lines = page.locator("#lines li").count()
    again = page.locator("form.retest").first
    for field in again.locator("input:not([type=hidden])").all():
        assert field.input_value() == ""
    sign = again.locator("b").first.inner_text()
    again.locator("input[name=pain]").fill("1")
    again.get_by_role("button", name="Keep").click()
    expect(page.locator("#lines li")).to_have_count(lines + 1)
    expect(page.locator("#lines")).to_contain_text(sign)
    expect(page.locator("#lines li").last).to_contain_text("pain")
    page.get_by_role("link", name="Home programme").click()
    pictures = page.locator(".sheet img")
    expect(pictures.nth(1)).to_be_attached()
    assert pictures.count() >= 2
    for picture in pictures.all():
        # an image asked for on a busy machine arrives after the page; an image that cannot be drawn never does
        page.wait_for_function("image => image.complete && image.naturalWidth > 100", arg=picture.element_handle())
    with page.expect_download() as waiting:
        page.get_by_role("link", name="PDF").click()
    assert waiting.value.suggested_filename == "home-programme.pdf"
    assert bedside.complaints == []
