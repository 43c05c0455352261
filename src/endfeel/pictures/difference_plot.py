"""Two examiners' readings: difference against mean, with the limits of agreement and their intervals, as SVG."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from endfeel.anatomy.units import Floats
from endfeel.measurement.kappa import Coefficient
from endfeel.measurement.limits_of_agreement import LimitsOfAgreement
from endfeel.pictures.line_chart import ticks
from endfeel.pictures.svg import (
    CLAY,
    GREY,
    INK,
    NORMAL,
    PALE,
    SCREEN_FONT,
    SMALL,
    Value,
    document,
    line,
    tag,
    text,
    wrapped,
)

WIDTH, HEIGHT = 760.0, 470.0
LEFT, TOP, WIDE, HIGH = 70.0, 66.0, 470.0, 320.0


def difference_plot(
    first: Sequence[float], second: Sequence[float], names: tuple[str, str], limits: LimitsOfAgreement,
    unit: str = "", *, font: str = SCREEN_FONT,
) -> str:  # fmt: skip
    """Every person a ring at (mean, first minus second); three lines with their 95 % intervals, told in words too."""
    a, b = np.asarray(first, dtype=float), np.asarray(second, dtype=float)
    mean, gap = (a + b) / 2, a - b
    xs = ticks(float(mean.min()), float(mean.max()) if np.ptp(mean) else float(mean.max()) + 1, 6)
    low = min(float(gap.min()), limits.lower.low, 0.0)
    high = max(float(gap.max()), limits.upper.high, 0.0)
    ys = ticks(low, high if high > low else low + 1, 6)

    def x(value: float) -> float:
        return float(LEFT + WIDE * (value - xs[0]) / (xs[-1] - xs[0]))

    def y(value: float) -> float:
        return float(TOP + HIGH * (1 - (value - ys[0]) / (ys[-1] - ys[0])))

    measure = f" ({unit})" if unit else ""
    title = f"{names[0]} and {names[1]}: difference against mean"
    parts = [text(20, 30, title, NORMAL, INK, font_weight="bold")]
    parts.append(text(20, 52, f"{names[0]} minus {names[1]}{measure}", SMALL, GREY))
    parts += _axes(xs, ys, x, y, f"mean of both{measure}")
    marks = (("upper limit", limits.upper, "9 5"), ("mean difference", limits.mean_difference, ""),
             ("lower limit", limits.lower, "9 5"))  # fmt: skip
    for name, one, dashes in marks:
        parts += _level(name, one, dashes, y)
    for across, up in zip(mean, gap, strict=True):
        parts.append(
            tag("circle", cx=x(float(across)), cy=y(float(up)), r=4.2, fill="none", stroke=INK, stroke_width=1.6)
        )
    return document((WIDTH, HEIGHT), title, plot_words(names, limits, unit), parts, font)


def plot_words(names: tuple[str, str], limits: LimitsOfAgreement, unit: str = "") -> str:
    """What the picture shows, in a sentence."""
    end = f" {unit}" if unit else ""
    mean, low, high = limits.mean_difference, limits.lower, limits.upper
    return (
        f"{limits.n} people. {names[0]} reads {abs(mean.value):.3g}{end} {'more' if mean.value >= 0 else 'less'} than "
        f"{names[1]} on average ({mean.low:.3g} to {mean.high:.3g}). 95 % of differences are expected between "
        f"{low.value:.3g} ({low.low:.3g} to {low.high:.3g}) and "
        f"{high.value:.3g} ({high.low:.3g} to {high.high:.3g}){end}."
    )


Scale = Callable[[float], float]


def _axes(xs: Floats, ys: Floats, x: Scale, y: Scale, word: str) -> list[str]:
    parts = []
    for one in ys:
        parts.append(line(LEFT, y(one), LEFT + WIDE, y(one), GREY if one == 0 else PALE))
        parts.append(text(LEFT - 8, y(one) + 5, _number(one), SMALL, GREY, text_anchor="end"))
    for one in xs:
        parts.append(line(x(one), TOP + HIGH, x(one), TOP + HIGH + 5, GREY))
        parts.append(text(x(one), TOP + HIGH + 22, _number(one), SMALL, GREY, text_anchor="middle"))
    parts.append(text(LEFT + WIDE / 2, TOP + HIGH + 46, word, SMALL, GREY, text_anchor="middle"))
    return parts


def _level(name: str, one: Coefficient, dashes: str, y: Scale) -> list[str]:
    """One line across, its interval as a bracket, its name and number beside."""
    more: dict[str, Value] = {"stroke_dasharray": dashes} if dashes else {}
    parts = [line(LEFT, y(one.value), LEFT + WIDE, y(one.value), CLAY, 2.0, **more)]
    at = LEFT + WIDE + 10
    parts.append(line(at, y(one.low), at, y(one.high), CLAY, 2.0))
    parts += [line(at - 5, y(end), at + 5, y(end), CLAY, 2.0) for end in (one.low, one.high)]
    parts.append(text(at + 14, y(one.value) - 3, f"{name} {one.value:.3g}", SMALL, INK))
    for k, words in enumerate(wrapped(f"({one.low:.3g} to {one.high:.3g})", 24)):
        parts.append(text(at + 14, y(one.value) + 15 + 16 * k, words, SMALL, GREY))
    return parts


def _number(value: float) -> str:
    return f"{value:g}".replace("-", "−")
