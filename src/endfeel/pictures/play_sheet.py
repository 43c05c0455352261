"""The picture of `endfeel play`: translation under a rising force and by position, and which bands hold it back."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from endfeel.pictures.line_chart import Axes, Curve, line_chart
from endfeel.pictures.restraint_sheet import MARGIN, WIDE, Words, footing, heading
from endfeel.pictures.svg import GREY, INK, NORMAL, PALE, SCREEN_FONT, SMALL, document, line, tag, text

_CHART_HIGH = 400.0
_ROW = 27.0
_BAR_LEFT, _BAR_WIDE = 400.0, 380.0


@dataclass(frozen=True, slots=True)
class Holding:
    """One thing that holds the bone back."""

    name: str
    share: float
    """Of the force; below zero where it pulls along with it."""
    tension_n: float | None = None
    """Unknown for the joint surface."""
    between: tuple[float, float] | None = None
    """The 90 % range of the share over people."""


def play_picture(
    charts: Sequence[tuple[Sequence[Curve], Axes]],
    holding: Sequence[Holding],
    words: Words,
    told: str,
    caption: str = "",
    font: str = SCREEN_FONT,
) -> str:
    """SVG of one or two charts side by side, a caption and bars below them; `told` is the same in words."""
    parts, y = heading(words, font)
    top = y + 22.0
    wide = (WIDE - 2 * MARGIN - 20.0 * (len(charts) - 1)) / len(charts)
    for place, (curves, axes) in enumerate(charts):
        box = (MARGIN + place * (wide + 20.0), top, wide, _CHART_HIGH)
        parts.append(line_chart(curves, Axes(axes.title, axes.x_word, axes.y_word, box, axes.name_room)))
    y = top + _CHART_HIGH + 14.0
    parts.append(text(MARGIN, y, caption, SMALL, GREY))
    if holding:
        parts += _bars(holding, y + 40.0)
        y += 48.0 + _ROW * len(holding)
    foot, height = footing(words.foot, y + 52.0, font)
    return document((WIDE, height), words.title, told, [*parts, *foot], font)


def curve_words(curve: Curve, x_word: str, y_word: str) -> str:
    """A curve in words: where it starts and ends."""
    good = np.flatnonzero(np.isfinite(curve.y))
    if not len(good):
        return f"{curve.name}: {curve.lost or 'nothing to show'}"
    first, last = good[0], good[-1]
    said = f"{curve.name}: {y_word} {curve.y[first]:.1f} at {x_word} {curve.x[first]:g}, "
    said += f"{curve.y[last]:.1f} at {curve.x[last]:g}"
    return f"{said}; elsewhere {curve.lost}" if curve.lost else said


def _bars(holding: Sequence[Holding], y: float) -> list[str]:
    parts = [text(MARGIN, y, "What holds it back", NORMAL, INK, font_weight="bold")]
    parts.append(text(_BAR_LEFT, y, "share of the force", SMALL, GREY))
    parts.append(text(WIDE - MARGIN, y, "pull", SMALL, GREY, text_anchor="end"))
    reach = max(1.0, *(abs(one.share) for one in holding)) if holding else 1.0
    for row, one in enumerate(holding):
        top = y + 10.0 + _ROW * row
        base, middle = top + 19.0, top + _ROW / 2.0
        wide = _BAR_WIDE * abs(one.share) / reach
        parts += [
            line(MARGIN, top, WIDE - MARGIN, top),
            text(MARGIN, base, one.name, NORMAL, INK),
            tag("rect", x=_BAR_LEFT, y=middle - 6.0, width=_BAR_WIDE, height=12.0, fill="none", stroke=PALE),
            tag(
                "rect",
                x=_BAR_LEFT,
                y=middle - 6.0,
                width=wide,
                height=12.0,
                stroke=INK,
                fill=INK if one.share > 0 else "none",
            ),
        ]
        if one.between is not None:
            low, high = (_BAR_LEFT + _BAR_WIDE * min(max(share, 0.0), reach) / reach for share in one.between)
            parts.append(line(low, middle, high, middle, "#ffffff", 5.0))
            parts.append(line(low, middle, high, middle, "#a34d2c", 2.4))
            parts += [line(x, middle - 6.0, x, middle + 6.0, "#a34d2c", 2.4) for x in (low, high)]
        helps = ", pulls along" if one.share < -0.005 else ""
        parts.append(text(_BAR_LEFT + _BAR_WIDE + 12.0, base, f"{100 * abs(one.share):.0f} %{helps}", NORMAL, INK))
        if one.tension_n is not None:
            parts.append(text(WIDE - MARGIN, base, f"{one.tension_n:.0f} N", NORMAL, INK, text_anchor="end"))
    return parts
