"""The drawn shoulder in a real browser, fed by the scene and the shapes that the Python tests keep (tests/kept)."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, Route

KEPT = Path(__file__).parents[1] / "kept"
STANDING = "[data-drawn][data-state=standing]"
LEAST_TARGET_PX = 44
_SUM = """(hidden) => {
  const stage = document.querySelector("[data-drawn]").drawn;
  for (const part of [...stage.hidden]) stage.hidden.delete(part);
  for (const part of hidden) stage.hidden.add(part);
  stage.draw();
  const gl = stage.renderer.getContext();
  const pixels = new Uint8Array(4 * gl.drawingBufferWidth * gl.drawingBufferHeight);
  gl.readPixels(0, 0, gl.drawingBufferWidth, gl.drawingBufferHeight, gl.RGBA, gl.UNSIGNED_BYTE, pixels);
  let sum = 0, painted = 0;
  for (let place = 0; place < pixels.length; place += 4) {
    sum = (sum * 31 + pixels[place] + 7 * pixels[place + 1] + 13 * pixels[place + 2]) % 1000000007;
    if (pixels[place + 3]) painted += 1;
  }
  return {sum, share: painted / (pixels.length / 4)};
}"""

_WATCHED = """() => {
  window.was = document.querySelector("[data-drawn]").drawn;
  window.shares = [];
  window.travelled = [];
  const pose = was.pose.bind(was), between = was.between.bind(was);
  was.pose = (share) => { shares.push(share); pose(share); };
  was.between = (before, scene, goal, share) => { travelled.push(share); between(before, scene, goal, share); };
}"""


def kept(name: str) -> dict[str, Any]:
    told: dict[str, Any] = json.loads((KEPT / name).read_text(encoding="utf-8"))
    return told


def fed(page: Page) -> None:
    """Scene and shapes come from the kept files instead of the program."""

    def answer(route: Route) -> None:
        name = "drawn_shapes.json" if "/shapes" in route.request.url else "drawn_scene.json"
        route.fulfill(path=KEPT / name, content_type="application/json")

    page.route("**/api/scene**", answer)


@pytest.fixture(scope="module")
def drawn(browser: Browser, served: Any) -> Iterator[Page]:
    """The page of the shoulder with the kept scene standing; reduced motion, a touch screen."""
    context = browser.new_context(viewport={"width": 1100, "height": 900}, has_touch=True, reduced_motion="reduce")
    context.set_default_timeout(60_000)
    page = context.new_page()
    complaints: list[str] = []
    page.on("pageerror", lambda error: complaints.append(str(error)))
    page.on("console", lambda one: complaints.append(one.text) if one.type == "error" else None)
    fed(page)
    page.goto(f"{served.address}shoulder?procedure=gh_er_90")
    page.wait_for_selector(STANDING)
    yield page
    assert complaints == []
    context.close()


def test_every_part_of_the_kept_scene_is_painted(drawn: Page) -> None:
    whole = drawn.evaluate(_SUM, [])
    assert whole["share"] > 0.3
    assert drawn.evaluate(_SUM, [])["sum"] == whole["sum"], "the same scene twice is the same picture"
    scene = kept("drawn_scene.json")
    named = [bone["id"] for bone in scene["bones"] if not bone["id"].startswith("other_")]
    for part in (*named, "other_clavicle", "skin", "hands", "arrows", "fibres", "lit", "room"):
        assert drawn.evaluate(_SUM, [part])["sum"] != whole["sum"], part
    everything = [bone["id"] for bone in scene["bones"]] + ["skin", "hands", "arrows", "fibres", "lit", "room"]
    assert drawn.evaluate(_SUM, everything)["share"] == 0.0
    drawn.evaluate(_SUM, [])


def test_hands_levels_and_contributors_are_named_and_the_picture_is_told_in_words(drawn: Page) -> None:
    scene = kept("drawn_scene.json")
    names = drawn.locator(".drawn-name").all_text_contents()
    for hand in scene["hands"]:
        assert f"{hand['says']}: {hand['words']}" in names
    assert {"1", "2", "3"} <= set(names)
    assert drawn.locator("canvas").get_attribute("aria-label") == scene["words"]
    assert drawn.locator(".drawn-words").text_content() == scene["words"]
    lit = drawn.locator(".drawn-lit li").all_text_contents()
    assert lit == [f"{one['name']}, {round(100 * one['probability'])} %" for one in scene["lit"]]
    shown = {one["step"] for one in scene["fibres"]} | {one["end_step"] for one in scene["fibres"]}
    assert drawn.locator(".drawn-legend li").count() == len(shown)


def test_patterns_differ_without_colour() -> None:
    looks = [
        (step["wide_mm"], tuple(step["dashes_mm"]), step["double"]) for step in kept("drawn_scene.json")["strain_steps"]
    ]
    assert len(set(looks)) == len(looks) == 6


def test_one_finger_turns_it_and_buttons_turn_and_enlarge(drawn: Page) -> None:
    def eye() -> dict[str, float]:
        told: dict[str, float] = drawn.evaluate("({...document.querySelector('[data-drawn]').drawn.eye, target: 0})")
        return told

    drawn.click("[data-home]")
    before, picture = eye(), drawn.evaluate(_SUM, [])["sum"]
    box = drawn.locator("canvas").bounding_box()
    assert box is not None
    session = drawn.context.new_cdp_session(drawn)
    y = box["y"] + box["height"] / 2
    for kind, share in (("touchStart", 0.7), ("touchMove", 0.6), ("touchMove", 0.4), ("touchEnd", None)):
        points = [] if share is None else [{"x": box["x"] + share * box["width"], "y": y}]
        session.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})
    drawn.wait_for_function(
        "(was) => document.querySelector('[data-drawn]').drawn.eye.turn !== was", arg=before["turn"]
    )
    assert eye()["turn"] - before["turn"] > 0.3
    assert drawn.evaluate(_SUM, [])["sum"] != picture
    drawn.click("[data-home]")
    assert eye() == before
    assert drawn.evaluate(_SUM, [])["sum"] == picture
    drawn.click("[aria-label='Larger']")
    assert eye()["wide"] < before["wide"]
    drawn.click("[aria-label='Turn left']")
    assert eye()["turn"] > before["turn"]
    drawn.focus("canvas")
    drawn.keyboard.press("ArrowRight")
    assert eye()["turn"] == pytest.approx(before["turn"])
    drawn.click("[data-home]")


def test_the_movement_can_be_put_anywhere_and_reduced_motion_jumps(drawn: Page) -> None:
    assert drawn.evaluate("document.querySelector('[data-drawn]').drawn.share") == 1
    end = drawn.evaluate(_SUM, [])["sum"]
    drawn.locator("[data-share]").fill("0")
    assert drawn.evaluate("document.querySelector('[data-drawn]').drawn.share") == 0
    assert drawn.evaluate(_SUM, [])["sum"] != end
    drawn.click("[data-play]")
    assert drawn.evaluate("document.querySelector('[data-drawn]').drawn.share") == 1
    assert drawn.evaluate(_SUM, [])["sum"] == end


def test_targets_are_large_and_no_rule_of_accessibility_is_broken(drawn: Page) -> None:
    for button in drawn.locator(".drawn-tools button, .drawn-tools input").all():
        box = button.bounding_box()
        assert box is not None
        assert box["height"] >= LEAST_TARGET_PX
        assert box["width"] >= LEAST_TARGET_PX
    found = Axe().run(drawn)
    assert found.response["passes"]
    assert found.violations_count == 0, found.generate_report()


def test_bones_travel_between_tests_and_the_movement_runs(browser: Browser, served: Any) -> None:
    """The visit shows another test: the same stage, moved into the new place, lets the bones travel there."""
    context = browser.new_context(viewport={"width": 1100, "height": 900}, reduced_motion="no-preference")
    context.set_default_timeout(90_000)
    page = context.new_page()
    page.goto(f"{served.story('first_visit.txt')}?do=gh_post")
    page.wait_for_selector(STANDING)
    assert page.evaluate("document.querySelector('[data-drawn]').drawn.frames") > 2, "it moved by itself"
    page.evaluate(_WATCHED)
    page.evaluate(
        "document.querySelector('.steps a.row').href = location.pathname + '?do=gh_flex&side=right';"
        "document.querySelector('.steps a.row').click()"
    )
    page.wait_for_selector("[data-drawn][data-scene*=gh_flex][data-state=standing]")
    assert page.evaluate("document.querySelector('[data-drawn]').drawn === was"), "one stage serves the page"
    travelled, shares = page.evaluate("travelled"), page.evaluate("shares")
    assert travelled == sorted(travelled)
    assert travelled[-1] == 1
    assert shares[-1] == 1
    context.close()


def test_without_webgl_and_without_scripts_the_still_picture_stands(browser: Browser, served: Any) -> None:
    address = f"{served.address}shoulder?procedure=gh_post&side=left"
    for scripts in (True, False):
        context = browser.new_context(java_script_enabled=scripts, viewport={"width": 900, "height": 900})
        context.set_default_timeout(90_000)
        if scripts:
            context.add_init_script(
                "const get = HTMLCanvasElement.prototype.getContext;"
                "HTMLCanvasElement.prototype.getContext = function (kind, ...more) {"
                "  return kind.startsWith('webgl') ? null : get.call(this, kind, ...more); };"
            )
        page = context.new_page()
        page.goto(address)
        picture = page.locator(".drawn-stage img")
        picture.wait_for(state="visible")
        assert "one hand holds the scapula" in (picture.get_attribute("alt") or "")
        answer = page.request.get(f"{served.address}{(picture.get_attribute('src') or '').lstrip('/')}")
        assert answer.headers["content-type"].startswith("image/svg+xml")
        assert "<desc" in answer.text()
        if scripts:
            page.wait_for_function("document.querySelector('.drawn-stage img').naturalWidth > 0")
            assert page.locator(".drawn-tools").is_hidden()
        context.close()
