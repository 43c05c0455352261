"""The room round the person: how somebody lies or sits in it, and from where the picture is looked at.

Room axes: the first to the right of the page, the second up, the third towards the eye that looks straight in. A right
side; the left is the mirror image in the first axis, made here.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from endfeel.anatomy.frames import points_of_side
from endfeel.anatomy.units import Floats
from endfeel.pictures.drawn.body import couch
from endfeel.pictures.drawn.drawn_scene import DrawnScene
from endfeel.pictures.drawn.solids import Mesh, box, ellipsoid, unit
from endfeel.vocabulary import Position, Side

_FORWARD, _UP, _LATERAL = np.eye(3)
_PERSON = {
    Position.SIDE_LYING: (_UP, _LATERAL, _FORWARD),
    Position.SUPINE: (-_UP, _FORWARD, _LATERAL),
    Position.PRONE: (_UP, -_FORWARD, _LATERAL),
    Position.SITTING: (-_LATERAL, _UP, _FORWARD),
    Position.STANDING: (-_LATERAL, _UP, _FORWARD),
}
"""The room's axes as directions of the body."""
_VIEWS = {
    "front": (1.0, 0.10, 0.42), "back": (-1.0, 0.10, 0.45), "outside": (0.30, 0.15, 1.0), "above": (0.45, 0.85, 0.55),
    "front_high": (1.0, 0.12, 0.95),
}  # fmt: skip
"""Towards the eye, as directions of the body."""
_HAND_M = 0.13
_LOWEST_RAD, _HIGHEST_RAD = 0.10, 1.15
_MARGIN, _LEAST_M, _MOST_M = 1.15, 0.64, 1.05


@dataclass(frozen=True, slots=True)
class Eye:
    """From where a scene is looked at: turn round the upright axis, height, what is looked at and how much of it."""

    turn_rad: float
    height_rad: float
    target_m: Floats
    wide_m: float

    @property
    def axes(self) -> Floats:
        """(3, 3) rows: right, up and towards the eye, in the room."""
        across = np.array([np.cos(self.turn_rad), 0.0, -np.sin(self.turn_rad)])
        toward = np.array(
            [
                np.sin(self.turn_rad) * np.cos(self.height_rad),
                np.sin(self.height_rad),
                np.cos(self.turn_rad) * np.cos(self.height_rad),
            ]
        )
        return np.array([across, np.cross(toward, across), toward])


def room_from_thorax(position: Position, side: Side) -> Floats:
    """The rotation (3, 3) that lays the thorax into the room."""
    right: Floats = np.array(_PERSON[position])
    if side is Side.RIGHT:
        return right
    left: Floats = right * np.array([-1.0, 1.0, 1.0])[:, None] * np.array([1.0, 1.0, -1.0])
    return left


def eye_of(scene: DrawnScene) -> Eye:
    """Looks at the joints, the hands and the arrows together, from the side of the body that the scene asks for."""
    person = room_from_thorax(scene.position, scene.side)
    toward = person @ points_of_side(unit(_VIEWS[scene.view]), scene.side)
    turn = float(np.arctan2(toward[0], toward[2]))
    height = float(np.clip(np.arcsin(np.clip(toward[1], -1.0, 1.0)), _LOWEST_RAD, _HIGHEST_RAD))
    girdle = {bone.id: bone for bone in scene.bones}
    shown = [girdle[name].place_m for name in ("clavicle", "scapula")]
    shown += [girdle["scapula"].place_m + points_of_side(np.array(away), scene.side)
              for away in ((-0.02, -0.15, -0.10), (0.0, 0.07, 0.07), (-0.10, 0.0, -0.17))]  # fmt: skip
    shown += [point for arrow in scene.arrows for point in arrow.points_m if arrow.role != "fossa"]
    if scene.kind in ("move", "hold", "show"):
        shown += [girdle["forearm"].place_m, girdle["forearm"].end_place_m]
    for hand in scene.hands:
        for point, fingers in ((hand.point_m, hand.fingers), (hand.end_point_m, hand.end_fingers)):
            shown += [point, point - _HAND_M * fingers]
    first = Eye(turn, height, np.zeros(3), 1.0)
    page = np.array(shown) @ person.T @ first.axes.T
    low, high = page.min(axis=0), page.max(axis=0)
    middle = first.axes.T @ ((low + high) / 2.0)
    wide = float(np.clip(max(high[0] - low[0], (high[1] - low[1]) * 4.0 / 3.0) * _MARGIN, _LEAST_M, _MOST_M))
    return Eye(turn, height, middle, wide)


def furniture(position: Position, side: Side) -> dict[str, Mesh]:
    """`couch` and `pillow` under the person, in room axes."""
    made: dict[str, Mesh] = {}
    if position is Position.SIDE_LYING:
        made = {
            "couch": couch(np.array([-0.80, -0.235, -0.33]), np.array([0.48, -0.176, 0.36])),
            "pillow": _cushion([0.235, -0.128, 0.00], [0.125, 0.052, 0.22]),
        }
    elif position is Position.SUPINE:
        made = {
            "couch": couch(np.array([-0.48, -0.240, -0.34]), np.array([0.80, -0.178, 0.34])),
            "pillow": _cushion([-0.235, -0.166, 0.0], [0.125, 0.024, 0.20]),
        }
    elif position is Position.PRONE:
        made = {"couch": couch(np.array([-0.80, -0.145, -0.34]), np.array([0.48, -0.082, 0.34]))}
    elif position is Position.SITTING:
        made = {"couch": box([-0.30, -0.640, -0.30], [0.30, -0.560, 0.24], 0.05)}
    return made if side is Side.RIGHT else {name: _turned_over(mesh) for name, mesh in made.items()}


def _turned_over(mesh: Mesh) -> Mesh:
    return Mesh(mesh.points_m * np.array([-1.0, 1.0, 1.0]), mesh.triangles[:, ::-1])


def _cushion(centre_m: list[float], half_m: list[float]) -> Mesh:
    """A pillow: an ellipsoid with full corners."""
    ball = ellipsoid(np.zeros(3), np.ones(3), 8, 20)
    full = np.sign(ball.points_m) * np.abs(ball.points_m) ** 0.55
    return Mesh(np.array(centre_m) + np.array(half_m) * full, ball.triangles)
