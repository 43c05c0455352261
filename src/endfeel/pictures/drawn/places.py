"""Named places on the drawn bones: where a hand lies, where an arrow starts, where a contributor is lit.

Each has the bone it moves with, a point, the way out of the bone and the way the fingers of a hand point; a right
shoulder, in the axes of the bone, metres. Where a landmark lies is the model's; where a palm rests on it is drawing.
"""

# ruff: noqa: RUF005 (the sums are sums of points, not of lists)

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from endfeel.anatomy.sizes import Sizes
from endfeel.anatomy.thorax import outward_normal
from endfeel.anatomy.units import Floats
from endfeel.mechanics.shoulder import Shoulders
from endfeel.pictures.drawn.girdle_bones import blade_places_m
from endfeel.pictures.drawn.solids import unit
from endfeel.pictures.drawn.trunk import (
    LEVELS_DRAWN,
    on_thorax_m,
    rib_path_m,
    spinous_tip_m,
    vertebra_centre_m,
)
from endfeel.vocabulary import NotFound

_BESIDE_M = 0.019
"""From the spinous process to the facet joint beside it."""


@dataclass(frozen=True, slots=True)
class Place:
    """One place on one bone."""

    bone: str
    """`thorax`, `clavicle`, `scapula`, `humerus` or `forearm`."""
    point_m: Floats
    outward: Floats
    fingers: Floats
    """Unit vectors (3,)."""


def find_place(name: str, level: str, shoulders: Shoulders) -> Place:
    """A place by its name; some need a level. Raises NotFound."""
    known = _fixed_places(shoulders) | _at_level(level, shoulders.traits.sizes.one(0))
    if name not in known:
        raise NotFound(f"no place {name!r} on the drawn shoulder; there are {', '.join(known)}")
    bone, point, outward, fingers = known[name]
    return Place(bone, np.asarray(point, dtype=float), unit(outward), unit(fingers))


