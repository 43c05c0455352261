"""Every page at three sizes: no violation of the accessibility rules, nothing cut off, targets a thumb can hit."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page

from endfeel import care
from endfeel.care import outcomes
from endfeel.safety import Urgency
from endfeel.simulate import CaseWish, Danger, code_of
from endfeel.teaching import ADVICE, Commitment, Named, Step
from endfeel.vocabulary import Complaint, Finding, Person, Result, Side
from endfeel.vocabulary.confirmed import ConfirmedOutcome, Reference
from endfeel.vocabulary.outcomes import Occasion, OutcomeAnswer

DRAWS = True
DRAWN = ("shoulder", "visit")
"""Pages opened with the shoulder drawn; the others hold the same element, and drawing it takes most of their time."""
COLOURS_ALONE = {"runOnly": ["color-contrast"], "resultTypes": ["violations"]}
"""The dark scheme changes colours and nothing else."""
LOADED = {"tablet-landscape": ("tablet-landscape", "tablet-portrait"), "phone": ("phone",)}
"""A tablet is turned while the page is open; what a phone folds away is folded when the page comes."""
LEAST_TARGET_PX = 44
LEAST_LETTERS = 80
"""On paper: a page of forms says at least where the papers are."""
PAGES = {
    "start": "{address}",
    "new-person": "{address}people/new",
    "shorthand": "{address}shorthand",
    "evidence": "{address}evidence?q=hawkins",
    "shoulder": "{address}shoulder",
    "pose": "{address}shoulder?pose=true&elevation=120",
    "visit": "{visit}",
    "glide": "{visit}?do=gh_post",
    "screen": "{visit}/screen",
    "why": "{visit}/why",
    "note": "{visit}/note",
    "documents": "{visit}/documents",
    "referral": "{visit}/documents/referral",
    "insurer": "{visit}/documents/insurer",
    "sheet": "{visit}/documents/handout",
    "treatment": "{visit}/treatment",
    "home": "{visit}/home",
    "body-chart": "{visit}/chart",
    "readings": "{visit}/readings",
    "voice": "{address}voice",
    "procedures": "{visit}/procedures?region=glenohumeral",
    "danger": "{danger}",
    "elements": "{address}elements",
    "without-connection": "{address}couch",
    "account": "{visit}/why?of=capsule_global&side=right",
    "left-out": "{visit}/left-out",
    "figure": "{address}evidence?q=kappa",
    "measures": "{followed}/measures",
    "measure": "{followed}/measures/spadi",
    "activities": "{followed}/measures/psfs",
    "blank-sheet": "{address}measures/spadi/sheet",
    "course": "{followed}/course",
    "agreement": "{address}agreement",
    "learn": "{address}learn",
    "learn-case": "{lesson}",
    "learn-back": "{looked_back}/feedback",
    "learn-progress": "{address}learn/progress",
    "classes": "{address}classes",
    "class": "{school}",
    "class-case": "{school}/cases/{code}",
    "join": "{address}join",
    "join-cases": "{address}join/{member}",
    "hand-over": "{person}/hand-over",
    "rights": "{person}/rights",
    "take-over": "{address}take-over",
    "caseload": "{address}caseload?now=yes",
    "outcomes": "{counted}/outcomes",
    "here": "{address}evidence/here",
    "local": "{counted_visit}/local",
}
_SMALL_TARGETS = """() => [...document.querySelectorAll(
    "button:not(.unseen), .choice > span, a.button, .chip, .choice-link, summary, input:not([type]), " +
    "input[type=range], select, main a")]
  .filter((one) => one.checkVisibility())
  .map((one) => ({what: one.outerHTML.slice(0, 80), box: one.getBoundingClientRect()}))
  .filter(({box}) => box.width > 0 && box.height < LEAST).map(({what}) => what)"""

_TARGETS = """[...document.querySelectorAll("main a, main button, main summary, main select, main textarea, " +
  "main input:not([type=hidden])")].filter((one) => one.checkVisibility() && !one.matches(".unseen, .unseen *"))"""
_COVERED = """() => {
  const stays = (one) => one && (/sticky|fixed/.test(getComputedStyle(one).position) || stays(one.parentElement));
  const targets = TARGETS.filter((one) => !stays(one)).map((one) => ({one, boxes: [...one.getClientRects()]}));
  const over = (x, y) => Math.min(x.right, y.right) - Math.max(x.left, y.left) > 1
    && Math.min(x.bottom, y.bottom) - Math.max(x.top, y.top) > 1;
  return targets.flatMap((a, at) => targets.slice(at + 1)
    .filter((b) => !a.one.contains(b.one) && !b.one.contains(a.one))
    .filter((b) => a.boxes.some((x) => b.boxes.some((y) => over(x, y))))
    .map((b) => `${a.one.outerHTML.slice(0, 90)} / ${b.one.outerHTML.slice(0, 90)}`));
}""".replace("TARGETS", _TARGETS)
"""Pairs of targets of which one lies over part of the other; bars that stay while the page moves are left out."""
_HIDDEN_FOCUS = """() => TARGETS.filter((one) => !one.disabled && one.tabIndex >= 0).filter((one) => {
  one.focus();
  const box = one.getBoundingClientRect();
  const inside = [[.5, .5], [.1, .1], [.9, .1], [.1, .9], [.9, .9]];
  return box.width > 1 && !inside.some(([x, y]) => {
    const top = document.elementFromPoint(box.left + x * box.width, box.top + y * box.height);
    return top && (one.contains(top) || top.contains(one) || top.closest("label")?.contains(one));
  });
}).map((one) => one.outerHTML.slice(0, 90))""".replace("TARGETS", _TARGETS)
"""What cannot be seen at all while it has the focus."""
_PRINTED = """() => ({ words: document.querySelector("main").innerText.trim().length,
  controls: [...document.querySelectorAll("button, input:not([type=hidden]), select, textarea")]
    .filter((one) => one.checkVisibility()).map((one) => one.outerHTML.slice(0, 90)) })"""


def lessons(served: Any) -> dict[str, str]:
    """An open lesson on a simulated patient, and one that is closed and looked back on."""
    told = {}
    steps = [Step("1", "ask", "where"), Step("2", "ask", "chart"), Step("3", "examine", "th_pa_central", "every"),
             Step("4", "examine", "gh_er_0"), Step("5", "examine", "gh_post")]  # fmt: skip
    for name in ("lesson", "looked_back"):
        lesson = care.open_lesson(served.desk, CaseWish(8, danger=Danger.ALWAYS), "Ana")
        for step in steps:
            care.take_step(served.desk, lesson, step)
        told[name] = f"{served.address}learn/{lesson}"
    stands_for = Commitment((Named("cuff_pain", 70), Named("capsule_global", 20)), Urgency.NONE, ADVICE)
    care.take_step(served.desk, lesson, Step("6", "commit", commitment=stands_for))
    care.look_back(served.desk, lesson)
    return told


def school(served: Any) -> dict[str, str]:
    """A class with a case closed by one learner, and that learner."""
    made = care.make_class(served.desk, "Monday group", "A. Teacher")
    (code,) = care.assign_cases(
        served.desk, made, [code_of(CaseWish(21, danger=Danger.NEVER), served.desk.library.release)]
    )
    join_code = care.view_class(served.desk, made).record.join_code
    member = care.join_class(served.desk, join_code, "Wren")
    lesson = care.open_class_case(served.desk, member, code)
    stands_for = Commitment((Named("cuff_pain", 70),), Urgency.NONE, ADVICE)
    for step in (
        Step("1", "ask", "where"),
        Step("2", "examine", "gh_post"),
        Step("3", "commit", commitment=stands_for),
    ):
        care.take_step(served.desk, lesson, step)
    return {"school": f"{served.address}classes/{made}", "code": code, "member": member}


def followed(served: Any) -> str:
    """The address of the second visit of an episode with outcome measures."""
    now = served.desk.clock()
    then = replace(served.desk, clock=lambda: now - timedelta(weeks=6))
    person = care.new_person(then, "Invented, followed", Person(50, "female", Side.RIGHT), invented=True)
    episode = care.open_episode(then, person, Complaint(side=Side.RIGHT, weeks=10.0))
    for desk, total in ((then, 60.0), (served.desk, 30.0)):
        visit = care.open_visit(desk, episode)
        day = desk.clock().astimezone().date()
        care.record_measure(desk, visit, OutcomeAnswer("spadi", day, total=total))
        care.record_measure(desk, visit, OutcomeAnswer("nprs", day, (total // 10,), occasion=Occasion.REST))
    return f"{served.address}visits/{visit}"


def counted(served: Any) -> dict[str, str]:
    """Six people who agreed to be counted, two visits each, and counts of another site; the addresses of the last one's
    episode, with an outcome, and visit."""
    now = served.desk.clock()
    then, day = replace(served.desk, clock=lambda: now - timedelta(weeks=4)), now.astimezone().date()
    for place in range(6):
        person = care.new_person(then, f"Invented, counted {place}", Person(50, "female", Side.RIGHT), invented=True)
        episode = care.open_episode(then, person, Complaint(side=Side.RIGHT, weeks=10.0))
        for desk, total in ((then, 60.0), (served.desk, 30.0)):
            visit = care.open_visit(desk, episode)
            care.record_measure(desk, visit, OutcomeAnswer("spadi", desk.clock().astimezone().date(), total=total))
        care.record_finding(served.desk, visit, Finding("neer", side=Side.RIGHT, result=Result.POSITIVE))
        care.record_consent(served.desk, person, "shared_counts", True, "a signed form", "A. T.")
        told = ConfirmedOutcome("cuff_pain", Side.RIGHT, place > 2, Reference.BLOCK, day, "two days free", "A. T.")
        outcomes.record_outcome(served.desk, episode, told)
    table = {"procedure": "neer", "outcome": "positive", "contributor": "cuff_pain", "reference": "block",
             "tp": 30, "fp": 12, "fn": 10, "tn": 20}  # fmt: skip
    sent = {"format": "endfeel local counts", "version": 1, "site": "grey-owl-2", "counted_until": "2026-03",
            "evidence_release": "another", "fewest": 5, "tables": [table]}  # fmt: skip
    outcomes.take_counts(served.desk, json.dumps(sent))
    return {"counted": f"{served.address}episodes/{episode}", "counted_visit": f"{served.address}visits/{visit}"}


@pytest.fixture(scope="session")
def addresses(served: Any) -> dict[str, str]:
    told = {
        "address": served.address,
        "visit": served.story("first_visit.txt"),
        "danger": served.story("danger_apical.txt"),
        "followed": followed(served),
        **counted(served),
        **lessons(served),
        **school(served),
    }
    about = care.view_visit(served.desk, told["visit"].rpartition("/")[2]).person_id
    told["person"] = f"{served.address}people/{about}"
    return {name: pattern.format(**told) for name, pattern in PAGES.items()}


def settled(page: Page, address: str) -> None:
    """Open a page, and wait for what comes after it where something does."""
    page.goto(address)
    if page.locator("[data-late], [data-drawn]").count():
        page.wait_for_load_state("networkidle")


@pytest.mark.parametrize("name", PAGES)
def test_no_page_breaks_the_accessibility_rules(addresses: dict[str, str], bedside: Any, name: str) -> None:
    if name not in DRAWN:
        bedside.leave_out_the_viewer()
    settled(bedside.page, addresses[name])
    for scheme in ("light", "dark"):
        bedside.page.emulate_media(color_scheme=scheme)
        assert bedside.page.evaluate("matchMedia('(prefers-color-scheme: dark)').matches") == (scheme == "dark")
        found = Axe().run(bedside.page, **({"options": COLOURS_ALONE} if scheme == "dark" else {}))
        assert found.response["passes"], "no rule was applied"
        assert found.violations_count == 0, found.generate_report()
    assert bedside.complaints == []


@pytest.mark.parametrize("bedside", LOADED, indirect=True)
def test_at_every_size_nothing_is_cut_off_and_targets_are_big_enough(addresses: dict[str, str], bedside: Any) -> None:
    page, sizes = bedside.page, LOADED[bedside.size]
    for name, address in sorted(addresses.items(), key=lambda one: one[0] not in DRAWN):
        if name not in DRAWN:
            bedside.leave_out_the_viewer()
        settled(page, address)
        for size in sizes:
            bedside.turn(size)
            bedside.shot(name)
            wide = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
            assert wide == 0, f"{name} is {wide} px wider than the screen"
            small = page.evaluate(_SMALL_TARGETS.replace("LEAST", str(LEAST_TARGET_PX - 0.5)))
            assert small == [], f"{name}: lower than {LEAST_TARGET_PX} px"
            assert page.evaluate(_COVERED) == [], f"{name}: one target lies over another"
            assert page.evaluate("document.getAnimations().length") == 0, f"{name} moves though less motion is wished"


@pytest.mark.parametrize("bedside", ["phone"], indirect=True)
def test_what_has_the_focus_is_seen_and_paper_holds_words_and_no_controls(
    addresses: dict[str, str], bedside: Any
) -> None:
    page = bedside.page
    bedside.leave_out_the_viewer()
    faults = {}
    for name, address in addresses.items():
        settled(page, address)
        hidden = page.evaluate(_HIDDEN_FOCUS)
        page.emulate_media(media="print")
        printed = page.evaluate(_PRINTED)
        if hidden or printed["words"] < LEAST_LETTERS or printed["controls"]:
            faults[name] = {"has the focus and is under something": hidden, **printed}
        page.emulate_media(media="screen")
    assert faults == {}
    page.goto(addresses["visit"])
    page.locator("details[data-fold]:not([open])").first.wait_for(state="attached")
    page.emulate_media(media="print")
    assert "frozen shoulder" in page.locator("main").inner_text(), "what a phone folds away is missing on paper"


def test_at_200_per_cent_zoom_the_visit_fits_the_tablet(addresses: dict[str, str], browser: Any) -> None:
    context = browser.new_context(viewport={"width": 640, "height": 400}, device_scale_factor=2)
    page = context.new_page()
    for name in ("visit", "glide", "screen", "note"):
        settled(page, addresses[name])
        assert page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth") == 0, name
    context.close()


def test_the_visit_can_be_worked_by_keyboard(addresses: dict[str, str], bedside: Any) -> None:
    page = bedside.page
    settled(page, addresses["glide"])
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.textContent") == "To the content"
    page.locator("input[name=mobility][value='']").focus()
    page.keyboard.press("ArrowRight")
    page.keyboard.press("ArrowRight")
    assert page.locator("input[name=mobility][value='1']").is_checked()
    outline = page.evaluate("getComputedStyle(document.activeElement.nextElementSibling).outlineStyle")
    assert outline == "solid"
    assert page.get_by_role("radio", name="right", exact=True).is_checked(), "a mark beside it is read out"


def test_the_note_prints_without_the_furniture(addresses: dict[str, str], bedside: Any) -> None:
    page = bedside.page
    page.goto(addresses["note"])
    page.emulate_media(media="print")
    assert page.locator(".note").is_visible()
    for hidden in (".top", "form", ".no-print"):
        assert not page.locator(hidden).first.is_visible(), hidden
