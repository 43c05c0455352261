"""The body chart as SVG: each quality has its pattern, each area its number, the chart of before its hatching."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape
from typing import Any

from endfeel.body_chart.areas import MeasuredArea, covered
from endfeel.body_chart.figure import FigureView, figure
from endfeel.body_chart.words import chart_words
from endfeel.pictures.svg import CLAY, GREY, INK, PAPER, SCREEN_FONT, tag, text
from endfeel.vocabulary.body_chart import ChartView, SymptomDepth, SymptomQuality

Shape = Any
BODY = "#f4f1e8"
FAINT = "#b9b4a4"
CROP = (11.0, 0.0, 78.0, 180.0)
"""The part of a view's paper that is shown: left, top, width, height."""
VIEW_WORDS = {
    ChartView.FRONT: "front",
    ChartView.BACK: "back",
    ChartView.RIGHT: "right side",
    ChartView.LEFT: "left side",
}
_MARKS = {
    SymptomQuality.ACHING: ("M-1 1L1 -1M0 4L4 0M3 5L5 3", "aching: slanting lines"),
    SymptomQuality.SHARP: ("M0 3L2 1L4 3", "sharp: zigzag"),
    SymptomQuality.BURNING: ("M1 1L3 3M3 1L1 3", "burning: crosses"),
    SymptomQuality.THROBBING: ("M3.2 2A1.2 1.2 0 1 1 0.8 2A1.2 1.2 0 1 1 3.2 2", "throbbing: rings"),
    SymptomQuality.TINGLING: ("M1 1h.01M3 3h.01", "tingling: dots"),
    SymptomQuality.NUMB: ("M0 2H2.6", "numb: dashes"),
    SymptomQuality.TIGHT: ("M1 0V4M3 0V4", "tight: upright lines"),
}
PATTERN_WORDS = {quality: words for quality, (_, words) in _MARKS.items()}


def patterns(prefix: str) -> str:
    """Definitions of all patterns; ids begin with `prefix`."""
    made = [_pattern(f"{prefix}-{quality}", marks, CLAY, 0.55) for quality, (marks, _) in _MARKS.items()]
    made.append(_pattern(f"{prefix}-before", "M0 1H4M0 3H4", INK, 0.35))
    return tag("defs", *made)


def _pattern(key: str, marks: str, stroke: str, width: float) -> str:
    drawn = tag("path", d=marks, stroke=stroke, stroke_width=width, fill="none", stroke_linecap="round")
    return tag("pattern", drawn, id=key, width=4, height=4, patternUnits="userSpaceOnUse")


