"""A desk with an empty store, and a client that speaks to its pages."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from argon2 import PasswordHasher
from limits.storage import MemoryStorage
from limits.strategies import MovingWindowRateLimiter
from starlette.testclient import TestClient

from clinic_of_all_roles import MARKER, Clinic, begin
from endfeel import care
from endfeel.assessment import read_case
from endfeel.care import way_in as way
from endfeel.vocabulary import Complaint, Person, Side
from endfeel.web.app import make_app
from endfeel.web.pages import sign_in as sign_in_page

STORIES = Path(__file__).parents[2] / "stories"


@pytest.fixture
def desk(store_file: str) -> Iterator[care.Desk]:
    opened = care.open_desk(store_file)
    yield opened
    opened.engine.dispose()


@pytest.fixture
def client(desk: care.Desk) -> Iterator[TestClient]:
    with TestClient(
        make_app(desk), base_url="http://127.0.0.1:8710", raise_server_exceptions=False, follow_redirects=False
    ) as made:
        yield made


def story(desk: care.Desk, name: str) -> str:
    """A written story as a visit; its id."""
    return care.import_case(desk, read_case((STORIES / name).read_text(encoding="utf-8"), name, desk.library))


@pytest.fixture
def visit_id(desk: care.Desk) -> str:
    """An empty visit of a person with a right-sided complaint."""
    text = "age: 50\nsex: female\nside: right\nonset: gradual\nweeks: 12\nirritability: moderate\n"
    return care.import_case(desk, read_case(text, "empty.txt", desk.library), "Person one")


@pytest.fixture
def example_id(desk: care.Desk) -> str:
    return story(desk, "first_visit.txt")


@pytest.fixture
def danger_id(desk: care.Desk) -> str:
    """A visit whose findings raise an urgent flag that nobody ticked."""
    return story(desk, "danger_apical.txt")


@pytest.fixture(scope="module")
def quick_hashing() -> Iterator[None]:
    """Hashing is meant to be slow, and tries from one address are few; neither is what these tests are about."""
    before = way._HASHER
    way._HASHER = PasswordHasher(time_cost=1, memory_cost=64, parallelism=1)
    yield
    way._HASHER = before


@pytest.fixture
def fresh_tries(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sign_in_page, "_TRIES", MovingWindowRateLimiter(MemoryStorage()))


@pytest.fixture(scope="module")
def clinic(tmp_path_factory: pytest.TempPathFactory, quick_hashing: None) -> Iterator[Clinic]:
    desk = care.open_desk(str(tmp_path_factory.mktemp("clinic") / "records.sqlite"))
    person = care.new_person(desk, f"{MARKER} label", Person(40, "female", Side.RIGHT))
    episode = care.open_episode(desk, person, Complaint(side=Side.RIGHT, story=f"{MARKER} story"), f"{MARKER} title")
    visit = care.open_visit(desk, episode)
    entry = care.record_line(desk, visit, "gh post glide 2")
    words = care.WriterWords(to=f"Dr {MARKER}", told="That.", asked="An opinion.")
    document = care.sign_document(desk, visit, "referral", words, "A. Therapist")
    app, secrets, roles = make_app(desk, a_minute=0), {}, {}
    once = {"administrator": care.add_staff(desk, "The administrator", "administrator")[1]}
    for role in ("therapist", "assistant", "lead", "student"):
        tutor = next((one.id for one in care.list_staff(desk) if one.role == "therapist"), "")
        once[role] = care.add_staff(desk, f"The {role}", role, tutor)[1]
    student = next(one for one in care.list_staff(desk) if one.role == "student")
    own_visit = care.import_case(care.desk_of(desk, student), read_case("side: right\n", "c", desk.library), "Of Stu")
    presented = care.present(care.desk_of(desk, student), own_visit, "note")
    made = Clinic(desk, app, person, episode, visit, entry, document, presented, roles, secrets)
    for role, password in once.items():
        roles[role], secrets[role] = begin(made, f"The {role}", password)
    yield made
    desk.engine.dispose()
