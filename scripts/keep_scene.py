"""Write down the scene and the shapes that the browser tests of the drawn shoulder read (tests/kept)."""

from __future__ import annotations

import json
from pathlib import Path

from endfeel.evidence.load import load_library
from endfeel.pictures.drawn import Belief, drawn_scene, model_of, scene_json, shapes_json, surfaces
from endfeel.pictures.strain_scale import scale_of
from endfeel.vocabulary import Side

KEPT = Path(__file__).parents[1] / "tests" / "kept"
PROCEDURE, SIDE = "gh_er_90", Side.RIGHT
BELIEFS = (
    Belief("capsule_inferior", "inferior capsule", Side.RIGHT, None, 0.6),
    Belief("ac_arthropathy", "AC arthropathy", Side.RIGHT, None, 0.3),
    Belief("segment_stiffness", "segmental stiffness T5", None, "T5", 0.5),
)
"""Invented."""


def scene() -> dict[str, object]:
    """The kept scene, made anew."""
    library = load_library()
    model = model_of(library)
    made = drawn_scene(model, PROCEDURE, SIDE, beliefs=BELIEFS)
    return scene_json(made, scale_of(library, model.shoulders.parameters))


def shapes() -> dict[str, object]:
    """The kept shapes, made anew."""
    return shapes_json(surfaces(model_of(load_library()), SIDE), SIDE)


if __name__ == "__main__":
    KEPT.mkdir(exist_ok=True)
    for name, told in (("drawn_scene.json", scene()), ("drawn_shapes.json", shapes())):
        (KEPT / name).write_text(json.dumps(told, separators=(",", ":")) + "\n", encoding="utf-8")
