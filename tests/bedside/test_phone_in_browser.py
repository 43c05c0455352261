"""A phone on the arm, in two browser contexts: the page beside the couch and the page on the phone.

The sensor is the browser's own synthetic one: readings are set through its debugging protocol.
"""

from __future__ import annotations

import re
import subprocess
import sys
import urllib.request
from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, CDPSession, Page, expect

from endfeel import care
from endfeel.assessment import read_case

EMPTY = "age: 50\nsex: female\nside: right\nonset: gradual\nweeks: 12\nirritability: moderate\n"


@pytest.fixture(scope="module")
def with_phone(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[str, care.Desk]]:
    store = str(tmp_path_factory.mktemp("phone") / "records.sqlite")
    command = [sys.executable, "-m", "endfeel.cli.main", "serve", "--port", "0", "--store", store]
    command += ["--phone", "127.0.0.1", "--phone-port", "0"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as program:
        assert program.stdout is not None
        said = program.stdout.readline()
        assert "A phone comes in at http://127.0.0.1:" in program.stdout.readline()
        desk = care.open_desk(store)
        yield next(word for word in said.split() if word.startswith("http")), desk
        desk.engine.dispose()
        program.terminate()


@pytest.fixture
def visit(with_phone: tuple[str, care.Desk]) -> tuple[str, care.Desk, str]:
    address, desk = with_phone
    visit_id = care.import_case(desk, read_case(EMPTY, "empty.txt", desk.library), "Person one")
    page = f"{address}visits/{visit_id}/phone?do=act_flexion&side=right"
    with urllib.request.urlopen(page, timeout=120) as answer:  # noqa: S310 (the first conclusion warms the program up)
        assert answer.status == 200
    return page, desk, visit_id


class Phone:
    """A phone in a context of its own: a small touch screen with a synthetic sensor."""

    def __init__(self, browser: Browser) -> None:
        self.context = browser.new_context(viewport={"width": 390, "height": 844}, has_touch=True, is_mobile=True)
        self.context.grant_permissions(["accelerometer", "gyroscope", "magnetometer"])
        self.page: Page = self.context.new_page()
        self.sensor: CDPSession = self.context.new_cdp_session(self.page)
        self.complaints: list[str] = []
        self.page.on("console", lambda one: self.complaints.append(one.text) if one.type == "error" else None)

    def lie(self, beta: float, gamma: float = 0.0, alpha: float = 0.0) -> None:
        told = {"alpha": alpha, "beta": beta, "gamma": gamma}
        self.sensor.send("DeviceOrientation.setDeviceOrientationOverride", told)


@pytest.fixture
def phone(browser: Browser) -> Iterator[Phone]:
    made = Phone(browser)
    yield made
    made.context.close()


def pair(page: Page, phone: Phone, address: str) -> str:
    """Show the code, open its address on the phone, start there; returns that address."""
    page.goto(address)
    page.get_by_role("button", name="Show the code for the phone").tap()
    expect(page.locator(".code svg")).to_be_visible()
    code = page.locator("code.address").inner_text()
    phone.page.goto(code)
    phone.lie(0)
    phone.page.get_by_role("button", name="Start").tap()
    expect(phone.page.locator("#reading")).to_be_visible()
    return code


def test_an_arm_is_raised_held_and_kept_as_a_finding(visit: Any, bedside: Any, phone: Phone) -> None:
    address, desk, visit_id = visit
    page = bedside.page
    pair(page, phone, address)
    assert "#" not in phone.page.url, "the token leaves the address at once"
    expect(page.locator("#state")).to_contain_text("Reading")
    bedside.shot("angle-paired")

    phone.lie(-90)  # the arm hangs, the long edge of the phone points down
    expect(phone.page.locator("#state")).to_have_text("not zeroed")
    phone.page.wait_for_timeout(400)
    phone.page.get_by_role("button", name="Zero here").tap()
    expect(page.locator("#degrees")).to_have_text("0")
    expect(page.locator("#state")).to_have_text("Held: 0°.")
    assert page.locator("[name=value]").input_value() == "", "a hold at zero is no measurement"

    for beta in range(-90, 30, 8):
        phone.lie(beta)
        phone.page.wait_for_timeout(60)
    phone.lie(32)
    expect(page.locator("#degrees")).to_have_text("122")
    expect(page.locator("#state")).to_have_text("Held: 122°.", timeout=4000)
    expect(phone.page.locator("#state")).to_have_text("held: 122°")
    expect(page.locator("[name=value]")).to_have_value("122")
    expect(page.locator("#given-by")).to_contain_text("from the phone")
    bedside.shot("angle-held")
    phone.page.screenshot(path=bedside.shots / "angle-on-the-phone.png")

    page.locator("label.choice", has=page.locator("[name=pain][value='4']")).tap()
    page.locator("#save").tap()
    expect(page.locator("#said")).to_contain_text("122°")
    (entry,) = care.view_visit(desk, visit_id).entries
    assert entry.finding is not None
    assert (entry.finding.procedure, entry.finding.value, entry.finding.pain) == ("act_flexion", 122, 4)
    assert entry.finding.instrument == "phone"
    assert bedside.complaints == []
    assert phone.complaints == []


def test_what_a_hand_typed_stays_and_names_no_phone(visit: Any, bedside: Any, phone: Phone) -> None:
    address, desk, visit_id = visit
    page = bedside.page
    pair(page, phone, address)
    page.locator("[name=value]").fill("95")
    phone.lie(-90)
    phone.page.wait_for_timeout(400)
    page.get_by_role("button", name="Zero here").tap()
    expect(page.locator("#degrees")).to_have_text("0")
    phone.lie(10)
    expect(page.locator("#state")).to_have_text("Held: 100°.")
    assert page.locator("[name=value]").input_value() == "95"
    page.locator("#save").tap()
    expect(page.locator("#said")).to_contain_text("95°")
    (entry,) = care.view_visit(desk, visit_id).entries
    assert entry.finding is not None
    assert (entry.finding.value, entry.finding.instrument) == (95, None)
    # the saved page is a new one: the phone goes on, and its held angle may be taken by hand
    expect(page.locator("#state")).to_have_text("Held: 100°.")
    page.locator("#take").tap()
    expect(page.locator("[name=value]")).to_have_value("100")


def test_about_an_edge_an_upright_axis_is_said_and_gives_nothing(visit: Any, bedside: Any, phone: Phone) -> None:
    address, _, _ = visit
    page = bedside.page
    pair(page, phone, address)
    phone.lie(5)
    phone.page.wait_for_timeout(400)
    page.get_by_role("button", name="Zero here").tap()
    expect(page.locator("#degrees")).to_have_text("0")
    page.locator("label.choice", has=page.locator("[name=turn][value=screen]")).tap()
    expect(page.locator("#state")).to_contain_text("gravity cannot tell this turn")
    expect(page.locator("#degrees")).to_have_text("–")
    expect(page.locator("#take")).to_be_disabled()


def test_a_code_is_good_once_and_a_new_one_cuts_the_old_phone_off(visit: Any, bedside: Any, phone: Phone) -> None:
    address, _, _ = visit
    page = bedside.page
    code = pair(page, phone, address)
    second = phone.context.new_page()
    second.goto(code)
    second.get_by_role("button", name="Start").tap()
    expect(second.locator("#say")).to_contain_text("used already")
    expect(page.locator("#state")).to_be_visible()
    page.get_by_role("button", name="Part from the phone").tap()
    expect(phone.page.locator("#say")).to_have_text(re.compile("not paired"))
    expect(phone.page.locator("#reading")).to_be_hidden()


def test_without_a_door_the_page_says_how_and_the_angle_is_typed(served: Any, bedside: Any) -> None:
    page = bedside.page
    page.goto(f"{served.story('first_visit.txt')}/phone?do=act_flexion")
    expect(page.locator("#sensor")).to_contain_text("endfeel serve --phone")
    page.locator("[name=value]").fill("140")
    page.locator("#save").tap()
    expect(page.locator("#said")).to_contain_text("140°")
    assert bedside.complaints == []
