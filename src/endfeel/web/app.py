"""The application and its list of routes."""

from __future__ import annotations

from pathlib import Path

from fastapi import FastAPI
from fastapi.staticfiles import StaticFiles

from endfeel import __version__
from endfeel.care import Desk
from endfeel.care.custody import BackupWatch
from endfeel.web import errors, security, way_in
from endfeel.web.class_door import ClassDoor
from endfeel.web.pages import (
    agreement,
    api,
    arrivals,
    body_chart,
    caseload,
    classroom,
    couch,
    course,
    documents,
    evidence,
    exchange,
    fhir,
    here,
    home,
    join,
    learn,
    measures,
    note,
    outcomes,
    own_sign_in,
    phone,
    readings,
    rights,
    screen,
    shoulder,
    sign_in,
    staff,
    start,
    state,
    story,
    supervision,
    team,
    treatment,
    visit,
    voice,
)
from endfeel.web.phone_door import PhoneDoor
from endfeel.web.rates import USUAL, Rates
from endfeel.web.together import Together
from endfeel.web.visit_values import RecentViews, Standings
from endfeel.web.watch import Counts, Watch

LOCAL_HOSTS = ("127.0.0.1", "localhost", "[::1]")


def make_app(
    desk: Desk,
    hosts: tuple[str, ...] = LOCAL_HOSTS,
    door: PhoneDoor | None = None,
    class_door: ClassDoor | None = None,
    a_minute: int = USUAL,
) -> FastAPI:
    """The pages of one desk. `hosts` are the names under which it may be asked, `door` is where a phone comes in,
    `class_door` where learners do, `a_minute` how many requests one address has in a minute (0: no limit)."""
    app = FastAPI(
        title="Endfeel",
        version=__version__,
        docs_url=None,
        redoc_url=None,
        description="Small JSON interface. Supports licensed clinicians; does not diagnose.",
    )
    app.state.desk = desk
    app.state.hosts = frozenset(hosts)
    app.state.phone = door
    app.state.class_door = class_door
    app.state.views = RecentViews()
    app.state.standing = Standings()
    app.state.together = Together()
    app.state.rates = Rates(a_minute)
    app.state.counts = Counts()
    app.state.backups = BackupWatch()
    errors.install(app)
    app.add_middleware(way_in.Door)
    app.add_middleware(security.Guard)
    app.add_middleware(Watch, counts=app.state.counts)
    app.mount("/static", StaticFiles(directory=Path(__file__).parent / "static"), name="static")
    for room in (
        arrivals,  # first what is asked most often: addresses are tried in this order
        visit,
        start,
        state,
        story,
        treatment,
        home,
        measures,
        course,
        learn,
        join,
        classroom,
        agreement,
        body_chart,
        caseload,
        outcomes,
        couch,
        screen,
        note,
        documents,
        here,
        evidence,
        shoulder,
        api,
        exchange,
        fhir,
        phone,
        readings,
        rights,
        voice,
        sign_in,
        own_sign_in,
        staff,
        team,
        supervision,
    ):
        app.include_router(room.router)
    return app
