"""A whole first visit by voice: sound files through the browser's fake microphone, the real recogniser behind it.

The person and the safety screen are entered by touch: neither is in the grammar. The voice is synthetic.
"""

from __future__ import annotations

import wave
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from axe_playwright_python.sync_playwright import Axe
from bench.browser import chromium
from playwright.sync_api import Browser, Page, expect
from scipy.signal import resample_poly

from endfeel.voice.ear import HOW_TO_GET, can_hear
from endfeel.voice.sound import RATE
from endfeel.voice.synthesis import Voice, missing_programs, speak

pytestmark = pytest.mark.timeout(600)
FILE_RATE = 48_000
VOICE = Voice("flite", "slt")
PATIENCE_MS = 60_000
STREAMS = """
const ask = navigator.mediaDevices.getUserMedia.bind(navigator.mediaDevices);
window.streams = [];
navigator.mediaDevices.getUserMedia = async (what) => {
  const one = await ask(what);
  window.streams.push(one);
  return one;
};
"""
TAKEN_AWAY = "() => window.streams.forEach((one) => one.getTracks().forEach((track) => track.stop()))"


class Speaker:
    """Puts a phrase into the browser's microphone and presses to talk, by key, pedal or screen in turn."""

    def __init__(self, page: Page, file: Path) -> None:
        self.page, self.file, self.said = page, file, 0

    def say(self, phrase: str) -> None:
        """Say it and wait until the page has answered.

        The browser reads its sound file when the microphone is asked for, so it is taken away first, as when it is
        pulled out.
        """
        sound = np.concatenate([speak(VOICE, phrase), np.zeros(20 * RATE)])
        loud = resample_poly(sound, FILE_RATE // RATE, 1).clip(-32768, 32767).astype("<i2")
        with wave.open(str(self.file), "wb") as file:
            file.setnchannels(1)
            file.setsampwidth(2)
            file.setframerate(FILE_RATE)
            file.writeframes(loud.tobytes())
        self.page.evaluate(TAKEN_AWAY)
        if self.said % 3 == 0:
            self.page.locator("#voice-talk").tap()
        else:
            self.page.keyboard.press("v" if self.said % 3 == 1 else ".")
        self.said += 1
        expect(self.page.locator("#voice-talk")).to_have_attribute("aria-pressed", "true")
        expect(self.page.locator("#voice-talk")).to_have_attribute("aria-pressed", "false", timeout=PATIENCE_MS)
        expect(self.page.locator("#voice-said")).not_to_have_text("One moment …", timeout=PATIENCE_MS)


@pytest.fixture(scope="module")
def microphone(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The file that the browser takes for its microphone."""
    if not can_hear():
        pytest.skip(f"the extra `voice` is not installed here ({HOW_TO_GET}): nothing can be recognised")
    if missing_programs():
        pytest.fail(f"no synthetic voice: install the Debian packages {' '.join(missing_programs())}")
    return tmp_path_factory.mktemp("microphone") / "said.wav"


@pytest.fixture(scope="module")
def speaking(browser: Browser, microphone: Path) -> Iterator[Browser]:
    """A browser whose microphone is the sound file."""
    made = browser.browser_type.launch(
        executable_path=chromium(),
        args=[
            "--no-sandbox", "--use-fake-device-for-media-stream", "--use-fake-ui-for-media-stream",
            f"--use-file-for-fake-audio-capture={microphone}",
        ],
    )  # fmt: skip
    yield made
    made.close()


def new_person(page: Page, address: str) -> None:
    page.goto(address)
    page.get_by_role("link", name="New person").tap()
    page.get_by_label("Label").fill("By voice")
    page.get_by_label("Age").fill("54")
    page.locator("label.choice:has(input[name=side][value=right])").tap()
    page.get_by_role("button", name="Save and go to the safety screen").tap()
    expect(page.get_by_role("button", name="Save the answers")).to_be_visible()  # the end of the page has arrived
    for question in page.locator("section.question").all():
        question.locator("fieldset.strong label.choice:has(input[value=no])").tap()
    page.get_by_role("button", name="Save the answers").tap()
    expect(page.locator("#now-title")).to_be_visible()


def test_a_first_visit_by_voice(served: Any, speaking: Browser, microphone: Path, tmp_path: Path) -> None:
    context = speaking.new_context(
        permissions=["microphone"], reduced_motion="reduce", has_touch=True, viewport={"width": 800, "height": 1280}
    )
    context.set_default_timeout(PATIENCE_MS)
    context.add_init_script(STREAMS)
    context.route("**/static/shoulder/viewer.js", lambda one: one.fulfill(body="", content_type="text/javascript"))
    page = context.new_page()
    complaints: list[str] = []
    page.on("pageerror", lambda error: complaints.append(str(error)))
    page.on("console", lambda one: complaints.append(one.text) if one.type == "error" else None)
    new_person(page, served.address)
    person = Speaker(page, microphone)
    told, rows = page.locator("#voice-said"), page.locator("#findings [data-entry]")

    person.say("active lateral rotation at the side thirty five degrees pain five")
    expect(told).to_contain_text("Draft: act_er_side right 35 deg pain 5")
    expect(rows).to_have_count(0)  # nothing is kept before the yes
    person.say("read back")
    expect(told).to_contain_text("Draft: act_er_side right 35 deg pain 5")
    page.screenshot(path=tmp_path / "draft.png", caret="initial")
    for scheme in ("light", "dark"):
        page.emulate_media(color_scheme=scheme)
        found = Axe().run(page)
        assert found.response["passes"]
        assert found.violations_count == 0, found.generate_report()
    page.emulate_media(media="print")
    expect(page.locator("#voice")).to_be_hidden()
    page.emulate_media(media="screen")
    person.say("yes confirm")
    expect(rows).to_have_count(1)

    person.say("please tell me where the bus stops tomorrow")
    expect(told).to_contain_text("Not understood: nothing is written.")
    expect(page.locator("#voice-keep")).to_be_hidden()

    person.say("glenohumeral posterior glide resting grade two stiff firm capsular pain four")
    expect(told).to_contain_text("Draft: gh_post right mobility 2 firm_capsular pain 4")
    page.locator("#voice-talk").focus()
    page.keyboard.press("Enter")  # a yes to the draft, not another phrase
    expect(rows).to_have_count(2)
    person.say("undo that")
    expect(rows).to_have_count(1)

    front = page.locator("#now-title").inner_text()
    person.say("next test")
    expect(page.locator("#now-title")).not_to_have_text(front)
    page.goto(f"{page.url.split('?')[0]}?do=gh_inf&side=right")
    person.say("other side")
    expect(page.locator("form.record input[name=side][value=left]")).to_be_checked()
    page.goto(f"{page.url.split('?')[0]}?do=gh_inf&side=right")
    person.say("grade two stiff pain three")  # without a name: the test in front
    expect(told).to_contain_text("Draft: gh_inf right mobility 2 pain 3")
    person.say("yes confirm")
    expect(rows).to_have_count(2)
    expect(page.locator("#findings")).to_contain_text("grade 2, slightly hypomobile, pain 3")

    page.get_by_role("link", name="To the note").tap()
    expect(page.locator(".note")).to_contain_text("Active lateral rotation at the side", timeout=PATIENCE_MS)
    page.get_by_label("Your name").fill("R. Example")
    page.get_by_role("button", name="Sign the note").tap()
    expect(page.locator("#signed")).to_contain_text("Signed by R. Example", timeout=PATIENCE_MS)
    assert complaints == []
    context.close()
