"""A clinic for tests of its pages: a person of nobody's, and a browser signed in for each role."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

import pyotp
from fastapi import FastAPI
from fastapi.routing import APIRoute
from starlette.routing import Mount, Route
from starlette.testclient import TestClient

from endfeel import care

WORDS = "several long words"
MARKER = "Zanzibar"
"""Stands in label, story and title of the person nobody here may see."""
HOME = "http://127.0.0.1:8710"


@dataclass
class Clinic:
    """One clinic for all tests here: a person of nobody's, and a client signed in for each role."""

    desk: care.Desk
    app: FastAPI
    person: str
    episode: str
    visit: str
    entry: str
    document: str
    presented: str
    roles: dict[str, TestClient]
    secrets: dict[str, str]

    def client(self) -> TestClient:
        """A browser that is not signed in."""
        return TestClient(self.app, base_url=HOME, raise_server_exceptions=False, follow_redirects=False)

    def routes(self) -> Iterator[tuple[str, str]]:
        """Every method and address, with ids of the person nobody here may see."""
        known = {"person_id": self.person, "visit_id": self.visit, "episode_id": self.episode, "entry_id": self.entry,
                 "document_id": self.document, "presented_id": self.presented, "form": "json", "kind": "referral",
                 "form_id": "spadi", "resource_id": self.person, "number": "1", "staff_id": "x", "lesson_id": "x",
                 "exercise": "x", "figure_id": "x"}  # fmt: skip
        for route in _all(self.app):
            address = re.sub(r"\{(\w+)(?::\w+)?\}", lambda found: known.get(found[1], "x"), route.path)
            for method in sorted((route.methods or set()) - {"HEAD", "OPTIONS"}):
                yield method, address


def _all(app: FastAPI) -> list[Route | APIRoute]:
    """Every route, those of included routers too."""
    found: list[Route | APIRoute] = []

    def walk(routes: list[object]) -> None:
        for one in routes:
            inside = getattr(one, "original_router", None) or (None if isinstance(one, Mount) else one)
            if isinstance(one, Route | APIRoute):
                found.append(one)
            elif hasattr(inside, "routes"):
                walk(list(inside.routes))

    walk(list(app.routes))
    return found


def begin(clinic: Clinic, name: str, once: str) -> tuple[TestClient, str]:
    """Go the whole way in for the first time, as a browser does."""
    client = clinic.client()
    answer = client.post("/sign-in", data={"name": name, "password": once})
    assert answer.status_code == 303
    assert client.get(answer.headers["location"]).headers["location"] == "/me"
    assert client.get("/people/new").headers["location"] == "/me", "first the sign-in, then the work"
    data = {"old": once, "new": WORDS, "again": WORDS}
    assert client.post("/me/password", data=data).status_code == 303
    shown = client.get("/me/generator").text
    assert re.search(r"<svg[^>]+viewBox=", shown), "a code that is cut cannot be scanned"
    secret = re.search(r"<code>([A-Z2-7 ]+)</code>", shown)
    assert secret
    plain = secret[1].replace(" ", "")
    told = client.post("/me/generator", data={"code": pyotp.TOTP(plain).now()}).text
    assert len(re.findall(r"<code>\w{5}-\w{5}</code>", told)) == 10
    assert client.get("/me").status_code == 200
    return client, plain


def again(clinic: Clinic, role: str) -> TestClient:
    """Signed in anew, by a recovery code made for it: the generator's code of now may have been used."""
    staff = next(one for one in care.list_staff(clinic.desk) if one.name == f"The {role}")
    return begin(clinic, staff.name, care.reset_sign_in(clinic.desk, staff.id))[0]
