"""A body chart in words: what a note and a screen reader say of it."""

from __future__ import annotations

from collections.abc import Sequence

from endfeel.body_chart.areas import MeasuredArea, Overlap

BESIDE = "beside every named region"


def percent_of(share: float) -> str:
    """`1.3 %`; `< 0.1 %` for what is smaller than that, `0 %` for nothing."""
    return "0 %" if share == 0 else "< 0.1 %" if share < 0.001 else f"{100 * share:.1f} %"


def where(area: MeasuredArea) -> str:
    """`right outer side of the shoulder; right upper arm below the deltoid`."""
    return "; ".join(region.words for region in area.touched) or BESIDE


def feeling(area: MeasuredArea) -> str:
    """`aching, deep, 6 of 10`; empty when nothing was said."""
    told = area.area
    parts = [str(told.quality or ""), str(told.depth or "")]
    parts.append(f"{told.intensity} of 10" if told.intensity is not None else "")
    return ", ".join(part for part in parts if part)


def area_words(number: int, area: MeasuredArea) -> str:
    """One area in a line."""
    felt = feeling(area)
    seen = f"seen from the {area.area.view}" if area.area.view in ("front", "back") else f"on the {area.area.view} side"
    return f"{number}: {where(area)} ({seen}){': ' if felt else ''}{felt}, {percent_of(area.share)} of the figure"


def chart_words(areas: Sequence[MeasuredArea]) -> str:
    """The whole chart."""
    return ". ".join(area_words(number, one) for number, one in enumerate(areas, 1)) or "Nothing is drawn"


def overlap_words(found: Overlap) -> str:
    """What two charts have in common, in one or two sentences."""
    if found.still is None:
        return "Nothing was drawn last time."
    if found.new is None:
        return f"Last time {percent_of(found.before)} of the figure was drawn; now nothing is."
    return (
        f"Drawn last time {percent_of(found.before)} of the figure, now {percent_of(found.now)}. "
        f"Of what was drawn last time {100 * found.still:.0f} % is drawn again; "
        f"of what is drawn now {100 * found.new:.0f} % is new."
    )
