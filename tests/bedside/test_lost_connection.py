"""The connection goes, the program dies: what was found at the couch arrives all the same, once, in order."""

from __future__ import annotations

import time
from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import Page, expect
from sqlalchemy import select

from endfeel import care
from endfeel.assessment import read_case
from endfeel.records.tables import EntryRow

MANY = 100
NEW = "invented: yes\nage: 50\nsex: female\nside: right\nonset: gradual\nweeks: 12\nirritability: low\n"


@pytest.fixture
def desk(program: Any) -> Iterator[care.Desk]:
    opened = care.open_desk(program.store)
    yield opened
    opened.engine.dispose()


_WORKER_HAS_ITS_PARTS = """async () => {
  await navigator.serviceWorker.ready;
  while (!(await caches.match("/couch.json"))) await new Promise((done) => setTimeout(done, 50));
}"""


def kept(desk: care.Desk, visit_id: str) -> list[str]:
    """The notes of what is stored, in the order of recording."""
    with desk.transaction() as session:
        rows = session.scalars(select(EntryRow).where(EntryRow.visit_id == visit_id).order_by(EntryRow.sequence))
        return [row.note or "" for row in rows]


def waiting(page: Page) -> int:
    """How many entries lie in this browser's own store."""
    count: int = page.evaluate(
        """() => new Promise((done) => { const asked = indexedDB.open("endfeel-waiting", 1);
           asked.onsuccess = () => { const all = asked.result.transaction("entries").objectStore("entries").getAll();
             all.onsuccess = () => { asked.result.close(); done(all.result.length); }; }; })"""
    )
    return count


def left_behind(page: Page) -> str:
    """Everything this browser keeps for our address, as text: its stores, its caches."""
    told: str = page.evaluate(
        """async () => {
          const kept = [JSON.stringify(localStorage), JSON.stringify(sessionStorage)];
          for (const name of await caches.keys()) for (const one of await (await caches.open(name)).keys())
            kept.push(one.url, await (await caches.match(one)).text());
          return kept.join("\\n"); }"""
    )
    return told


def type_line(page: Page, line: str) -> None:
    page.locator("#line").fill(line)
    page.keyboard.press("Enter")


def test_a_hundred_findings_without_connection_arrive_once_and_in_order_though_the_program_is_killed(
    program: Any, desk: care.Desk, bedside: Any, capsys: Any
) -> None:
    visit = care.import_case(desk, read_case(NEW, "new.txt", desk.library), "Quillfeather")
    page = bedside.page
    page.goto(f"{program.address}visits/{visit}")
    page.evaluate(_WORKER_HAS_ITS_PARTS)
    type_line(page, "hawkins + p6 fam; number 0")
    expect(page.locator("#findings [data-entry]")).to_have_count(1)

    bedside.context.set_offline(True)
    for number in range(1, 6):
        type_line(page, f"gh post glide 2 p{number}; number {number}")
        expect(page.locator("#said")).to_contain_text(f"number {number}")
    expect(page.locator("#waiting")).to_contain_text("5 findings wait")
    expect(page.locator("#waiting")).to_contain_text("No connection to the program")
    bedside.shot("without-connection")
    program.kill()
    bedside.context.set_offline(False)
    page.once("dialog", lambda one: one.accept())
    page.reload()
    expect(page.locator("h1")).to_contain_text("without connection")
    assert "Quillfeather" not in page.content()
    expect(page.locator("#waiting")).to_contain_text("5 findings wait")
    bedside.shot("bare-page")

    page.locator(".chooser > summary").tap()
    page.locator(".chooser a", has_text="Glenohumeral joint").tap()
    page.locator("#found button", has_text="Posterior glide in the resting position").first.tap()
    page.locator("label.choice:has(input[name=side][value=right])").tap()
    page.locator("label.choice:has(input[name=mobility][value='2'])").tap()
    page.locator("form.record details.more > summary").tap()
    page.locator("form.record input[name=note]").fill("number 6")
    page.locator("button[name=hurt][value='familiar 4']").tap()
    expect(page.locator("#waiting")).to_contain_text("6 findings wait")
    type_line(page, "no such words at all; number 7")
    for number in range(8, MANY + 1):
        type_line(page, f"act flexion {60 + number}° p{number % 10}; number {number}")
        expect(page.locator("#waiting > p")).to_contain_text(f"{number} findings wait")
    assert waiting(page) == MANY

    program.start()
    while not MANY / 4 <= len(kept(desk, visit)) < MANY:
        time.sleep(0.002)
    program.kill()
    midway = len(kept(desk, visit))
    assert midway < MANY
    expect(page.locator("#waiting")).to_contain_text("No connection", timeout=20_000)
    program.start()
    expect(page.locator("#came-back")).to_contain_text("number 7", timeout=60_000)
    expect(page.locator("#came-back")).to_contain_text("no such words at all")
    expect(page.locator("#waiting")).to_be_hidden(timeout=60_000)
    with capsys.disabled():
        print(
            f"\n{MANY} recorded without connection; killed when {midway} had arrived; {len(kept(desk, visit))} stored"
        )
    wanted = [f"number {number}" for number in range(MANY + 1) if number != 7]
    assert kept(desk, visit) == wanted

    page.get_by_role("button", name="Put it right").tap()
    expect(page.locator("#line")).to_have_value("no such words at all; number 7")
    type_line(page, "gh inf glide 2; number 7")
    expect(page.locator("#findings [data-entry]")).to_have_count(MANY + 1, timeout=30_000)
    assert kept(desk, visit) == [*wanted, "number 7"]
    assert waiting(page) == 0
    left = left_behind(page)
    for trace in (visit, "Quillfeather", "number 6", "act flexion"):
        assert trace not in left


