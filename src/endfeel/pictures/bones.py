"""The bones round the head of the humerus as plain shapes: balls, tapered rods and one flat blade.

Where joints, corners and rims lie comes from the person's sizes; how thick a rod is drawn is a matter of drawing and
says nothing about anatomy. Axes of the capsule (`mechanics.blade_axes`), metres, right shoulder.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from endfeel.anatomy.units import Floats, m_from_mm
from endfeel.mechanics.blade_axes import standard_from_blade
from endfeel.mechanics.shoulder import Shoulders
from endfeel.pictures.views import Camera

SHAFT_HEADS = 2.55
"""How many head radii of the shaft are drawn below the head's centre."""
OUTLINE = 40


@dataclass(frozen=True, slots=True)
class Bone:
    """One shape: the hull of balls, or a flat polygon where every ball has no size."""

    of: str
    """The bone that it is a part of: parts of one bone are drawn as one."""
    points_m: Floats
    """(k, 3)."""
    radii_m: Floats
    """(k,)."""

    @property
    def middle_m(self) -> Floats:
        middle: Floats = self.points_m.mean(axis=0)
        return middle

    def outline(self, camera: Camera) -> Floats:
        """Its outline on the page, (j, 2)."""
        page, _ = camera.seen(self.points_m)
        if not self.radii_m.any():
            return page
        angle = np.linspace(0.0, 2.0 * np.pi, OUTLINE, endpoint=False)
        circle = np.stack([np.cos(angle), np.sin(angle)], axis=-1)
        rims = page[:, None, :] + self.radii_m[:, None, None] * camera.scale * circle
        return convex_hull(rims.reshape(-1, 2))


@dataclass(frozen=True, slots=True)
class Skeleton:
    """What is drawn of one shoulder besides its fibres."""

    head: Bone
    socket_rim_m: Floats
    """(k, 3) round the face of the socket."""
    arm: tuple[Bone, ...]
    blade: tuple[Bone, ...]


def skeleton(shoulders: Shoulders, pose: Floats, centre_m: Floats, clavicle_in_scapula: Floats) -> Skeleton:
    """The bones of the first of some shoulders: head at `centre_m` (3,), humerus at `pose` (3, 3), clavicle along a
    direction (3,) in the standard axes of the scapula, in which the landmarks of the blade are kept as well."""
    radius = float(shoulders.bed.head_radius_m[0])
    head = Bone("humerus", centre_m[None, :], np.array([radius]))
    return Skeleton(
        head, _rim(shoulders), _arm(shoulders, pose, centre_m, radius), _blade(shoulders, clavicle_in_scapula)
    )


def convex_hull(points: Floats) -> Floats:
    """The corners of the convex hull of points (n, 2), in order round it, (k, 2)."""
    ordered = sorted({(float(x), float(y)) for x, y in points})
    if len(ordered) < 3:
        return np.array(ordered)

    def chain(run: list[tuple[float, float]]) -> list[tuple[float, float]]:
        kept: list[tuple[float, float]] = []
        for x, y in run:
            while len(kept) > 1:
                (ax, ay), (bx, by) = kept[-2:]
                if (bx - ax) * (y - ay) - (by - ay) * (x - ax) > 0.0:
                    break
                kept.pop()
            kept.append((x, y))
        return kept[:-1]

    return np.array(chain(ordered) + chain(ordered[::-1]))


def _rim(shoulders: Shoulders) -> Floats:
    socket = shoulders.socket
    angle = np.linspace(0.0, 2.0 * np.pi, OUTLINE)[None, :]
    rim: Floats = socket.on_face(
        socket.half_width_m[:1, None] * np.sin(angle), socket.half_height_m[:1, None] * np.cos(angle)
    )[0]
    return rim


def _arm(shoulders: Shoulders, pose: Floats, centre: Floats, radius: float) -> tuple[Bone, ...]:
    sizes = shoulders.traits.sizes
    rise, back = float(sizes.neck_shaft_rad[0]) - np.pi / 2.0, float(sizes.retroversion_rad[0])
    out = np.array([np.sin(back) * np.cos(rise), -np.sin(rise), np.cos(back) * np.cos(rise)])

    def placed(*points: Floats) -> Floats:
        return centre + radius * np.array(points) @ pose.T

    top, low = np.array([0.0, -0.75, 0.0]) + 0.3 * out, np.array([0.0, -SHAFT_HEADS, 0.15])
    hand = low + np.array([1.05, 0.0, 0.0])
    return (
        Bone("humerus", placed(0.42 * out, top), radius * np.array([0.74, 0.5])),
        Bone("humerus", placed(top, low), radius * np.array([0.5, 0.36])),
        Bone("forearm", placed(low, hand), radius * np.array([0.2, 0.14])),
    )


def _blade(shoulders: Shoulders, clavicle: Floats) -> tuple[Bone, ...]:
    sizes, socket = shoulders.traits.sizes, shoulders.socket
    origin, turn = sizes.glenohumeral_m[0], standard_from_blade(shoulders.library)
    root, tip, joint = (
        (point[0] - origin) @ turn for point in (sizes.spine_root_m, sizes.inferior_angle_m, sizes.acromioclavicular_m)
    )
    corner, along_clavicle = -origin @ turn, _unit(clavicle @ turn)
    along = (root - tip) / np.linalg.norm(root - tip)
    top = tip + float(sizes.scapula_height_m[0]) * along
    forward, up, outward = socket.axes[0].T
    face = socket.on_face(np.zeros((1, 1)), np.zeros((1, 1)))[0, 0]
    high, wide = float(socket.half_height_m[0]), float(socket.half_width_m[0])
    below, above = face - 0.9 * high * up - 0.5 * wide * outward, face + 0.8 * high * up - 0.6 * wide * outward
    base = coracoid_base_m(shoulders)
    beak = base + float(sizes.coracoid_length_m[0]) * _unit(0.75 * forward + 0.6 * outward - 0.25 * up)
    waist, notch = 0.75 * below + 0.25 * tip + 0.3 * wide * outward, 0.5 * (above + top) - 0.3 * wide * up
    flat = np.array([top, root, tip, waist, below, face - 0.5 * wide * outward, above, notch])
    overhang = joint + 0.4 * wide * _unit(joint - corner)
    inner = face - 2.6 * wide * outward - 0.1 * high * up
    thin, thick = 0.32 * wide, 0.45 * wide
    return (
        Bone("scapula", flat, np.zeros(len(flat))),
        Bone("scapula", np.array([face - 0.55 * wide * outward, inner]), wide * np.array([0.7, 0.25])),
        Bone("scapula", np.array([root, corner]), np.array([thin, thick])),
        Bone("scapula", np.array([corner, overhang]), np.array([thick, thin])),
        Bone("scapula", np.array([base, beak]), np.array([thick, thin])),
        Bone(
            "clavicle",
            np.array([joint, joint - float(sizes.clavicle_length_m[0]) * along_clavicle]),
            np.array([thin, thick]),
        ),
    )


def coracoid_base_m(shoulders: Shoulders) -> Floats:
    """Where the coracoid springs from the blade, (3,), for the first of some shoulders."""
    place = [shoulders.parameters.mean(f"coracoid_origin_{way}_mm") for way in ("forward", "up", "lateral")]
    base: Floats = float(shoulders.traits.scale[0]) * m_from_mm(place)
    return base


def _unit(vector: Floats) -> Floats:
    unit: Floats = vector / np.linalg.norm(vector)
    return unit
