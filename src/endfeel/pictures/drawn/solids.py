"""Closed surfaces made of triangles: rings drawn one after another along a path, and what is built of them.

Metres. Triangles run counter-clockwise as seen from outside, so that the same mesh can be lit, culled and turned over.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from endfeel.anatomy.frames import mirrored_points
from endfeel.anatomy.units import Floats

Places = NDArray[np.int32]


@dataclass(frozen=True, slots=True)
class Mesh:
    """One surface."""

    points_m: Floats
    """(n, 3)."""
    triangles: Places
    """(t, 3) places in `points_m`."""

    def normals(self) -> Floats:
        """(n, 3) pointing out, each the mean of the faces round its point by their areas."""
        a, b, c = (self.points_m[self.triangles[:, corner]] for corner in range(3))
        face = np.cross(b - a, c - a)
        total = np.zeros_like(self.points_m)
        for corner in range(3):
            np.add.at(total, self.triangles[:, corner], face)
        return unit(total)

    def mirrored(self) -> Mesh:
        """The other side's: mirrored in the sagittal plane, still seen from outside."""
        return Mesh(mirrored_points(self.points_m), self.triangles[:, ::-1])


def unit(vectors: ArrayLike) -> Floats:
    """Vectors (..., 3) of length one; none stays none."""
    given = np.asarray(vectors, dtype=float)
    long = np.linalg.norm(given, axis=-1, keepdims=True)
    one: Floats = given / np.where(long > 0.0, long, 1.0)
    return one


def joined(meshes: Sequence[Mesh]) -> Mesh:
    """Several surfaces as one; they may pass through each other."""
    starts = np.cumsum([0, *(len(one.points_m) for one in meshes)])
    triangles = [one.triangles + start for one, start in zip(meshes, starts, strict=False)]
    return Mesh(np.concatenate([one.points_m for one in meshes]), np.concatenate(triangles).astype(np.int32))


def lofted(rings_m: ArrayLike) -> Mesh:
    """A skin over rings (r, s, 3) one after another, closed at both ends by the rings' middles.

    Each ring runs counter-clockwise as seen by an eye towards which the rings advance.
    """
    rings = np.asarray(rings_m, dtype=float)
    count, around = rings.shape[:2]
    place = np.arange(count * around).reshape(count, around)
    following = np.roll(place, -1, axis=1)
    low, low_next, high, high_next = place[:-1], following[:-1], place[1:], following[1:]
    skin = [np.stack([low, low_next, high_next], axis=-1), np.stack([low, high_next, high], axis=-1)]
    first, last = count * around, count * around + 1
    ends = [
        np.stack([following[0], place[0], np.full(around, first)], axis=-1),
        np.stack([place[-1], following[-1], np.full(around, last)], axis=-1),
    ]
    triangles = np.concatenate([*(part.reshape(-1, 3) for part in skin), *ends]).astype(np.int32)
    points = np.concatenate([rings.reshape(-1, 3), rings[[0]].mean(axis=1), rings[[-1]].mean(axis=1)])
    return Mesh(points, triangles)


def tube(
    path_m: ArrayLike, half_m: ArrayLike, wide_along: ArrayLike, around: int = 10, round_ends: bool = True
) -> Mesh:
    """A rod along a path (k, 3): half its width and half its thickness (k, 2), the width lying along a direction.

    The direction is one (3,) or one a point (k, 3); what of it runs along the path is left out.
    """
    path = np.asarray(path_m, dtype=float)
    half = np.broadcast_to(np.asarray(half_m, dtype=float), (len(path), 2))
    wide = np.broadcast_to(np.asarray(wide_along, dtype=float), path.shape)
    along = unit(np.gradient(path, axis=0))
    if round_ends:
        path, half, wide, along = _rounded(path, half, wide, along)
    across = unit(wide - np.sum(wide * along, axis=-1, keepdims=True) * along)
    thick = np.cross(along, across)
    angle = np.linspace(0.0, 2.0 * np.pi, around, endpoint=False)
    rings = (
        path[:, None, :]
        + half[:, 0, None, None] * np.cos(angle)[:, None] * across[:, None, :]
        + half[:, 1, None, None] * np.sin(angle)[:, None] * thick[:, None, :]
    )
    return lofted(rings)


