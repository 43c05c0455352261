"""The drawn shoulder: one scene a procedure and side, as a value, as JSON for the viewer and as a still picture."""

from endfeel.pictures.drawn.as_json import scene_json, shapes_json
from endfeel.pictures.drawn.drawn_scene import (
    Belief,
    DrawnScene,
    drawn_scene,
    lit_scene,
    posed_scene,
    why_not_drawn,
)
from endfeel.pictures.drawn.meshes import Surface, surfaces
from endfeel.pictures.drawn.poses import Model, model_of
from endfeel.pictures.drawn.scene_words import scene_words
from endfeel.pictures.drawn.still import still_picture

__all__ = [
    "Belief",
    "DrawnScene",
    "Model",
    "Surface",
    "drawn_scene",
    "lit_scene",
    "model_of",
    "posed_scene",
    "scene_json",
    "scene_words",
    "shapes_json",
    "still_picture",
    "surfaces",
    "why_not_drawn",
]