def _fixed_places(shoulders: Shoulders) -> dict[str, tuple[str, ArrayLike, ArrayLike, ArrayLike]]:
    sizes = shoulders.traits.sizes.one(0)
    at, radius = blade_places_m(shoulders), float(shoulders.bed.head_radius_m[0])
    long = float(sizes.clavicle_length_m)
    root, low, high, corner, joint = (at[name] for name in ("root", "low", "high", "corner", "joint"))
    middle = 0.45 * (0.5 * (root + low)) + 0.55 * (at["face"] - [0, 0, 0.012])
    rim = float(at["high_half"]) * at["up"]
    skin = radius + 0.008
    scapula: dict[str, tuple[ArrayLike, ArrayLike, ArrayLike]] = {
        "acromion": (joint + [-0.006, 0.008, 0.010], [0.1, 1.0, 0.25], [0.9, -0.2, 0.35]),
        "acromion_back": (corner + [-0.006, 0.002, -0.004], [-1.0, 0.25, 0.1], [0.1, 0.8, -0.6]),
        "coracoid": (at["beak"] + [0.004, 0.0, 0.0], [1.0, 0.1, 0.2], [0.0, 1.0, -0.3]),
        "spine_of_scapula": (0.5 * (root + corner) + [-0.006, 0.006, 0.0], [-1.0, 0.7, 0.0], [0.2, 0.2, 1.0]),
        "scapula_back": (middle + [-0.010, -0.012, -0.004], [-1.0, 0.0, 0.0], [0.0, 0.5, 1.0]),
        "inferior_angle": (low + [-0.006, -0.004, 0.004], [-1.0, -0.5, 0.1], [0.1, 1.0, 0.5]),
        "medial_border": (0.5 * (root + low) + [-0.006, 0.0, -0.004], [-1.0, 0.0, -0.8], [-0.3, 0.2, 1.0]),
        "lateral_border": (0.5 * (at["face"] + low) + [0.004, 0.0, 0.010], [0.3, -0.3, 1.0], [-0.2, 1.0, 0.2]),
        "superior_angle": (high + [-0.004, 0.006, 0.006], [-0.5, 1.0, 0.0], [0.8, 0.3, 0.3]),
        "trapezius_upper": (0.5 * (high + joint) + [0.0, 0.022, 0.0], [-0.2, 1.0, 0.0], [1.0, 0.2, 0.0]),
        "trapezius_middle": (root + [-0.008, 0.012, -0.012], [-1.0, 0.2, 0.0], [0.0, 0.0, 1.0]),
        "trapezius_lower": (root + [-0.006, -0.022, -0.022], [-1.0, 0.0, 0.0], [0.0, 1.0, 0.3]),
        "blade_notch": (0.5 * (at["coracoid_base"] + high) + [-0.012, 0.0, 0.014], [-0.5, 1.0, 0.0], [1.0, 0.0, 0.0]),
        "labrum_top": (at["face"] + rim, at["up"], at["outward"]),
        "labrum_back_low": (at["face"] - 0.75 * rim - 0.9 * float(at["wide_half"]) * at["forward"],
                            -at["up"] - at["forward"], at["outward"]),
        "socket": (at["face"], at["outward"], at["up"]),
        "quadrilateral_space": (np.array([-0.016, -0.036, -0.006]), [-1.0, -0.5, 0.0], [0.0, 1.0, 0.0]),
    }  # fmt: skip
    humerus: dict[str, tuple[ArrayLike, ArrayLike, ArrayLike]] = {
        "head_front": ([skin, -0.004, 0.008], [1.0, 0.0, 0.25], [0.1, 1.0, -0.5]),
        "head_back": ([-skin, -0.004, 0.008], [-1.0, 0.0, 0.25], [0.1, 1.0, -0.4]),
        "head_top": ([0.0, 0.010, 0.034], [0.0, 0.75, 0.7], [0.2, 0.5, -0.7]),
        "head_below": ([0.006, -0.040, -0.014], [0.2, -0.4, -1.0], [0.2, 1.0, -0.3]),
        "head_side": ([0.0, -0.006, 0.036], [0.0, 0.1, 1.0], [0.2, 1.0, 0.0]),
        "shaft_upper": ([0.010, -0.090, 0.012], [0.5, 0.0, 1.0], [1.0, 0.1, -0.4]),
        "shaft_lower": ([0.010, -0.215, 0.016], [0.4, 0.0, 1.0], [1.0, 0.1, -0.4]),
        "elbow": ([-0.010, -0.312, 0.010], [-0.2, -1.0, 0.35], [0.4, 0.1, -1.0]),
        "greater_tuberosity": ([0.004, 0.016, 0.026], [0.0, 1.0, 0.6], [0.0, 0.4, -1.0]),
        "lesser_tuberosity": ([0.028, -0.006, 0.006], [1.0, 0.0, 0.1], [0.0, 1.0, 0.0]),
        "biceps_groove": ([0.019, -0.012, 0.019], [1.0, 0.0, 0.7], [0.0, 1.0, 0.2]),
        "cuff_back": ([-0.014, 0.008, 0.026], [-1.0, 0.5, 0.5], [0.0, 1.0, 0.0]),
        "cuff_back_low": ([-0.018, -0.008, 0.020], [-1.0, 0.0, 0.5], [0.0, 1.0, 0.0]),
        "pectoral_insertion": ([0.014, -0.055, 0.010], [1.0, 0.0, 0.2], [0.0, 1.0, 0.0]),
    }
    clavicle: dict[str, tuple[ArrayLike, ArrayLike, ArrayLike]] = {
        "sc_joint": ([0.010, 0.006, -0.004], [1.0, 0.4, 0.0], [0.0, 1.0, 0.0]),
        "clavicle_medial": ([0.012, 0.007, 0.018], [1.0, 0.6, 0.0], [-0.2, 0.2, -1.0]),
        "clavicle_middle": ([0.014, 0.009, 0.45 * long], [0.7, 1.0, 0.0], [-0.3, 0.2, -1.0]),
        "clavicle_lateral": ([-0.004, 0.009, 0.86 * long], [0.3, 1.0, 0.0], [-0.2, 0.0, 1.0]),
        "ac_joint": ([0.0, 0.009, long], [0.2, 1.0, 0.2], [-0.2, 0.0, 1.0]),
    }
    return (
        {name: ("scapula", *where) for name, where in scapula.items()}
        | {name: ("humerus", *where) for name, where in humerus.items()}
        | {name: ("clavicle", *where) for name, where in clavicle.items()}
        | {"wrist": ("forearm", [0.205, 0.004, 0.020], [0.0, 0.3, 1.0], [0.1, 1.0, -0.2])}
        | {name: ("thorax", *where) for name, where in _on_trunk(sizes).items()}
    )


