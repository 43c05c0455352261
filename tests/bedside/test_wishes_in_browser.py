"""What the therapist wants of the plan, by touch: not this one, do next, leave out, in any case, and as planned."""

from __future__ import annotations

import re
from typing import Any

from playwright.sync_api import Locator, Page, expect


def planned(page: Page) -> list[str]:
    """Names in the plan, in order; a test of several levels stands once."""
    rows = page.locator(".steps a.row > span:nth-child(2)").evaluate_all(
        "rows => rows.map(row => row.firstChild.textContent.trim())"
    )
    return list(dict.fromkeys(rows))


def unfold(page: Page) -> Locator:
    """The list in which the plan is arranged, open."""
    fold = page.locator("details[data-fold=arrange]")
    if fold.get_attribute("open") is None:
        fold.locator("summary").first.tap()
    expect(fold).to_have_attribute("open", "")
    return fold


def wish(page: Page, name: str, label: str) -> None:
    unfold(page).get_by_role("button", name=f"{name}: {label}", exact=True).tap()
    expect(page.locator("#said")).to_contain_text(name)


def tagged(page: Page, name: str) -> Locator:
    return unfold(page).locator("li", has_text=name).locator(".tag")


def test_the_therapist_arranges_the_plan_by_touch_and_it_stays_with_the_visit(served: Any, bedside: Any) -> None:
    page = bedside.page
    page.goto(served.story("acromioclavicular.txt"))
    expect(page.locator(".steps li").first).to_be_attached()
    usual = planned(page)

    proposed = usual[0]
    expect(page.locator("#now-title")).to_contain_text(proposed)
    page.get_by_role("button", name=f"{proposed}: Not this one", exact=True).tap()
    expect(page.locator("#said")).to_contain_text(f"{proposed} is left out of the plan.")
    expect(page.locator("#now-title")).not_to_contain_text(proposed)
    assert proposed not in planned(page)
    expect(tagged(page, proposed)).to_have_text("left out")

    last = planned(page)[-1]
    wish(page, last, "Do next")
    expect(page.locator("#said")).to_contain_text(f"{last} comes next.")
    expect(page.locator("#now-title")).to_contain_text(last)
    assert planned(page)[0] == last
    expect(tagged(page, last)).to_have_text("next")

    unwanted = planned(page)[3]
    wish(page, unwanted, "Leave out")
    expect(page.locator("#said")).to_contain_text(f"{unwanted} is left out of the plan.")
    assert unwanted not in planned(page)

    page.locator("#left-out > summary").tap()
    reason = page.locator("#left-out details.reason", has=page.locator("button[value=must]")).first
    reason.locator("summary").tap()
    label = reason.locator("button[value=must]").first.get_attribute("aria-label")
    assert label is not None
    wanted = label.removesuffix(": In any case")
    page.get_by_role("button", name=label, exact=True).tap()
    expect(page.locator("#said")).to_contain_text(f"{wanted} is asked for")
    expect(tagged(page, wanted)).to_have_text("in any case")
    said = page.locator("section[aria-labelledby=plan-title] > details > p.quiet").all_inner_texts()
    assert wanted in planned(page) or any(re.search("is not in the plan: ", one) for one in said)
    bedside.shot("visit-arranged")

    arranged = planned(page)
    page.reload()
    assert planned(page) == arranged
    for name in (proposed, last, unwanted, wanted):
        wish(page, name, "As planned")
        expect(page.locator("#said")).to_contain_text("is planned as the figures have it")
    expect(page.locator("button[value=none]")).to_have_count(0)
    assert planned(page) == usual
    assert bedside.complaints == []
