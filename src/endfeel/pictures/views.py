"""From three dimensions to the page: the three sides from which a shoulder is looked at.

Points come in the axes of the scapula, in metres from the middle of the socket's head place; a right shoulder. The
left is the mirror image, seen from the mirrored side, so that the page shows the same picture turned over.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from endfeel.anatomy.frames import FORWARD, LATERAL, UP, mirrored_points, points_of_side
from endfeel.anatomy.units import Floats
from endfeel.vocabulary import Side


@dataclass(frozen=True, slots=True)
class View:
    """A direction of looking at a right shoulder, and what its edges are called."""

    title: str
    right: Floats
    down: Floats
    toward: Floats
    edges: tuple[str, str, str, str]
    """What lies to the left, right, top and bottom for a right shoulder."""


FRONT = View("from the front", -LATERAL, -UP, FORWARD, ("out", "in", "up", "down"))
OUTSIDE = View("from the outside", FORWARD, -UP, LATERAL, ("back", "front", "up", "down"))
ABOVE = View("from above", -LATERAL, FORWARD, UP, ("out", "in", "back", "front"))
VIEWS = (FRONT, OUTSIDE, ABOVE)


@dataclass(frozen=True, slots=True)
class Camera:
    """A view of one side's shoulder onto a square of the page."""

    view: View
    side: Side
    middle: tuple[float, float]
    """Where the origin falls on the page."""
    scale: float
    """Page units a metre."""

    def seen(self, right_m: Floats) -> tuple[Floats, Floats]:
        """Points (..., 3) of a right shoulder on the page (..., 2) and how near they are to the eye, metres (...)."""
        points = points_of_side(right_m, self.side)
        across, down, toward = self._axes()
        page = np.stack([points @ across, points @ down], axis=-1) * self.scale + np.array(self.middle)
        return page, points @ toward

    @property
    def edges(self) -> tuple[str, str, str, str]:
        """What lies to the left, right, top and bottom of the page."""
        left, right, top, bottom = self.view.edges
        return (right, left, top, bottom) if self.side is Side.LEFT else (left, right, top, bottom)

    def _axes(self) -> tuple[Floats, Floats, Floats]:
        view = self.view
        if self.side is Side.RIGHT:
            return view.right, view.down, view.toward
        across, down, toward = (mirrored_points(axis) for axis in (view.right, view.down, view.toward))
        return -across, down, toward
