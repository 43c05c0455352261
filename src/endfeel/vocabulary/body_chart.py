"""What a person draws on a body chart: where, and how it feels there."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import isfinite

from endfeel.vocabulary.errors import Fault

Point = tuple[float, float]


class ChartView(StrEnum):
    """From where the figure is seen; `right` is the side of the person's right hand."""

    FRONT = "front"
    BACK = "back"
    RIGHT = "right"
    LEFT = "left"


class SymptomQuality(StrEnum):
    ACHING = "aching"
    SHARP = "sharp"
    BURNING = "burning"
    THROBBING = "throbbing"
    TINGLING = "tingling"
    NUMB = "numb"
    TIGHT = "tight"


class SymptomDepth(StrEnum):
    SURFACE = "surface"
    DEEP = "deep"


INTENSITY = (0, 10)
MOST_POINTS = 1500
"""Points of one drawn line; a finger makes some hundred."""
MOST_AREAS = 40
WIDTH, HEIGHT = 100.0, 180.0
"""The paper a figure stands on, in its own units: x from the left edge, y from the top."""


@dataclass(frozen=True, slots=True)
class ChartArea:
    """One drawn area: the line of the finger on the figure, and how it feels there. What was not said is None."""

    view: ChartView
    path: tuple[Point, ...]
    """Where the finger went, on the paper of that view; a single point is a spot."""
    quality: SymptomQuality | None = None
    depth: SymptomDepth | None = None
    intensity: int | None = None
    """0 to 10."""


def area_faults(area: ChartArea) -> Iterator[Fault]:
    """Every reason why this cannot be an area of a chart."""
    low, high = INTENSITY
    if area.intensity is not None and not low <= area.intensity <= high:
        yield Fault("intensity out of range", str(area.intensity), f"{low} to {high}", field="intensity")
    if not area.path:
        yield Fault("nothing was drawn", would_do="a line, a spot or a region", field="path")
    if len(area.path) > MOST_POINTS:
        yield Fault("the drawn line is too long", f"{len(area.path)} points", f"at most {MOST_POINTS}", field="path")
    if any(not _on_paper(point) for point in area.path):
        yield Fault("drawn beside the paper", would_do=f"0 to {WIDTH:g} across, 0 to {HEIGHT:g} down", field="path")


def _on_paper(point: Sequence[float]) -> bool:
    x, y = point
    return isfinite(x) and isfinite(y) and 0 <= x <= WIDTH and 0 <= y <= HEIGHT
