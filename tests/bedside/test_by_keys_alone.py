"""Without a pointer: a whole first visit by keyboard; findings by the two keys of a pedal or presenter."""

from __future__ import annotations

from typing import Any

from playwright.sync_api import Locator, Page, expect

MOST_STOPS = 150
IN_FOCUS = "one => one === document.activeElement"


def tab_to(page: Page, wanted: Locator, key: str = "Tab") -> None:
    """Press Tab until it is there; every stop on the way must show where it is."""
    for _ in range(MOST_STOPS):
        if wanted.evaluate(IN_FOCUS):
            return
        page.keyboard.press(key)
    raise AssertionError(f"{wanted} is not reached in {MOST_STOPS} stops")


def press_on(page: Page, wanted: Locator, key: str = "Enter") -> None:
    tab_to(page, wanted)
    page.keyboard.press(key)


def test_a_first_visit_by_keyboard_alone(served: Any, bedside: Any) -> None:
    page = bedside.page
    page.goto(served.address)
    press_on(page, page.get_by_role("link", name="New person"))
    tab_to(page, page.get_by_label("Label"))
    page.keyboard.type("By keys")
    tab_to(page, page.locator("input[name=side][value='']"))
    page.keyboard.press("ArrowRight")
    expect(page.locator("input[name=side][value=right]")).to_be_checked()
    press_on(page, page.get_by_role("button", name="Save and go to the safety screen"))
    expect(page.get_by_role("heading", name="Safety screen")).to_be_visible()
    tab_to(page, page.locator("#item0 fieldset.strong input:checked"))
    page.keyboard.press("ArrowRight")
    page.keyboard.press("ArrowRight")
    expect(page.locator("#item0 fieldset.strong input[value=no]")).to_be_checked()
    press_on(page, page.get_by_role("button", name="Save the answers"))
    expect(page.locator("#now-title")).to_be_visible()

    tab_to(page, page.locator("#line"))
    page.keyboard.type("gh post glide 2 firm p4 fam")
    page.keyboard.press("Enter")
    expect(page.locator("#findings [data-entry]")).to_have_count(1)
    expect(page.locator("#said")).to_contain_text("grade 2, slightly hypomobile")
    expect(page.locator("#line")).to_be_focused()

    page.goto(f"{page.url.split('?')[0]}?do=gh_inf&side=right")
    tab_to(page, page.locator("form.record input[name=mobility]").first)
    for _ in range(3):
        page.keyboard.press("ArrowRight")
    expect(page.locator("form.record input[name=mobility][value='2']")).to_be_checked()
    tab_to(page, page.locator("button[name=hurt][value='familiar 1']"))
    for _ in range(4):
        page.keyboard.press("ArrowRight")
    expect(page.locator("button[name=hurt][value='familiar 5']")).to_be_focused()
    page.keyboard.press("Enter")
    expect(page.locator("#findings [data-entry]")).to_have_count(2)
    expect(page.locator("#said")).to_contain_text("pain 5, familiar symptom")
    expect(page.locator("#now-title")).to_be_focused()

    press_on(page, page.locator("#undo"))
    expect(page.locator("#findings [data-entry]")).to_have_count(1)
    press_on(page, page.locator("#redo"))
    expect(page.locator("#findings [data-entry]")).to_have_count(2)
    press_on(page, page.get_by_role("link", name="To the note"))
    tab_to(page, page.locator("input[name=sure]"))
    page.keyboard.press("Space")
    tab_to(page, page.get_by_label("Your name"))
    page.keyboard.type("R. Example")
    page.keyboard.press("Enter")
    expect(page.locator("#signed")).to_contain_text("Signed by R. Example")
    press_on(page, page.locator("a.back"))
    expect(page.locator("#now")).to_have_count(0)
    assert bedside.complaints == []


def forward_to(page: Page, words: str, forward: str = "PageDown") -> None:
    """Point at the choice that says these words."""
    for _ in range(40):
        if words.lower() in page.locator("#pedal-says").inner_text().lower():
            return
        page.keyboard.press(forward)
    raise AssertionError(f"{words} is never pointed at")


def test_two_keys_of_a_pedal_record_point_and_take_back(served: Any, bedside: Any) -> None:
    page = bedside.page
    page.goto(f"{served.newcomer()}?do=gh_post&side=right")
    page.locator("#pedal").tap()
    expect(page.locator("#pedal")).to_have_attribute("aria-pressed", "true")
    expect(page.locator(".pointed")).to_have_count(1)
    expect(page.locator("#pedal-says")).to_have_text("Normal: grade 3, no pain")
    page.keyboard.press("PageUp")
    expect(page.locator("#findings [data-entry]")).to_have_count(1)

    forward_to(page, "Undo", "ArrowRight")
    page.keyboard.press("ArrowLeft")
    expect(page.locator("#findings [data-entry]")).to_have_count(0)

    page.goto(f"{page.url.split('?')[0]}?do=gh_inf&side=right")
    forward_to(page, "One by one")
    page.keyboard.press("PageUp")
    forward_to(page, "right")
    page.keyboard.press("PageUp")
    forward_to(page, "slightly hypomobile")
    page.keyboard.press("PageUp")
    expect(page.locator("form.record input[name=mobility][value='2']")).to_be_checked()
    forward_to(page, "not recorded")
    page.keyboard.press("PageUp")
    forward_to(page, "The familiar pain 4")
    page.keyboard.press("PageUp")
    expect(page.locator("#findings [data-entry]")).to_have_count(1)
    expect(page.locator("#findings [data-entry]")).to_contain_text("grade 2, slightly hypomobile, pain 4, familiar")

    page.locator("#line").focus()
    page.keyboard.type("hawkins +")
    page.keyboard.press("ArrowLeft")
    expect(page.locator("#line")).to_have_value("hawkins +")
    page.reload()
    expect(page.locator("#pedal")).to_have_attribute("aria-pressed", "true")
    assert bedside.complaints == []
