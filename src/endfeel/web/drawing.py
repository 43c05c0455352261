"""The drawn shoulder as pages ask for it: made once for each procedure and side, kept for the next who asks."""

from __future__ import annotations

import json
from collections import OrderedDict
from collections.abc import Sequence
from threading import Lock
from typing import Any

from endfeel.care import VisitView
from endfeel.evidence.library import Library
from endfeel.pictures.drawn import (
    Belief,
    DrawnScene,
    Model,
    Surface,
    drawn_scene,
    lit_scene,
    model_of,
    posed_scene,
    scene_json,
    shapes_json,
    still_picture,
    surfaces,
    why_not_drawn,
)
from endfeel.pictures.strain_scale import StrainScale, scale_of
from endfeel.pictures.svg import SCREEN_FONT
from endfeel.vocabulary import Position, Side

KEPT = 64
LIT_MOST, LIT_FROM = 5, 0.15
"""How many contributors are lit at most, and from which probability on: more would be a fairground."""
ELBOW_DEG = 90.0


class Drawing:
    """Scenes and pictures of one library; safe to ask from several requests at once."""

    def __init__(self, library: Library) -> None:
        self.library = library
        self._lock = Lock()
        self._model: Model | None = None
        self._scenes: OrderedDict[tuple[object, ...], DrawnScene] = OrderedDict()
        self._pictures: OrderedDict[tuple[object, ...], str] = OrderedDict()
        self._surfaces: dict[Side, tuple[Surface, ...]] = {}
        self._shapes: dict[Side, bytes] = {}

    def scene(self, procedure: str, side: Side, level: str = "", position: Position | None = None) -> DrawnScene:
        """The scene of a procedure. Raises NotFound and Refused as `drawn_scene` does."""
        return self._kept((procedure, side, level, position), lambda: self._drawn(procedure, side, level, position))

    def pose(self, arm_deg: tuple[float, float, float], side: Side) -> DrawnScene:
        """An arm in any pose."""
        with self._lock:
            return posed_scene(self._ready(), arm_deg, ELBOW_DEG, side)

    def lit(self, scene: DrawnScene, view: VisitView) -> DrawnScene:
        """The scene with what this visit believes of its side."""
        with self._lock:
            return lit_scene(self._ready(), scene, lit_of(view, scene.side))

    def as_json(self, scene: DrawnScene) -> dict[str, Any]:
        return scene_json(scene, self._scale())

    def picture(self, scene: DrawnScene, font: str | None = None) -> str:
        """The scene as SVG."""
        lit = tuple((one.contributor, round(one.probability, 2)) for one in scene.lit)
        key = (scene.id, scene.side, scene.level, scene.position, lit, font)
        with self._lock:
            if scene.id and key in self._pictures:
                self._pictures.move_to_end(key)
                return self._pictures[key]
            surfaces_of, scale = self._surfaces_of(scene.side), self._scale()
        made = still_picture(scene, surfaces_of, scale, font or SCREEN_FONT)
        with self._lock:
            self._pictures[key] = made
            while len(self._pictures) > KEPT:
                self._pictures.popitem(last=False)
        return made

    def shapes(self, side: Side) -> bytes:
        """JSON of every shape of a side."""
        with self._lock:
            if side not in self._shapes:
                told = shapes_json(self._surfaces_of(side), side)
                self._shapes[side] = json.dumps(told, separators=(",", ":")).encode()
            return self._shapes[side]

    def _drawn(self, procedure: str, side: Side, level: str, position: Position | None) -> DrawnScene:
        return drawn_scene(self._ready(), procedure, side, level, position=position)

    def _kept(self, key: tuple[object, ...], make: Any) -> DrawnScene:
        with self._lock:
            if key not in self._scenes:
                self._scenes[key] = make()
            self._scenes.move_to_end(key)
            while len(self._scenes) > KEPT:
                self._scenes.popitem(last=False)
            return self._scenes[key]

    def _ready(self) -> Model:
        if self._model is None:
            self._model = model_of(self.library)
        return self._model

    def _surfaces_of(self, side: Side) -> tuple[Surface, ...]:
        if side not in self._surfaces:
            self._surfaces[side] = surfaces(self._ready(), side)
        return self._surfaces[side]

    def _scale(self) -> StrainScale:
        return scale_of(self.library, self._ready().shoulders.parameters)


def lit_of(view: VisitView, side: Side) -> Sequence[Belief]:
    """The leading contributors of a visit that lie on a side or on none."""
    beliefs = [
        Belief(one.contributor, " ".join(filter(None, (one.name, one.level))), one.side, one.level, one.probability)
        for one in view.assessment.posterior.beliefs
        if one.probability >= LIT_FROM and one.side in (None, side)
    ]
    return sorted(beliefs, key=lambda one: -one.probability)[:LIT_MOST]


def drawn_values(
    library: Library, procedure_id: str, side: Side | str | None, level: str = "", visit: str = ""
) -> dict[str, Any]:
    """What `_drawn.html` needs of one procedure: why there is no picture, or where its scene is to be had."""
    procedure = library.catalogue[procedure_id]
    on = Side(side) if side in tuple(Side) else Side.RIGHT
    asked = {"procedure": procedure_id, "side": on.value, "level": level, "visit": visit}
    return {
        "reason": why_not_drawn(library, procedure_id),
        "asked": {name: value for name, value in asked.items() if value},
        "side": on.value,
        "name": procedure.name,
        "fixed": procedure.fixed,
        "moved": procedure.moved,
        "direction": procedure.direction,
    }
