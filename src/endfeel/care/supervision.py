"""What a student writes: presented to the supervisor, who signs it or gives it back. Until then nothing is signed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from sqlalchemy.orm import Session

from endfeel.care.checks import kept_words
from endfeel.care.desk import Desk, new_id
from endfeel.care.documents import HANDOUT, WriterWords, draft_document, sign_document, sign_handout
from endfeel.care.home import view_home
from endfeel.care.visit import note_html, sign_note
from endfeel.records import queries
from endfeel.records import staff as kept
from endfeel.records.staff_tables import PresentedRow
from endfeel.vocabulary import CannotRead, Fault, NotAllowed, Refused

NOTE, FOLLOW_UP = "note", "follow-up"


@dataclass(frozen=True, slots=True)
class Presented:
    """One paper of a student."""

    id: str
    visit_id: str
    kind: str
    words: Mapping[str, Any]
    student: str
    label: str
    at: datetime
    outcome: str | None
    remark: str
    settled_by: str | None


def present(desk: Desk, visit_id: str, kind: str, words: Mapping[str, Any] | None = None) -> str:
    """Ask for the counter-signature of a note (`note`, `follow-up`), letter or handout; twice is once.

    Raises Refused when it is signed already or nobody supervises.
    """
    if desk.staff is None or desk.staff.supervisor_id is None:
        raise Refused("you have no supervisor: sign yourself")
    told = {name: value for name, value in (words or {}).items() if value not in ("", None)}
    with desk.transaction() as session:
        queries.lock_visit(session, visit_id)
        person_id = queries.person_of_visit(session, visit_id)
        queries.audit(session, desk.clock(), desk.who, "present for signature", person_id, visit_id, detail=kind)
        if kind in (NOTE, FOLLOW_UP) and queries.signed_note(session, visit_id) is not None:
            raise Refused("the note is signed already; ask your supervisor for an addendum")
        for row in kept.presented_open(session, visit_id):
            if (row.kind, row.words, row.staff_id) == (kind, told, desk.staff.id):
                return row.id
        row = PresentedRow(id=new_id(), visit_id=visit_id, kind=kind, words=told, staff_id=desk.staff.id,
                           at=desk.clock(), remark="")  # fmt: skip
        session.add(row)
    return row.id


def list_presented(desk: Desk) -> tuple[Presented, ...]:
    """What waits for the counter-signature of who is signed in, or of theirs; for a lead all that waits."""
    with desk.transaction() as session:
        queries.audit(session, desk.clock(), desk.who, "list presented", None)
        return tuple(_told(session, row) for row in kept.presented_open(session) if _concerns(session, desk, row))


def presented_in(desk: Desk, visit_id: str) -> tuple[Presented, ...]:
    """What was presented of one visit, the newest first."""
    with desk.transaction() as session:
        queries.audit(session, desk.clock(), desk.who, "view presented", queries.person_of_visit(session, visit_id),
                      visit_id)  # fmt: skip
        return tuple(_told(session, row) for row in kept.presented_of(session, visit_id))


def _concerns(session: Session, desk: Desk, row: PresentedRow) -> bool:
    """Whether it is this one's: the student's own, the supervisor's, or a lead looks."""
    if desk.staff is None:
        return True
    student = kept.staff_of(session, row.staff_id)
    return desk.staff.role == "lead" or desk.staff.id in (student.id, student.supervisor)


def _told(session: Session, row: PresentedRow) -> Presented:
    label = queries.label_of(session, queries.person_of_visit(session, row.visit_id))
    student = kept.staff_of(session, row.staff_id).name
    return Presented(row.id, row.visit_id, row.kind, row.words, student, label, row.at, row.outcome, row.remark,
                     row.settled_by)  # fmt: skip


