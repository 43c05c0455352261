"""Thorax, ribs, breastbone and spine as plain shapes on the ellipsoid on which the shoulder blade glides.

The ellipsoid is the model's; how a rib runs on it, how thick it is and where a vertebra stands is drawing and says
nothing about anatomy. Thorax axes, metres.
"""

from __future__ import annotations

import numpy as np

from endfeel.anatomy.sizes import Sizes
from endfeel.anatomy.thorax import outward_normal
from endfeel.anatomy.units import Floats
from endfeel.pictures.drawn.solids import Mesh, ellipsoid, joined, smooth_path, tube, unit

LEVELS_DRAWN = (
    "C4", "C5", "C6", "C7", "T1", "T2", "T3", "T4", "T5", "T6", "T7", "T8", "T9", "T10", "T11", "T12", "L1",
)  # fmt: skip
NAMED_LEVELS = ("C5", "C6", "C7", "T1", "T2", "T3", "T4", "T5", "T6", "T7", "T8", "T9")
"""The levels that carry a name in the picture."""
TRUE_RIBS, RIBS_DRAWN = 7, 10
_INNER = 0.955
"""The thorax inside the ribs, as a share of the ellipsoid."""
_LOWEST = {"C4": 0.117, "C5": 0.100, "C6": 0.083, "C7": 0.065}
_T1_UP_M, _THORACIC_STEP_M = 0.044, 0.0238


def vertebra_height_m(level: str) -> float:
    """Where the body of a vertebra stands along the trunk, from the notch of the breastbone."""
    if level in _LOWEST:
        return _LOWEST[level]
    below = LEVELS_DRAWN.index(level) - LEVELS_DRAWN.index("T1")
    return _T1_UP_M - _THORACIC_STEP_M * below - 0.00035 * below * below


def vertebra_centre_m(level: str, sizes: Sizes) -> Floats:
    """The middle of a vertebral body, (3,): in the neck the spine leaves the thorax forward, below it follows it."""
    up = vertebra_height_m(level)
    centre, radii = sizes.thorax_centre_m, sizes.thorax_radii_m
    reach = np.sqrt(max(1.0 - ((up - centre[1]) / radii[1]) ** 2, 0.0))
    back = centre[0] - radii[0] * reach + 0.036
    neck = -0.080 + 0.22 * max(up - 0.07, 0.0)
    low = -0.085 + 0.22 * (up + 0.30) if up < -0.23 else back
    share = float(np.clip((up + 0.02) / 0.085, 0.0, 1.0))
    return np.array([(1.0 - share) * min(back, low) + share * neck if up > -0.23 else max(back, low), up, 0.0])


def spinous_tip_m(level: str, sizes: Sizes) -> Floats:
    """The tip of a spinous process, (3,): what a finger feels of the level."""
    centre = vertebra_centre_m(level, sizes)
    neck = level.startswith("C")
    long = 0.043 if level in ("C7", "T1") else 0.034 if neck else 0.044
    drop = 0.010 if neck else 0.018 if level in ("T1", "T2", "L1") else 0.026
    tip: Floats = centre + np.array([-long, -drop, 0.0])
    return tip


def vertebra(level: str, sizes: Sizes) -> Mesh:
    """Body, arch, spinous and transverse processes of one vertebra."""
    centre = vertebra_centre_m(level, sizes)
    neck = level.startswith("C")
    wide, deep, high = (0.0115, 0.0085, 0.0058) if neck else (0.0150, 0.0135, 0.0088)
    tip = spinous_tip_m(level, sizes)
    arch = centre + np.array([-deep - 0.009, -0.002, 0.0])
    ends = [np.array([0.0, side * high, 0.0]) for side in (-1.0, -0.75, 0.0, 0.75, 1.0)]
    widths = np.array([0.93, 1.0, 0.88, 1.0, 0.93])[:, None] * np.array([wide, deep])
    body = tube(centre + np.array(ends), widths, [0.0, 0.0, 1.0], 9, round_ends=False)
    spine = tube(
        smooth_path([arch + np.array([0.006, 0.002, 0]), 0.55 * arch + 0.45 * tip + np.array([0, 0.002, 0]), tip], 4),
        np.linspace([0.0062, 0.0036], [0.0052, 0.0040], 4),
        [0.0, 1.0, 0.0],
        5,
        round_ends=False,
    )
    side_m = 0.021 if neck else 0.030
    side = np.array([[-0.010 * (not neck), 0.003, -1.0 * side_m], [0.004, 0.0, -0.010], [0.004, 0.0, 0.010],
                     [-0.010 * (not neck), 0.003, side_m]])  # fmt: skip
    cross = tube(
        arch + side,
        [[0.0042, 0.0042], [0.006, 0.005], [0.006, 0.005], [0.0042, 0.0042]],
        [0, 1.0, 0],
        5,
        round_ends=False,
    )
    return joined([body, spine, cross])


