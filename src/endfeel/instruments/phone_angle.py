"""From the two tilts a phone reports to the angle of a limb since it was zeroed.

A phone on a limb knows which way is up. Between zero and now the upward direction, as the phone sees it, has turned;
that turn is the angle, as far as the axis of the movement is level. What turns about the vertical leaves it as it was.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from math import asin, atan2, cos, degrees, hypot, isfinite, radians, sin, sqrt

Vector = tuple[float, float, float]


class Turn(StrEnum):
    """What the limb turns about, by the edges of the phone on it."""

    ANY = "any"
    """The whole angle between the two directions, whichever way the phone lies."""
    LONG_EDGE = "long_edge"
    SHORT_EDGE = "short_edge"
    SCREEN = "screen"
    """An axis that comes out of the screen."""

    @property
    def words(self) -> str:
        """As a page says it."""
        return _WORDS[self]


_WORDS = {
    Turn.ANY: "any way",
    Turn.SCREEN: "like a clock hand, seen on the screen",
    Turn.SHORT_EDGE: "about its short edge",
    Turn.LONG_EDGE: "about its long edge",
}
_AXES: dict[Turn, Vector] = {
    Turn.SHORT_EDGE: (1.0, 0.0, 0.0),
    Turn.LONG_EDGE: (0.0, 1.0, 0.0),
    Turn.SCREEN: (0.0, 0.0, 1.0),
}


@dataclass(frozen=True, slots=True)
class LimbAngle:
    """The angle since zero, or why there is none."""

    degrees: float | None
    """About an edge it is signed, from -180 to 180; any way it is from 0 to 180. None when gravity cannot tell it."""
    lean_deg: float
    """How far the turning axis stands from level: 0 level, 90 upright. 0 when any way is wanted."""
    noise_factor: float
    """How many times the sensor's own noise stands in the angle; 1 for a level axis."""


def up_in_phone(beta_deg: float, gamma_deg: float) -> Vector:
    """The upward direction in the phone's axes: x along the short edge, y along the long edge, z out of the screen.

    `beta_deg` is the turn about x, `gamma_deg` that about y, as a browser tells them: turned about z, then x, then y
    (W3C, Device Orientation and Motion; the order is recalled, the axes were read). The first turn, about the
    vertical, leaves no trace. Raises ValueError for what is no number.
    """
    if not (isfinite(beta_deg) and isfinite(gamma_deg)):
        raise ValueError("a tilt must be a number")
    beta, gamma = radians(beta_deg), radians(gamma_deg)
    return (-cos(beta) * sin(gamma), sin(beta), cos(beta) * cos(gamma))


def angle_since(zero: Vector, now: Vector, turn: Turn = Turn.ANY, *, most_lean_deg: float = 90.0) -> LimbAngle:
    """The angle from `zero` to `now`, two upward directions in the phone's axes (of any length but none).

    About an edge, both directions are laid flat onto the plane across it, and the edge's lean is the steeper of the
    two; steeper than `most_lean_deg` no angle is given. A turn of the phone about that edge counts as positive when it
    goes the way a right-handed screw along the edge goes. Raises ValueError for a vector without a direction.
    """
    before, after = _unit(zero), _unit(now)
    if turn is Turn.ANY:
        return LimbAngle(degrees(atan2(_length(_cross(before, after)), _dot(before, after))), 0.0, 1.0)
    axis = _AXES[turn]
    lean = max(degrees(asin(min(1.0, abs(_dot(one, axis))))) for one in (before, after))
    flat = min(sqrt(max(0.0, 1.0 - _dot(one, axis) ** 2)) for one in (before, after))
    if lean > most_lean_deg or flat < 1e-9:  # an axis on end has no plane to lay the direction onto
        return LimbAngle(None, lean, float("inf") if flat < 1e-9 else 1.0 / flat)
    # the world seems to turn the other way round, seen from the phone
    across = _dot(before, after) - _dot(before, axis) * _dot(after, axis)
    swept = -atan2(_dot(_cross(before, after), axis), across)
    return LimbAngle(degrees(swept), lean, 1.0 / flat)


def _unit(vector: Vector) -> Vector:
    size = _length(vector)
    if not isfinite(size) or size < 1e-9:
        raise ValueError("a direction must point somewhere")
    x, y, z = vector
    return (x / size, y / size, z / size)


def _dot(one: Vector, other: Vector) -> float:
    return one[0] * other[0] + one[1] * other[1] + one[2] * other[2]


def _cross(one: Vector, other: Vector) -> Vector:
    return (
        one[1] * other[2] - one[2] * other[1],
        one[2] * other[0] - one[0] * other[2],
        one[0] * other[1] - one[1] * other[0],
    )


def _length(vector: Vector) -> float:
    return hypot(*vector)
