"""A small writer of SVG: elements as text, everything escaped, numbers short, a title and a description up front."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from html import escape

import numpy as np

from endfeel.anatomy.units import Floats

INK = "#20404d"
CLAY = "#a34d2c"
GREY = "#5f6b72"
PALE = "#dfe3e4"
PAPER = "#ffffff"
SCREEN_FONT = "system-ui, sans-serif"
PRINT_FONT = "Libertinus Serif"
"""The fonts of the house: on a screen, and where the picture is rendered with bundled fonts."""
SMALL, NORMAL, LARGE = 15.0, 17.0, 24.0

_UNIT = re.compile(r"(\d) (N|mm|%)(?!\w)")
Value = str | float | int


def tag(name: str, *inside: str, **attributes: Value) -> str:
    """One element: `stroke_width=2` becomes `stroke-width="2"`; what stands inside is markup already."""
    told = "".join(f' {key.rstrip("_").replace("_", "-")}="{_shown(value)}"' for key, value in attributes.items())
    return f"<{name}{told}>{''.join(inside)}</{name}>" if inside else f"<{name}{told}/>"


def text(x: float, y: float, words: str, size: float = NORMAL, fill: str = INK, **attributes: Value) -> str:
    """Words with their base line at a place."""
    return tag("text", escape(words, quote=False), x=x, y=y, font_size=size, fill=fill, **attributes)


def line(x1: float, y1: float, x2: float, y2: float, stroke: str = PALE, width: float = 1.0, **more: Value) -> str:
    """A straight stroke."""
    return tag("line", x1=x1, y1=y1, x2=x2, y2=y2, stroke=stroke, stroke_width=width, **more)


def polyline(points: Floats, **attributes: Value) -> str:
    """An open line through points (k, 2)."""
    return tag("polyline", points=_list(points), fill="none", **attributes)


def polygon(points: Floats, **attributes: Value) -> str:
    """A closed shape through points (k, 2)."""
    return tag("polygon", points=_list(points), **attributes)


def document(size: tuple[float, float], title: str, description: str, parts: Iterable[str], font: str) -> str:
    """The whole picture: named by its title, told in words by its description, on white."""
    width, height = size
    return (
        tag(
            "svg",
            tag("title", escape(title, quote=False), id="picture-title"),
            tag("desc", escape(description, quote=False), id="picture-words"),
            tag("rect", x=0, y=0, width=width, height=height, fill=PAPER),
            *parts,
            xmlns="http://www.w3.org/2000/svg",
            role="img",
            aria_labelledby="picture-title",
            aria_describedby="picture-words",
            viewBox=f"0 0 {width:g} {height:g}",
            width=width,
            height=height,
            font_family=font,
        )
        + "\n"
    )


def wrapped(words: str, letters: int) -> list[str]:
    """Words broken into lines of at most so many letters; a longer word stands alone, a number keeps its unit."""
    lines: list[str] = []
    for word in _UNIT.sub("\\1\u00a0\\2", words).split(" "):
        if lines and len(lines[-1]) + 1 + len(word) <= letters:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    return lines


def letters_that_fit(width: float, size: float, font: str) -> int:
    """How many letters stand beside each other: the print font is known, on a screen it may be a wide one."""
    return int(width / (size * (0.46 if font == PRINT_FONT else 0.62)))


def _list(points: Floats) -> str:
    return " ".join(f"{x:.1f},{y:.1f}" for x, y in np.asarray(points))


def _shown(value: Value) -> str:
    if isinstance(value, str):
        return escape(value)
    return f"{value:.2f}".rstrip("0").rstrip(".") if isinstance(value, float) else str(value)


def joined(parts: Sequence[str]) -> str:
    """ "a, b and c"."""
    return " and ".join(part for part in (", ".join(parts[:-1]), *parts[-1:]) if part)
