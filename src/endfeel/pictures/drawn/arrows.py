"""Arrows of the drawn shoulder: where a hand moves a bone to, as points along the way; right side, thorax, metres."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from endfeel.anatomy.rotations import rotation_from_vector
from endfeel.anatomy.sizes import Sizes
from endfeel.anatomy.units import Floats
from endfeel.pictures.drawn.places import Place
from endfeel.pictures.drawn.poses import Model, Stance, glide_way
from endfeel.pictures.drawn.solids import unit

BODY_WAYS = {
    "anterior": (1.0, 0.0, 0.0), "posterior": (-1.0, 0.0, 0.0), "superior": (0.0, 1.0, 0.0),
    "inferior": (0.0, -1.0, 0.0), "lateral": (0.0, 0.0, 1.0), "medial": (0.0, 0.0, -1.0),
}  # fmt: skip
ENLARGED = 3.0
"""How much larger than the socket's curve the arrow of a glide is drawn; its direction stays that of the curve."""
_GLIDE_TURN_RAD = (-0.42, 0.62)
_CLEAR_M = 0.020
_LONG_M = 0.075
_SHORTEST_M = 0.065
_LONG_WAY_M, _HAND_ROOM_M = 0.16, 0.060
_POINTS = 15


@dataclass(frozen=True, slots=True)
class Arrow:
    """One arrow, its head at the last point."""

    role: str
    """`moves`: what the hand does; `pushes`: what the person does against it; `fossa`: the same way on the socket."""
    points_m: Floats
    """(k, 3)."""


def seen_on(place: Place, at: Stance, sizes: Sizes) -> tuple[Floats, Floats, Floats]:
    """A place in the thorax: point, way out, way of the fingers."""
    turn, origin = at.bones(sizes)[place.bone]
    return origin + turn @ place.point_m, turn @ place.outward, turn @ place.fingers


def along_socket(model: Model, at: Stance, direction: str) -> tuple[Arrow, ...]:
    """A glide: on the curve of the socket where the head touches it, and enlarged on the outer side of the head."""
    seat, socket = at.glenohumeral_m(model.sizes), model.shoulders.socket
    axes = model.capsule_axes(at)
    outward = socket.axes[0, :, 2]
    if direction in ("lateral", "medial"):
        sign = 1.0 if direction == "lateral" else -1.0
        out = axes @ outward
        near, far = seat + 0.062 * out, seat + (0.062 + _LONG_M) * out
        return (Arrow("moves", np.linspace(near, far, _POINTS)[:: int(sign)]),)
    way = glide_way(model, direction)
    turn = np.linspace(*_GLIDE_TURN_RAD, _POINTS)[:, None]
    curve = socket.centre_m[0] + socket.curvature_m[0] * (np.sin(turn) * way - np.cos(turn) * outward)
    middle = socket.centre_m[0] - socket.curvature_m[0] * outward
    large = 0.088 * outward + ENLARGED * (curve - middle)
    return (
        Arrow("moves", seat + large @ axes.T),
        Arrow("fossa", seat + curve @ axes.T),
    )


def pushed(place: Place, way: str, at: Stance, sizes: Sizes) -> Arrow:
    """Straight in a direction of the body: towards a place that is pushed in, away from one that is drawn along."""
    point, outward, _ = seen_on(place, at, sizes)
    along = unit(np.sum([BODY_WAYS[part] for part in way.split("+")], axis=0))
    if along @ outward < -0.3:
        start, end = point - (_CLEAR_M + _LONG_M) * along + 0.3 * _CLEAR_M * outward, point - _CLEAR_M * along
    else:
        lifted = point + 1.6 * _CLEAR_M * outward
        start, end = lifted + 0.012 * along, lifted + (0.012 + _LONG_M) * along
    return Arrow("moves", np.linspace(start, end, _POINTS))


def swept(place: Place, way: tuple[Stance, ...], sizes: Sizes, role: str = "moves") -> Arrow:
    """The way that a place on a moving bone takes, lifted off the bone.

    A long one ends where the hand then is; a short one is drawn long enough to be seen, onward from the hand.
    """
    seen = [seen_on(place, at, sizes) for at in way]
    path = np.array([point + _CLEAR_M * outward for point, outward, _ in seen])
    long = float(np.linalg.norm(np.diff(path, axis=0), axis=1).sum())
    if long > _LONG_WAY_M:
        left = long - np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(path, axis=0), axis=1))])
        path = path[left >= _HAND_ROOM_M]
    elif long > 0.0:
        path = path[-1] + (path - path[0]) * (max(_SHORTEST_M, long) / long)
    return Arrow(role, path)


def round_axis(point_m: Floats, middle_m: Floats, axis: Floats, turn_rad: float) -> Arrow:
    """A turn about an axis through a middle, from a point on."""
    steps = np.linspace(0.0, turn_rad, _POINTS)
    spoke = point_m - middle_m
    return Arrow("moves", np.array([middle_m + rotation_from_vector(step * unit(axis)) @ spoke for step in steps]))
