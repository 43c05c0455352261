"""Clavicle, shoulder blade, humerus and forearm of a right shoulder as lofted shapes between the model's landmarks.

Where joints, corners and rims lie comes from the person's sizes; how a bone swells between them is drawing and says
nothing about anatomy. Each bone in its own axes, metres; the blade and the humerus from the middle of the head.
"""

# ruff: noqa: RUF005 (the sums are sums of points, not of lists)

from __future__ import annotations

import numpy as np

from endfeel.anatomy.units import Floats
from endfeel.mechanics.blade_axes import standard_from_blade
from endfeel.mechanics.shoulder import Shoulders
from endfeel.pictures.bones import coracoid_base_m
from endfeel.pictures.drawn.solids import Mesh, ellipsoid, joined, lofted, smooth_path, tube, unit

FOREARM_LONG_M = 0.245
_AROUND = 11
_NECK_RINGS = (
    (-0.040, 0.34), (-0.024, 0.52), (-0.010, 0.80), (-0.001, 1.05),
    (0.003, 1.06), (0.0036, 0.97), (0.0020, 0.70), (0.0004, 0.35),
)  # fmt: skip
"""How far out along the neck of the blade each ring lies, metres, and how large it is of the rim of the socket."""


def clavicle(long_m: float) -> Mesh:
    """Bent twice: forward near the breastbone, backward near the shoulder; flat at its outer end. From inside."""
    course = smooth_path(
        np.array([
            [0.000, 0.000, 0.00], [0.010, 0.001, 0.14], [0.0165, 0.002, 0.33], [0.009, 0.003, 0.56],
            [-0.006, 0.003, 0.75], [-0.010, 0.001, 0.90], [-0.002, 0.000, 1.00],
        ]), 15,
    )  # fmt: skip
    path = course * np.array([1.0, 1.0, long_m])
    halves = smooth_path(
        np.array([[0.0105, 0.0115], [0.0088, 0.0090], [0.0066, 0.0064], [0.0062, 0.0058], [0.0076, 0.0054],
                  [0.0105, 0.0050], [0.0095, 0.0046]]), 15,
    )  # fmt: skip
    return tube(path, halves, [1.0, 0.0, 0.0], 9)


def scapula(shoulders: Shoulders) -> Mesh:
    """Blade, neck, spine, acromion and coracoid."""
    place = blade_places_m(shoulders)
    return joined([_blade(place), _neck(place), _spine(place), _acromion(place), _coracoid(place)])


def blade_places_m(shoulders: Shoulders) -> dict[str, Floats]:
    """The corners of the blade, (3,) each, from the middle of the head; the socket turned into the axes of the bone."""
    sizes, socket = shoulders.traits.sizes, shoulders.socket
    origin = sizes.glenohumeral_m[0]
    root, low, joint = (
        point[0] - origin for point in (sizes.spine_root_m, sizes.inferior_angle_m, sizes.acromioclavicular_m)
    )
    turn = standard_from_blade(shoulders.library)
    forward, up, outward = (turn @ socket.axes[0]).T
    face = turn @ socket.on_face(np.zeros((1, 1)), np.zeros((1, 1)))[0, 0]
    along = unit(root - low)
    base = turn @ coracoid_base_m(shoulders)
    beak = base + float(sizes.coracoid_length_m[0]) * unit(0.80 * forward + 0.50 * outward - 0.34 * up)
    return {
        "root": root,
        "low": low,
        "high": low + float(sizes.scapula_height_m[0]) * along + np.array([0.012, 0.0, 0.010]),
        "corner": -origin,
        "joint": joint,
        "face": face,
        "forward": forward,
        "up": up,
        "outward": outward,
        "high_half": np.array(float(socket.half_height_m[0])),
        "wide_half": np.array(float(socket.half_width_m[0])),
        "coracoid_base": base,
        "beak": beak,
    }


