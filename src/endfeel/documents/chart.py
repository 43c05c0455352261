"""A small interval chart as SVG, readable without colour: a dot for the probability, a line for the 90 % interval."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

INK = "#20404d"
CLAY = "#a34d2c"
GREY = "#8b949a"
_ROW, _TOP, _LEFT, _WIDTH = 23, 10, 300, 300
LONGEST_NAME = 40
Point = tuple[str, float, float, float]


def interval_chart(points: Sequence[Point], alt: str, font: str = "system-ui, sans-serif") -> str:
    """SVG of one row a contributor. `points` are name, probability, low, high; `alt` says the same in words."""
    height = _TOP + _ROW * len(points) + 26
    right = _LEFT + _WIDTH
    base = _TOP + _ROW * len(points) + 4
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" role="img" viewBox="0 0 {right + 66} {height}" '
        f'font-family="{escape(font)}" font-size="12.5"><title>{escape(alt)}</title>'
    ]
    for tick in range(0, 101, 25):
        x = _LEFT + _WIDTH * tick / 100
        parts.append(f'<line x1="{x:g}" y1="{_TOP - 4}" x2="{x:g}" y2="{base}" stroke="#dfe3e4" stroke-width="1"/>')
        label = f"{tick} %"
        parts.append(
            f'<text x="{x:g}" y="{base + 15}" text-anchor="middle" fill="{GREY}" font-size="11">{label}</text>'
        )
    for row, (name, probability, low, high) in enumerate(points):
        parts.append(_row(row, name, probability, low, high))
    return "".join(parts) + "</svg>"


def _row(row: int, name: str, probability: float, low: float, high: float) -> str:
    y = _TOP + _ROW * row + _ROW / 2
    x, left, right = (_LEFT + _WIDTH * share for share in (probability, low, high))
    shown = name if len(name) <= LONGEST_NAME else f"{name[: LONGEST_NAME - 1]}…"
    return (
        f'<text x="{_LEFT - 10}" y="{y + 4:g}" text-anchor="end" fill="{INK}">{escape(shown)}</text>'
        f'<line x1="{left:g}" y1="{y:g}" x2="{right:g}" y2="{y:g}" stroke="{INK}" stroke-width="2.5"/>'
        f'<line x1="{left:g}" y1="{y - 4:g}" x2="{left:g}" y2="{y + 4:g}" stroke="{INK}" stroke-width="1.5"/>'
        f'<line x1="{right:g}" y1="{y - 4:g}" x2="{right:g}" y2="{y + 4:g}" stroke="{INK}" stroke-width="1.5"/>'
        f'<circle cx="{x:g}" cy="{y:g}" r="5" fill="#ffffff" stroke="{CLAY}" stroke-width="2.5"/>'
        f'<text x="{_LEFT + _WIDTH + 12}" y="{y + 4:g}" fill="{INK}">{escape(percent(probability))}</text>'
    )


def percent(probability: float) -> str:
    """`72 %`; never a certainty."""
    share = 100 * probability
    return "< 1 %" if share < 1 else "> 99 %" if share > 99 else f"{share:.0f} %"


def chart_words(points: Sequence[Point]) -> str:
    """The chart in words, for those who cannot see it."""
    rows = (f"{name} {100 * p:.0f} % ({100 * low:.0f} to {100 * high:.0f} %)" for name, p, low, high in points)
    return "Probability with 90 % interval: " + "; ".join(rows)
