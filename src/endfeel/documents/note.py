"""The note as a plain value: sections of blocks, with numbered sources. Three renderings show the same content."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import asdict, dataclass
from enum import StrEnum
from typing import Any

from endfeel.vocabulary import CannotRead, Fault

FORM = 1
"""Version of the JSON form of a note."""


class BlockKind(StrEnum):
    TEXT = "text"
    LIST = "list"
    TABLE = "table"
    FACTS = "facts"
    """Rows of a label and what it says."""
    CHART = "chart"
    """Rows of name, probability, low, high."""
    PICTURE = "picture"
    """An SVG of our own; what it shows is said in words beside it."""


class Tone(StrEnum):
    PLAIN = "plain"
    ALERT = "alert"
    QUIET = "quiet"


@dataclass(frozen=True, slots=True)
class Block:
    """One piece of a section. Which fields are used depends on the kind."""

    kind: BlockKind
    text: str = ""
    """The text, or the caption of a table or chart."""
    items: tuple[str, ...] = ()
    columns: tuple[str, ...] = ()
    rows: tuple[tuple[str, ...], ...] = ()
    tone: Tone = Tone.PLAIN
    points: tuple[tuple[str, float, float, float], ...] = ()
    """Chart rows: name, probability, low, high."""
    alt: str = ""
    picture: str = ""
    """SVG of a picture."""


@dataclass(frozen=True, slots=True)
class Section:
    id: str
    heading: str
    blocks: tuple[Block, ...]
    tone: Tone = Tone.PLAIN


@dataclass(frozen=True, slots=True)
class NoteSource:
    """A numbered source at the end of the note."""

    number: int
    citation: str
    address: str


@dataclass(frozen=True, slots=True)
class Note:
    """Everything the note says, in reading order. Frozen when signed; never holds a conclusion without its source."""

    title: str
    subtitle: str
    status: str
    signed: bool
    invented: bool
    sections: tuple[Section, ...]
    sources: tuple[NoteSource, ...]
    footer: str
    """Stands on every page."""
    release: str
    program_version: str
    written_at: str = ""
    """As it stands on the paper; empty when not known."""
    language: str = "en"
    kind: str = "note"
    """Which document it is: a word of `DocumentKind`."""

    def statements(self) -> Iterator[str]:
        """Every piece of text the note shows, in reading order."""
        yield from (self.title, self.subtitle, self.status)
        for section in self.sections:
            yield section.heading
            for block in section.blocks:
                yield from block_statements(block)
        for source in self.sources:
            yield from (source.citation, source.address)
        yield self.footer


def block_statements(block: Block) -> Iterator[str]:
    """Every piece of text of one block. A chart's numbers stand in the table beside it."""
    yield block.text
    yield from block.items
    yield from block.columns
    for row in block.rows:
        yield from row


def note_to_dict(note: Note) -> dict[str, Any]:
    """The note as plain JSON values."""
    return {"form": FORM, **_plain(asdict(note))}


def _plain(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _plain(one) for key, one in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(one) for one in value]
    return value.value if isinstance(value, StrEnum) else value


def note_from_dict(data: Mapping[str, Any]) -> Note:
    """The note out of its JSON values. Raises CannotRead when they are not a note of a known form."""
    if data.get("form") != FORM:
        raise CannotRead([Fault("not a note of a known form", read=str(data.get("form")), would_do=f"form {FORM}")])
    try:
        return Note(
            title=data["title"],
            subtitle=data["subtitle"],
            status=data["status"],
            signed=data["signed"],
            invented=data["invented"],
            sections=tuple(_section(one) for one in data["sections"]),
            sources=tuple(NoteSource(one["number"], one["citation"], one["address"]) for one in data["sources"]),
            footer=data["footer"],
            release=data["release"],
            program_version=data["program_version"],
            written_at=data["written_at"],
            language=data["language"],
            kind=data.get("kind", "note"),
        )
    except (KeyError, TypeError, ValueError) as error:
        raise CannotRead([Fault("a part of the note is missing or of the wrong kind", read=str(error))]) from error


def _section(data: Mapping[str, Any]) -> Section:
    return Section(data["id"], data["heading"], tuple(_block(one) for one in data["blocks"]), Tone(data["tone"]))


def _block(data: Mapping[str, Any]) -> Block:
    return Block(
        kind=BlockKind(data["kind"]),
        text=data["text"],
        items=tuple(data["items"]),
        columns=tuple(data["columns"]),
        rows=tuple(tuple(row) for row in data["rows"]),
        tone=Tone(data["tone"]),
        points=tuple((str(name), float(p), float(low), float(high)) for name, p, low, high in data["points"]),
        alt=data["alt"],
        picture=data.get("picture", ""),
    )
