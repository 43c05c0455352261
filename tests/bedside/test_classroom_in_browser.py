"""A classroom: a teacher and three learners on screens of their own, a whole case each, the page and the files."""

from __future__ import annotations

import csv
import json
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from endfeel import care
from endfeel.simulate import CaseWish, Danger, code_of
from endfeel.vocabulary import Irritability

PATHS = {
    "Wren": (["Where do you feel it?"], ["Posterior glide in the resting position"], "60"),
    "Teal": (["Tell me in your own words."], ["Posterior glide in the resting position"], "70"),
    "Osprey": (["Where do you feel it?", "How did it begin?"], [], "90"),
}
"""What each learner asks and does, and how sure he or she is of cuff-related pain."""


@pytest.fixture
def school(tmp_path: Path) -> Iterator[tuple[str, str, care.Desk]]:
    """The teacher's address, the learners', and the desk."""
    store = str(tmp_path / "records.sqlite")
    command = [sys.executable, "-m", "endfeel.cli.main", "serve", "--port", "0", "--store", store,
               "--class", "127.0.0.1", "--class-port", "0"]  # fmt: skip
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as program:
        assert program.stdout is not None
        said = [program.stdout.readline(), program.stdout.readline()]
        teacher, learners = (re.findall(r"http://[\d.:]+/", one)[0] for one in said)
        desk = care.open_desk(store)
        try:
            yield teacher, learners, desk
        finally:
            desk.engine.dispose()
            program.terminate()


def join(browser: Browser, address: str, join_code: str, name: str) -> Page:
    """A learner on a phone of his or her own."""
    context = browser.new_context(viewport={"width": 390, "height": 844}, has_touch=True)
    context.set_default_timeout(60_000)
    page = context.new_page()
    page.goto(address)
    page.get_by_label("Code of the class").fill(join_code.lower())
    page.get_by_label("or another").fill(name)
    page.get_by_role("button", name="Join", exact=True).click()
    expect(page.get_by_role("heading", name="Patients")).to_be_visible()
    return page


def whole_case(page: Page, asks: list[str], tests: list[str], percent: str) -> None:
    """The first patient from the first question to the looking back."""
    page.get_by_role("button", name="Call in patient 1").click()
    for words in asks:
        page.get_by_role("button", name=words).click()
        expect(page.locator("#record")).to_contain_text(words)
    if tests:
        page.locator("summary", has_text="Glenohumeral joint").click()
    for words in tests:
        page.get_by_role("button", name=f"Do: {words}").click()
        expect(page.locator("#record")).to_contain_text(words)
    page.get_by_text("Rank, decide, treat").click()
    page.get_by_label("Contributor 1", exact=True).select_option(label="cuff-related pain")
    page.get_by_label("How sure of contributor 1").fill(percent)
    page.locator("label.choice", has_text="nothing pressing").click()
    page.get_by_label("First treatment").select_option(label="advice and time")
    page.get_by_role("button", name="Close the case and look back").click()
    expect(page.get_by_role("heading", name="Looking back")).to_be_visible()
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")


def test_a_teacher_and_three_learners(
    browser: Browser, school: tuple[str, str, care.Desk], tmp_path: Path
) -> None:  # fmt: skip
    teacher_at, learners_at, desk = school
    code = code_of(CaseWish(21, irritability=Irritability.LOW, danger=Danger.NEVER), desk.library.release)
    context = browser.new_context(viewport={"width": 1280, "height": 800}, accept_downloads=True)
    context.set_default_timeout(60_000)
    teacher = context.new_page()
    teacher.goto(f"{teacher_at}classes")
    teacher.get_by_label("Name of the class").fill("Monday group")
    teacher.get_by_role("button", name="Make the class").click()
    teacher.get_by_label("Codes").fill(code)
    teacher.get_by_role("button", name="Assign these").click()
    expect(teacher.get_by_text("Nobody has joined yet.")).to_be_visible()
    join_code = teacher.locator(".join-code").inner_text()
    pages = {name: join(browser, learners_at, join_code, name) for name in PATHS}
    for name, page in pages.items():
        expect(teacher.get_by_role("columnheader", name=name)).to_be_visible()  # by itself, without a reload
        whole_case(page, *PATHS[name])
    group = teacher.locator("#group")
    expect(group.get_by_text("3 closed cases, 3 percentages")).to_be_visible()
    expect(group.locator("td", has_text="✓")).to_have_count(3)
    expect(group).to_contain_text("too few to say anything")
    for name in ("everything.json", "steps.csv"):
        with teacher.expect_download() as waited:
            teacher.get_by_role("link", name=name).click()
        waited.value.save_as(tmp_path / name)
    told = json.loads((tmp_path / "everything.json").read_text(encoding="utf-8"))
    assert {one["learner"]: one["said"] for one in told["percentages"]} == {"Wren": 0.6, "Teal": 0.7, "Osprey": 0.9}
    steps = list(csv.DictReader((tmp_path / "steps.csv").read_text(encoding="utf-8").splitlines()))
    for name, (asks, tests, _) in PATHS.items():
        assert [one["what"] for one in steps if one["learner"] == name] == [*asks, *tests]
    teacher.get_by_role("link", name=f"Talk over {code}").click()
    expect(teacher.get_by_role("heading", name="Paths on one clock")).to_be_visible()
    drawn = teacher.locator("svg.lanes[role=img]").get_attribute("aria-label") or ""
    assert [words in drawn for words in ("Cheapest good path", *PATHS)] == [True] * 4
    expect(teacher.get_by_role("row", name=re.compile("cuff-related pain"))).to_contain_text("60 %")
    for page in pages.values():
        page.context.close()
    context.close()
