"""One sign of the visit as a still picture of the drawn shoulder, in the note."""

from __future__ import annotations

from dataclasses import replace

from endfeel.documents.case_sections import text
from endfeel.documents.note import Block, BlockKind, Note, Section, Tone

AFTER = "findings"
DRAWN = "Drawn by the model of the mean person: how a hand lies and how thick a bone is says nothing about anatomy."


def with_drawn_shoulder(note: Note, caption: str, picture: str, words: str) -> Note:
    """The note with one picture after its findings: SVG, and the same in words."""
    blocks = (Block(BlockKind.PICTURE, caption, alt=words, picture=picture), text(DRAWN, Tone.QUIET))
    at = next((n for n, one in enumerate(note.sections, 1) if one.id == AFTER), len(note.sections))
    section = Section("drawn", "The leading sign, drawn", blocks)
    return replace(note, sections=(*note.sections[:at], section, *note.sections[at:]))
