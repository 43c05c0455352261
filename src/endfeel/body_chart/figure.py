"""The figure from four sides: outlines out of a few lengths of our own, and the regions a person may point at.

Units of the figure: the paper is WIDTH by HEIGHT, the person 176 high, standing, arms a little away from the trunk.
Shapes are made for the person's right half, or facing right, and mirrored; `x` counts from the midline inside here.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from typing import Any

from endfeel.vocabulary import Side
from endfeel.vocabulary.body_chart import HEIGHT, WIDTH, ChartView

Shape = Any
"""A shapely geometry; the library carries no types."""
MIDDLE = WIDTH / 2
SMOOTH = 1.6
"""How round corners of the outline are made."""
HIGH = 176.0


@dataclass(frozen=True, slots=True)
class Region:
    """A named part of one view of the figure."""

    id: str
    name: str
    side: Side | None
    """None for what lies on the midline."""
    area: str
    """Id of the vocabulary's area it stands for; empty when it stands for none."""
    shape: Shape

    @property
    def words(self) -> str:
        """`right outer side of the shoulder`."""
        return f"{self.side} {self.name}" if self.side else self.name


@dataclass(frozen=True, slots=True)
class FigureView:
    """One view: its outline and its regions, on the paper."""

    view: ChartView
    outline: Shape
    regions: tuple[Region, ...]
    lines: tuple[tuple[tuple[float, float], ...], ...]
    """Inner lines that help to find one's way: spine, blade, arm before the trunk."""


@lru_cache(maxsize=1)
def figure() -> dict[ChartView, FigureView]:
    """All four views."""
    return {
        ChartView.FRONT: _upright(ChartView.FRONT),
        ChartView.BACK: _upright(ChartView.BACK),
        ChartView.RIGHT: _sideways(ChartView.RIGHT),
        ChartView.LEFT: _sideways(ChartView.LEFT),
    }


# ---- shapes --------------------------------------------------------------------------------------------------------


def _limb(*joints: tuple[float, float, float]) -> Shape:
    """A limb through joints (x, y, radius): circles and what spans between two of them."""
    from shapely import Point, union_all

    circles = [Point(x, y).buffer(radius, quad_segs=16) for x, y, radius in joints]
    spans = [union_all([one, other]).convex_hull for one, other in pairwise(circles)]
    return union_all([*circles, *spans])


def _oval(x: float, y: float, across: float, down: float) -> Shape:
    from shapely import Point
    from shapely.affinity import scale

    return scale(Point(x, y).buffer(1.0, quad_segs=24), across, down)


def _box(left: float, top: float, right: float, bottom: float) -> Shape:
    from shapely import box

    return box(left, top, right, bottom)


def _mirrored(shape: Shape) -> Shape:
    from shapely.affinity import scale

    return scale(shape, -1.0, 1.0, origin=(0.0, 0.0))


def _rounded(shapes: Sequence[Shape]) -> Shape:
    """One outline, its corners and creases rounded."""
    from shapely import union_all

    whole = union_all(list(shapes))
    return whole.buffer(SMOOTH).buffer(-2 * SMOOTH).buffer(SMOOTH)


def _on_paper(shape: Shape) -> Shape:
    from shapely.affinity import translate

    return translate(shape, MIDDLE, (HEIGHT - HIGH) / 2)


Named = tuple[str, str, str, Shape]
"""Id, name, area of the vocabulary, shape before it is cut to the outline."""


def _cut(outline: Shape, wanted: Sequence[tuple[Named, Side | None]]) -> tuple[Region, ...]:
    """Each region cut to the outline and to what earlier ones left."""
    left = outline
    regions = []
    for (region, name, area, shape), side in wanted:
        own = shape.intersection(left)
        left = left.difference(shape)
        regions.append(Region(region, name, side, area, own))
    return tuple(one for one in regions if one.shape.area > 0)


# ---- from the front and from behind ------------------------------------------------------------------------------

_HEAD = (0.0, 12.0, 8.3, 11.0)
_ARM = ((20.0, 39.5, 5.6), (25.5, 67.0, 4.1), (30.5, 92.0, 2.9), (32.0, 99.0, 3.4), (33.2, 106.5, 2.2))
_LEG = ((9.4, 94.0, 9.0), (9.0, 126.0, 5.6), (9.2, 138.0, 5.5), (8.6, 163.0, 3.4), (10.6, 172.0, 3.6))


def _half() -> list[Shape]:
    from shapely import Polygon

    trunk = [
        (0, 26),
        (6, 28.5),
        (12, 32),
        (19, 34.5),
        (19.5, 44),
        (17.2, 52),
        (15.2, 68),
        (17.4, 88),
        (17.8, 97),
        (0, 97),
    ]
    return [Polygon(trunk), _limb(*_ARM), _limb(*_LEG)]