def test_taking_back_what_waits_and_what_may_have_arrived(served: Any, bedside: Any) -> None:
    desk, page, address = served.desk, bedside.page, served.newcomer()
    visit = address.rpartition("/")[2]
    page.goto(address)
    bedside.context.set_offline(True)
    type_line(page, "hawkins +; first")
    expect(page.locator("#waiting")).to_contain_text("1 finding waits")
    type_line(page, "neer +; second")
    expect(page.locator("#waiting")).to_contain_text("2 findings wait")
    with page.expect_event("requestfailed", lambda request: "/complete" in request.url):
        page.locator("#line").press_sequentially("haw")
    expect(page.locator("#said")).to_contain_text(
        "second"
    )  # an offer that cannot come takes no word from what was kept
    page.locator("#line").fill("")
    page.locator("#said").get_by_role("button", name="Undo this").tap()
    expect(page.locator("#waiting")).to_contain_text("1 finding waits")
    bedside.context.set_offline(False)
    expect(page.locator("#said")).to_contain_text("Connected again", timeout=20_000)
    expect(page.locator("#findings [data-entry]")).to_have_count(1)
    assert kept(desk, visit) == ["first"]
    assert waiting(page) == 0


def test_two_devices_on_one_visit_see_each_other_and_disturb_nothing(served: Any, bedside: Any, browser: Any) -> None:
    address = served.newcomer()
    mine, context = bedside.page, browser.new_context(viewport={"width": 390, "height": 844}, has_touch=True)
    other = context.new_page()
    mine.goto(f"{address}?do=gh_post&side=right")
    other.goto(address)
    mine.locator("label.choice:has(input[name=mobility][value='2'])").tap()
    mine.locator("#line").fill("half a li")
    type_line(other, "hawkins + p6 fam")
    expect(mine.locator("#said")).to_contain_text("From another device: ", timeout=10_000)
    expect(mine.locator("#findings [data-entry]")).to_have_count(1)
    expect(mine.locator("form.record input[name=mobility][value='2']")).to_be_checked()
    expect(mine.locator("#line")).to_have_value("half a li")
    mine.locator("#line").fill("")
    mine.locator("button[name=hurt][value='familiar 4']").tap()
    expect(mine.locator("#findings [data-entry]")).to_have_count(2)
    expect(other.locator("#findings [data-entry]")).to_have_count(2, timeout=10_000)

    # Undo takes back what this page showed last, not what the other recorded meanwhile.
    shown = other.locator("#undo")
    newest = other.locator("form:has(#undo) input[name=entry]").input_value()
    care.record_line(served.desk, address.rsplit("/", 1)[1], "neer +")
    shown.tap()
    expect(other.locator(f"#findings [data-entry='{newest}']")).to_have_count(0)
    expect(other.locator("#findings [data-entry]")).to_have_count(2)
    context.close()
