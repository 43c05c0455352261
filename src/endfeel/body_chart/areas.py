"""From a finger's line to a surface of the figure: its share, the regions touched, what two charts share."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from endfeel.body_chart.figure import Region, figure
from endfeel.vocabulary import Side
from endfeel.vocabulary.body_chart import ChartArea, ChartView

Shape = Any
FINE = 0.05
"""How far a line may stray when needless points of it are dropped, in units of the figure."""


@dataclass(frozen=True, slots=True)
class Rule:
    """What makes a surface: the width of a finger's line, and the share from which a region counts as touched."""

    finger_width: float
    touched_share: float


@dataclass(frozen=True, slots=True)
class MeasuredArea:
    """A drawn area with what was measured of it."""

    area: ChartArea
    shape: Shape
    share: float
    """Of the four drawn outlines together."""
    touched: tuple[Region, ...]
    """Most of the area first."""


@dataclass(frozen=True, slots=True)
class Overlap:
    """Two charts of a person, as shares of the four outlines together; nothing is counted twice."""

    before: float
    now: float
    both: float

    @property
    def still(self) -> float | None:
        """Share of what was drawn before that is drawn now; None when nothing was."""
        return self.both / self.before if self.before else None

    @property
    def new(self) -> float | None:
        """Share of what is drawn now that was not drawn before; None when nothing is."""
        return 1 - self.both / self.now if self.now else None

    @property
    def likeness(self) -> float | None:
        """Common part of all that is drawn on either; None when both are empty."""
        either = self.before + self.now - self.both
        return self.both / either if either else None


def whole() -> float:
    """The surface of the four outlines."""
    return float(sum(one.outline.area for one in figure().values()))


def surface(area: ChartArea, finger_width: float) -> Shape:
    """What a finger's line covers on its view: the line as wide as a finger, and all that it goes round.

    A line that crosses itself fills each of its loops, and going round twice covers no less than going round once.
    Nothing beside the outline is covered.
    """
    from shapely import LineString, Point, get_parts, polygonize, union_all

    outline = figure()[area.view].outline
    path = [(round(x, 2), round(y, 2)) for x, y in area.path]
    path = [one for one, before in zip(path, [None, *path], strict=False) if one != before]
    if len(path) == 1:
        return Point(path[0]).buffer(finger_width / 2).intersection(outline)
    line = LineString(path).simplify(FINE)
    drawn = [line.buffer(finger_width / 2)]
    if len(line.coords) > 3:
        closed = LineString([*line.coords, line.coords[0]])
        drawn.extend(get_parts(polygonize(get_parts(union_all([closed])))))
    return union_all([one for one in drawn if not one.is_empty]).intersection(outline)


def measured(areas: Iterable[ChartArea], rule: Rule) -> tuple[MeasuredArea, ...]:
    """Every area with its share and the regions it touches."""
    total = whole()
    found = []
    for area in areas:
        shape = surface(area, rule.finger_width)
        found.append(MeasuredArea(area, shape, shape.area / total, touched(shape, area.view, rule.touched_share)))
    return tuple(found)


def touched(shape: Shape, view: ChartView, least_share: float) -> tuple[Region, ...]:
    """Regions of which, or by which, at least this share is covered; those that hold most of the area first."""
    if shape.area == 0:
        return ()
    parts = [(region, shape.intersection(region.shape).area) for region in figure()[view].regions]
    kept = [
        (region, part)
        for region, part in parts
        if part >= least_share * shape.area or part >= least_share * region.shape.area > 0
    ]
    return tuple(region for region, _ in sorted(kept, key=lambda one: -one[1]))


def covered(areas: Iterable[MeasuredArea]) -> dict[ChartView, Shape]:
    """What all areas together cover, by view."""
    from shapely import union_all

    by_view: dict[ChartView, list[Shape]] = {view: [] for view in ChartView}
    for one in areas:
        by_view[one.area.view].append(one.shape)
    return {view: union_all(shapes) for view, shapes in by_view.items()}


def total_share(areas: Iterable[MeasuredArea]) -> float:
    """Share of the four outlines that is covered, nothing counted twice."""
    return float(sum(shape.area for shape in covered(areas).values())) / whole()


def overlap(before: Sequence[MeasuredArea], now: Sequence[MeasuredArea]) -> Overlap:
    """What two charts have in common."""
    then, today, total = covered(before), covered(now), whole()
    both = sum(then[view].intersection(today[view]).area for view in ChartView)
    return Overlap(total_share(before), total_share(now), both / total)


def areas_touched(areas: Iterable[MeasuredArea], side: Side | None) -> tuple[str, ...]:
    """Ids of the vocabulary's areas that are touched on this side or on the midline; on either side without one.

    What was drawn deep over the joint itself stands for `deep` as well.
    """
    found: dict[str, None] = {}
    for one in areas:
        for region in one.touched:
            if not region.area or (side is not None and region.side not in (side, None)):
                continue
            found[region.area] = None
            if one.area.depth is not None and one.area.depth.value == "deep" and region.area in _OVER_THE_JOINT:
                found["deep"] = None
    return tuple(found)


_OVER_THE_JOINT = frozenset({"front", "lateral", "back"})


def region_path(region: Region) -> tuple[tuple[float, float], ...]:
    """A line round a region, for those who name it instead of drawing it."""
    shape = max(getattr(region.shape, "geoms", [region.shape]), key=lambda one: one.area)
    inner = shape.buffer(-0.4)
    ring = (inner if inner.geom_type == "Polygon" and not inner.is_empty else shape).exterior.simplify(0.4)
    return tuple((round(x, 2), round(y, 2)) for x, y in ring.coords)
