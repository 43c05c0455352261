"""The program served as it is served to a therapist, and the distribution's own Chromium in front of it."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from bench.browser import NoBrowser, chromium
from playwright.sync_api import Browser, BrowserContext, Page, expect, sync_playwright

from endfeel import care
from endfeel.assessment import read_case

expect.set_options(timeout=15_000)  # a laden machine may take its time; what is asserted is what appears

STORIES = Path(__file__).parents[2] / "stories"
SIZES = {"tablet-landscape": (1280, 800), "tablet-portrait": (800, 1280), "phone": (390, 844)}


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    try:
        program = chromium()
    except NoBrowser as missing:
        pytest.fail(str(missing))
    with sync_playwright() as playwright:
        made = playwright.chromium.launch(executable_path=program, headless=True, args=["--no-sandbox"])
        yield made
        made.close()


class Served:
    """The running program: its address, and its store to put stories in."""

    def __init__(self, address: str, desk: care.Desk) -> None:
        self.address, self.desk = address, desk

    def story(self, name: str) -> str:
        """The address of a visit made from a written story."""
        text = (STORIES / name).read_text(encoding="utf-8")
        return f"{self.address}visits/{care.import_case(self.desk, read_case(text, name, self.desk.library))}"

    def newcomer(self) -> str:
        """The address of an empty visit of an invented person with a sore right shoulder."""
        text = "invented: yes\nage: 50\nsex: female\nside: right\nonset: gradual\nweeks: 12\nirritability: low\n"
        return f"{self.address}visits/{care.import_case(self.desk, read_case(text, 'new.txt', self.desk.library))}"


@pytest.fixture(scope="session")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    store = str(tmp_path_factory.mktemp("bedside") / "records.sqlite")
    command = [sys.executable, "-m", "endfeel.cli.main", "serve", "--port", "0", "--store", store]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as program:
        assert program.stdout is not None
        said = program.stdout.readline()
        assert "stop with Ctrl-C" in said, said
        desk = care.open_desk(store)
        try:
            yield Served(next(word for word in said.split() if word.startswith("http")), desk)
        finally:
            desk.engine.dispose()
            program.terminate()


class Program:
    """The program as a therapist runs it, which can be killed and started again at the same address."""

    def __init__(self, store: str) -> None:
        self.store, self.port = store, 0
        self.start()

    def start(self) -> None:
        command = [sys.executable, "-m", "endfeel.cli.main", "serve", "--port", str(self.port), "--store", self.store]
        self.running = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
        assert self.running.stdout is not None
        said = self.running.stdout.readline()
        assert "stop with Ctrl-C" in said, said
        self.port = int(re.findall(r":(\d+)/", said)[0])
        self.address = f"http://127.0.0.1:{self.port}/"

    def kill(self) -> None:
        self.running.send_signal(signal.SIGKILL)
        self.running.wait()
        assert self.running.stdout is not None
        self.running.stdout.close()


@pytest.fixture
def program(tmp_path: Path) -> Iterator[Program]:
    made = Program(str(tmp_path / "records.sqlite"))
    yield made
    made.kill()


class Bedside:
    """One person in front of one screen; whatever the browser complains of is kept."""

    def __init__(self, context: BrowserContext, shots: Path, size: str) -> None:
        self.context, self.shots, self.size = context, shots, size
        self.drawn = True
        self.complaints: list[str] = []
        self.page: Page = context.new_page()
        self.page.on("console", lambda one: self.complaints.append(one.text) if one.type == "error" else None)
        self.page.on("pageerror", lambda error: self.complaints.append(str(error)))

    def turn(self, size: str) -> None:
        """Give the open page another size of screen."""
        if size != self.size:
            width, height = SIZES[size]
            self.page.set_viewport_size({"width": width, "height": height})
            self.size = size

    def leave_out_the_viewer(self) -> None:
        """Without a graphics card the drawn shoulder takes more time than all the rest of a visit's page."""
        if self.drawn:
            self.context.route(
                "**/static/shoulder/viewer.js", lambda one: one.fulfill(body="", content_type="text/javascript")
            )
        self.drawn = False

    def shot(self, name: str) -> None:
        """Keep a picture of the whole page."""
        self.page.screenshot(path=self.shots / f"{name}-{self.size}.png", full_page=True, caret="initial")


@pytest.fixture
def bedside(browser: Browser, tmp_path: Path, request: pytest.FixtureRequest) -> Iterator[Bedside]:
    """A touch screen; pictures go to the folder named by ENDFEEL_SHOTS, else to the test's own.

    The shoulder is drawn on it only in modules that say `DRAWS = True`.
    """
    size = getattr(request, "param", "tablet-landscape")
    width, height = SIZES[size]
    shots = Path(os.environ.get("ENDFEEL_SHOTS", tmp_path))
    shots.mkdir(parents=True, exist_ok=True)
    context = browser.new_context(
        viewport={"width": width, "height": height}, has_touch=True, accept_downloads=True, reduced_motion="reduce"
    )
    context.set_default_timeout(45_000)
    made = Bedside(context, shots, size)
    if not getattr(request.module, "DRAWS", False):
        made.leave_out_the_viewer()
    yield made
    context.close()
