"""Laws of the body chart: shares, overlap, loops, mirror; checked against a raster of the same drawings."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy.ndimage import binary_fill_holes
from shapely import LineString, Polygon, contains_xy, get_parts, union_all

from endfeel.body_chart import Rule, figure, measured, overlap, region_path, surface, total_share
from endfeel.body_chart.areas import FINE, whole
from endfeel.vocabulary import AREAS, Side
from endfeel.vocabulary.body_chart import HEIGHT, WIDTH, ChartArea, ChartView

RULE = Rule(3.0, 0.1)
points = st.tuples(st.floats(0, WIDTH), st.floats(0, HEIGHT))
views = st.sampled_from(list(ChartView))
areas = st.builds(ChartArea, views, st.lists(points, min_size=1, max_size=12).map(tuple))
charts = st.lists(areas, max_size=4)


def mirrored(area: ChartArea) -> ChartArea:
    swap = {ChartView.RIGHT: ChartView.LEFT, ChartView.LEFT: ChartView.RIGHT}
    return ChartArea(swap.get(area.view, area.view), tuple((WIDTH - x, y) for x, y in area.path))


@given(areas)
@settings(max_examples=40, deadline=None)
def test_nothing_beside_the_figure_counts_and_no_area_is_more_than_its_view(area: ChartArea) -> None:
    (one,) = measured([area], RULE)
    outline = figure()[area.view].outline
    assert one.shape.difference(outline.buffer(1e-6)).area == pytest.approx(0, abs=1e-6)
    assert 0 <= one.share <= outline.area / whole() + 1e-9


@given(charts, areas)
@settings(max_examples=40, deadline=None)
def test_drawing_more_never_makes_the_chart_smaller_and_the_same_again_changes_nothing(
    chart: list[ChartArea], more: ChartArea
) -> None:
    before = total_share(measured(chart, RULE))
    after = total_share(measured([*chart, more], RULE))
    assert after >= before - 1e-9
    assert total_share(measured([*chart, more, more], RULE)) == pytest.approx(after, abs=1e-9)
    assert after <= 1 + 1e-9


@given(charts, charts)
@settings(max_examples=30, deadline=None)
def test_overlap_is_within_both_and_the_same_either_way(one: list[ChartArea], other: list[ChartArea]) -> None:
    a, b = measured(one, RULE), measured(other, RULE)
    there, back = overlap(a, b), overlap(b, a)
    assert there.both == pytest.approx(back.both, abs=1e-9)
    assert there.both <= min(there.before, there.now) + 1e-9
    if there.likeness is not None:
        assert -1e-9 <= there.likeness <= 1 + 1e-9
    same = overlap(a, a)
    if a and same.before > 1e-9:
        assert same.likeness == pytest.approx(1, abs=1e-6)
        assert same.still == pytest.approx(1, abs=1e-6)
        assert same.new == pytest.approx(0, abs=1e-6)


@given(areas)
@settings(max_examples=40, deadline=None)
def test_the_left_is_the_mirror_of_the_right(area: ChartArea) -> None:
    (one,), (other,) = measured([area], RULE), measured([mirrored(area)], RULE)
    assert one.share == pytest.approx(other.share, rel=2e-3, abs=1e-6)


def test_of_a_region_that_is_named_its_own_region_comes_first_and_its_side_swaps_in_the_mirror() -> None:
    swap = {Side.RIGHT: Side.LEFT, Side.LEFT: Side.RIGHT, None: None}
    for view, drawn in figure().items():
        for region in drawn.regions:
            (one,) = measured([ChartArea(view, region_path(region))], RULE)
            assert one.touched, (view, region.id)
            assert region in one.touched, (view, region.words)
            (other,) = measured([mirrored(one.area)], RULE)
            names = {(r.id, r.side) for r in other.touched}
            assert (region.id, swap[region.side]) in names, (view, region.words)


def test_regions_lie_apart_fill_the_figure_and_stand_for_areas_there_are() -> None:
    for view, drawn in figure().items():
        parts = sum(region.shape.area for region in drawn.regions)
        assert parts == pytest.approx(drawn.outline.area, rel=0.01), view
        assert drawn.outline.geom_type == "Polygon"
        for one in drawn.regions:
            assert one.area in ("", *AREAS)
            others = (other for other in drawn.regions if other is not one)
            assert max(one.shape.intersection(other.shape).area for other in others) < 1e-6
    named = {region.area for drawn in figure().values() for region in drawn.regions}
    assert named - {""} == set(AREAS) - {"deep"}


def test_front_and_back_show_the_right_hand_on_opposite_sides_of_the_paper() -> None:
    def middle(view: ChartView) -> float:
        hand = next(r for r in figure()[view].regions if r.id == "hand" and r.side is Side.RIGHT)
        return float(hand.shape.centroid.x)

    assert middle(ChartView.FRONT) < WIDTH / 2 < middle(ChartView.BACK)
    right, left = (figure()[view].outline.bounds for view in (ChartView.RIGHT, ChartView.LEFT))
    assert right[2] - WIDTH / 2 == pytest.approx(WIDTH / 2 - left[0])
    assert {r.side for r in figure()[ChartView.RIGHT].regions} == {Side.RIGHT, None}


@given(st.floats(2.0, 5.0), st.floats(0.5, 1.5))
@settings(max_examples=40, deadline=None)
def test_a_ring_is_filled_and_measures_what_a_circle_measures(radius: float, stretch: float) -> None:
    turn = [2 * math.pi * n / 90 for n in range(91)]
    ring = ChartArea(
        ChartView.BACK, tuple((50 + radius * math.cos(t), 75 + radius * stretch * math.sin(t)) for t in turn)
    )
    thin = surface(ring, 0.02).area
    assert thin == pytest.approx(math.pi * radius * radius * stretch, rel=0.04)


Grid = NDArray[np.float64]


def as_drawn(area: ChartArea) -> LineString:
    return LineString([(round(x, 2), round(y, 2)) for x, y in area.path]).simplify(FINE)


def test_a_point_drawn_twice_or_on_the_way_is_no_corner_and_fills_nothing() -> None:
    bent = ((40.0, 60.0), (52.0, 60.0), (46.0, 72.0))
    plain = surface(ChartArea(ChartView.BACK, bent), RULE.finger_width)
    for path in ((*bent, bent[-1]), (bent[0], (46.0, 60.0), *bent[1:])):
        assert surface(ChartArea(ChartView.BACK, path), RULE.finger_width).equals(plain)
    closed = surface(ChartArea(ChartView.BACK, (*bent, bent[0])), RULE.finger_width)
    assert closed.area > plain.area + 10
    twice = surface(ChartArea(ChartView.BACK, (*bent, *bent, bent[0])), RULE.finger_width)
    assert twice.area == pytest.approx(closed.area), "what is gone round twice is gone round"


def from_line(xs: Grid, ys: Grid, one: Grid, other: Grid) -> Grid:
    """How far each point of a grid lies from the line between two points."""
    (x1, y1), (x2, y2) = one, other
    long = (x2 - x1) ** 2 + (y2 - y1) ** 2
    along = np.clip(((xs - x1) * (x2 - x1) + (ys - y1) * (y2 - y1)) / max(long, 1e-12), 0, 1)
    return np.hypot(xs - x1 - along * (x2 - x1), ys - y1 - along * (y2 - y1))


def test_going_round_twice_covers_no_less_than_going_round_once() -> None:
    def spiral(turns: int) -> ChartArea:
        angles = np.linspace(0, 2 * np.pi * turns, 120)
        wide = 4 + 0.1 * angles
        path = tuple(zip(50 + wide * np.cos(angles), 75 + wide * np.sin(angles), strict=True))
        return ChartArea(ChartView.BACK, tuple((float(x), float(y)) for x, y in path))

    once, twice = surface(spiral(1), RULE.finger_width), surface(spiral(2), RULE.finger_width)
    assert twice.area > once.area
    assert once.difference(twice).area < 0.5


@given(areas)
@example(
    ChartArea(ChartView.FRONT, ((0, 0), (45, 87), (0, 0), (18, 0), (56, 117), (18, 0)))
)  # two lines that nearly meet
@settings(max_examples=25, deadline=None)
def test_a_raster_of_the_same_drawing_measures_the_same(area: ChartArea) -> None:
    """Points on a fine grid: inside the outline, and near the line or shut in by it, however often it goes round."""
    assume(len(set(area.path)) > 1)
    line = as_drawn(area)
    assume((len(area.path) > 3) == (len(line.coords) > 3))  # a point on the way is no corner: the law above
    step = 0.5
    xs, ys = np.meshgrid(np.arange(step / 2, WIDTH, step), np.arange(step / 2, HEIGHT, step))
    inside = contains_xy(figure()[area.view].outline, xs, ys)
    path = [np.array(one) for one in area.path]
    near = np.any([from_line(xs, ys, a, b) <= RULE.finger_width / 2 for a, b in pairwise(path)], axis=0)
    ring = np.any([from_line(xs, ys, a, b) <= 0.75 * step for a, b in pairwise([*path, path[0]])], axis=0)
    enclosed = binary_fill_holes(ring) & (len(path) > 3)
    raster = np.count_nonzero(inside & (near | enclosed)) * step * step
    exact = surface(area, RULE.finger_width).area
    rim = step * (surface(area, RULE.finger_width).length + figure()[area.view].outline.length)
    # the line is 1.5 steps wide and a way through it needs up to 1.42 more: a grid may take a narrower gap for shut
    thick = LineString([*line.coords, line.coords[0]]).buffer(1.5 * step)
    shut = union_all([Polygon(part.exterior) for part in get_parts(thick)]).intersection(figure()[area.view].outline)
    most = union_all([surface(area, RULE.finger_width), *([shut] if len(line.coords) > 3 else [])]).area
    assert exact - 0.25 * rim - 2.0 <= raster <= most + 0.25 * rim + 2.0, (area.view, area.path)


def test_a_finger_that_all_but_stood_still_is_a_spot() -> None:
    """Coordinates next to nothing apart once made the outline of a line divide by zero."""
    hair = ChartArea(ChartView.FRONT, ((50.0, 60.0), (52.0, 60.0), (50.0, 60.0 + 1e-220), (51.0, 60.0), (50.0, 60.0)))
    assert surface(hair, 3.0).area == pytest.approx(3.0 * 2 + math.pi * 1.5**2, rel=0.02)
    still = ChartArea(ChartView.FRONT, ((50.0, 60.0), (50.0, 60.0 + 1e-9)))
    assert surface(still, 3.0).area == pytest.approx(math.pi * 1.5**2, rel=0.02)
