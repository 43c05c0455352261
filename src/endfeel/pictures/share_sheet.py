"""The picture of `endfeel share`: what each joint usually gives, what remains, what is lost and how sure that is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from endfeel.pictures.restraint_sheet import MARGIN, WIDE, Words, footing, heading
from endfeel.pictures.svg import CLAY, GREY, INK, NORMAL, PAPER, SCREEN_FONT, SMALL, document, line, tag, text

_ROW = 62.0
_LEFT, _ROOM = 210.0, 470.0


@dataclass(frozen=True, slots=True)
class JointPart:
    """One joint's part of the range, degrees."""

    name: str
    usual: float
    now: float
    lost: float
    lost_between: tuple[float, float]
    """The 95 % interval."""
    share: float | None
    """Of the loss; None where the loss is not clear of error."""
    share_words: str
    """The same with its interval, or nothing."""


def share_picture(parts: Sequence[JointPart], words: Words, font: str = SCREEN_FONT) -> str:
    """SVG of a bar a joint: filled what remains, hatched what is lost, a line for the interval of the loss."""
    drawn, y = heading(words, font)
    drawn += [_hatching(), _key(y + 30.0)]
    reach = max([1.0, *(max(one.usual, one.now, one.usual - one.lost_between[0]) for one in parts)])
    scale = _ROOM / reach
    top = y + 60.0
    for row, one in enumerate(parts):
        drawn += _bar(one, top + row * _ROW, scale)
    foot, height = footing(words.foot, top + _ROW * len(parts) + 40.0, font)
    return document((WIDE, height), words.title, _told(parts, words), [*drawn, *foot], font)


def _hatching() -> str:
    stripes = line(0, 0, 0, 8, CLAY, 3.2)
    pattern = tag(
        "pattern", tag("rect", width=8, height=8, fill=PAPER), stripes,
        id="hatch", width=8, height=8, patternUnits="userSpaceOnUse", patternTransform="rotate(45)",
    )  # fmt: skip
    return tag("defs", pattern)


def _key(y: float) -> str:
    return (
        tag("rect", x=_LEFT, y=y - 11, width=30, height=13, fill=INK)
        + text(_LEFT + 38, y, "remains", SMALL, GREY)
        + tag("rect", x=_LEFT + 120, y=y - 11, width=30, height=13, fill="url(#hatch)", stroke=CLAY)
        + text(_LEFT + 158, y, "lost", SMALL, GREY)
        + _whisker(_LEFT + 220, _LEFT + 256, y - 5)
        + text(_LEFT + 266, y, "where it may really end (95 %)", SMALL, GREY)
    )


def _whisker(low: float, high: float, y: float) -> str:
    ends = "".join(line(x, y - 8, x, y + 8, INK, 2.4) for x in (low, high))
    return line(low, y, high, y, PAPER, 6.0) + line(low, y, high, y, INK, 2.4) + ends


def _bar(one: JointPart, top: float, scale: float) -> list[str]:
    middle = top + 22.0
    now, usual = max(one.now, 0.0) * scale, max(one.usual, 0.0) * scale
    low, high = (_LEFT + max(one.usual - lost, 0.0) * scale for lost in reversed(one.lost_between))
    parts = [
        line(MARGIN, top - 6.0, WIDE - MARGIN, top - 6.0),
        text(MARGIN, middle + 6.0, one.name, NORMAL, INK, font_weight="bold"),
    ]
    if usual > now:
        parts.append(
            tag("rect", x=_LEFT + now, y=middle - 12, width=usual - now, height=24.0, fill="url(#hatch)", stroke=CLAY)
        )
    parts.append(tag("rect", x=_LEFT, y=middle - 12.0, width=now, height=24.0, fill=INK))
    parts.append(_whisker(low, high, middle + 22.0))
    share = "" if one.share is None else f"; {one.share_words} of the loss"
    low_deg, high_deg = (_whole(value) for value in one.lost_between)
    x = _LEFT + _ROOM + 18.0
    parts.append(text(x, middle, f"{one.now:.0f}° of {one.usual:.0f}°{share}".replace("-", "−"), NORMAL, INK))
    parts.append(
        text(x, middle + 21.0, f"lost {_whole(one.lost)}° ({low_deg} to {high_deg})".replace("-", "−"), SMALL, GREY)
    )
    return parts


def _whole(degrees: float) -> str:
    """Whole degrees; nothing is no minus nothing."""
    return f"{round(degrees) + 0:d}"


def _told(parts: Sequence[JointPart], words: Words) -> str:
    told = []
    for one in parts:
        share = "" if one.share is None else f", {one.share_words} of the loss"
        low, high = one.lost_between
        told.append(
            f"{one.name}: {one.now:.0f} of {one.usual:.0f} degrees remain, "
            f"{_whole(one.lost)} lost ({_whole(low)} to {_whole(high)}){share}"
        )
    return f"{words.subtitle}. " + "; ".join(told) + "."
