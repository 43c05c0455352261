"""The door for a phone: a small application of its own, on its own address, that knows no person and no record.

It serves one page and takes readings for a pairing; nothing that is stored can be asked for here.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Any

from fastapi import FastAPI, Header, Request
from fastapi.responses import JSONResponse, Response
from fastapi.staticfiles import StaticFiles
from pydantic import BaseModel, Field

from endfeel.evidence.library import Library
from endfeel.instruments import setting
from endfeel.web import errors, security
from endfeel.web.pairing import MOST_SAMPLES, HoldRule, Live, Pairings, Tilt
from endfeel.web.rates import USUAL, Rates
from endfeel.web.rendering import templates

SENDS = 4
"""A phone sends several times a second: so many times the usual limit is its own."""


@dataclass(frozen=True, slots=True)
class PhoneDoor:
    """Where phones come in, and who is paired."""

    address: str
    """Such as `https://192.0.2.7:8711/`, as a phone must write it."""
    pairings: Pairings

    def code_address(self, token: str) -> str:
        """What the QR code says. The token stands behind #, so that no request line and no log holds it."""
        return f"{self.address}phone#{token}"


class Claim(BaseModel):
    token: Annotated[str, Field(max_length=100)]


class Readings(BaseModel):
    """Rows of moment in seconds, beta and gamma in degrees."""

    tilts: Annotated[list[tuple[float, float, float]], Field(max_length=MOST_SAMPLES)]


Bearer = Annotated[str, Header(alias="authorization", max_length=200)]


def hold_rule(library: Library) -> HoldRule:
    """The rule of holds, from the evidence."""
    return HoldRule(*(setting(library, name) for name in ("hold_seconds", "steady_band_deg", "most_lean_deg")))


def make_phone_app(pairings: Pairings, hosts: tuple[str, ...]) -> FastAPI:
    """The application behind the door; `hosts` are the names under which it may be asked."""
    app = FastAPI(title="Endfeel phone", docs_url=None, redoc_url=None, openapi_url=None)
    app.state.hosts = frozenset(hosts)
    app.state.rates = Rates(SENDS * USUAL)
    errors.install_json(app)
    app.add_middleware(security.Guard)
    app.mount("/static", StaticFiles(directory=Path(__file__).parent / "static"), name="static")

    @app.get("/phone")
    def get_page(request: Request) -> Response:
        return templates.TemplateResponse(request, "phone.html", {})

    @app.post("/phone/claim")
    def post_claim(claim: Claim) -> Response:
        return JSONResponse({"key": pairings.claim(claim.token)})

    @app.post("/phone/readings")
    def post_readings(readings: Readings, authorization: Bearer) -> Response:
        tilts = (Tilt(*row) for row in readings.tilts)
        return JSONResponse(told(pairings.push(_key(authorization), tilts)))

    @app.post("/phone/zero")
    def post_zero(authorization: Bearer) -> Response:
        return JSONResponse(told(pairings.zero_by_phone(_key(authorization))))

    return app


def _key(authorization: str) -> str:
    return authorization.removeprefix("Bearer ")


def told(live: Live) -> dict[str, Any]:
    """What a phone says now, as JSON; angles in whole degrees, as far as the sensor goes."""
    angle, hold = live.angle, live.hold
    return {
        "stage": str(live.stage),
        "seconds_left": round(live.seconds_left),
        "zeroed": live.zeroed,
        "turn": str(live.turn),
        "degrees": None if angle is None or angle.degrees is None else round(angle.degrees),
        "upright": angle is not None and angle.degrees is None,
        "lean": round(angle.lean_deg) if angle else 0,
        "held": None if hold is None else round(hold.degrees),
        "at_zero": live.at_zero,
        "since": None if hold is None else hold.since,
    }