def _on_trunk(sizes: Sizes) -> dict[str, tuple[ArrayLike, ArrayLike, ArrayLike]]:
    def at(turn_deg: float, up_m: float) -> tuple[Floats, Floats]:
        point = on_thorax_m(np.radians(turn_deg), np.asarray(up_m), sizes)
        return point, outward_normal(point, sizes.thorax_centre_m, sizes.thorax_radii_m)

    places: dict[str, tuple[ArrayLike, ArrayLike, ArrayLike]] = {}
    for name, turn, up, fingers in (
        ("sternum", 180.0, -0.075, [0.0, 1.0, 0.2]), ("ribs_side", 95.0, -0.215, [-0.6, 0.6, 0.0]),
        ("ribs_front", 138.0, -0.125, [0.0, 0.5, 1.0]),
    ):  # fmt: skip
        point, normal = at(turn, up)
        places[name] = (point + 0.008 * normal, normal, fingers)
    for name, number, share in (("rib_1", 1, 0.42), ("rib_2_back", 2, 0.22)):
        path = rib_path_m(number, sizes)
        places[name] = (path[int(share * len(path))] + [0.0, 0.008, 0.0], [-0.2, 1.0, 0.2], [1.0, -0.2, -0.1])
    places["pelvis"] = ([-0.060, -0.440, 0.165], [0.1, 0.0, 1.0], [0.3, 1.0, 0.0])
    places["neck"] = (vertebra_centre_m("C6", sizes) + [-0.012, 0.0, 0.020], [0.0, 0.2, 1.0], [1.0, 0.0, 0.0])
    for level in LEVELS_DRAWN:
        places[level] = _spinous(level, 0.0, sizes)
    return places


def _at_level(level: str, sizes: Sizes) -> dict[str, tuple[str, ArrayLike, ArrayLike, ArrayLike]]:
    """Places that need a level: the vertebra, its two facet joints, the one below, a rib behind and in front."""
    if level.startswith("R"):
        number, vertebral = int(level[1:]), f"T{level[1:]}"
    else:
        vertebral = level if level in LEVELS_DRAWN else "T5"
        number = int(vertebral[1:]) if vertebral.startswith("T") and int(vertebral[1:]) <= 10 else 4
    below = LEVELS_DRAWN[min(LEVELS_DRAWN.index(vertebral) + 1, len(LEVELS_DRAWN) - 1)]
    path = rib_path_m(number, sizes)
    behind, front = path[4], path[-4]
    found = {
        "level": _spinous(vertebral, 0.0, sizes),
        "level_up": _spinous(vertebral, _BESIDE_M, sizes),
        "level_down": _spinous(vertebral, -_BESIDE_M, sizes),
        "level_below": _spinous(below, 0.0, sizes),
        "rib_angle": (behind, outward_normal(behind, sizes.thorax_centre_m, sizes.thorax_radii_m), [0.0, 1.0, 0.5]),
        "rib_front": (front, outward_normal(front, sizes.thorax_centre_m, sizes.thorax_radii_m), [0.0, 1.0, 0.2]),
    }
    return {name: ("thorax", *where) for name, where in found.items()}


def _spinous(level: str, aside_m: float, sizes: Sizes) -> tuple[ArrayLike, ArrayLike, ArrayLike]:
    tip = spinous_tip_m(level, sizes) + [0.010 * (aside_m != 0.0), 0.006 * (aside_m != 0.0), aside_m]
    return tip, [-1.0, 0.15, 0.0], [0.0, 0.25, 1.0 if aside_m >= 0 else -1.0]
