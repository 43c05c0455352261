"""Readings pasted in a browser: shown, put right, kept; at three sizes, with the accessibility rules."""

from __future__ import annotations

from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

from endfeel import care

TABLE = "Muscle;Side;Peak force (kgf);Pain\niso er;R;12,5;3\niso er;L;14,1;0\nwobble;R;12,0;\n"
SIZES = ("tablet-landscape", "tablet-portrait", "phone")
SMALL = """() => [...document.querySelectorAll(
    "button, .choice > span, a.button, .chip, .choice-link, summary, input:not([type]), select")]
  .filter((one) => one.checkVisibility())
  .map((one) => ({what: one.outerHTML.slice(0, 80), box: one.getBoundingClientRect()}))
  .filter(({box}) => box.width > 0 && box.height < 43.5).map(({what}) => what)"""


@pytest.mark.parametrize("bedside", SIZES, indirect=True)
def test_a_table_is_pasted_put_right_and_kept(served: Any, bedside: Any) -> None:
    address = served.story("first_visit.txt")
    visit_id = address.rpartition("/")[2]
    before = len(care.view_visit(served.desk, visit_id).entries)
    page = bedside.page
    page.goto(f"{address}/readings")
    bedside.shot("readings-empty")
    page.locator("#text").fill(TABLE)
    page.get_by_role("button", name="Read").tap()
    expect(page.locator(".rows > li")).to_have_count(3)
    expect(page.locator(".rows > li.wrong")).to_have_count(1)
    bedside.shot("readings-shown")
    page.locator("#name-0").select_option("iso_abd")
    page.get_by_role("button", name="Read again").tap()
    expect(page.locator(".rows > li.wrong")).to_have_count(0)
    page.get_by_role("button", name="Keep 3 readings").tap()
    expect(page.locator("#said")).to_contain_text("Kept: 3.")
    assert len(care.view_visit(served.desk, visit_id).entries) == before + 3
    assert bedside.complaints == []


def test_the_pages_of_instruments_keep_the_rules(served: Any, bedside: Any) -> None:
    address = served.story("first_visit.txt")
    page = bedside.page
    for name in ("phone", "chart", "readings"):
        page.goto(f"{address}/{name}")
        if name == "readings":
            page.locator("#text").fill(TABLE)
            page.get_by_role("button", name="Read").tap()
            expect(page.locator(".rows > li")).to_have_count(3)
        for size in SIZES:  # nothing on these pages is folded away for a phone
            bedside.turn(size)
            for scheme in ("light", "dark"):
                page.emulate_media(color_scheme=scheme)
                found = Axe().run(page)
                assert found.response["passes"], "no rule was applied"
                assert found.violations_count == 0, found.generate_report()
            bedside.shot(f"dark-{name}")
            wide = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
            assert wide == 0, f"{name} is {wide} px wider than the screen"
            assert page.evaluate(SMALL) == [], name
    assert bedside.complaints == []