def view_presented(desk: Desk, presented_id: str) -> tuple[Presented, str, str]:
    """The paper as it would be signed now: what was presented, its HTML, and the mark of the visit it was made from."""
    with desk.transaction() as session:
        row = kept.presented_row(session, presented_id)
        person_id = queries.person_of_visit(session, row.visit_id)
        queries.audit(session, desk.clock(), desk.who, "view presented", person_id, row.visit_id, row.kind)
        if not _concerns(session, desk, row):
            raise NotAllowed("this is for the supervisor of who wrote it", "view presented", person_id)
        told, mark = _told(session, row), queries.visit_mark(session, row.visit_id)
    return told, _paper(desk, told), mark


def _paper(desk: Desk, told: Presented) -> str:
    from endfeel.documents import handout_html
    from endfeel.documents import note_html as html

    if told.kind == NOTE:
        return note_html(desk, told.visit_id)
    if told.kind == HANDOUT:
        sheet = view_home(desk, told.visit_id, told.words.get("exercise"), language=told.words.get("language", "en"),
                          large=bool(told.words.get("large"))).sheet  # fmt: skip
        return handout_html(sheet) if sheet else ""
    return html(draft_document(desk, told.visit_id, told.kind, _words(told)).document)


def _words(told: Presented) -> WriterWords:
    given = {name: str(told.words.get(name, "")) for name in ("to", "reference", "asked", "told", "closing")}
    return WriterWords(**given, codes=tuple(told.words.get("codes", ())))


def counter_sign(desk: Desk, presented_id: str, mark: str) -> None:
    """Sign what a student wrote, in both names. `mark` is of the page that was read.

    Raises NotAllowed for anybody but the supervisor or a lead, Refused when the visit changed since it was read or the
    paper is settled.
    """
    told = _mine(desk, presented_id, mark)
    name = f"{told.student}, student; counter-signed by {desk.who}"
    at_desk, words = replace(desk, signs_as=name), told.words
    if told.kind in (NOTE, FOLLOW_UP):
        sign_note(at_desk, told.visit_id, name, as_follow_up=told.kind == FOLLOW_UP)
    elif told.kind == HANDOUT:
        language, large = words.get("language", "en"), bool(words.get("large"))
        sign_handout(
            at_desk, told.visit_id, name, words.get("exercise"), language=language, large=large, document_id=told.id
        )
    else:
        sign_document(at_desk, told.visit_id, told.kind, _words(told), name, told.id)
    _settle(desk, told, "signed", "")


def give_back(desk: Desk, presented_id: str, remark: str) -> None:
    """Give a paper back to the student with words. Raises CannotRead without them."""
    remark = kept_words(remark, "remark", 2000)
    if not remark:
        raise CannotRead([Fault("say what is to be done to it", would_do="a sentence", field="remark")])
    _settle(desk, _mine(desk, presented_id), "returned", remark)


def _mine(desk: Desk, presented_id: str, mark: str = "") -> Presented:
    with desk.transaction() as session:
        row = kept.presented_row(session, presented_id)
        person_id = queries.person_of_visit(session, row.visit_id)
        queries.audit(session, desk.clock(), desk.who, "view presented", person_id, row.visit_id, row.kind)
        if not _concerns(session, desk, row) or desk.staff is None or desk.staff.id == row.staff_id:
            raise NotAllowed("this is for the supervisor of who wrote it", "sign note", person_id)
        if row.outcome is not None:
            raise Refused(f"this was {row.outcome} by {row.settled_by} already")
        if mark and mark != queries.visit_mark(session, row.visit_id):
            raise Refused("the visit has changed since you read it; read it again")
        return _told(session, row)


def _settle(desk: Desk, told: Presented, outcome: str, remark: str) -> None:
    with desk.transaction() as session:
        row = kept.presented_row(session, told.id)
        person_id = queries.person_of_visit(session, row.visit_id)
        act = "give back presented" if outcome == "returned" else "view presented"
        queries.audit(session, desk.clock(), desk.who, act, person_id, row.visit_id, f"{row.kind}: {outcome}")
        row.outcome, row.remark, row.settled_by, row.settled_at = outcome, remark, desk.who, desk.clock()
