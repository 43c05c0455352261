"""The picture of `endfeel restraint`: the shoulder from three sides, the bands with their numbers, the legend."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from endfeel.pictures.scene import Scene
from endfeel.pictures.shoulder import badge, three_views
from endfeel.pictures.strain_scale import SLACK, STEPS, StrainScale, sample
from endfeel.pictures.svg import (
    GREY,
    INK,
    LARGE,
    NORMAL,
    PALE,
    SCREEN_FONT,
    SMALL,
    document,
    letters_that_fit,
    line,
    tag,
    text,
    wrapped,
)
from endfeel.vocabulary import Side

WIDE, MARGIN = 1000.0, 16.0
_VIEW = 313.0
_ROW = 27.0


@dataclass(frozen=True, slots=True)
class BandLine:
    """One band as the table shows it."""

    band: str
    name: str
    strain_percent: float
    elongation_mm: float
    tension_n: float
    share: float
    tension_between_n: tuple[float, float] | None = None
    """The 90 % range over people, where people were drawn."""
    taut_part: float | None = None
    """The part of the people in whom it is taut."""
    cut: bool = False
    """Divided: not drawn, and none of its numbers is shown."""


@dataclass(frozen=True, slots=True)
class Words:
    """What is written round a picture."""

    title: str
    subtitle: str
    foot: Sequence[str]


def restraint_picture(
    scene: Scene, lines: Sequence[BandLine], scale: StrainScale, side: Side, words: Words, font: str = SCREEN_FONT
) -> str:
    """SVG. The bands are numbered in the order of the scene and listed by tension."""
    numbers = {band: place + 1 for place, band in enumerate(scene.bands)}
    listed = sorted(lines, key=lambda one: (one.cut, -one.tension_n, -one.strain_percent))
    parts, y = heading(words, font)
    top = y + 18.0
    parts.append(three_views(scene, scale, numbers, side, (MARGIN, top), _VIEW))
    y = top + _VIEW + 34.0
    parts += _table(listed, numbers, scale, y)
    y += _ROW * len(listed) + 30.0
    parts += _legend(scale, y)
    y += 82.0
    foot, height = footing(words.foot, y, font)
    return document((WIDE, height), words.title, picture_words(listed, scale, words), [*parts, *foot], font)


def heading(words: Words, font: str) -> tuple[list[str], float]:
    """Title and subtitle at the top of the page, broken into lines, and where they end."""
    parts, y = [], 8.0
    for row in wrapped(words.title, letters_that_fit(WIDE - 2 * MARGIN, 1.12 * LARGE, font)):
        y += 30.0
        parts.append(text(MARGIN, y, row, LARGE, INK, font_weight="bold"))
    y += 6.0
    for row in wrapped(words.subtitle, letters_that_fit(WIDE - 2 * MARGIN, NORMAL, font)):
        y += 22.0
        parts.append(text(MARGIN, y, row, NORMAL, GREY))
    return parts, y


def footing(sentences: Sequence[str], y: float, font: str) -> tuple[list[str], float]:
    """Sentences at the foot of the page, broken into lines, and the height that the page then has."""
    parts = [line(MARGIN, y - 20.0, WIDE - MARGIN, y - 20.0)]
    for sentence in sentences:
        for row in wrapped(sentence, letters_that_fit(WIDE - 2 * MARGIN, SMALL, font)):
            parts.append(text(MARGIN, y, row, SMALL, GREY))
            y += 20.0
    return parts, y + 4.0


def picture_words(lines: Sequence[BandLine], scale: StrainScale, words: Words) -> str:
    """The whole picture in words, for those who cannot see it."""
    told = []
    for one in lines:
        step = scale.step(one.strain_percent)
        if one.cut:
            told.append(f"{one.name}: cut")
        elif step is SLACK:
            told.append(f"{one.name}: slack by {-one.elongation_mm:.0f} mm{_in_people(one)}")
        else:
            told.append(
                f"{one.name}: {step.word}, strain {one.strain_percent:.1f} %, {one.elongation_mm:.1f} mm, "
                f"{one.tension_n:.1f} N, {100 * one.share:.0f} % of the load{_in_people(one)}"
            )
    return f"{words.subtitle}. " + "; ".join(told) + "."


def _in_people(one: BandLine) -> str:
    return "" if one.taut_part is None else f", taut in {100 * one.taut_part:.0f} % of people"


def _table(lines: Sequence[BandLine], numbers: dict[str, int], scale: StrainScale, y: float) -> list[str]:
    spread = lines[0].tension_between_n is not None
    heads = [(102.0, "band", "start"), (464.0, "strain", "end"), (590.0, "stretch", "end"), (646.0, "pull", "end")]
    heads += [(740.0, "nine in ten", "end")] if spread else []
    heads += [(756.0, "share of load", "start")]
    heads += [(WIDE - MARGIN, "taut in", "end")] if spread else []
    parts = [text(x, y, word, SMALL, GREY, text_anchor=anchor) for x, word, anchor in heads]
    for row, one in enumerate(lines):
        parts += _row(one, numbers[one.band], scale, y + 10.0 + _ROW * row)
    return parts


def _row(one: BandLine, number: int, scale: StrainScale, top: float) -> list[str]:
    step, base = scale.step(one.strain_percent), top + 19.0
    if one.cut:
        return [
            line(MARGIN, top, WIDE - MARGIN, top),
            badge(MARGIN + 14.0, top + _ROW / 2.0, number, loaded=False),
            text(102.0, base, one.name, NORMAL, GREY),
            text(464.0, base, "cut", NORMAL, GREY, text_anchor="end"),
        ]
    slack = step is SLACK
    ink = GREY if slack else INK
    parts = [
        line(MARGIN, top, WIDE - MARGIN, top),
        badge(MARGIN + 14.0, top + _ROW / 2.0, number, not slack),
        sample(46.0, top + _ROW / 2.0, 46.0, step),
        text(102.0, base, one.name, NORMAL, ink),
        text(464.0, base, "slack" if slack else f"{one.strain_percent:.1f} %", NORMAL, ink, text_anchor="end"),
        text(590.0, base, f"{'by ' * slack}{abs(one.elongation_mm):.1f} mm", NORMAL, ink, text_anchor="end"),
        text(646.0, base, "" if slack else f"{one.tension_n:.0f} N", NORMAL, ink, text_anchor="end"),
    ]
    if one.tension_between_n is not None:
        low, high = one.tension_between_n
        parts.append(text(740.0, base, f"{low:.0f} to {high:.0f}", SMALL, ink, text_anchor="end"))
    wide = 110.0
    if one.share > 0.0:
        parts.append(tag("rect", x=756.0, y=top + 8.0, width=wide, height=11.0, fill="none", stroke=PALE))
        parts.append(tag("rect", x=756.0, y=top + 8.0, width=wide * one.share, height=11.0, fill=INK))
        parts.append(text(874.0, base, f"{100 * one.share:.0f} %", SMALL, ink))
    if one.taut_part is not None:
        parts.append(text(WIDE - MARGIN, base, f"{100 * one.taut_part:.0f} %", NORMAL, INK, text_anchor="end"))
    return parts


def _legend(scale: StrainScale, y: float) -> list[str]:
    parts = [text(MARGIN, y, "Strain of a fibre: pattern and width as well as colour", SMALL, GREY)]
    widths = [max(len(step.word), len(scale.range_words(step))) * 8.6 + 64.0 for step in STEPS]
    room = (WIDE - 2 * MARGIN - sum(widths)) / (len(STEPS) - 1)
    x = MARGIN
    for step, wide in zip(STEPS, widths, strict=True):
        parts.append(sample(x, y + 26.0, 40.0, step))
        parts.append(text(x + 48.0, y + 24.0, step.word, SMALL, INK))
        parts.append(text(x + 48.0, y + 43.0, scale.range_words(step), SMALL, GREY))
        x += wide + room
    return parts