def ellipsoid(centre_m: ArrayLike, half_m: ArrayLike, rows: int = 12, around: int = 16) -> Mesh:
    """An ellipsoid along the axes; half axes (3,)."""
    share = np.linspace(-np.pi / 2.0, np.pi / 2.0, rows + 1)[:, None]
    share = np.clip(share, -np.pi / 2.0 + 1e-3, np.pi / 2.0 - 1e-3)
    angle = np.linspace(0.0, 2.0 * np.pi, around, endpoint=False)[None, :]
    sphere = np.stack(
        [np.cos(share) * np.sin(angle), np.sin(share) * np.ones_like(angle), np.cos(share) * np.cos(angle)], axis=-1
    )
    return lofted(np.asarray(centre_m, dtype=float) + np.asarray(half_m, dtype=float) * sphere)


def smooth_path(points_m: ArrayLike, count: int) -> Floats:
    """`count` points of a smooth curve through the given ones (k, d), evenly by place in the list."""
    points = np.asarray(points_m, dtype=float)
    padded = np.concatenate([[2 * points[0] - points[1]], points, [2 * points[-1] - points[-2]]])
    at = np.linspace(0.0, len(points) - 1.0, count)
    piece = np.minimum(at.astype(int), len(points) - 2)
    t = (at - piece)[:, None]
    a, b, c, d = (padded[piece + step] for step in range(4))
    curve: Floats = 0.5 * (2 * b + (c - a) * t + (2 * a - 5 * b + 4 * c - d) * t**2 + (3 * b - a - 3 * c + d) * t**3)
    return curve


def box(low_m: ArrayLike, high_m: ArrayLike, rounding_m: float = 0.0) -> Mesh:
    """A block along the axes, its upright edges rounded."""
    low, high = np.asarray(low_m, dtype=float), np.asarray(high_m, dtype=float)
    middle, half = (low + high) / 2.0, (high - low) / 2.0
    angle = np.linspace(0.0, 2.0 * np.pi, 24, endpoint=False)
    corner = np.stack([np.sign(np.cos(angle + 1e-6)), np.sign(np.sin(angle + 1e-6))], axis=-1)
    inner = half[[0, 2]] - rounding_m
    flat = corner * inner + rounding_m * np.stack([np.cos(angle), np.sin(angle)], axis=-1)
    rings = []
    for y, shrink in ((-half[1], 0.985), (-half[1] * 0.9, 1.0), (half[1] * 0.9, 1.0), (half[1], 0.985)):
        rings.append(np.stack([flat[:, 1] * 0 + flat[:, 0] * shrink, np.full(24, y), -flat[:, 1] * shrink], axis=-1))
    return lofted(middle + np.array(rings))


def _rounded(path: Floats, half: Floats, wide: Floats, along: Floats) -> tuple[Floats, Floats, Floats, Floats]:
    """Two more rings at either end, so that a rod ends round."""
    parts: list[tuple[Floats, Floats, Floats, Floats]] = [(path, half, wide, along)]
    for end, way in ((0, -1.0), (-1, 1.0)):
        deep = float(half[end].min())
        caps = [(0.7, 0.714), (0.97, 0.243)]
        cap = (
            np.array([path[end] + way * deep * out * along[end] for out, _ in caps]),
            np.array([half[end] * narrow for _, narrow in caps]),
            np.repeat(wide[[end]], 2, axis=0),
            np.repeat(along[[end]], 2, axis=0),
        )
        parts = [tuple(one[::-1] for one in cap), *parts] if end == 0 else [*parts, cap]  # type: ignore[list-item]
    joined_up = [np.concatenate([part[place] for part in parts]) for place in range(4)]
    return joined_up[0], joined_up[1], joined_up[2], joined_up[3]
