"""Curves on two axes, told apart by dashes, marks and a name at their end; colour only helps."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np

from endfeel.anatomy.units import Floats
from endfeel.pictures.svg import CLAY, GREY, INK, NORMAL, PALE, PAPER, SMALL, Value, line, polygon, polyline, tag, text

Style: TypeAlias = tuple[str, float, str, str]
LEAST_HEIGHT = 1.0
"""In the unit of the vertical axis: a flat chart is at least so high."""
SMALL_PART = 0.03
"""Of the height: so little below zero needs no room of its own."""
NAME_ROOM = 22.0
STYLES: tuple[Style, ...] = (
    (INK, 3.4, "", "circle"),
    (CLAY, 2.4, "9 5", "square"),
    ("#4b7f9b", 2.4, "2 5", "triangle"),
    ("#7b6a3c", 2.4, "12 4 2 4", "diamond"),
    ("#5d4a73", 2.4, "5 3", "circle"),
    ("#5f6b72", 2.4, "14 6", "square"),
    ("#2d6a4f", 2.4, "1 4", "triangle"),
    ("#8a3b5a", 2.4, "8 3 2 3 2 3", "diamond"),
)
"""Colour, width, dashes and mark of the first, second… curve."""


@dataclass(frozen=True, slots=True)
class Curve:
    """One curve. A value that is not a number is a place where there is none: it is left out and gets a cross."""

    name: str
    x: Floats
    y: Floats
    low: Floats | None = None
    high: Floats | None = None
    """A band about it."""
    lost: str = ""
    """What a place without a value means, for the picture in words."""
    every_loss: bool = False
    """Whether each such place gets a cross, at the top; else one cross ends the curve."""


@dataclass(frozen=True, slots=True)
class Axes:
    """What the two axes say, and the box in which they stand: left, top, width, height."""

    title: str
    x_word: str
    y_word: str
    box: tuple[float, float, float, float]
    name_room: float = 150.0


@dataclass(frozen=True, slots=True)
class _Plot:
    """The inner box, and the ticks at the ends of its axes."""

    left: float
    top: float
    wide: float
    high: float
    xs: Floats
    ys: Floats

    def placed(self, x: Floats, y: Floats) -> Floats:
        """Values on the page, (k, 2)."""
        across = (np.asarray(x) - self.xs[0]) / (self.xs[-1] - self.xs[0])
        up = (np.asarray(y) - self.ys[0]) / (self.ys[-1] - self.ys[0])
        points: Floats = np.stack([self.left + across * self.wide, self.top + (1.0 - up) * self.high], axis=-1)
        return points


def line_chart(curves: Sequence[Curve], axes: Axes) -> str:
    """SVG of the curves in their box. At least one curve."""
    every = [
        band[np.isfinite(band)] for curve in curves for band in (curve.y, curve.low, curve.high) if band is not None
    ]
    values = np.concatenate([np.zeros(1), *every])
    lowest, highest = float(values.min()), max(float(values.max()), LEAST_HEIGHT)
    left, top, wide, high = axes.box
    plot = _Plot(
        left + 50.0,
        top + 62.0,
        wide - 58.0 - axes.name_room,
        high - 116.0,
        ticks(float(min(curve.x[0] for curve in curves)), float(max(curve.x[-1] for curve in curves)), 6),
        ticks(lowest if lowest < -SMALL_PART * highest else 0.0, highest, 6),
    )
    parts = [_frame(axes, plot)]
    parts += [_curve(curve, style, plot) for curve, style in zip(curves, STYLES, strict=False)]
    ends = [_end(curve, plot) for curve in curves]
    heights = apart([y for _, y in ends], NAME_ROOM, plot.top, plot.top + plot.high)
    for curve, style, end, y in zip(curves, STYLES, ends, heights, strict=False):
        parts.append(_name(curve, style, end, (plot.left + plot.wide + 16.0, y)))
    return "".join(parts)


def ticks(low: float, high: float, most: int) -> Floats:
    """Round numbers from at or below `low` to at or above `high`, at most so many steps between them."""
    rough = max(high - low, 1e-9) / most
    power = 10.0 ** np.floor(np.log10(rough))
    for times in (1.0, 2.0, 2.5, 5.0, 10.0, 20.0):
        step = power * times
        first, last = np.floor(low / step + 1e-9), np.ceil(high / step - 1e-9)
        if last - first <= most:
            break
    steps: Floats = np.arange(first, last + 0.5) * step
    return steps


def apart(heights: Sequence[float], least: float, top: float, bottom: float) -> list[float]:
    """Heights on the page moved until each is `least` below the one above it, between `top` and `bottom` where there
    is room, order kept."""
    order = sorted(range(len(heights)), key=lambda place: (heights[place], place))
    placed = dict.fromkeys(order, 0.0)
    last = top - least
    for place in order:
        placed[place] = last = max(heights[place], last + least)
    last = max(bottom, top + least * (len(heights) - 1)) + least
    for place in reversed(order):
        placed[place] = last = min(placed[place], last - least)
    return [placed[place] for place in range(len(heights))]


def marker(x: float, y: float, kind: str, colour: str) -> str:
    """A small open mark."""
    dressed: dict[str, Value] = {"fill": PAPER, "stroke": colour, "stroke_width": 2.0}
    if kind == "circle":
        return tag("circle", cx=x, cy=y, r=4.6, **dressed)
    corners = {
        "square": [(-4.2, -4.2), (4.2, -4.2), (4.2, 4.2), (-4.2, 4.2)],
        "triangle": [(0.0, -5.6), (5.2, 4.2), (-5.2, 4.2)],
        "diamond": [(0.0, -6.0), (6.0, 0.0), (0.0, 6.0), (-6.0, 0.0)],
    }[kind]
    return polygon(np.array([x, y]) + np.array(corners), **dressed)


def _frame(axes: Axes, plot: _Plot) -> str:
    parts = [text(axes.box[0], axes.box[1] + 18.0, axes.title, NORMAL, INK, font_weight="bold")]
    parts.append(text(axes.box[0], axes.box[1] + 44.0, axes.y_word, SMALL, GREY))
    for y in plot.ys:
        at = float(plot.placed(plot.xs[:1], np.array([y]))[0, 1])
        parts.append(line(plot.left, at, plot.left + plot.wide, at, GREY if y == 0.0 else PALE))
        parts.append(text(plot.left - 8.0, at + 5.0, _number(y), SMALL, GREY, text_anchor="end"))
    low = plot.top + plot.high
    for x in plot.xs:
        at = float(plot.placed(np.array([x]), plot.ys[:1])[0, 0])
        parts.append(line(at, low, at, low + 5.0, GREY))
        parts.append(text(at, low + 22.0, _number(x), SMALL, GREY, text_anchor="middle"))
    parts.append(text(plot.left + plot.wide / 2.0, low + 44.0, axes.x_word, SMALL, GREY, text_anchor="middle"))
    return "".join(parts)


def _curve(curve: Curve, style: Style, plot: _Plot) -> str:
    colour, width, dashes, mark = style
    parts = [_band(curve, colour, plot)]
    good = np.isfinite(curve.y)
    points = plot.placed(curve.x, np.where(good, curve.y, plot.ys[-1]))
    points[~good, 1] += 12.0
    dashed: dict[str, Value] = {"stroke_dasharray": dashes} if dashes else {}
    parts += [
        polyline(points[run], stroke=colour, stroke_width=width, stroke_linejoin="round", **dashed)
        for run in _runs(good)
    ]
    every = max(1, len(points) // 6)
    parts += [marker(float(x), float(y), mark, colour) for x, y in points[good][::every]]
    parts += [_cross(x, y, colour) for x, y in _losses(curve, points, good)]
    return "".join(parts)


def _runs(good: np.ndarray) -> list[slice]:
    """The stretches in which every value is a number."""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], good.astype(int), [0]])))
    return [slice(int(start), int(stop)) for start, stop in zip(edges[::2], edges[1::2], strict=True)]


def _losses(curve: Curve, points: Floats, good: np.ndarray) -> Floats:
    """Where crosses stand: at every place without a value, or at the end of a curve that breaks off."""
    if curve.every_loss:
        lost: Floats = points[~good]
        return lost
    at_end: Floats = points[good][-1:] if not good.all() else points[:0]
    return at_end


def _cross(x: float, y: float, colour: str) -> str:
    return "".join(line(x - 6, y + way * 6, x + 6, y - way * 6, colour, 2.6) for way in (-1, 1))


def _band(curve: Curve, colour: str, plot: _Plot) -> str:
    if curve.low is None or curve.high is None:
        return ""
    known = np.isfinite(curve.low) & np.isfinite(curve.high)
    over, under = (plot.placed(curve.x, np.where(known, edge, 0.0)) for edge in (curve.high, curve.low))
    return "".join(
        polygon(
            np.concatenate([over[run], under[run][::-1]]),
            fill=colour, fill_opacity=0.13, stroke=colour, stroke_width=0.8, stroke_opacity=0.5,
        )
        for run in _runs(known)
    )  # fmt: skip


def _end(curve: Curve, plot: _Plot) -> tuple[float, float]:
    good = np.flatnonzero(np.isfinite(curve.y))
    if not len(good):
        return plot.left + plot.wide, plot.top
    x, y = plot.placed(curve.x[good[-1:]], curve.y[good[-1:]])[0]
    return float(x), float(y)


def _name(curve: Curve, style: Style, end: tuple[float, float], at: tuple[float, float]) -> str:
    """The curve's name beside the plot, with its mark, led to its end."""
    colour, _, _, mark = style
    parts = [line(end[0] + 7.0, end[1], at[0] - 8.0, at[1], colour, 0.9), marker(at[0], at[1], mark, colour)]
    parts.append(text(at[0] + 11.0, at[1] + 5.0, curve.name, SMALL, INK))
    return "".join(parts)


def _number(value: float) -> str:
    return f"{value:g}".replace("-", "−")
