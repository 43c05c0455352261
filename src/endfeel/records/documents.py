"""What is read from and added to the signed documents of an episode. The caller opens the transaction."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from endfeel.records.tables import DocumentAddendumRow, EpisodeRow, SignedDocumentRow, VisitRow
from endfeel.vocabulary import NotFound


@dataclass(frozen=True, slots=True)
class SignedDocument:
    """A document as it was signed, with its addenda."""

    id: str
    visit_id: str
    kind: str
    recipient: str
    signed_by: str
    signed_at: datetime
    document: dict[str, Any]
    release: str
    program_version: str
    addenda: tuple[tuple[datetime, str, str], ...]


def signed_document(session: Session, document_id: str) -> SignedDocument:
    """One signed document. Raises NotFound."""
    row = session.get(SignedDocumentRow, document_id)
    if row is None:
        raise NotFound(f"no signed document {document_id!r} in these records")
    return _whole(session, row)


def documents_of(session: Session, episode_id: str) -> tuple[SignedDocument, ...]:
    """Every signed document of an episode, the newest first."""
    wanted = (
        select(SignedDocumentRow)
        .join(VisitRow, VisitRow.id == SignedDocumentRow.visit_id)
        .where(VisitRow.episode_id == episode_id)
        .order_by(SignedDocumentRow.signed_at.desc(), SignedDocumentRow.id)
    )
    return tuple(_whole(session, row) for row in session.scalars(wanted))


def there_already(session: Session, visit_id: str, kind: str, recipient: str) -> SignedDocument | None:
    """The document of this kind and reader that the visit has already."""
    row = session.scalar(
        select(SignedDocumentRow).where(
            SignedDocumentRow.visit_id == visit_id,
            SignedDocumentRow.kind == kind,
            SignedDocumentRow.recipient == recipient,
        )
    )
    return _whole(session, row) if row else None


def has_documents(session: Session, person_id: str) -> bool:
    """Whether any document of a person is signed."""
    wanted = (
        select(SignedDocumentRow.id)
        .join(VisitRow, VisitRow.id == SignedDocumentRow.visit_id)
        .join(EpisodeRow, EpisodeRow.id == VisitRow.episode_id)
        .where(EpisodeRow.person_id == person_id)
        .limit(1)
    )
    return session.scalar(wanted) is not None


def _whole(session: Session, row: SignedDocumentRow) -> SignedDocument:
    return SignedDocument(
        row.id, row.visit_id, row.kind, row.recipient, row.signed_by, row.signed_at, row.document, row.release,
        row.program_version, tuple((one.at, one.by, one.text) for one in _addenda(session, row.id)),
    )  # fmt: skip


def _addenda(session: Session, document_id: str) -> Sequence[DocumentAddendumRow]:
    wanted = select(DocumentAddendumRow).where(DocumentAddendumRow.document_id == document_id)
    return session.scalars(wanted.order_by(DocumentAddendumRow.at, DocumentAddendumRow.id)).all()
