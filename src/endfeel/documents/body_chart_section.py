"""The body chart in a note: a picture, the same in a table, and what has changed since the last chart."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from endfeel.body_chart import MeasuredArea, Overlap, chart_picture, chart_words, comparison_picture, overlap_words
from endfeel.body_chart.picture import VIEW_WORDS
from endfeel.body_chart.words import percent_of, where
from endfeel.documents.case_sections import table, text
from endfeel.documents.note import Block, BlockKind, Note, Section, Tone

COLUMNS = ("Area", "Where", "Seen", "Quality", "Depth", "Intensity", "Share")
AFTER = "story"
SHARES = "Shares are of the four drawn outlines together, not of skin; the figure is a map for pointing, not anatomy."


def with_body_chart(
    note: Note,
    areas: Sequence[MeasuredArea],
    before: Sequence[MeasuredArea],
    found: Overlap | None,
    after: str = AFTER,
    *,
    brief: bool = False,
) -> Note:
    """The note with its body chart after the story or another section; as it is when nothing is or was drawn.

    `brief` shows the comparison alone where there is one.
    """
    if not areas and not before:
        return note
    comparison = _comparison(areas, before, found)
    blocks = [*([] if brief and comparison else _chart(areas)), *comparison, text(SHARES, Tone.QUIET)]
    at = next((n for n, one in enumerate(note.sections, 1) if one.id == after), len(note.sections))
    section = Section("body-chart", "Body chart", tuple(blocks))
    return replace(note, sections=(*note.sections[:at], section, *note.sections[at:]))


def _chart(areas: Sequence[MeasuredArea]) -> list[Block]:
    if not areas:
        return [text("Nothing is drawn.")]
    rows = [
        (
            str(number),
            where(one),
            VIEW_WORDS[one.area.view],
            str(one.area.quality or ""),
            str(one.area.depth or ""),
            f"{one.area.intensity}/10" if one.area.intensity is not None else "",
            percent_of(one.share),
        )
        for number, one in enumerate(areas, 1)
    ]
    picture = Block(
        BlockKind.PICTURE, "Where it is felt", alt=chart_words(areas), picture=chart_picture(areas, prefix="note-chart")
    )
    return [picture, table(COLUMNS, rows)]


def _comparison(areas: Sequence[MeasuredArea], before: Sequence[MeasuredArea], found: Overlap | None) -> list[Block]:
    if found is None or not before:
        return []
    words = overlap_words(found)
    svg = comparison_picture(before, areas, prefix="note-both", description=words)
    return [Block(BlockKind.PICTURE, "Last time and now", alt=words, picture=svg), text(words)]