def rib_path_m(number: int, sizes: Sizes, points: int = 17) -> Floats:
    """The middle line of a right rib on the ellipsoid, (k, 3), from the spine forward."""
    start_up = vertebra_height_m(f"T{number}") + 0.004
    true = number <= TRUE_RIBS
    beyond = number - TRUE_RIBS - 1
    drop = 0.030 + 0.0115 * number
    end_up = -0.012 - 0.0205 * (number - 1) if true else -0.176 - 0.037 * beyond
    lowest = min(start_up - drop, end_up - 0.008 * min(number - 1, 4))
    end_turn = float(np.radians(168.0 if true else 150.0 - 13.0 * beyond))
    turns = np.array([0.17, 0.55, 1.15, *(end_turn - np.radians([62.0, 33.0])), end_turn])
    ups = np.array([start_up, start_up + 0.001, start_up - 0.42 * drop, lowest + 0.10 * drop, lowest, end_up])
    course = smooth_path(np.stack([turns, ups], axis=-1), points)
    return on_thorax_m(course[:, 0], course[:, 1], sizes)


def on_thorax_m(turn_rad: Floats, up_m: Floats, sizes: Sizes) -> Floats:
    """Points of the ellipsoid (..., 3) at a height, by the turn from the middle of the back over the right side."""
    centre, radii = sizes.thorax_centre_m, sizes.thorax_radii_m
    reach = np.sqrt(np.maximum(1.0 - ((up_m - centre[1]) / radii[1]) ** 2, 0.02))
    forward = centre[0] - radii[0] * reach * np.cos(turn_rad)
    points: Floats = np.stack(np.broadcast_arrays(forward, up_m, radii[2] * reach * np.sin(turn_rad)), axis=-1)
    return points


def rib(number: int, sizes: Sizes) -> Mesh:
    """A right rib with its cartilage."""
    path = rib_path_m(number, sizes)
    normal = outward_normal(path, sizes.thorax_centre_m, sizes.thorax_radii_m)
    along = unit(np.gradient(path, axis=0))
    half = np.array([0.0062 if number > 1 else 0.0075, 0.0034])
    return tube(path, half, np.cross(normal, along), 5, round_ends=False)


def breastbone(sizes: Sizes) -> Mesh:
    """Handle, body and tip of the breastbone, lying on the front of the ellipsoid."""
    ups = np.array([0.004, -0.004, -0.022, -0.045, -0.060, -0.100, -0.135, -0.150, -0.168, -0.184])
    wide = np.array([0.020, 0.029, 0.027, 0.017, 0.018, 0.021, 0.019, 0.011, 0.007, 0.004])
    path = on_thorax_m(np.full(len(ups), np.pi), ups, sizes)
    return tube(path, np.stack([wide, np.full(len(ups), 0.006)], axis=-1), [0.0, 0.0, 1.0], 8)


def thorax_inside(sizes: Sizes) -> Mesh:
    """The thorax that shows between the ribs, cut off at the neck and at the waist."""
    whole = ellipsoid(sizes.thorax_centre_m, sizes.thorax_radii_m * _INNER, 16, 22)
    points = whole.points_m.copy()
    forward = (points[:, 0] - float(sizes.thorax_centre_m[0])) / float(sizes.thorax_radii_m[0])
    points[:, 1] = np.clip(points[:, 1], -0.262 + 0.075 * np.clip(forward, -0.6, 1.0), 0.028)
    return Mesh(points, whole.triangles)


def trunk_meshes(sizes: Sizes) -> dict[str, Mesh]:
    """Everything of the trunk by name: `thorax`, `ribs`, `sternum`, `first_rib`, and one mesh a level."""
    right = [rib(number, sizes) for number in range(1, RIBS_DRAWN + 1)]
    meshes = {
        "thorax": thorax_inside(sizes),
        "ribs": joined([*right, *(one.mirrored() for one in right)]),
        "sternum": breastbone(sizes),
    }
    return meshes | {level: vertebra(level, sizes) for level in LEVELS_DRAWN}
