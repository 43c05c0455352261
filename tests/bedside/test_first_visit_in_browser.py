"""A whole first visit in a real browser, by touch and by typed line; danger; undo; no connection."""

from __future__ import annotations

import re
from io import BytesIO
from pathlib import Path
from typing import Any

from playwright.sync_api import Page, expect
from pypdf import PdfReader

DRAWS = True
TOUCHED = [
    ("gh_er_0", {"end_feel": "early_capsular", "pain": "5", "familiar": "yes"}, {"value": "35", "other": "65"}),
    ("gh_ir_90", {"end_feel": "early_capsular", "pain": "4", "familiar": "yes"}, {"value": "25", "other": "60"}),
    ("gh_post", {"mobility": "2", "end_feel": "firm_capsular", "pain": "4", "familiar": "yes"}, {}),
    ("gh_inf", {"mobility": "2", "end_feel": "firm_capsular", "pain": "3"}, {}),
]
TYPED = {
    "act abd 100 other 170 p6 p@80 fam": "act_abduction",
    "T5 central pa 1 firm p4": "th_pa_central",
    "ac ant glide 3 p0": "ac_ant",
    "ER lag neg": "er_lag",
    "iso er 5/5 p2": "iso_er",
}


def record_by_touch(page: Page, procedure: str, pressed: dict[str, str], written: dict[str, str]) -> None:
    """Choose a test, press what was felt, save."""
    page.goto(f"{page.url.split('?')[0].split('#')[0]}?do={procedure}")
    form = page.locator("form.record")
    one_by_one(page)
    for name, value in pressed.items():
        form.locator(f"label.choice:has(input[name={name}][value='{value}'])").tap()
        expect(form.locator(f"input[name={name}][value='{value}']")).to_be_checked()
    for name, value in written.items():
        form.locator(f"input[name={name}]").fill(value)
    form.get_by_role("button", name="Save").tap()
    expect(page.locator("#said")).to_contain_text("Saved")


def one_by_one(page: Page) -> None:
    """Opens what a press on pain says in one, where a form has it."""
    page.locator("form.record details.more > summary").tap()


def record_by_line(page: Page, line: str, name: str) -> None:
    page.locator("#line").fill(line)
    page.locator("form.line").get_by_role("button", name="Save").tap()
    expect(page.locator("#said")).to_contain_text(f"Saved: {name}")


def leaders(page: Page) -> list[str]:
    return page.locator("#beliefs .belief-head").all_inner_texts()


def test_a_whole_first_visit_from_new_person_to_signed_note(served: Any, bedside: Any) -> None:
    page = bedside.page
    page.goto(served.address)
    page.get_by_role("link", name="New person").tap()
    page.get_by_label("Label").fill("Person of the bedside test")
    page.get_by_label("Age").fill("54")
    for name, value in (("sex", "female"), ("dominant", "right"), ("side", "right"), ("onset", "gradual"),
                        ("irritability", "moderate"), ("areas", "lateral"), ("areas", "deep")):  # fmt: skip
        page.locator(f"label.choice:has(input[name={name}][value='{value}'])").tap()
    page.get_by_label("For how long").fill("16")
    page.get_by_label("Story").fill("Reaching overhead and lying on it hurt; eases within the hour.")
    page.get_by_role("button", name="Save and go to the safety screen").tap()

    expect(page.get_by_role("heading", name="Safety screen")).to_be_visible()
    expect(page.get_by_role("button", name="Save the answers")).to_be_visible()  # the end of the page has arrived
    for question in page.locator("section.question").all():
        question.locator("fieldset.strong label.choice:has(input[value=no])").tap()
    page.get_by_role("button", name="Save the answers").tap()
    expect(page.locator("#urgency")).to_have_text("nothing raised")
    expect(page.get_by_role("link", name="Screen: 0 unanswered")).to_be_visible()
    expect(page.locator(".steps li").first).to_be_visible()
    bedside.shot("visit-before-hands")

    before, planned = leaders(page), page.locator(".steps").all_inner_texts()
    for procedure, pressed, written in TOUCHED:
        record_by_touch(page, procedure, pressed, written)
    middle = leaders(page)
    assert middle != before
    for line, procedure in TYPED.items():
        record_by_line(page, line, served.desk.library.catalogue[procedure].name)
    assert leaders(page) != middle
    assert page.locator(".steps").all_inner_texts() != planned
    expect(page.locator("#findings .found li")).to_have_count(len(TOUCHED) + len(TYPED))
    expect(page.locator("#why .why").first).to_be_visible()
    bedside.shot("visit-after-hands")

    page.get_by_label("What was tried").fill("Posterior glide in side-lying")
    page.get_by_label("Dose").fill("grade III, 3 x 60 s")
    page.get_by_role("button", name="Save the treatment").tap()
    again = page.locator(".again a", has_text="Passive lateral rotation at the side")
    again.tap()
    expect(page.locator("#now")).to_contain_text("Before treatment")
    page.locator("form.record input[name=value]").fill("43")
    one_by_one(page)
    page.locator("form.record label.choice:has(input[name=pain][value='1'])").tap()
    page.get_by_role("button", name="Save the re-test").tap()
    expect(page.locator("#changes")).to_contain_text("35° → 43°")
    expect(page.locator("#changes")).to_contain_text("within measurement error")

    page.get_by_role("link", name="To the note").tap()
    expect(page.locator(".note")).to_contain_text("not signed")
    page.get_by_label("Your name").fill("R. Example")
    page.get_by_role("button", name="Sign the note").tap()
    expect(page.locator("#signed")).to_contain_text("Signed by R. Example")
    bedside.shot("note-signed")
    with page.expect_download() as download:
        page.get_by_role("link", name="PDF").tap()
    content = Path(download.value.path()).read_bytes()
    assert content.startswith(b"%PDF")
    text = " ".join(found.extract_text() for found in PdfReader(BytesIO(content)).pages)
    assert "R. Example" in text
    assert "Posterior glide in side-lying" in text
    assert bedside.complaints == []


