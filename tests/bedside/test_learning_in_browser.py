"""A learner's case in the browser, by tapping: questions, tests, the commitment, the looking back; kept over a kill."""

from __future__ import annotations

from typing import Any

from playwright.sync_api import Browser, expect

from endfeel.simulate import CaseWish, Danger, code_of
from endfeel.vocabulary import Irritability


def test_after_a_step_the_page_stays_under_the_thumb_and_what_was_unfolded_stays_so(
    browser: Browser, served: Any, library: Any
) -> None:
    page = browser.new_page(viewport={"width": 390, "height": 844})
    page.set_default_timeout(60_000)
    code = code_of(CaseWish(21, irritability=Irritability.LOW, danger=Danger.NEVER), library.release)
    page.goto(f"{served.address}learn")
    page.locator("#field-code").fill(code)
    page.get_by_role("button", name="Call in", exact=True).click()
    page.locator("summary", has_text="Nerves and vessels").click()
    page.locator("summary", has_text="Active motion").click()
    press = page.get_by_role("button", name="Do: Pupils, lids, facial sweating")
    press.scroll_into_view_if_needed()
    press.hover()  # whatever has to be moved for the press is moved before it
    before = page.evaluate("window.scrollY")
    press.click()
    expect(page.locator("#record")).to_contain_text("Pupils, lids")
    page.wait_for_function("before => Math.abs(window.scrollY - before) < 2", arg=before)
    expect(page.get_by_role("button", name="Do: Hand behind back")).to_be_visible()
    page.get_by_role("link", name="Decide").click()
    expect(page.get_by_label("Contributor 1", exact=True)).to_be_in_viewport()
    page.close()


def test_a_case_from_code_to_looking_back_loses_nothing_when_the_program_dies(
    browser: Browser, program: Any, library: Any
) -> None:
    page = browser.new_page(viewport={"width": 390, "height": 844})
    page.set_default_timeout(60_000)  # the first page after a start is a cold one
    code = code_of(CaseWish(21, irritability=Irritability.LOW, danger=Danger.NEVER), library.release)
    page.goto(f"{program.address}learn")
    page.locator("#field-code").fill(code.lower())
    page.locator("#learner-by-code").fill("Ana")
    page.get_by_role("button", name="Call in", exact=True).click()
    page.get_by_role("button", name="Where do you feel it?").click()
    expect(page.locator("#record")).to_contain_text("Outer side of the shoulder")
    page.locator("summary", has_text="Glenohumeral joint").click()
    page.get_by_role("button", name="Do: Posterior glide in the resting position").click()
    expect(page.locator("#record")).to_contain_text("mobility")
    expect(page.locator(".clocked")).to_contain_text("1 turn")
    clock = page.locator(".clocked").inner_text()
    program.kill()
    page.get_by_role("button", name="How did it begin?").click()
    program.start()
    page.goto(page.url)
    assert page.locator(".clocked").inner_text() == clock
    assert "mobility" in page.locator("#record").inner_text()
    page.get_by_text("Rank, decide, treat").click()
    page.get_by_label("Contributor 1", exact=True).select_option(label="cuff-related pain")
    page.get_by_label("How sure of contributor 1").fill("80")
    page.locator("label.choice", has_text="nothing pressing").click()
    page.get_by_label("First treatment").select_option(label="advice and time")
    page.get_by_role("button", name="Close the case and look back").click()
    expect(page.get_by_role("heading", name="Looking back")).to_be_visible()
    expect(page.locator(".minute li")).to_have_count(6)
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")
    page.close()