def _blade(at: dict[str, Floats]) -> Mesh:
    """Rings across the blade from the lower corner up; thin in the middle, thick along the outer border."""
    below = at["face"] - 0.95 * at["high_half"] * at["up"] - 0.010 * at["outward"]
    above = at["face"] + 0.75 * at["high_half"] * at["up"] - 0.024 * at["outward"]
    inner = smooth_path([at["low"], 0.5 * (at["low"] + at["root"]) - [0, 0, 0.006], at["root"], at["high"]], 15)
    lateral = smooth_path(
        [at["low"] + [0.001, 0.004, 0.010], 0.62 * at["low"] + 0.38 * below + [0, 0.000, 0.004], below,
         0.5 * (below + above) - 0.012 * at["outward"], above - [0.0, 0.002, 0.010]], 15,
    )  # fmt: skip
    lateral[-1] = above - np.array([0.0, 0.004, 0.014])
    middle, half = (inner + lateral) / 2.0, (lateral - inner) / 2.0
    up = unit(np.gradient(middle, axis=0))
    normal = unit(np.cross(up, unit(half)))  # points forward, towards the ribs
    angle = np.linspace(0.0, 2.0 * np.pi, 16, endpoint=False)
    across = np.cos(angle)
    thick = 0.0011 + 0.0040 * np.clip(across, 0.0, 1.0) ** 3 + 0.0009 * np.clip(-across, 0.0, 1.0) ** 3
    bow = 0.0065 * (1.0 - across**2)
    rise = np.sin(np.pi * np.linspace(0.02, 0.98, 15))[:, None]
    rings = (
        middle[:, None, :]
        + across[:, None] * half[:, None, :]
        + (np.sin(angle) * thick - bow * rise)[:, :, None] * normal[:, None, :]
    )
    return lofted(rings[:, ::-1] if _runs_inward(rings) else rings)


def _runs_inward(rings: Floats) -> bool:
    """Whether the first rings run the wrong way round for the direction in which they follow each other."""
    middle = len(rings) // 2
    ring, following = rings[middle], rings[middle + 1]
    centre = ring.mean(axis=0)
    spokes = ring - centre
    area = np.cross(spokes, np.roll(spokes, -1, axis=0)).sum(axis=0)
    return bool(area @ (following.mean(axis=0) - centre) < 0.0)


def _neck(at: dict[str, Floats]) -> Mesh:
    """From the blade to the rim of the socket, ending in the hollow face; its inner part runs along the blade."""
    face, forward, up, outward = at["face"], at["forward"], at["up"], at["outward"]
    along_blade = unit(face - 0.65 * at["root"] - 0.35 * at["low"])
    wide, high = float(at["wide_half"]), float(at["high_half"])
    angle = np.linspace(0.0, 2.0 * np.pi, 16, endpoint=False)
    pear = 1.0 - 0.16 * np.clip(np.cos(angle), 0.0, 1.0)
    rings = []
    for out, grow in _NECK_RINGS:
        across = grow * wide * pear[:, None] * np.sin(angle)[:, None] * forward
        along = grow * high * np.cos(angle)[:, None] * up
        rings.append(face + out * (outward if out > 0.0 else along_blade) + across + along)
    stacked = np.array(rings)
    return lofted(stacked[:, ::-1] if _runs_inward(stacked[:4]) else stacked)


def _spine(at: dict[str, Floats]) -> Mesh:
    """The ridge on the back of the blade: low at its root, high where it becomes the acromion."""
    notch = at["face"] + 0.15 * at["high_half"] * at["up"] - 0.034 * at["outward"] - 0.004 * at["forward"]
    share = np.linspace(0.0, 1.0, 10)[:, None]
    crest = at["root"] * (1 - share) + (at["corner"] + np.array([0.004, 0.004, -0.006])) * share
    crest = crest + np.sin(np.pi * share) * np.array([-0.005, 0.004, 0.0])
    base = (at["root"] + [0.004, 0.0, 0.004]) * (1 - share) + notch * share
    base = base + np.clip(share - 0.72, 0.0, 1.0) * np.array([0.0, 0.010, 0.080])
    middle, half = (crest + base) / 2.0, (crest - base) / 2.0
    long = np.linalg.norm(half, axis=-1)
    thick = np.interp(share[:, 0], [0, 0.25, 0.75, 1.0], [0.0030, 0.0036, 0.0042, 0.0052])
    return tube(middle, np.stack([long + 0.0028, thick], axis=-1), half + np.array([-1e-6, 0, 0]), 10)


def _acromion(at: dict[str, Floats]) -> Mesh:
    """The roof of the shoulder: a flat plate that turns forward over the head from the corner of the spine."""
    corner, joint = at["corner"], at["joint"]
    tip = joint + np.array([0.014, -0.002, 0.005])
    path = smooth_path(
        [corner + [-0.003, 0.003, -0.020], corner + [0.003, 0.005, -0.002],
         0.5 * (corner + joint) + [-0.001, 0.005, 0.010], joint + [-0.004, 0.001, 0.009], tip], 9,
    )  # fmt: skip
    halves = smooth_path([[0.0100, 0.0050], [0.0125, 0.0050], [0.0150, 0.0046], [0.0140, 0.0042], [0.0075, 0.0036]], 9)
    return tube(path, halves, [0.15, -0.25, 1.0], 10)