def test_a_danger_that_is_answered_turns_the_page_round(served: Any, bedside: Any) -> None:
    page = bedside.page
    visit = served.story("first_visit.txt")
    page.goto(visit)
    expect(page.locator(".steps li").first).to_be_visible()
    page.get_by_role("link", name=re.compile("^Screen:")).tap()
    heart = page.locator("section.question", has=page.get_by_role("heading", name="Heart and great vessels"))
    heart.locator("fieldset.strong label.choice:has(input[value=yes])").tap()
    for behind in heart.locator(".behind fieldset").all():
        behind.locator("label.choice:has(input[value=yes])").tap()
    page.get_by_role("button", name="Save the answers").tap()
    strip = page.locator("section.safety")
    expect(strip).to_have_class(re.compile("pressing"))
    expect(page.get_by_role("heading", name="Plan stopped")).to_be_visible()
    expect(page.locator(".steps")).to_have_count(0)
    expect(page.get_by_role("button", name="Save the treatment")).to_have_count(0)
    top, contributors = strip.bounding_box(), page.locator("#beliefs").bounding_box()
    assert top is not None
    assert contributors is not None
    assert top["y"] < contributors["y"]
    bedside.shot("visit-danger")

    page.get_by_text("Go on all the same").tap()
    page.get_by_label("Reason").fill("no")
    page.locator("form", has=page.get_by_label("Reason")).get_by_label("Your name").fill("R. Example")
    page.get_by_role("button", name="Override").tap()
    expect(page.locator("#said")).to_contain_text("needs a name and a reason")
    page.get_by_label("Reason").fill("Seen in the emergency room this morning and sent back with a clean record")
    page.get_by_role("button", name="Override").tap()
    expect(page.locator("#said")).to_contain_text("Overridden")
    expect(page.locator(".steps li").first).to_be_visible()
    refused = [one for one in bedside.complaints if "409" not in one]
    assert refused == []


def test_undo_correct_and_a_line_that_cannot_be_read(served: Any, bedside: Any) -> None:
    page = bedside.page
    page.goto(served.story("first_visit.txt"))
    count = page.locator("#findings .found li").count()
    record_by_line(page, "hawkins + p6 fam", served.desk.library.catalogue["hawkins"].name)
    expect(page.locator("#findings .found li")).to_have_count(count + 1)
    page.locator("#said").get_by_role("button", name="Undo this").tap()
    expect(page.locator("#findings .found li")).to_have_count(count)
    page.locator("#redo").tap()
    expect(page.locator("#findings .found li")).to_have_count(count + 1)
    page.locator("#undo").tap()
    expect(page.locator("#findings .found li")).to_have_count(count)
    page.locator("#redo").tap()
    expect(page.locator("#findings .found li")).to_have_count(count + 1)

    page.locator("#line").fill("hawkns + p6")
    page.locator("form.line").get_by_role("button", name="Save").tap()
    expect(page.locator("#fault-line")).to_contain_text("unknown word")
    expect(page.locator("#line")).to_have_value("hawkns + p6")
    page.locator("#line").fill("gh post gl")
    page.locator("#offers .offer[data-fill=gh_post]").tap()
    expect(page.locator("#line")).to_have_value("gh_post ")

    page.get_by_role("link", name="Correct Medial rotation at 90 degrees flexion right").tap()
    page.locator("label.choice:has(input[name=result][value=negative])").tap()
    page.get_by_role("button", name="Save the correction").tap()
    expect(page.locator("#findings")).to_contain_text("negative")
    unexpected = [one for one in bedside.complaints if "422" not in one]
    assert unexpected == []


def test_when_the_connection_drops_what_was_entered_stays_and_is_kept_once_later(served: Any, bedside: Any) -> None:
    page = bedside.page
    page.goto(served.story("first_visit.txt"))
    count = page.locator("#findings .found li").count()
    page.locator("#line").fill("hawkins + p6 fam")
    bedside.context.set_offline(True)
    page.locator("form.line").get_by_role("button", name="Save").tap()
    expect(page.locator("#said")).to_contain_text("Kept in this browser: hawkins + p6 fam")
    expect(page.locator("#waiting")).to_contain_text("1 finding waits")
    bedside.context.set_offline(False)
    expect(page.locator("#said")).to_contain_text("Connected again", timeout=20_000)
    expect(page.locator("#waiting")).to_be_hidden()
    expect(page.locator("#findings .found li")).to_have_count(count + 1)


def test_the_essential_road_works_without_scripts(served: Any, browser: Any) -> None:
    context = browser.new_context(java_script_enabled=False, viewport={"width": 800, "height": 1280})
    page = context.new_page()
    page.goto(served.story("first_visit.txt"))
    page.locator("#line").fill("hawkins + p6 fam")
    page.locator("form.line").get_by_role("button", name="Save").click()
    expect(page.locator("#findings")).to_contain_text("pain 6")
    expect(page.locator("#said")).to_contain_text("Saved")
    page.goto(f"{page.url.split('?')[0]}?do=gh_post&side=right")
    page.locator("form.record label.choice:has(input[name=mobility][value='2'])").click()
    count = page.locator("#findings .found li").count()
    page.locator("button[name=hurt][value='other 3']").click()
    expect(page.locator("#findings .found li")).to_have_count(count + 1)
    page.get_by_role("link", name="The reasons, finding by finding").click()
    expect(page.locator(".why").first).to_be_visible()
    context.close()
