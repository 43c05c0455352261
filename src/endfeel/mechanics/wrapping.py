"""The shortest path of a fibre round a sphere, in closed form, batched over any leading axes.

All points are given from the centre of the sphere. Where the straight segment clears the sphere the path is the
segment; otherwise it is two tangents joined by an arc of a great circle. Decided cases:

- the near end (the one that moves with the sphere) may lie on the sphere; inside, it counts as lying on the surface;
- the far end closer to the surface than `SOFT_RATIO` of the radius, or inside, counts as a little further out, by a
  law that joins the exact one with equal value and slope: a fibre that is crushed between head and rim thus keeps a
  smooth length and pull;
- two ends exactly opposite each other are joined over an arbitrary but fixed side.

References
----------
The closed form is that of evidence row `outside_references.or075`; it is tested against MuJoCo spatial tendons.
"""

from __future__ import annotations

from typing import NamedTuple, TypeAlias

import numpy as np
from numpy.typing import NDArray

Floats: TypeAlias = NDArray[np.float64]
SHORTEST_M = 1e-6
"""A free stretch is not taken to be shorter than this where it divides: a micrometre, far below any tissue."""
SOFT_RATIO = 0.02
"""Numerical: how close to the surface, as a part of the radius, the far end is when softening sets in."""


class Path(NamedTuple):
    """Where a fibre runs, seen from its far end (the one fixed to the other bone)."""

    length_m: Floats
    """(...)"""
    pull: Floats
    """(..., 3) the slope of the length by the place of the far end: the fibre's direction there, away from the sphere.
    A unit vector unless the far end is within the soft distance."""
    curvature: Floats
    """(..., 3, 3) second derivative of the length by the place of the far end, per metre."""
    wraps: NDArray[np.bool_]
    """(...) whether the fibre touches the sphere on its way."""


def length_round_sphere_m(far: Floats, near: Floats, radius_m: Floats) -> Floats:
    """Length of the shortest path from `far` (..., 3) to `near` (..., 3) outside a sphere (...), in metres."""
    radius = np.asarray(radius_m, dtype=float)
    far_m, near_m = _softened(_distance(far), radius)[0], np.maximum(_distance(near), radius)
    angle = np.arctan2(_distance(_cross(far, near)), _dot(far, near))
    tangents = np.sqrt(far_m**2 - radius**2), np.sqrt(near_m**2 - radius**2)
    arc = angle - np.arctan2(tangents[0], radius) - np.arctan2(tangents[1], radius)
    straight = np.sqrt((far_m - near_m) ** 2 + 4.0 * far_m * near_m * np.sin(angle / 2.0) ** 2)
    length: Floats = np.where(arc > 0.0, tangents[0] + tangents[1] + radius * arc, straight)
    return length


def path_round_sphere(far: Floats, near: Floats, radius_m: Floats) -> Path:
    """The path from `far` (..., 3) to `near` (..., 3) round a sphere (...), with slope and curvature at `far`.

    With the far end at distance a from the centre and the angle t between the ends, the length is a function of a
    and t alone; its derivatives are laid along the directions out, away (from the near end) and across.
    """
    radius = np.asarray(radius_m, dtype=float)
    raw_m = np.maximum(_distance(far), SHORTEST_M)
    a, eases, bends = _softened(raw_m, radius)
    b = np.maximum(_distance(near), radius)
    out = far / raw_m[..., None]
    across = _cross(near, far)
    plane = _distance(across)
    angle = np.arctan2(plane, _dot(far, near))
    normal = across / np.maximum(plane, 1e-14)[..., None]
    if not (plane > 1e-14).all():
        normal = np.where(plane[..., None] > 1e-14, normal, _any_normal(out))
    away = _cross(normal, out)
    sine, cosine = np.sin(angle), np.cos(angle)
    tangent, near_tangent = np.sqrt(a**2 - radius**2), np.sqrt(b**2 - radius**2)
    arc = angle - np.arctan2(tangent, radius) - np.arctan2(near_tangent, radius)
    wraps = arc > 0.0
    straight = np.sqrt((a - b) ** 2 + 4.0 * a * b * np.sin(angle / 2.0) ** 2)
    safe = np.maximum(straight, SHORTEST_M)
    length = np.where(wraps, tangent + near_tangent + radius * arc, straight)
    by_a = np.where(wraps, tangent / a, (a - b * cosine) / safe)
    by_t = np.where(wraps, radius, a * b * sine / safe)
    by_aa = np.where(wraps, radius**2 / (a**2 * np.maximum(tangent, SHORTEST_M)), (1.0 - by_a**2) / safe)
    by_at = np.where(wraps, 0.0, (b * sine - by_a * by_t) / safe)
    by_tt = np.where(wraps, 0.0, (a * b * cosine - by_t**2) / safe)
    outwards, sideways = by_a * eases, by_t / raw_m
    out_out = by_aa * eases**2 + by_a * bends
    out_away = (by_at * eases - sideways) / raw_m
    away_away = (by_tt / raw_m + outwards) / raw_m
    across_across = (outwards + sideways * cosine / np.maximum(sine, SHORTEST_M)) / raw_m
    curvature = (
        out_out[..., None, None] * _outer(out, out)
        + out_away[..., None, None] * (_outer(out, away) + _outer(away, out))
        + away_away[..., None, None] * _outer(away, away)
        + across_across[..., None, None] * _outer(normal, normal)
    )
    return Path(length, outwards[..., None] * out + sideways[..., None] * away, curvature, wraps)


def _softened(distance_m: Floats, radius_m: Floats) -> tuple[Floats, Floats, Floats]:
    """The distance that counts for a far end, with its first and second derivative by the true distance."""
    above = (distance_m - radius_m) / radius_m - SOFT_RATIO
    eased = np.exp(np.minimum(above, 0.0) / SOFT_RATIO)
    soft = above < 0.0
    counts: Floats = np.where(soft, radius_m * (1.0 + SOFT_RATIO * eased), distance_m)
    return counts, np.where(soft, eased, 1.0), np.where(soft, eased / (SOFT_RATIO * radius_m), 0.0)


def _distance(vectors: Floats) -> Floats:
    length: Floats = np.sqrt(np.einsum("...i,...i->...", vectors, vectors))
    return length


def _dot(one: Floats, other: Floats) -> Floats:
    product: Floats = np.einsum("...i,...i->...", one, other)
    return product


def _cross(one: Floats, other: Floats) -> Floats:
    """The vector product: what `np.cross` gives, at a fraction of its cost for few vectors."""
    x, y, z = one[..., 0], one[..., 1], one[..., 2]
    u, v, w = other[..., 0], other[..., 1], other[..., 2]
    product: Floats = np.stack([y * w - z * v, z * u - x * w, x * v - y * u], axis=-1)
    return product


def _outer(one: Floats, other: Floats) -> Floats:
    product: Floats = one[..., :, None] * other[..., None, :]
    return product


def _any_normal(direction: Floats) -> Floats:
    """A unit vector at right angles to each unit direction: the fixed choice for opposite ends."""
    other = np.eye(3)[np.argmin(np.abs(direction), axis=-1)]
    normal: Floats = np.cross(direction, other)
    return normal / np.maximum(_distance(normal), SHORTEST_M)[..., None]