def _upright(view: ChartView) -> FigureView:
    """Seen from the front the person's right stands left on the paper, from behind it stands right."""
    half = _half()
    outline = _rounded([_oval(*_HEAD), _limb((0, 20, 6), (0, 30, 6.6)), *half, *(_mirrored(one) for one in half)])
    parts, middle = (_front_parts(), _FRONT_MIDDLE) if view is ChartView.FRONT else (_back_parts(), _BACK_MIDDLE)
    mirrored = {Side.RIGHT: view is ChartView.FRONT, Side.LEFT: view is ChartView.BACK}
    wanted: list[tuple[Named, Side | None]] = [(("head", "head", "head", _box(-12, -5, 12, 22)), None)]
    wanted += [((a, b, c, _box(*edges)), None) for a, b, c, edges, first in middle if first]
    for part in parts:
        for side, flip in mirrored.items():
            wanted.append(((*part[:3], _mirrored(part[3]) if flip else part[3]), side))
    wanted += [((a, b, c, _box(*edges)), None) for a, b, c, edges, first in middle if not first]
    lines = _FRONT_LINES if view is ChartView.FRONT else _BACK_LINES
    return FigureView(
        view,
        _on_paper(outline),
        _placed(_cut(outline, wanted)),
        tuple(
            tuple((MIDDLE + sign * x, y + (HEIGHT - HIGH) / 2) for x, y in line) for line in lines for sign in (1, -1)
        ),
    )


def _placed(regions: tuple[Region, ...]) -> tuple[Region, ...]:
    return tuple(Region(one.id, one.name, one.side, one.area, _on_paper(one.shape)) for one in regions)


_FRONT_MIDDLE = (
    ("neck", "neck in front", "neck", (-6.5, 21, 6.5, 30.5), True),
    ("chest", "breastbone", "chest", (-2.2, 33, 2.2, 60), True),
)
_BACK_MIDDLE = (
    ("neck", "neck behind", "neck", (-6.5, 21, 6.5, 32.5), True),
    ("spine", "mid-thoracic spine", "mid_thorax", (-1.8, 37, 1.8, 62), True),
    ("low_spine", "lumbar spine", "", (-1.8, 62, 1.8, 86), True),
)


def _arm_parts() -> list[Named]:
    """Arm from the deltoid down, the same from before and behind."""
    arm = _limb(*_ARM).buffer(1.5)
    return [
        ("hand", "hand", "hand", arm.intersection(_box(20, 93.5, 45, 115))),
        ("forearm", "forearm", "forearm", arm.intersection(_box(17, 67, 45, 93.5))),
        ("upper_arm", "upper arm below the deltoid", "upper_arm", arm.intersection(_box(17.9, 52, 45, 67))),
    ]


def _leg_parts() -> list[Named]:
    return [
        ("thigh", "thigh", "", _box(0, 97, 25, 126)),
        ("leg", "lower leg", "", _box(0, 126, 25, 164)),
        ("foot", "foot", "", _box(0, 164, 25, 185)),
    ]


def _front_parts() -> list[Named]:
    return [
        ("sc_area", "sternoclavicular joint", "sc_area", _oval(3.6, 33.2, 3.0, 2.7)),
        ("ac_area", "acromioclavicular joint", "ac_area", _oval(16.2, 34.4, 2.9, 2.8)),
        ("top", "top of the shoulder", "top", _box(5, 26, 19, 34.2)),
        ("axilla", "armpit", "axilla", _oval(17.6, 49.5, 2.8, 4.2)),
        ("lateral", "outer side of the shoulder", "lateral", _box(21.4, 30, 32, 52)),
        ("front", "front of the shoulder", "front", _box(12.4, 34, 21.4, 48)),
        *_arm_parts(),
        ("chest", "chest", "chest", _box(0, 30, 20.5, 62)),
        ("abdomen", "abdomen", "abdomen", _box(0, 62, 20, 86)),
        ("groin", "groin or hip in front", "", _box(0, 86, 22, 97)),
        *_leg_parts(),
    ]


def _back_parts() -> list[Named]:
    from shapely import Polygon

    blade = Polygon([(5.6, 38), (14.5, 36.5), (15.5, 41), (13.5, 48), (9.5, 58), (7.5, 58)]).buffer(0.6)
    return [
        ("ac_area", "acromioclavicular joint", "ac_area", _oval(16.2, 34.0, 2.9, 2.4)),
        ("scapula", "shoulder blade", "scapula", blade),
        ("top", "top of the shoulder", "top", _box(5, 26, 19, 36.4)),
        ("lateral", "outer side of the shoulder", "lateral", _box(21.4, 30, 32, 52)),
        ("back", "back of the shoulder", "back", _box(14, 34, 21.4, 50)),
        *_arm_parts(),
        ("interscapular", "between blade and spine", "interscapular", _box(0, 30, 7.5, 58)),
        ("ribs", "ribs behind", "mid_thorax", _box(0, 44, 21, 67)),
        ("low_back", "low back", "", _box(0, 67, 20, 86)),
        ("buttock", "buttock", "", _box(0, 86, 22, 100)),
        *_leg_parts(),
    ]


