"""A press counts whatever arrives meanwhile: the reasons, the rest of the page, another device's findings."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Page, Route, expect

from endfeel import care

SAVED = "button[name=hurt][value='familiar 4']"
_WATCHED = """() => {
  window.told = [];
  const said = document.getElementById("said");
  new MutationObserver((all) => {
    const added = all.flatMap((one) => [...one.addedNodes]).map((one) => one.textContent);
    told.push(...added.filter((one) => one.includes("Saved")));
  }).observe(said, { childList: true, subtree: true });
}"""
_ARRIVED = """new Promise((done) => {
  const has = () => performance.getEntriesByType("resource").some((one) => one.name.endsWith("/arrivals"));
  const look = () => has() ? done() : requestAnimationFrame(look);
  look();
})"""
_ANOTHER = """document.querySelector("#visit").insertAdjacentHTML("beforeend",
  `<a id="to" data-front="now" href="${location.pathname}?do=gh_inf&side=right">another test</a>`)"""


class Held:
    """Answers to one kind of question that are kept back until they are let go."""

    def __init__(self, page: Page, address: str) -> None:
        self.routes: list[Route] = []
        page.route(address, lambda one: self.routes.append(one))
        self._page = page

    def wait(self) -> None:
        while not self.routes:
            self._page.evaluate("new Promise(requestAnimationFrame)")

    def let_go(self) -> None:
        for one in self.routes:
            one.continue_()
        self.routes.clear()


def entries(page: Page) -> Any:
    return page.locator("#findings [data-entry]")


def stored(served: Any, address: str) -> int:
    return len(care.view_visit(served.desk, address.rpartition("/")[2]).entries)


def by_tap(page: Page) -> None:
    page.locator("#said").get_by_role("button", name="Undo this").tap()


def by_button(page: Page) -> None:
    page.locator("#undo").tap()


@pytest.mark.parametrize("undo", [by_tap, by_button])
def test_undo_while_the_reasons_are_on_their_way(served: Any, bedside: Any, undo: Callable[[Page], None]) -> None:
    page, address = bedside.page, served.newcomer()
    page.goto(f"{address}?do=hawkins&side=right")
    expect(page.locator("#why[aria-busy]")).to_have_count(0)
    before = page.locator("#why").inner_text()
    reasons = Held(page, "**/why?*")
    page.locator(SAVED).tap()
    reasons.wait()
    expect(page.locator("#reasons .renewing")).to_be_visible()  # what stands there says that it is not of now
    assert page.locator("#why").inner_text() == before
    undo(page)
    reasons.let_go()
    expect(page.locator("#said")).to_contain_text("Taken back")
    expect(entries(page)).to_have_count(0)
    assert stored(served, address) == 0
    page.unroute_all()
    expect(page.locator("#undo")).to_be_disabled()
    assert bedside.complaints == []


def test_undo_while_the_rest_of_the_page_is_on_its_way(served: Any, bedside: Any) -> None:
    """The first answer is there and the second is not: undo takes back what was just saved, not what was before it; the
    second, when it comes late, does not bring it back to the page."""
    page, address = bedside.page, served.newcomer()
    care.record_line(served.desk, address.rpartition("/")[2], "neer +")
    page.goto(f"{address}?do=hawkins&side=right")
    whole = Held(page, "**/visits/*?minutes=*&saved=*")
    first: list[str] = []

    def only_the_first(route: Route) -> None:
        answer = route.fetch()
        line = answer.text().partition("\n")[0]
        if not first:
            first.append(line)
            route.fulfill(response=answer, body=line + "\n")
        else:
            route.fulfill(response=answer)

    page.route("**/arrivals", only_the_first)
    page.locator(SAVED).tap()
    whole.wait()
    assert json.loads(first[0])["saved"]
    assert stored(served, address) == 2
    page.locator("#undo").tap()
    whole.let_go()
    expect(page.locator("#said")).to_contain_text("Taken back")
    expect(entries(page)).to_have_count(1)
    expect(entries(page)).to_contain_text("neer")
    page.wait_for_load_state("networkidle")
    expect(entries(page)).to_have_count(1)
    assert stored(served, address) == 1
    assert bedside.complaints == []


def test_nothing_is_put_in_while_a_finger_is_down(served: Any, bedside: Any) -> None:
    page, address = bedside.page, served.newcomer()
    care.record_line(served.desk, address.rpartition("/")[2], "neer +")
    page.goto(f"{address}?do=hawkins&side=right")
    expect(page.locator("#why[aria-busy]")).to_have_count(0)
    undo = page.locator("#undo")
    undo.hover()
    page.evaluate("document.querySelector(\"button[name=hurt][value='familiar 4']\").click()")
    page.mouse.down()
    place = undo.bounding_box()
    page.evaluate(_ARRIVED)
    assert undo.bounding_box() == place
    assert entries(page).count() == 1
    page.mouse.up()
    expect(page.locator("#said")).to_contain_text("Taken back")
    assert stored(served, address) == 1
    expect(entries(page)).to_have_count(1)


def test_a_finger_that_lies_on_the_screen_holds_nothing_up_for_long(served: Any, bedside: Any) -> None:
    page, address = bedside.page, served.newcomer()
    page.goto(f"{address}?do=hawkins&side=right")
    page.mouse.move(5, 5)
    page.mouse.down()
    page.evaluate("document.querySelector(\"button[name=hurt][value='familiar 4']\").click()")
    expect(entries(page)).to_have_count(1)
    page.mouse.up()


def test_focus_words_and_pressed_choices_stay_while_a_finding_arrives(served: Any, bedside: Any) -> None:
    page, address = bedside.page, served.newcomer()
    page.goto(f"{address}?do=gh_post&side=right")
    page.locator("label.choice:has(input[name=mobility][value='2'])").tap()
    page.locator("#line").fill("half a line")
    page.locator("#line").evaluate("one => one.setSelectionRange(4, 4)")
    page.evaluate("window.line = document.getElementById('line'); window.form = document.getElementById('record')")
    care.record_line(served.desk, address.rpartition("/")[2], "neer +")
    expect(entries(page)).to_have_count(1)
    assert page.evaluate("line === document.activeElement && line.selectionStart === 4 && line.value === 'half a line'")
    assert page.evaluate("form === document.getElementById('record')")
    expect(page.locator("input[name=mobility][value='2']")).to_be_checked()


def test_by_keys_the_focus_stays_on_undo_and_each_thing_is_said_once(served: Any, bedside: Any) -> None:
    page, address = bedside.page, served.newcomer()
    visit = address.rpartition("/")[2]
    for line in ("neer +", "iso er 4/5"):
        care.record_line(served.desk, visit, line)
    page.goto(f"{address}?do=hawkins&side=right")
    page.evaluate(_WATCHED)
    page.locator(SAVED).focus()
    page.keyboard.press("Enter")
    expect(entries(page)).to_have_count(3)
    assert page.evaluate("document.activeElement.id") == "now-title"
    expect(page.locator("#why[aria-busy]")).to_have_count(0)
    assert len(page.evaluate("told")) == 1
    page.locator("#undo").focus()
    page.keyboard.press("Enter")
    expect(entries(page)).to_have_count(2)
    assert page.evaluate("document.activeElement.id") == "undo"
    page.keyboard.press("Enter")
    expect(entries(page)).to_have_count(1)
    assert page.evaluate("document.activeElement.id") == "undo"
    assert stored(served, address) == 1


def test_nothing_that_was_pressed_for_one_test_is_taken_for_the_next(served: Any, bedside: Any) -> None:
    """The form of another test is put in anew, though its controls look the same."""
    page, address = bedside.page, served.newcomer()
    page.goto(f"{address}?do=gh_post&side=right")
    page.locator("label.choice:has(input[name=mobility][value='2'])").tap()
    page.evaluate(_ANOTHER)
    page.locator("#to").click()
    expect(page.locator("form.record [name=procedure]")).to_have_value("gh_inf")
    expect(page.locator("input[name=mobility][value='2']")).not_to_be_checked()
    expect(page.locator("#said")).to_contain_text("Not saved yet, and waiting at its test")
    page.go_back()
    expect(page.locator("form.record [name=procedure]")).to_have_value("gh_post")
    expect(page.locator("input[name=mobility][value='2']")).to_be_checked()
