"""A clinic in the browser: the first way in on a phone, a passkey, every page of it held to the rules."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import pyotp
import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect
from tests.bedside.conftest import Program
from tests.bedside.test_pages_for_everybody import _SMALL_TARGETS, LEAST_TARGET_PX

from endfeel import care
from endfeel.assessment import read_case

WORDS = "several long words"
PAGES = ("sign-in", "me", "me/generator", "staff", "break-glass", "counter-signatures", "presented", "team", "visit",
         "start", "note", "refused")  # fmt: skip


@dataclass
class Clinic:
    """A running clinic under a name, since passkeys belong to names."""

    address: str
    desk: care.Desk
    once: dict[str, str]
    visit: str
    foreign: str
    person: str
    presented: str

    def token(self, name: str) -> str:
        """The token of somebody who is in, their sign-in made anew."""
        staff = next(one for one in care.list_staff(self.desk) if one.name == name)
        once = care.reset_sign_in(self.desk, staff.id)
        token = care.sign_in(self.desk, name, once)
        here = care.session_of(self.desk, token)
        assert here is not None
        at = care.desk_of(self.desk, here.staff)
        secret, _ = care.begin_generator(at, here)
        care.confirm_generator(at, here, pyotp.TOTP(secret).now())
        care.choose_password(at, here, once, WORDS, WORDS)
        return token

    def page_of(self, name: str) -> str:
        """The address of one of the pages that are held to the rules."""
        paths = {"presented": f"counter-signatures/{self.presented}", "team": f"people/{self.person}/team",
                 "visit": f"visits/{self.visit}", "start": "", "note": f"visits/{self.visit}/note",
                 "refused": f"visits/{self.foreign}"}  # fmt: skip
        return self.address + paths.get(name, name)


@pytest.fixture(scope="module")
def clinic(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Clinic]:
    store = str(tmp_path_factory.mktemp("clinic") / "records.sqlite")
    program = Program(store)
    desk = care.open_desk(store)
    once, ids = {}, {}
    for name, role in (("Ada Example", "administrator"), ("Tom Example", "therapist"), ("Lea Example", "lead"),
                       ("Tia Example", "therapist"), ("Stu Example", "student")):  # fmt: skip
        ids[name], once[name] = care.add_staff(desk, name, role, ids.get("Tom Example", ""))
    staff = {one.name: one for one in care.list_staff(desk)}
    case = read_case("invented: yes\nage: 50\nside: right\nstory: sore since spring\n", "new.txt", desk.library)
    visit = care.import_case(care.desk_of(desk, staff["Stu Example"]), case, "Invented, of a student")
    foreign = care.import_case(care.desk_of(desk, staff["Tia Example"]), case, "Invented, of another one")
    presented = care.present(care.desk_of(desk, staff["Stu Example"]), visit, "note")
    care.break_glass(care.desk_of(desk, staff["Tia Example"]), "Invented, of a student", "Tom is ill, she is here")
    person = care.view_visit(desk, visit).person_id
    address = program.address.replace("127.0.0.1", "localhost")
    yield Clinic(address, desk, once, visit, foreign, person, presented)
    desk.engine.dispose()
    program.kill()


def sign_in(page: Page, name: str, password: str) -> None:
    page.get_by_label("Your name").fill(name)
    page.get_by_label("Password").fill(password)
    page.get_by_role("button", name="Sign in").click()


def sign_out(page: Page) -> None:
    page.locator(".who summary").click()
    page.get_by_role("button", name="Sign out").click()


@pytest.mark.parametrize("bedside", ["phone"], indirect=True)
def test_the_first_way_in_on_a_phone(clinic: Clinic, bedside: Any) -> None:
    page = bedside.page
    page.goto(clinic.page_of("visit"))
    expect(page.get_by_role("heading", name="Sign in")).to_be_visible()
    sign_in(page, "tom example", "wrong words for it")
    expect(page.locator("#fault")).to_contain_text("That is not right")
    expect(page.get_by_label("Your name")).to_have_value("tom example")
    sign_in(page, "Tom Example", clinic.once["Tom Example"])
    expect(page.locator("#left-to-do")).to_contain_text("choose a password of your own, and set up a second factor")
    page.get_by_label("The one you have now").fill(clinic.once["Tom Example"])
    page.get_by_label("The new one").fill(WORDS)
    page.get_by_label("The same again").fill(WORDS)
    page.get_by_role("button", name="Change it").click()
    expect(page.locator("#left-to-do")).to_have_text("Before you can work: set up a second factor.")
    page.get_by_role("link", name="Set one up").click()
    secret = page.locator("code").inner_text().replace(" ", "")
    expect(page.get_by_role("img", name="Code to scan").locator("svg")).to_be_visible()
    bedside.shot("own-generator")
    page.get_by_label("The six figures").fill(pyotp.TOTP(secret).now())
    page.get_by_role("button", name="That is the code").click()
    expect(page.locator(".codes code")).to_have_count(10)
    bedside.shot("own-codes")
    paper = page.locator(".codes code").first.inner_text()
    page.get_by_role("link", name="I have them on paper").click()
    expect(page.locator("#left-to-do")).to_have_count(0)
    page.get_by_role("link", name="People", exact=True).click()
    expect(page.get_by_role("heading", name="Invented, of a student")).to_be_visible()
    sign_out(page)
    expect(page.get_by_role("heading", name="Sign in")).to_be_visible()
    page.goto(clinic.page_of("visit"))
    sign_in(page, "Tom Example", WORDS)
    bedside.shot("sign-in-second")
    page.get_by_label("Code").fill(paper)
    page.get_by_role("button", name="Go on").click()
    page.wait_for_url(clinic.page_of("visit"))
    expect(page.locator("#visit")).to_be_visible()


def test_a_passkey_is_added_and_opens_the_door_alone(clinic: Clinic, bedside: Any) -> None:
    context, page = bedside.context, bedside.page
    devtools = context.new_cdp_session(page)
    devtools.send("WebAuthn.enable")
    options = {"protocol": "ctap2", "transport": "internal", "hasResidentKey": True, "hasUserVerification": True,
               "isUserVerified": True, "automaticPresenceSimulation": True}  # fmt: skip
    device = devtools.send("WebAuthn.addVirtualAuthenticator", {"options": options})["authenticatorId"]
    page.goto(clinic.page_of("sign-in"))
    sign_in(page, "Tia Example", clinic.once["Tia Example"])
    page.get_by_label("The one you have now").fill(clinic.once["Tia Example"])
    page.get_by_label("The new one").fill(WORDS)
    page.get_by_label("The same again").fill(WORDS)
    page.get_by_role("button", name="Change it").click()
    expect(page.locator("#left-to-do")).to_have_text("Before you can work: set up a second factor.")
    page.get_by_label("Name of the device").fill("Tablet of room 2")
    page.get_by_role("button", name="Add a passkey").click()
    expect(page.locator("#fresh-codes code")).to_have_count(10)
    page.get_by_role("link", name="I have them on paper").click()
    expect(page.get_by_text("Tablet of room 2")).to_be_visible()
    assert len(devtools.send("WebAuthn.getCredentials", {"authenticatorId": device})["credentials"]) == 1
    sign_out(page)
    page.get_by_role("button", name="Use a passkey").click()
    expect(page.get_by_role("heading", name="People and visits")).to_be_visible()
    expect(page.get_by_role("heading", name="Invented, of another one")).to_be_visible()
    sign_out(page)
    devtools.send("WebAuthn.setUserVerified", {"authenticatorId": device, "isUserVerified": False})
    page.get_by_role("button", name="Use a passkey").click()
    expect(page.locator("#passkey-said")).to_be_visible()
    page.goto(clinic.page_of("start"))
    expect(page.get_by_role("heading", name="Sign in")).to_be_visible()
    assert not [one for one in bedside.complaints if "Content Security Policy" in one]


@pytest.fixture(scope="module")
def tokens(clinic: Clinic) -> dict[str, str]:
    return {name: clinic.token(name) for name in ("Ada Example", "Lea Example")} | {
        "Stu Example": clinic.token("Stu Example")
    }


@pytest.mark.parametrize("bedside", ["phone"], indirect=True)
@pytest.mark.parametrize("name", PAGES)
def test_every_page_of_a_clinic_is_held_to_the_rules(
    clinic: Clinic, tokens: dict[str, str], bedside: Any, name: str
) -> None:
    page = bedside.page
    who = {"staff": "Ada Example", "refused": "Stu Example", "note": "Stu Example"}.get(name, "Lea Example")
    if name != "sign-in":
        cookie = {"name": "endfeel", "value": tokens[who], "url": clinic.address}
        bedside.context.add_cookies([cookie])
    page.goto(clinic.page_of(name))
    page.wait_for_load_state("networkidle")
    assert ("sign-in" in page.url) == (name == "sign-in")
    for size in ("phone", "tablet-landscape"):
        bedside.turn(size)
        bedside.shot(f"clinic-{name.replace('/', '-')}")
        wide = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
        assert wide == 0, f"{name} is {wide} px wider than the screen"
        assert page.evaluate(_SMALL_TARGETS.replace("LEAST", str(LEAST_TARGET_PX - 0.5))) == []
    for scheme in ("light", "dark"):
        page.emulate_media(color_scheme=scheme)
        found = Axe().run(page)
        assert found.response["passes"], "no rule was applied"
        assert found.violations_count == 0, found.generate_report()
    expected = ["403"] if name == "refused" else []
    assert [re.findall(r"\d{3}", one)[0] for one in bedside.complaints] == expected


def test_what_waits_in_a_browser_is_sent_in_no_other_name_when_the_session_ends(clinic: Clinic, bedside: Any) -> None:
    page, token = bedside.page, clinic.token("Tom Example")
    bedside.context.add_cookies([{"name": "endfeel", "value": token, "url": clinic.address}])
    page.goto(clinic.page_of("visit"))
    page.wait_for_load_state("networkidle")
    page.locator("#line").fill("hawkins + p4")
    care.sign_out(clinic.desk, token)
    page.locator("#line").press("Enter")
    expect(page.get_by_role("heading", name="Sign in")).to_be_visible()
    assert care.view_visit(clinic.desk, clinic.visit).entries == ()
    for name, arrived in (("Lea Example", 0), ("Tom Example", 1)):
        again = {"name": "endfeel", "value": clinic.token(name), "url": clinic.address}
        bedside.context.add_cookies([again])
        page.goto(clinic.page_of("visit"))
        page.wait_for_load_state("networkidle")
        expect(page.locator("#findings [data-entry]")).to_have_count(arrived)
        assert len(care.view_visit(clinic.desk, clinic.visit).entries) == arrived, name