def _coracoid(at: dict[str, Floats]) -> Mesh:
    """The beak in front: up from the neck of the blade, then forward and out."""
    base, beak = at["coracoid_base"], at["beak"]
    root = base - 0.012 * at["outward"] - 0.010 * at["up"]
    knee = base + 0.010 * at["up"] + 0.004 * at["forward"] - 0.004 * at["outward"]
    path = smooth_path([root, knee, 0.5 * (knee + beak) + 0.004 * at["up"], beak], 8)
    halves = smooth_path([[0.0105, 0.0085], [0.0090, 0.0072], [0.0078, 0.0060], [0.0068, 0.0056]], 8)
    return tube(path, halves, at["outward"], 8)


def humeral_head(radius_m: float) -> Mesh:
    """The ball."""
    return ellipsoid(np.zeros(3), np.full(3, radius_m), 12, 18)


def away_from_socket(shoulders: Shoulders) -> Floats:
    """From the middle of the head towards the tuberosities, (3,) in the axes of the humerus."""
    sizes = shoulders.traits.sizes
    rise, back = float(sizes.neck_shaft_rad[0]) - np.pi / 2.0, float(sizes.retroversion_rad[0])
    return np.array([np.sin(back) * np.cos(rise), -np.sin(rise), np.cos(back) * np.cos(rise)])


def humerus(shoulders: Shoulders) -> Mesh:
    """Neck, tuberosities, shaft and the elbow's end, without the ball."""
    radius = float(shoulders.bed.head_radius_m[0])
    out = away_from_socket(shoulders)
    shaft_m = np.array([
        # forward, up, lateral of the middle; half width (lateral), half depth
        [0.003, 0.010, 0.0110, 0.0110, 0.0125], [0.003, 0.000, 0.0105, 0.0165, 0.0180],
        [0.003, -0.014, 0.0090, 0.0180, 0.0185], [0.002, -0.032, 0.0075, 0.0158, 0.0155],
        [0.001, -0.055, 0.0070, 0.0128, 0.0124], [0.000, -0.110, 0.0065, 0.0112, 0.0110],
        [0.000, -0.180, 0.0045, 0.0104, 0.0102], [0.001, -0.235, 0.0025, 0.0130, 0.0094],
        [0.003, -0.268, 0.0010, 0.0225, 0.0088], [0.005, -0.286, -0.0010, 0.0300, 0.0092],
        [0.006, -0.298, -0.0010, 0.0255, 0.0105], [0.006, -0.306, -0.0010, 0.0215, 0.0090],
    ])  # fmt: skip
    course = smooth_path(shaft_m, 19)
    shaft = tube(course[:, :3], course[:, 3:], [0.0, 0.0, 1.0], _AROUND)
    neck = tube(
        np.array([0.15 * radius * out, 0.75 * radius * out]), radius * np.array([[0.93, 0.93], [0.80, 0.80]]),
        [0.0, 1.0, 0.0], _AROUND,
    )  # fmt: skip
    greater = ellipsoid(np.array([-0.001, 0.004, 0.0215]), [0.0155, 0.0150, 0.0095], 6, 10)
    lesser = ellipsoid(np.array([0.0185, -0.006, 0.0060]), [0.0085, 0.0120, 0.0080], 6, 9)
    return joined([shaft, neck, greater, lesser])


def forearm() -> Mesh:
    """Ulna and radius, forward from the elbow: in axes whose origin is the middle of the elbow."""
    long = FOREARM_LONG_M
    ulna = tube(
        smooth_path([[-0.018, 0.002, -0.006], [0.02, 0.0, -0.008], [0.5 * long, -0.001, -0.016],
        [long, 0.0, -0.017]], 8),
        smooth_path([[0.0125, 0.0115], [0.0105, 0.0100], [0.0068, 0.0066], [0.0062, 0.0060]], 8), [0, 1.0, 0], 7,
    )  # fmt: skip
    radius = tube(
        smooth_path([[0.004, 0.002, 0.015], [0.035, 0.003, 0.016], [0.5 * long, 0.004, 0.022],
        [long, 0.002, 0.013]], 8),
        smooth_path([[0.0095, 0.0095], [0.0068, 0.0066], [0.0072, 0.0066], [0.0125, 0.0090]], 8), [0, 0, 1.0], 7,
    )  # fmt: skip
    return joined([ulna, radius])
