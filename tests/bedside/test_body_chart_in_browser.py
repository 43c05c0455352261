"""The body chart by finger: going round an area, along a line, a spot; sent again when the program did not answer."""

from __future__ import annotations

from typing import Any

import pytest
from playwright.sync_api import Page, expect

from endfeel import care

SIZES = ("tablet-landscape", "tablet-portrait", "phone")


def finger(page: Page, view: str, *points: tuple[float, float]) -> None:
    """A finger along points of the figure's own paper."""
    places = page.evaluate(
        """([view, points]) => {
            const svg = document.querySelector(`svg.figure[data-view=${view}]`);
            svg.scrollIntoView({block: "center"});
            const there = svg.getScreenCTM();
            return points.map(([x, y]) => { const p = new DOMPoint(x, y).matrixTransform(there); return [p.x, p.y]; });
        }""",
        [view, [list(one) for one in points]],
    )
    page.mouse.move(*places[0])
    page.mouse.down()
    for place in places[1:]:
        page.mouse.move(*place, steps=4)
    page.mouse.up()


def choose(page: Page, name: str, value: str) -> None:
    page.locator("label.choice", has=page.locator(f"[name={name}][value='{value}']")).tap()


ROUND = ((28.0, 42.0), (33.0, 38.0), (37.0, 44.0), (33.0, 50.0), (28.0, 47.0), (28.0, 42.0))


def visit_of(served: Any, name: str = "first_visit.txt") -> tuple[str, str]:
    address = served.story(name)
    return address, address.rpartition("/")[2]


@pytest.mark.parametrize("bedside", SIZES, indirect=True)
def test_it_is_drawn_by_finger_measured_and_proposed(served: Any, bedside: Any) -> None:
    address, visit_id = visit_of(served)
    page = bedside.page
    page.goto(f"{address}/chart")
    bedside.shot("chart-empty")
    choose(page, "quality", "aching")
    choose(page, "depth", "deep")
    choose(page, "intensity", "6")
    finger(page, "front", *ROUND)
    expect(page.locator(".chart-areas li")).to_have_count(1)
    choose(page, "quality", "tingling")
    if bedside.size == "phone":
        page.get_by_role("button", name="right side", exact=True).tap()
    finger(page, "right", (49.0, 45.0), (49.0, 60.0), (49.0, 75.0))
    expect(page.locator(".chart-areas li")).to_have_count(2)
    expect(page.locator(".chart-areas li").nth(0)).to_contain_text("aching, deep, 6 of 10")
    expect(page.locator(".chart-areas li").nth(1)).to_contain_text("tingling")
    bedside.shot("chart-drawn")
    wide = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
    assert wide == 0
    kept = [one.area for one in care.view_chart(served.desk, visit_id).areas]
    assert [str(one.view) for one in kept] == ["front", "right"]
    assert kept[0].path[0] == pytest.approx((28.0, 42.0), abs=0.5)
    assert page.locator("[name=areas]:checked").count() == 0, "nothing is ticked for the therapist"
    choose(page, "areas", "front")
    page.get_by_role("button", name="Put into the story").tap()
    expect(page.locator("#said")).to_contain_text("story")
    told = care.view_visit(served.desk, visit_id).assessment.case.complaint.areas
    assert set(told) == {"lateral", "deep", "interscapular", "front"}
    assert bedside.complaints == []


def test_the_line_waits_when_the_program_does_not_answer_and_is_kept_once(served: Any, bedside: Any) -> None:
    address, visit_id = visit_of(served)
    page = bedside.page
    page.goto(f"{address}/chart")
    lost = {"left": 1}

    def half(route: Any) -> None:
        """The first time the request arrives and its answer is lost."""
        if lost["left"]:
            lost["left"] = 0
            route.fetch()
            route.abort()
        else:
            route.continue_()

    page.route("**/chart/areas", half)
    finger(page, "back", (60.0, 45.0), (66.0, 50.0), (60.0, 56.0), (58.0, 48.0))
    expect(page.locator("#said")).to_contain_text("No answer")
    page.get_by_role("button", name="Send again").tap()
    expect(page.locator(".chart-areas li")).to_have_count(1)
    assert len(care.view_chart(served.desk, visit_id).areas) == 1
    page.locator("#chart-undo").tap()
    expect(page.locator(".chart-areas li")).to_have_count(0)
    assert care.view_chart(served.desk, visit_id).areas == ()


def test_by_keyboard_a_region_is_named(served: Any, bedside: Any) -> None:
    address, visit_id = visit_of(served)
    page = bedside.page
    page.goto(f"{address}/chart")
    page.locator("#draw summary").focus()
    page.keyboard.press("Enter")
    page.locator("#region").select_option("back:scapula:right")
    page.locator("#draw .button").press("Enter")
    expect(page.locator(".chart-areas li")).to_contain_text("right shoulder blade")
    assert len(care.view_chart(served.desk, visit_id).areas) == 1