def outline_path(shape: Shape) -> str:
    """The path of a surface, its holes included."""
    rings = [
        ring
        for one in getattr(shape, "geoms", [shape])
        if one.geom_type == "Polygon"
        for ring in (one.exterior, *one.interiors)
    ]
    return "".join("M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in ring.coords[:-1]) + "Z" for ring in rings if ring)


def body(view: FigureView) -> str:
    """The bare figure of one view."""
    lines = [
        tag(
            "polyline",
            points=" ".join(f"{x:.1f},{y:.1f}" for x, y in line),
            fill="none",
            stroke=FAINT,
            stroke_width=0.5,
        )
        for line in view.lines
    ]
    return tag("path", d=outline_path(view.outline), fill=BODY, stroke=GREY, stroke_width=0.8) + "".join(lines)


def drawn(areas: Iterable[tuple[int, MeasuredArea]], prefix: str) -> str:
    """Numbered areas of one view."""
    shapes, labels = [], []
    for number, one in areas:
        if one.shape.is_empty:
            continue
        path = outline_path(one.shape)
        deep = one.area.depth is SymptomDepth.DEEP
        fill = f"url(#{prefix}-{one.area.quality})" if one.area.quality else "none"
        shapes.append(tag("path", d=path, fill=PAPER, fill_opacity=0.55))
        shapes.append(
            tag("path", d=path, fill=fill, stroke=CLAY, stroke_width=1.4 if deep else 0.7, fill_rule="evenodd")
        )
        labels.append(_label(number, one))
    return "".join(shapes + labels)


def _label(number: int, one: MeasuredArea) -> str:
    at = one.shape.representative_point()
    return tag("circle", cx=float(at.x), cy=float(at.y), r=3.1, fill=PAPER, stroke=CLAY, stroke_width=0.5) + text(
        float(at.x), float(at.y) + 1.5, str(number), 4.2, CLAY, text_anchor="middle", font_weight="bold"
    )


def before_and_now(before: Shape, now: Shape, prefix: str) -> str:
    """The chart of before hatched level with a dashed rim, that of now hatched slanting with a firm one."""
    then = tag(
        "path",
        d=outline_path(before),
        fill=f"url(#{prefix}-before)",
        stroke=INK,
        stroke_width=0.8,
        stroke_dasharray="2 1.4",
    )
    return then + tag("path", d=outline_path(now), fill=f"url(#{prefix}-aching)", stroke=CLAY, stroke_width=0.9)


def chart_picture(
    areas: Sequence[MeasuredArea], *, title: str = "Body chart", font: str = SCREEN_FONT, prefix: str = "chart"
) -> str:
    """All four views beside each other with numbered, patterned areas and a key of the patterns used."""
    by_view = {view: [(n, one) for n, one in enumerate(areas, 1) if one.area.view is view] for view in ChartView}
    inside = {view: drawn(some, prefix) for view, some in by_view.items()}
    used = dict.fromkeys(one.area.quality for one in areas)
    key = [(f"{prefix}-{q}", PATTERN_WORDS[q], CLAY, "") for q in used if q]
    return _sheet(inside, key, title, chart_words(areas), font, prefix)


def comparison_picture(
    before: Sequence[MeasuredArea],
    now: Sequence[MeasuredArea],
    *,
    title: str = "Body chart, last time and now",
    font: str = SCREEN_FONT,
    prefix: str = "both",
    description: str = "",
) -> str:
    """What was drawn last time and what is drawn now, one over the other; what is in both is hatched twice."""
    then, today = covered(before), covered(now)
    inside = {view: before_and_now(then[view], today[view], prefix) for view in ChartView}
    key = [
        (f"{prefix}-before", "last time: level lines, dashed rim", INK, "2 1.4"),
        (f"{prefix}-aching", "now: slanting lines, firm rim; both where they cross", CLAY, ""),
    ]
    return _sheet(inside, key, title, description, font, prefix)


def _sheet(
    inside: dict[ChartView, str],
    key: Sequence[tuple[str, str, str, str]],
    title: str,
    words: str,
    font: str,
    prefix: str,
) -> str:
    left, top, width, height = CROP
    parts = []
    for column, view in enumerate(ChartView):
        shift = f"translate({width * column - left:g} {8 - top:g})"
        parts.append(tag("g", body(figure()[view]), inside[view], transform=shift))
        parts.append(text(width * (column + 0.5), 6.5, VIEW_WORDS[view], 6, INK, text_anchor="middle"))
    rows = (len(key) + 1) // 2
    for at, (fill, told, stroke, dashes) in enumerate(key):
        x, y = 6 + (at % 2) * width * 2, height + 14 + 10 * (at // 2)
        more = {"stroke_dasharray": dashes} if dashes else {}
        parts.append(
            tag("rect", x=x, y=y - 6, width=12, height=7, fill=f"url(#{fill})", stroke=stroke, stroke_width=0.7, **more)
        )
        parts.append(text(x + 15, y, told, 6, INK))
    size = (width * 4, height + 12 + 10 * rows)
    return tag(
        "svg",
        tag("title", _plain(title)),
        tag("desc", _plain(words)),
        patterns(prefix),
        tag("rect", x=0, y=0, width=size[0], height=size[1], fill=PAPER),
        *parts,
        xmlns="http://www.w3.org/2000/svg",
        role="img",
        aria_label=f"{title}. {words}",
        viewBox=f"0 0 {size[0]:g} {size[1]:g}",
        font_family=font,
    )


def view_picture(view: ChartView, areas: Sequence[MeasuredArea], prefix: str) -> str:
    """What stands inside one view's own SVG on the page: figure and areas, numbered as on the whole chart."""
    some = [(n, one) for n, one in enumerate(areas, 1) if one.area.view is view]
    return patterns(prefix) + body(figure()[view]) + drawn(some, prefix)


def _plain(words: str) -> str:
    return escape(words, quote=False)
