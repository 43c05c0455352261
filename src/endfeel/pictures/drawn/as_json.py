"""The scene and its shapes as plain values for the viewer: documented in docs/drawn_shoulder.md.

Lengths end in `_m` or `_mm`, angles in `_rad`; a turn is a quaternion x, y, z, w. Points of shapes are flat lists.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from endfeel.anatomy.units import Floats, mm_from_m
from endfeel.pictures.drawn.drawn_scene import DrawnScene
from endfeel.pictures.drawn.meshes import COLOURS, Surface
from endfeel.pictures.drawn.room import eye_of, furniture, room_from_thorax
from endfeel.pictures.drawn.scene_words import role_words, scene_words
from endfeel.pictures.drawn.solids import Mesh
from endfeel.pictures.strain_scale import STEPS, StrainScale
from endfeel.vocabulary import Position, Side

SCHEMA = 1
PAGE_UNITS_A_MM = 2.45
"""The strain scale is drawn on pages on which a millimetre of the shoulder takes so many units."""


def scene_json(scene: DrawnScene, scale: StrainScale) -> dict[str, Any]:
    """Everything of one procedure except the shapes themselves."""
    eye = eye_of(scene)
    return {
        "schema": SCHEMA,
        "procedure": scene.id,
        "name": scene.name,
        "side": scene.side.value,
        "level": scene.level,
        "position": scene.position.value,
        "kind": scene.kind,
        "words": scene_words(scene, scale),
        "person_turn": _quaternion(room_from_thorax(scene.position, scene.side)),
        "eye": {
            "turn_rad": _short(eye.turn_rad),
            "height_rad": _short(eye.height_rad),
            "target_m": _list(eye.target_m),
            "wide_m": _short(eye.wide_m),
        },
        "bones": [
            {
                "id": bone.id,
                "shape": bone.mesh,
                "turn": _quaternion(bone.turn),
                "place_m": _list(bone.place_m),
                "end_turn": _quaternion(bone.end_turn),
                "end_place_m": _list(bone.end_place_m),
            }
            for bone in scene.bones
        ],
        "hands": [
            {
                "role": hand.role,
                "says": role_words(hand.role),
                "words": hand.words,
                "left_hand": hand.is_left,
                "point_m": _list(hand.point_m),
                "outward": _list(hand.outward),
                "fingers": _list(hand.fingers),
                "end_point_m": _list(hand.end_point_m),
                "end_outward": _list(hand.end_outward),
                "end_fingers": _list(hand.end_fingers),
            }
            for hand in scene.hands
        ],
        "arrows": [
            {"role": arrow.role, "points_m": [_list(point) for point in arrow.points_m]} for arrow in scene.arrows
        ],
        "fibres": [
            {
                "band": before.band,
                "points_m": [_list(point) for point in before.points_m],
                "end_points_m": [_list(point) for point in after.points_m],
                "strain_percent": _short(before.strain_percent, 1),
                "end_strain_percent": _short(after.strain_percent, 1),
                "step": STEPS.index(scale.step(before.strain_percent)),
                "end_step": STEPS.index(scale.step(after.strain_percent)),
            }
            for before, after in zip(scene.fibres, scene.end_fibres, strict=True)
        ],
        "strain_steps": [
            {
                "words": step.word,
                "range": scale.range_words(step),
                "colour": step.colour,
                "wide_mm": _short(step.width / PAGE_UNITS_A_MM, 2),
                "dashes_mm": [_short(float(part) / PAGE_UNITS_A_MM, 2) for part in step.dashes.split()],
                "double": step.cored,
            }
            for step in STEPS
        ],
        "lit": [
            {
                "contributor": one.contributor,
                "name": one.name,
                "probability": _short(one.probability, 3),
                "bands": list(one.bands),
                "points_m": [_list(point) for point in one.points_m],
            }
            for one in scene.lit
        ],
        "levels": [{"name": name, "point_m": _list(point)} for name, point in scene.named_levels],
        "force_n": _short(scene.force_n, 1),
        "asked_force_n": _short(scene.asked_force_n, 1),
    }


def shapes_json(surfaces: tuple[Surface, ...], side: Side) -> dict[str, Any]:
    """The surfaces of a side, and the furniture of every position."""
    return {
        "schema": SCHEMA,
        "side": side.value,
        "colours": dict(COLOURS),
        "shapes": [{"shape": one.shape, "material": one.material, **_mesh(one.mesh)} for one in surfaces],
        "furniture": [
            {"position": position.value, "material": name, **_mesh(mesh)}
            for position in Position
            for name, mesh in furniture(position, side).items()
        ],
    }


def _mesh(mesh: Mesh) -> dict[str, Any]:
    return {
        "points_mm": np.round(mm_from_m(mesh.points_m), 1).ravel().tolist(),
        "triangles": mesh.triangles.ravel().tolist(),
    }


def _quaternion(turn: Floats) -> list[float]:
    """x, y, z, w of a rotation matrix, w not negative."""
    whole = np.array([
        [turn[0, 0] - turn[1, 1] - turn[2, 2], 0.0, 0.0, 0.0],
        [turn[0, 1] + turn[1, 0], turn[1, 1] - turn[0, 0] - turn[2, 2], 0.0, 0.0],
        [turn[0, 2] + turn[2, 0], turn[1, 2] + turn[2, 1], turn[2, 2] - turn[0, 0] - turn[1, 1], 0.0],
        [turn[2, 1] - turn[1, 2], turn[0, 2] - turn[2, 0], turn[1, 0] - turn[0, 1], np.trace(turn)],
    ])  # fmt: skip
    found = np.linalg.eigh(whole / 3.0)[1][:, -1]
    return _list(found if found[3] >= 0.0 else -found)


def _list(values: Floats) -> list[float]:
    return [_short(float(value)) for value in values]


def _short(value: float, digits: int = 5) -> float:
    return round(float(value), digits) + 0.0
