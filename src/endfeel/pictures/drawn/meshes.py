"""Every surface that is drawn, by the bone that it moves with and by what it is made of; made once for a side."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from endfeel.pictures.drawn import body, girdle_bones, trunk
from endfeel.pictures.drawn.poses import Model
from endfeel.pictures.drawn.solids import Mesh, joined
from endfeel.vocabulary import Side


@dataclass(frozen=True, slots=True)
class Surface:
    """One surface of one shape."""

    shape: str
    """The bone that it moves with."""
    material: str
    """`bone`, `rib`, `cartilage`, `inside`, `skin` or `hand`."""
    mesh: Mesh


COLOURS: Mapping[str, str] = {
    "bone": "#f3e9d2",
    "rib": "#e3dccb",
    "spine": "#e9e0cc",
    "cartilage": "#cfe3ea",
    "inside": "#8d9da5",
    "skin": "#d9a98c",
    "fixes": "#2f6f9f",
    "moves": "#d2571e",
    "resists": "#d2571e",
    "pushes": "#6b5a9a",
    "feels": "#6b5a9a",
    "couch": "#c9d3d4",
    "pillow": "#eef1f0",
}
"""What each is painted with; the same in the viewer and in the still picture."""


def surfaces(model: Model, side: Side) -> tuple[Surface, ...]:
    """All of them, in the axes of their bones; a left side's are mirrored."""
    shoulders, sizes = model.shoulders, model.sizes
    parts = trunk.trunk_meshes(sizes)
    levels = joined([mesh for name, mesh in parts.items() if name in trunk.LEVELS_DRAWN])
    girdle = (
        Surface("clavicle", "bone", girdle_bones.clavicle(float(sizes.clavicle_length_m))),
        Surface("scapula", "bone", girdle_bones.scapula(shoulders)),
        Surface("humerus", "cartilage", girdle_bones.humeral_head(float(shoulders.bed.head_radius_m[0]))),
        Surface("humerus", "bone", girdle_bones.humerus(shoulders)),
        Surface("humerus", "skin", body.upper_arm_skin()),
        Surface("forearm", "bone", girdle_bones.forearm()),
        Surface("forearm", "skin", body.forearm_skin()),
    )
    right = (
        *girdle,
        *(Surface(f"other_{one.shape}", one.material, one.mesh.mirrored()) for one in girdle),
        Surface("trunk", "inside", parts["thorax"]),
        Surface("trunk", "rib", joined([parts["ribs"], parts["sternum"]])),
        Surface("trunk", "spine", levels),
        Surface("trunk", "skin", joined([body.trunk_skin(), body.head_skin()])),
        Surface("hand", "hand", body.hand()),
    )
    if side is Side.RIGHT:
        return right
    return tuple(one if one.shape == "hand" else Surface(one.shape, one.material, one.mesh.mirrored()) for one in right)
