"""Paths through one examination as lanes on one clock: what was asked, done, turned, refused, minute by minute."""

from __future__ import annotations

from collections.abc import Sequence

from markupsafe import Markup, escape

from endfeel.teaching import PathStep
from endfeel.web.rendering import of

WIDTH, LEFT, LANE, BAR = 360.0, 6.0, 40.0, 18.0
_KINDS = {"ask": "lane-ask", "examine": "lane-test", "turn": "lane-turn", "rest": "lane-rest"}
LEGEND = (
    ("lane-ask", "asked"),
    ("lane-test", "examined"),
    ("lane-turn", "turned"),
    ("lane-rest", "let rest"),
    ("lane-refused", "refused"),
)
"""Class of a block and its word."""


def lanes(paths: Sequence[tuple[str, Sequence[PathStep]]]) -> Markup:
    """One lane a path, all on the same clock. Widths are seconds; a turn stands before what it was made for."""
    longest = max((_end(steps) for _, steps in paths), default=0.0) or 60.0
    scale = (WIDTH - 2 * LEFT) / longest
    height = LANE * len(paths) + 26
    parts, told = [], []
    for row, (name, steps) in enumerate(paths):
        top = row * LANE + 16
        minutes, turns = _end(steps) / 60, sum(one.turned for one in steps)
        words = f"{name}: {minutes:.1f} min, {of(len(steps), 'step')}, {of(turns, 'turn')}"
        told.append(words)
        parts.append(f'<text x="{LEFT}" y="{top - 4:.0f}">{escape(words)}</text>')
        parts += [_block(one, top, scale) for one in steps]
    base = LANE * len(paths) + 8
    step = next((one for one in (1, 2, 5, 10, 20, 60) if longest / 60 / one <= 10), 120)
    parts.append(f'<path class="rail-line" d="M{LEFT} {base:.0f}H{WIDTH - LEFT}"/>')
    for minute in range(0, int(longest // 60) + 1, step):
        x = LEFT + minute * 60 * scale
        parts.append(f'<text x="{x:.1f}" y="{base + 14:.0f}" text-anchor="{"middle" if minute else "start"}">')
        parts.append(f"{minute}{'' if minute else ' min'}</text>")
    return Markup(  # noqa: S704 (numbers and escaped words)
        f'<svg class="lanes" viewBox="0 0 {WIDTH:.0f} {height:.0f}" role="img" aria-label="{escape("; ".join(told))}">'
        f"{''.join(parts)}</svg>"
    )


def _block(one: PathStep, top: float, scale: float) -> str:
    x, turn = LEFT + one.at_seconds * scale, one.turn_seconds * scale
    kind = "lane-refused" if one.refused else _KINDS.get(one.kind, "lane-test")
    made = _rectangle("lane-turn", x, top, turn, "turned") if turn else ""
    return made + (_rectangle(kind, x + turn, top, one.seconds * scale, one.words) if one.seconds else "")


def _rectangle(kind: str, x: float, top: float, width: float, words: str) -> str:
    return (
        f'<rect class="{kind}" x="{x:.2f}" y="{top:.0f}" width="{max(width, 0.6):.2f}" height="{BAR:.0f}">'
        f"<title>{escape(words)}</title></rect>"
    )


def _end(steps: Sequence[PathStep]) -> float:
    return steps[-1].at_seconds + steps[-1].lasts_seconds if steps else 0.0
