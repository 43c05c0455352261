"""The door for a class: an application of its own, on its own address, for learners. It knows no patient's record.

Behind it are the pages to join, the learner's own list, and the cases of the class. Teacher's pages, people and
documents are not there.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from fastapi import Depends, FastAPI, Request
from fastapi.responses import RedirectResponse, Response
from fastapi.staticfiles import StaticFiles

from endfeel import __version__, care
from endfeel.vocabulary import NotFound
from endfeel.web import errors, security
from endfeel.web.pages import join, learn
from endfeel.web.pages.desk import AtDesk
from endfeel.web.rates import Rates


@dataclass(frozen=True, slots=True)
class ClassDoor:
    """Where learners come in."""

    address: str
    """Such as `http://192.0.2.7:8712/`, as a learner must write it."""


def make_class_app(desk: care.Desk, hosts: tuple[str, ...]) -> FastAPI:
    """The application behind the door; `hosts` are the names under which it may be asked."""
    app = FastAPI(title="Endfeel class", version=__version__, docs_url=None, redoc_url=None, openapi_url=None)
    app.state.desk, app.state.hosts, app.state.for_learners = desk, frozenset(hosts), True
    app.state.rates = Rates()
    errors.install(app)
    app.add_middleware(security.Guard)
    app.mount("/static", StaticFiles(directory=Path(__file__).parent / "static"), name="static")
    app.include_router(join.router)
    app.include_router(learn.cases, dependencies=[Depends(_of_a_class)])

    @app.get("/")
    def get_start() -> Response:
        return RedirectResponse("/join", 303)

    return app


def _of_a_class(request: Request, desk: AtDesk) -> None:
    """Only cases of a class are behind this door. Raises NotFound for any other."""
    if not care.lesson_head(desk, request.path_params["lesson_id"]).member:
        raise NotFound("there is no such lesson")
