"""What a therapist has in hand stays: a danger in view, half-typed findings, half-answered screens, the way back."""

from __future__ import annotations

import re
from typing import Any

import pytest
from playwright.sync_api import expect

from endfeel import care


@pytest.mark.parametrize("bedside", ["phone"], indirect=True)
def test_on_a_phone_a_danger_noticed_from_a_line_comes_into_view(served: Any, bedside: Any) -> None:
    page, visit = bedside.page, served.story("first_visit.txt")
    care.set_screen(served.desk, visit.rsplit("/", 1)[1], {"trauma_recent": True})
    page.goto(visit)
    page.locator("#line").fill("R axillary sensory absent")
    page.locator("form.line").get_by_role("button", name="Save").tap()
    expect(page.locator("#said [role=alert]")).to_contain_text("Safety is now")
    strip = page.locator("#safety")
    expect(strip).to_be_focused()
    box = strip.bounding_box()
    assert box is not None
    assert 0 <= box["y"] < 844 / 2
    bedside.shot("danger-brought")


def test_what_is_pressed_and_typed_outlives_minutes_position_and_another_test(served: Any, bedside: Any) -> None:
    page, visit = bedside.page, served.story("first_visit.txt")
    page.goto(f"{visit}?do=gh_post&side=right")
    five = page.locator("form.record input[name=pain][value='5']")
    page.locator("form.record details.more > summary").tap()
    page.locator("form.record label.choice:has(input[name=pain][value='5'])").tap()
    page.locator("#line").fill("hawkins + p")
    page.locator("a.chip", has_text="30").tap()
    expect(page).to_have_url(re.compile("minutes=30.*do=gh_post"))
    expect(five).to_be_checked()
    expect(page.locator("#line")).to_have_value("hawkins + p")
    page.locator(".steps a.row").nth(1).tap()
    expect(page.locator("#now-title")).not_to_contain_text("Posterior glide")
    expect(page.locator("#said")).to_contain_text("waiting at its test: Posterior glide")
    expect(page.locator("#line")).to_have_value("hawkins + p")
    page.once("dialog", lambda one: one.accept())
    page.go_back()
    expect(page.locator("#now-title")).to_contain_text("Posterior glide")
    assert bedside.complaints == []


def test_the_way_back_from_a_chosen_test_leads_to_the_visit(served: Any, bedside: Any) -> None:
    page, visit = bedside.page, served.story("first_visit.txt")
    page.goto(visit)
    first = page.locator("#now-title").inner_text()
    page.get_by_text("Choose a test").tap()
    page.locator(".chooser .choice-link", has_text="Sternoclavicular").tap()
    chosen = page.locator("#found a").first
    name = chosen.inner_text().split(" · ")[0]
    chosen.tap()
    expect(page.locator("#now-title")).to_contain_text(name)
    expect(page).to_have_url(re.compile("minutes=20&do="))
    page.go_back()
    expect(page.locator("#now-title")).to_have_text(first)
    assert page.url.split("?")[0] == visit


def test_leaving_a_half_answered_screen_asks_first(served: Any, bedside: Any) -> None:
    page, visit = bedside.page, served.story("first_visit.txt")
    page.goto(f"{visit}/screen")
    asked: list[str] = []
    page.on("dialog", lambda one: (asked.append(one.type), one.accept()))
    page.locator("#item1 fieldset.strong label.choice:has(input[value=no])").tap()
    page.get_by_role("link", name=re.compile("Visit of")).tap()
    expect(page.locator("#visit")).to_be_visible()
    assert asked == ["beforeunload"]
    page.goto(f"{visit}/screen")
    page.locator("#item1 fieldset.strong label.choice:has(input[value=no])").tap()
    page.get_by_role("button", name="Save the answers").tap()
    expect(page.locator("#visit")).to_be_visible()
    assert asked == ["beforeunload"]


@pytest.mark.parametrize("bedside", ["phone"], indirect=True)
def test_on_a_phone_a_first_yes_that_is_not_specified_is_brought_into_view(served: Any, bedside: Any) -> None:
    page = bedside.page
    page.goto(f"{served.story('first_visit.txt')}/screen")
    card = page.locator("section.question", has=page.get_by_role("heading", name="Heart and great vessels"))
    card.locator("fieldset.strong label.choice:has(input[value=yes])").tap()
    page.get_by_role("button", name="Save the answers").tap()
    expect(page.locator("#said [role=alert]")).to_contain_text("not specified: Heart")
    expect(card).to_be_focused()
    box = card.bounding_box()
    assert box is not None
    assert 0 <= box["y"] < 844 / 2


@pytest.mark.parametrize("bedside", ["phone"], indirect=True)
def test_on_a_phone_what_is_secondary_is_folded_and_stays_as_it_was_put(served: Any, bedside: Any) -> None:
    page = bedside.page
    page.goto(served.story("first_visit.txt"))
    expect(page.locator("#beliefs")).to_be_hidden()
    page.get_by_role("heading", name="What may contribute").tap()
    expect(page.locator("#beliefs")).to_be_visible()
    page.locator("#line").fill("hawkins + p6 fam")
    page.locator("form.line").get_by_role("button", name="Save").tap()
    expect(page.locator("#said")).to_contain_text("Saved")
    expect(page.locator("#beliefs")).to_be_visible()
    expect(page.locator(".steps").first).to_be_hidden()


@pytest.mark.parametrize("bedside", ["phone"], indirect=True)
def test_signing_without_a_name_brings_the_fault_into_view(served: Any, bedside: Any) -> None:
    page = bedside.page
    page.goto(f"{served.story('first_visit.txt')}/note")
    page.get_by_role("button", name="Sign the note").tap()
    name = page.get_by_label("Your name")
    expect(name).to_be_focused()
    expect(name).to_be_in_viewport()
