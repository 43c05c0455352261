"""The note as plain text."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator

from endfeel.documents.note import Block, BlockKind, Note, Section, Tone

WIDTH = 100
WIDEST_TABLE = 116


def note_text(note: Note) -> str:
    """The whole note as text, readable without any markup."""
    lines = [note.title.upper(), *_wrapped(note.subtitle), *_wrapped(note.status), ""]
    for section in note.sections:
        lines += [*_section(section), ""]
    if note.sources:
        lines += ["SOURCES", "-------"]
        for source in note.sources:
            lines += _hanging(f"[{source.number}] ", " ".join(filter(None, (source.citation, source.address))))
        lines.append("")
    lines += _wrapped(note.footer)
    return "\n".join(lines) + "\n"


def _section(section: Section) -> Iterator[str]:
    heading = section.heading.upper()
    rule = "=" if section.tone is Tone.ALERT else "-"
    yield from (heading, rule * min(len(heading), WIDTH))
    for number, block in enumerate(section.blocks):
        lines = list(_block(block))
        if number and lines:
            yield ""
        yield from lines


def _block(block: Block) -> Iterator[str]:
    mark = "!! " if block.tone is Tone.ALERT else ""
    if block.text and block.kind is not BlockKind.CHART:
        yield from _hanging(mark, block.text)
    for item in block.items:
        yield from _hanging("- ", item)
    if block.kind is BlockKind.FACTS:
        for label, said in block.rows:
            yield from _hanging(f"{label}: ", said)
    elif block.kind is BlockKind.TABLE:
        yield from _table(block)
    elif block.kind is BlockKind.CHART:
        yield from _chart(block)


def _table(block: Block) -> Iterator[str]:
    widths = [max(len(row[at]) for row in (block.columns, *block.rows)) for at in range(len(block.columns))]
    if sum(widths) + 2 * len(widths) <= WIDEST_TABLE + 2 and not any(
        "\n" in cell for row in block.rows for cell in row
    ):
        for row in (block.columns, tuple("-" * width for width in widths), *block.rows):
            yield "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip()
        return
    yield " | ".join(block.columns)
    for row in block.rows:
        said = [f"{column.lower()} {cell}" for column, cell in zip(block.columns[1:], row[1:], strict=True) if cell]
        yield from _hanging("* ", f"{row[0]}: {'; '.join(said)}")


def _chart(block: Block) -> Iterator[str]:
    yield from _wrapped(block.text)
    name_width = max((len(name) for name, *_ in block.points), default=0)
    for name, probability, low, high in block.points:
        cells = ["·"] * 41
        for at in range(round(low * 40), round(high * 40) + 1):
            cells[at] = "─"
        cells[round(probability * 40)] = "●"
        yield f"{name.ljust(name_width)}  0 {''.join(cells)} 1"


def _wrapped(text: str) -> list[str]:
    return list(_hanging("", text))


def _hanging(lead: str, text: str) -> Iterator[str]:
    """`text` wrapped, later lines indented under the first; words are never cut."""
    indent = " " * min(len(lead), 8)
    first = True
    for paragraph in text.splitlines() or [""]:
        start = lead if first else indent
        yield from textwrap.wrap(
            paragraph,
            WIDTH,
            initial_indent=start,
            subsequent_indent=indent,
            break_long_words=False,
            break_on_hyphens=False,
        ) or [start.rstrip()]
        first = False
