"""Two small charts as wide as a phone: values in order about their median, and a share that rises in steps."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from endfeel.anatomy.units import Floats
from endfeel.pictures.line_chart import marker, ticks
from endfeel.pictures.svg import (
    CLAY,
    GREY,
    INK,
    PALE,
    SCREEN_FONT,
    Value,
    document,
    line,
    polygon,
    polyline,
    tag,
    text,
    wrapped,
)

WIDTH, HEIGHT = 440.0, 300.0
LEFT, RIGHT, TOP, BOTTOM = 50.0, 424.0, 56.0, 236.0
LETTERS = 14.0
MARKS: Mapping[str, str] = {"shift": "square", "trend": "triangle", "far": "diamond"}
"""Form of a point by what it is part of; the first that holds, from the right."""


@dataclass(frozen=True, slots=True)
class RunPoints:
    """What is drawn of a run chart."""

    values: tuple[float, ...]
    names: tuple[str, ...]
    """Of the points, such as months; some are written below."""
    median: float
    signals: tuple[tuple[str, tuple[int, ...]], ...]
    """Rule and points, from 0."""


def run_chart(points: RunPoints, title: str, y_word: str, told: str, font: str = SCREEN_FONT) -> str:
    """SVG of values in order with their median; points that make a signal are marked by form. At least one point."""
    low, high = min(points.values), max(points.values)
    ys = ticks(min(low, 0.0) if low >= 0 and low < 0.5 * high else low, high if high > low else low + 1.0, 5)
    count = len(points.values)

    def place(k: float, value: float) -> tuple[float, float]:
        across = LEFT + 12.0 + (RIGHT - LEFT - 24.0) * (k / max(count - 1, 1))
        return across, BOTTOM - (BOTTOM - TOP) * (value - ys[0]) / (ys[-1] - ys[0])

    parts = _frame(title, y_word, ys)
    every = max(1, -(-count // 5))
    for k in range(0, count, every):
        at = place(k, ys[0])[0]
        parts += [line(at, BOTTOM, at, BOTTOM + 5, GREY), _word(at, BOTTOM + 21, points.names[k], "middle")]
    middle = place(0, points.median)[1]
    parts.append(line(LEFT, middle, RIGHT, middle, CLAY, 1.8, stroke_dasharray="8 5"))
    line_points = np.array([place(k, value) for k, value in enumerate(points.values)])
    parts.append(polyline(line_points, stroke=INK, stroke_width=1.6))
    kinds = {k: rule for rule, where in points.signals if rule in MARKS for k in where}
    for k, (x, y) in enumerate(line_points):
        if k in kinds:
            parts.append(marker(float(x), float(y), MARKS[kinds[k]], CLAY))
        else:
            parts.append(tag("circle", cx=float(x), cy=float(y), r=3.0, fill=INK))
    drawn = [rule for rule in MARKS if rule in kinds.values()]
    parts += _key(drawn)
    return document((WIDTH, HEIGHT), title, told, parts, font)


@dataclass(frozen=True, slots=True)
class Steps:
    """A share that begins at nothing and holds from each place until the next."""

    at: tuple[float, ...]
    share: tuple[float, ...]
    low: tuple[float, ...]
    high: tuple[float, ...]


def step_chart(steps: Steps, title: str, x_word: str, y_word: str, told: str, font: str = SCREEN_FONT) -> str:
    """SVG of a share that rises from nothing in steps, its 95 % interval as a band. At least one step."""
    ys = np.linspace(0.0, 1.0, 5)
    xs = ticks(0.0, max(steps.at), 6)

    def drawn(values: Sequence[float]) -> Floats:
        x = np.repeat([0.0, *steps.at, xs[-1]], 2)[1:-1]
        y = np.repeat([0.0, *values], 2)
        across = LEFT + (RIGHT - LEFT) * x / xs[-1]
        points: Floats = np.stack([across, BOTTOM - (BOTTOM - TOP) * y], axis=-1)
        return points

    parts = _frame(title, y_word, ys, 100.0)
    for x in xs:
        at = LEFT + (RIGHT - LEFT) * x / xs[-1]
        parts += [line(at, BOTTOM, at, BOTTOM + 5, GREY), _word(at, BOTTOM + 21, f"{x:g}", "middle")]
    band = np.concatenate([drawn(steps.low), drawn(steps.high)[::-1]])
    parts.append(polygon(band, fill=INK, fill_opacity=0.14, stroke="none"))
    parts.append(polyline(drawn(steps.share), stroke=INK, stroke_width=2.6))
    parts.append(_word((LEFT + RIGHT) / 2, BOTTOM + 44, x_word, "middle"))
    return document((WIDTH, HEIGHT), title, told, parts, font)


def _frame(title: str, y_word: str, ys: Floats, times: float = 1.0) -> list[str]:
    parts = [
        text(8.0, 18.0 + 17.0 * k, words, LETTERS, INK, font_weight="bold")
        for k, words in enumerate(wrapped(title, 52))
    ]
    parts.append(_word(8.0, TOP - 14.0, y_word))
    for y in ys:
        at = BOTTOM - (BOTTOM - TOP) * float((y - ys[0]) / (ys[-1] - ys[0]))
        parts.append(line(LEFT, at, RIGHT, at, PALE))
        parts.append(_word(LEFT - 6.0, at + 5.0, f"{times * y:g}".replace("-", "−"), "end"))
    parts.append(line(LEFT, BOTTOM, RIGHT, BOTTOM, GREY))
    return parts


def _key(rules: Sequence[str]) -> list[str]:
    """What the forms mean, and the dashed line."""
    parts = [line(LEFT, BOTTOM + 46, LEFT + 24, BOTTOM + 46, CLAY, 1.8, stroke_dasharray="8 5")]
    parts.append(_word(LEFT + 30, BOTTOM + 51, "median"))
    x = LEFT + 98.0
    for rule in rules:
        parts += [marker(x, BOTTOM + 46, MARKS[rule], CLAY), _word(x + 11, BOTTOM + 51, rule)]
        x += 26.0 + 8.5 * len(rule)
    return parts


def _word(x: float, y: float, words: str, anchor: str = "start") -> str:
    dressed: dict[str, Value] = {} if anchor == "start" else {"text_anchor": anchor}
    return text(x, y, words, LETTERS, GREY, **dressed)
