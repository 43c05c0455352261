"""The note as HTML: a fragment for the pages, and a whole page that prints well."""

from __future__ import annotations

import re
from functools import lru_cache
from html import escape
from importlib import resources
from unicodedata import bidirectional

from endfeel.documents.chart import interval_chart
from endfeel.documents.note import Block, BlockKind, Note, Section

_LONG = re.compile(r"(\S{40})(?=\S)")
_FROM_THE_RIGHT = frozenset(("R", "AL", "RLO", "RLE", "RLI"))


def note_html(note: Note, *, whole_page: bool = True) -> str:
    """The note as a whole page with its own style, or as the fragment inside it (`whole_page=False`)."""
    fragment = _fragment(note)
    if not whole_page:
        return fragment
    return (
        f'<!doctype html>\n<html lang="{escape(note.language)}"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<title>{escape(note.title)}</title><style>{note_style()}</style></head><body>{fragment}</body></html>\n"
    )


@lru_cache(maxsize=1)
def note_style() -> str:
    """The style sheet of a note, for pages that show the fragment."""
    return (resources.files("endfeel.documents") / "note.css").read_text(encoding="utf-8")


def _fragment(note: Note) -> str:
    head = (
        f'<header><h1>{_said(note.title)}</h1><p class="subtitle">{_said(note.subtitle)}</p>'
        f'<p class="status">{_said(note.status)}</p></header>'
    )
    sections = "".join(_section(section) for section in note.sections)
    kind = "note" if note.kind == "note" else "note letter"
    return f'<article class="{kind}">{head}{sections}{_sources(note)}<footer>{_said(note.footer)}</footer></article>'


def _sources(note: Note) -> str:
    if not note.sources:
        return ""
    items = "".join(
        f'<li value="{source.number}">{_said(source.citation)} <span class="quiet">{_said(source.address)}</span></li>'
        for source in note.sources
    )
    heading = '<h2 id="note-sources">Sources</h2>'
    return f'<section class="quiet" aria-labelledby="note-sources">{heading}<ol>{items}</ol></section>'


def _section(section: Section) -> str:
    blocks = "".join(_block(block) for block in section.blocks)
    key = f"note-{escape(section.id)}"
    return (
        f'<section class="{section.tone.value}" aria-labelledby="{key}">'
        f'<h2 id="{key}">{_said(section.heading)}</h2>{blocks}</section>'
    )


def _block(block: Block) -> str:
    match block.kind:
        case BlockKind.TEXT:
            return f'<p class="{block.tone.value}">{_said(block.text)}</p>'
        case BlockKind.LIST:
            lead = f'<p class="lead">{_said(block.text)}</p>' if block.text else ""
            return f"{lead}<ul>{''.join(f'<li>{_said(item)}</li>' for item in block.items)}</ul>"
        case BlockKind.FACTS:
            rows = "".join(f"<dt>{_said(label)}</dt><dd>{_said(said)}</dd>" for label, said in block.rows)
            return f"<dl>{rows}</dl>"
        case BlockKind.TABLE:
            return _table(block)
        case BlockKind.CHART:
            chart = interval_chart(block.points, block.alt)
            return f"<figure><figcaption>{_said(block.text)}</figcaption>{chart}</figure>"
        case BlockKind.PICTURE:
            return f"<figure><figcaption>{_said(block.text)}</figcaption>{block.picture}</figure>"


def _table(block: Block) -> str:
    caption = f"<caption>{_said(block.text)}</caption>" if block.text else ""
    head = "".join(f'<th scope="col">{_said(column)}</th>' for column in block.columns)
    rows = "".join(f"<tr>{''.join(f'<td>{_said(cell)}</td>' for cell in row)}</tr>" for row in block.rows)
    return f'<div class="scroll"><table>{caption}<thead><tr>{head}</tr></thead><tbody>{rows}</tbody></table></div>'


def _said(text: str) -> str:
    """Escaped; very long words may break, and text written from right to left cannot turn what stands around it."""
    safe = "<wbr>".join(escape(piece) for piece in _LONG.split(text) if piece)
    return f"<bdi>{safe}</bdi>" if any(bidirectional(one) in _FROM_THE_RIGHT for one in text) else safe
