"""What a browser keeps so that recording goes on without the program: forms of every test, a bare page, a worker."""

from __future__ import annotations

import gzip
import json
from pathlib import Path
from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import FileResponse, Response

from endfeel import care
from endfeel.assessment import shorthand_of
from endfeel.vocabulary import Procedure
from endfeel.web.controls import NORMAL_WORDS, Controls, controls_of
from endfeel.web.pages.desk import AtDesk
from endfeel.web.rendering import page, part, words
from endfeel.web.visit_values import shorts_of

router = APIRouter(include_in_schema=False)
_STATIC = Path(__file__).parents[1] / "static"
_HOW = (("One hand fixes", "fixed"), ("Moves", "moved"), ("Which way", "direction"))


@router.get("/couch")
def get_bare(request: Request) -> Response:
    """A visit without its person: shown after a reload while the program is away."""
    return page(request, "couch.html", {"bare": True})


@router.get("/couch.json")
def get_forms(request: Request, desk: AtDesk) -> Response:
    """The controls of every test; the same forms as on the visit, empty, each once. Nothing about anybody."""
    tag = f'"{desk.library.release}-{request.app.version}"'
    if request.headers.get("if-none-match") == tag:
        return Response(status_code=304, headers={"ETag": tag})
    if not hasattr(request.app.state, "couch"):
        told = json.dumps(_forms(request, desk), ensure_ascii=False, separators=(",", ":"))
        request.app.state.couch = gzip.compress(told.encode())
    headers = {"ETag": tag, "Cache-Control": "no-cache", "Content-Encoding": "gzip", "Vary": "Accept-Encoding"}
    return Response(request.app.state.couch, media_type="application/json", headers=headers)


@router.get("/offline-worker.js")
def get_worker() -> Response:
    """At the top, so that it may answer for every visit."""
    return FileResponse(_STATIC / "offline-worker.js", media_type="text/javascript")


def _forms(request: Request, desk: care.Desk) -> dict[str, Any]:
    shorts, limits = shorts_of(desk), shorthand_of(desk.library).limits
    forms: dict[tuple[Controls, bool, tuple[str, ...], str], str] = {}
    places: dict[tuple[Controls, bool, tuple[str, ...], str], int] = {}
    procedures = {}
    for one in desk.library.catalogue:
        controls, normal = controls_of(one, desk.library, limits), NORMAL_WORDS.get(one.outcomes, "")
        kind = (controls, one.sided, one.levels, normal)
        if kind not in forms:
            about = {"controls": controls, "normal": normal, "levels_left": one.levels, "given": {}, "faults": {}}
            forms[kind] = part(request, "_couch_form.html", {"record": {"procedure": one, **about}})
            places[kind] = len(places)
        procedures[one.id] = {
            "name": one.name,
            "short": shorts.get(one.id, ""),
            "region": one.region,
            "form": places[kind],
            "how": _how(one),
        }
    return {"forms": list(forms.values()), "procedures": procedures}


def _how(one: Procedure) -> list[tuple[str, str]]:
    told = [(term, getattr(one, name)) for term, name in _HOW if getattr(one, name) != "none"]
    return [("Person", words(one.preferred_position)), *told]
