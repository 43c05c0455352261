"""What every document has around its sections: whose it is, whether it is signed, where its figures come from."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from endfeel.documents.case_sections import facts, text
from endfeel.documents.footnotes import Footnotes
from endfeel.documents.note import Note, Section, Tone
from endfeel.documents.words import clean, side_and_level
from endfeel.vocabulary import SHORT_CAUTION

if TYPE_CHECKING:
    from endfeel.assessment import Assessment

LABELS = (
    "Labels: read = seen at the address given; memory = recalled, not checked; practice = common practice or "
    "judgement, no publication. Numbers in square brackets are the sources below."
)


@dataclass(frozen=True, slots=True)
class Written:
    """Who wrote it, when, about whom, as these shall stand on the paper."""

    at: str = ""
    """Empty when not known; a document without a day cannot be kept as PDF/A."""
    by: str = ""
    signed: bool = False
    """An unsigned document says that it is a draft."""
    about: str = ""
    """The record's label of the person, never invented here."""


def framed(
    kind: str, title: str, sections: Sequence[Section], assessment: Assessment, notes: Footnotes, written: Written,
    language: str = "en",
) -> Note:  # fmt: skip
    """A document of these sections with its head, its sources and its footer."""
    return Note(
        title=title,
        subtitle=_subtitle(assessment, clean(written.about)),
        status=status(written.at, written.by, written.signed),
        signed=written.signed,
        invented=assessment.case.invented,
        sections=tuple(sections),
        sources=notes.listed(),
        footer=SHORT_CAUTION,
        release=assessment.release,
        program_version=assessment.program_version,
        written_at=written.at,
        language=language,
        kind=kind,
    )


def _subtitle(assessment: Assessment, label: str) -> str:
    case = assessment.case
    parts = [label or clean(case.title) or "Unnamed person"]
    if case.complaint.side:
        parts.append(f"{side_and_level(case.complaint.side, None)} shoulder girdle")
    if case.invented:
        parts.append("INVENTED EXAMPLE, no real person")
    return " · ".join(parts)


def status(written_at: str, author: str, signed: bool) -> str:
    """`Signed by A. Example, 2026-03-04` or `Draft: not signed`."""
    who = f" by {clean(author)}" if author else ""
    when = f", {clean(written_at)}" if written_at else ""
    return f"Signed{who}{when}" if signed else f"Draft{who}{when}: not signed"


def origin_section(assessment: Assessment) -> Section:
    """Program, evidence release and what the labels mean."""
    rows = [("Program", f"Endfeel {assessment.program_version}"), ("Evidence release", assessment.release)]
    return Section("origin", "Program and evidence", (facts(rows), text(LABELS, Tone.QUIET)), Tone.QUIET)
