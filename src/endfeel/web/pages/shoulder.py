"""The drawn shoulder: its scene and shapes as JSON, its still picture, and a page to look at any procedure or pose."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Query, Request, Response

from endfeel import care
from endfeel.assessment import DEFAULT_MINUTES
from endfeel.pictures.drawn import DrawnScene, why_not_drawn
from endfeel.vocabulary import LEVELS, RIBS, CannotRead, Fault, Position, Refused, Side
from endfeel.web.drawing import Drawing, drawn_values
from endfeel.web.pages.desk import AtDesk
from endfeel.web.rendering import page

router = APIRouter()
Plane = Annotated[float, Query(ge=-120, le=150, description="0 sideways, 90 forward; degrees.")]
Elevation = Annotated[float, Query(ge=0, le=180, description="Of the arm on the trunk, degrees.")]
Inward = Annotated[float, Query(ge=-120, le=120, description="Turn inward from neutral, degrees.")]
FIRST = "gh_post"


def drawing_of(request: Request, desk: care.Desk) -> Drawing:
    """The one drawing of this program, made when it is first asked for."""
    if not hasattr(request.app.state, "drawing"):
        request.app.state.drawing = Drawing(desk.library)
    made: Drawing = request.app.state.drawing
    return made


@router.get("/api/scene", tags=["drawn shoulder"])
def get_scene(
    request: Request,
    desk: AtDesk,
    procedure: str,
    side: Side = Side.RIGHT,
    level: str = "",
    position: Position | None = None,
    visit: str = "",
    key: str = "",
) -> dict[str, Any]:
    """One procedure as a scene; with a visit, its contributors are lit. Documented in docs/drawn_shoulder.md."""
    drawing = drawing_of(request, desk)
    return drawing.as_json(_scene(request, desk, procedure, side, level, position, visit, key))


@router.get("/api/scene/pose", tags=["drawn shoulder"])
def get_pose(
    request: Request,
    desk: AtDesk,
    side: Side = Side.RIGHT,
    plane: Plane = 30.0,
    elevation: Elevation = 60.0,
    inward: Inward = 0.0,
) -> dict[str, Any]:
    """An arm in any pose as a scene: the girdle follows by a published rhythm, the fibres by the model."""
    drawing = drawing_of(request, desk)
    return drawing.as_json(drawing.pose((plane, elevation, inward), side))


@router.get("/api/scene/shapes", tags=["drawn shoulder"])
def get_shapes(request: Request, desk: AtDesk, side: Side = Side.RIGHT) -> Response:
    """The shapes that scenes of a side are drawn with; the same for every procedure."""
    kept = {"Cache-Control": "private, max-age=3600"}
    return Response(drawing_of(request, desk).shapes(side), media_type="application/json", headers=kept)


@router.get("/shoulder/picture.svg", include_in_schema=False)
def get_picture(
    request: Request,
    desk: AtDesk,
    procedure: str,
    side: Side = Side.RIGHT,
    level: str = "",
    position: Position | None = None,
    visit: str = "",
    key: str = "",
) -> Response:
    """The same scene as a still picture."""
    scene = _scene(request, desk, procedure, side, level, position, visit, key)
    return Response(drawing_of(request, desk).picture(scene), media_type="image/svg+xml")


@router.get("/shoulder", include_in_schema=False)
def get_page(
    request: Request,
    desk: AtDesk,
    procedure: str = FIRST,
    side: Side = Side.RIGHT,
    level: str = "",
    plane: Plane = 30.0,
    elevation: Elevation = 60.0,
    inward: Inward = 0.0,
    pose: bool = False,
) -> Response:
    """Any procedure, or any pose of the arm, to look at."""
    chosen = desk.library.catalogue[procedure]
    reason = why_not_drawn(desk.library, procedure)
    drawn = [one for one in desk.library.catalogue if not why_not_drawn(desk.library, one.id)]
    values = {
        "procedure": chosen,
        "procedures": drawn,
        "side": side,
        "level": level if level in chosen.levels else "",
        "reason": reason,
        "pose": pose,
        "plane": plane,
        "elevation": elevation,
        "inward": inward,
        "drawn": None if pose else drawn_values(desk.library, procedure, side, level),
        "library": desk.library,
    }
    return page(request, "shoulder.html", values)


def _scene(
    request: Request,
    desk: care.Desk,
    procedure: str,
    side: Side,
    level: str,
    position: Position | None,
    visit: str,
    key: str,
) -> DrawnScene:
    if level not in ("", *LEVELS, *RIBS):
        raise CannotRead([Fault("There is no such level", level, "C7 to T9, or a rib")])
    reason = why_not_drawn(desk.library, procedure)
    if reason:
        raise Refused(f"There is no picture: {reason}")
    drawing = drawing_of(request, desk)
    scene = drawing.scene(procedure, side, level, position)
    if not visit:
        return scene
    view = request.app.state.views.get(desk, key, visit) or care.view_visit(desk, visit, DEFAULT_MINUTES)
    return drawing.lit(scene, view)