_FRONT_LINES = (
    ((2.5, 32.6), (9, 31.8), (15.5, 33.2)),  # collar bone
    ((0, 34), (0, 58)),
    ((17.4, 46.5), (17.2, 52)),
    ((1.6, 62), (5, 66), (9, 70)),  # rib margin
)
_BACK_LINES = (
    ((0, 30), (0, 88)),
    ((6.2, 38.4), (14.6, 37), (19, 36)),  # spine and border of the blade
    ((6.2, 38.4), (6.4, 48), (8.4, 58), (12.6, 49.5), (15.4, 41.5)),
    ((17.4, 46.5), (17.2, 52)),
    ((0.3, 99), (6, 100.5), (12, 99)),
)

# ---- from the side -----------------------------------------------------------------------------------------------

_SIDE_ARM = ((-1.0, 40.0, 5.6), (-1.8, 67.0, 4.2), (2.6, 92.0, 3.0), (4.4, 99.0, 3.2), (5.6, 106.5, 2.3))
_SIDE_LEG = ((-0.6, 95.0, 9.4), (0.6, 126.0, 6.0), (-1.2, 138.0, 5.8), (-2.0, 164.0, 3.5))


def _sideways(view: ChartView) -> FigureView:
    """Seen from the person's right the face looks to the right of the paper, from the left the other way round."""
    from shapely import Polygon

    front = [(-5, 28), (3, 31), (7.5, 37), (10.2, 47), (9.2, 60), (8.6, 74), (8.2, 90)]
    behind = [(-9.6, 92), (-10.8, 86), (-7.4, 74), (-8.8, 62), (-10.4, 50), (-9.6, 38)]
    trunk = Polygon([*front, *behind])
    nose = Polygon([(9, 9.5), (13.2, 14.2), (9, 15)])
    foot = _limb((-2.0, 170.5, 3.2), (4, 171.8, 2.8), (10.5, 172.6, 1.9))
    shapes = [
        _oval(1.6, 12, 9.2, 11.0), nose, _limb((-0.4, 20, 5.6), (-1.6, 30, 6.2)), trunk, _limb(*_SIDE_ARM),
        _limb(*_SIDE_LEG), foot, _oval(-4.2, 92, 7.4, 8.0),
    ]  # fmt: skip
    outline = _rounded(shapes)
    side = Side.RIGHT if view is ChartView.RIGHT else Side.LEFT
    wanted: list[tuple[Named, Side | None]] = [(part, None if part[0] == "head" else side) for part in _side_parts()]
    lines = [tuple(_limb(*_SIDE_ARM[:4]).buffer(-0.4).exterior.coords)]
    if view is ChartView.LEFT:
        outline = _mirrored(outline)
        wanted = [((*part[:3], _mirrored(part[3])), whose) for part, whose in wanted]
        lines = [tuple((-x, y) for x, y in line) for line in lines]
    return FigureView(
        view,
        _on_paper(outline),
        _placed(_cut(outline, wanted)),
        tuple(tuple((x + MIDDLE, y + (HEIGHT - HIGH) / 2) for x, y in line) for line in lines),
    )


def _side_parts() -> list[Named]:
    arm = _limb(*_SIDE_ARM).buffer(0.6)
    return [
        ("head", "head", "head", _box(-15, -5, 16, 22)),
        ("neck", "neck", "neck", _box(-10, 21, 8, 30)),
        ("ac_area", "acromioclavicular joint", "ac_area", _oval(0.4, 34.2, 2.6, 2.2)),
        ("top", "top of the shoulder", "top", _box(-6, 29, 6, 34.6)),
        ("front", "front of the shoulder", "front", _box(2.9, 34, 6.4, 49)),
        ("back", "back of the shoulder", "back", _box(-8.2, 34, -4.6, 49)),
        ("lateral", "outer side of the shoulder", "lateral", arm.intersection(_box(-10, 33, 10, 52))),
        ("upper_arm", "upper arm below the deltoid", "upper_arm", arm.intersection(_box(-10, 52, 10, 67))),
        ("forearm", "forearm", "forearm", arm.intersection(_box(-10, 67, 15, 93.5))),
        ("hand", "hand", "hand", arm.intersection(_box(-10, 93.5, 15, 112))),
        ("chest", "chest", "chest", _box(-1, 29, 16, 62)),
        ("ribs", "ribs behind", "mid_thorax", _box(-16, 29, -1, 67)),
        ("abdomen", "abdomen", "abdomen", _box(-1, 62, 16, 88)),
        ("low_back", "low back", "", _box(-16, 67, -1, 84)),
        ("buttock", "buttock or hip", "", _box(-16, 84, 16, 100)),
        ("thigh", "thigh", "", _box(-16, 97, 16, 126)),
        ("leg", "lower leg", "", _box(-16, 126, 16, 165)),
        ("foot", "foot", "", _box(-16, 165, 18, 185)),
    ]
