"""What is put on a note after it was composed: later words under a signed one, answers nobody specified."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from endfeel.documents.note import Block, BlockKind, Note, Section, Tone
from endfeel.documents.words import clean

CLOSING = ("cautions", "origin")
"""Sections that stay at the end."""


def with_addenda(note: Note, addenda: Sequence[tuple[str, str, str]]) -> Note:
    """The note with its addenda (when, by whom, words) after what was signed, which stays as it was."""
    if not addenda:
        return note
    blocks = tuple(
        block
        for when, by, words in addenda
        for block in (
            Block(BlockKind.TEXT, f"Added by {clean(by)}, {when}", tone=Tone.QUIET),
            Block(BlockKind.TEXT, clean(words)),
        )
    )
    at = next((n for n, one in enumerate(note.sections) if one.id in CLOSING), len(note.sections))
    added = Section("addenda", "Addenda after signing", blocks)
    return replace(note, sections=(*note.sections[:at], added, *note.sections[at:]))


def with_unspecified(note: Note, titles: Sequence[str]) -> Note:
    """The note with first questions answered yes of which nothing more was asked, at the head of its screen."""
    if not titles:
        return note
    told = Block(BlockKind.TEXT, f"Answered yes, not specified: {'; '.join(titles)}. To be asked.", tone=Tone.ALERT)
    return replace(
        note,
        sections=tuple(
            replace(one, blocks=(told, *one.blocks)) if one.id == "screen" else one for one in note.sections
        ),
    )
