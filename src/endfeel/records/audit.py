"""The audit: who, what, when, why, each row holding the hash of the one before it."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from typing import Any

from sqlalchemy import bindparam, insert, select, update
from sqlalchemy.orm import Session

from endfeel.records.heads import fetch, plain
from endfeel.records.tables import AuditHeadRow, AuditRow

START = "0" * 64
"""What the first row has before it."""
CARE = "care"
"""Why a record is looked at or changed when nobody says otherwise."""
CLOCK_BACK = timedelta(seconds=60)
"""A clock that goes back by less was set right, or an act waited for another one: judgement, no source."""
_WAITING = "audit rows that wait"
_AUDIT, _HEAD = plain(AuditRow), plain(AuditHeadRow)
_HEAD_HELD = select(_HEAD.c.place, _HEAD.c.hash, _HEAD.c.at).with_for_update()
_ADD, _MOVE = insert(_AUDIT).inline(), update(_HEAD)
_NEW = insert(_AUDIT).values({one.name: bindparam(f"new_{one.name}") for one in _AUDIT.c if one.name != "number"})
_NEW_ROW = _NEW.returning(_AUDIT.c.place, _AUDIT.c.hash, _AUDIT.c.at).cte("new")
_ADD_AND_MOVE = (
    update(_HEAD)
    .where(_HEAD.c.place == _NEW_ROW.c.place - 1)
    .values(place=_NEW_ROW.c.place, hash=_NEW_ROW.c.hash, at=_NEW_ROW.c.at)
)
"""A row and the end of the chain at once, where the database can."""
GATE = "who may"
"""Under this name a session holds what is asked before each row: it raises for what is not allowed, or says why."""


@dataclass(frozen=True, slots=True)
class AuditEntry:
    """One row as it is read back."""

    place: int
    at: datetime
    who: str
    act: str
    person_id: str | None
    visit_id: str | None
    detail: str
    why: str


@dataclass(frozen=True, slots=True)
class Witness:
    """The end of the chain as somebody wrote it down: what was there then must still be there."""

    place: int
    hash: str

    def line(self) -> str:
        """As it is written down."""
        return f"{self.place} {self.hash}"


@dataclass(frozen=True, slots=True)
class Verification:
    """What was found when the whole chain was read."""

    rows: int
    faults: tuple[str, ...]
    """In order, the first one first; not more than `MOST_FAULTS`."""
    head: Witness
    witnesses: int
    """How many ends written down earlier were looked for."""

    @property
    def is_sound(self) -> bool:
        return not self.faults


MOST_FAULTS = 20


def digest(previous: str, entry: AuditEntry) -> str:
    """SHA-256 over the hash before and every word of the row, in hexadecimal."""
    words = [
        entry.place, f"{entry.at.astimezone(UTC):%Y-%m-%dT%H:%M:%S.%fZ}", entry.who, entry.act, entry.person_id,
        entry.visit_id, entry.detail, entry.why,
    ]  # fmt: skip
    told = json.dumps([previous, *words], ensure_ascii=True, separators=(",", ":"))
    return hashlib.sha256(told.encode()).hexdigest()


# ---- writing -------------------------------------------------------------------------------------------------------


def audit(
    session: Session,
    at: datetime,
    who: str,
    act: str,
    person_id: str | None,
    visit_id: str | None = None,
    detail: str = "",
    why: str = "",
) -> None:
    """One row about who did what, in the same transaction as the act. It joins the chain when the act is done, so
    that nobody else waits for the end of the chain meanwhile. Raises NotAllowed where the session's gate says no."""
    why = may(session, act, person_id) or why
    waiting = session.info.setdefault(_WAITING, [])
    waiting.append(AuditEntry(0, at, who, act, person_id, visit_id, detail, why or CARE))


def may(session: Session, act: str, person_id: str | None) -> str:
    """Why an act is allowed, where there is a reason of its own. Raises NotAllowed where the session's gate says no."""
    gate: Callable[[Session, str, str | None], str] | None = session.info.get(GATE)
    return gate(session, act, person_id) if gate else ""


def write_waiting(session: Session) -> None:
    """Put the rows of this transaction at the end of the chain. Whoever does holds the end until it commits."""
    waiting: list[AuditEntry] = session.info.pop(_WAITING, [])
    if not waiting:
        return
    ((place, last, before),) = fetch(session, _HEAD_HELD)
    rows: list[dict[str, Any]] = []
    for entry in _with_clock_told(waiting, before):
        place += 1
        placed = replace(entry, place=place)
        now = digest(last, placed)
        row = {name: getattr(placed, name) for name in placed.__slots__}
        rows.append({**row, "previous": last, "hash": now})
        last = now
    connection = session.connection()
    if connection.dialect.name == "postgresql":
        connection.execute(_ADD_AND_MOVE, [{f"new_{name}": value for name, value in row.items()} for row in rows])
        return
    for row in rows:
        connection.execute(_ADD, row)
        connection.execute(_MOVE, {name: row[name] for name in ("place", "hash", "at")})


def _with_clock_told(entries: Iterable[AuditEntry], before: datetime | None) -> Iterator[AuditEntry]:
    """The rows, with one before the first that is earlier than what stands: the clock was set back, or was wrong."""
    for entry in entries:
        if before is not None and entry.at < before - CLOCK_BACK:
            told = f"the row before was written at {before:%Y-%m-%d %H:%M:%S} UTC"
            yield AuditEntry(0, entry.at, entry.who, "clock went back", None, None, told, "kept in order")
        before = entry.at
        yield entry


# ---- reading -------------------------------------------------------------------------------------------------------


def head_of(session: Session) -> Witness:
    """Where the chain ends now."""
    return Witness(*session.execute(select(AuditHeadRow.place, AuditHeadRow.hash)).one())


def audit_of(session: Session, person_id: str) -> tuple[AuditEntry, ...]:
    """Who looked at or changed this person's record, in order; what this transaction did included."""
    write_waiting(session)
    wanted = select(AuditRow).where(AuditRow.person_id == person_id).order_by(AuditRow.place)
    return tuple(_entry(row) for row in session.scalars(wanted))


def listings(session: Session, since: datetime) -> tuple[AuditEntry, ...]:
    """Looks at lists of everybody, from `since` on."""
    wanted = select(AuditRow).where(AuditRow.person_id.is_(None), AuditRow.at >= since, AuditRow.act.like("list %"))
    return tuple(_entry(row) for row in session.scalars(wanted.order_by(AuditRow.place)))


def _entry(row: AuditRow) -> AuditEntry:
    return AuditEntry(row.place, row.at, row.who, row.act, row.person_id, row.visit_id, row.detail, row.why)


def verify(session: Session, witnesses: Iterable[Witness] = ()) -> Verification:
    """Read the whole chain and tell every place where it is not as it was written.

    Finds a row that was edited, taken out, put in, put elsewhere, and rows missing at the end: against the end the
    store itself keeps, and against ends that were written down earlier (`witnesses`). `session` should see one state
    of the store throughout.
    """
    head = head_of(session)
    known = {one.place: one.hash for one in witnesses}
    looked_for = len(known)
    faults: list[str] = []
    place, last, rows = 0, START, 0
    columns = (*(getattr(AuditRow, name) for name in AuditEntry.__slots__), AuditRow.previous, AuditRow.hash)
    for row in session.execute(select(*columns).order_by(AuditRow.place).execution_options(yield_per=1000)):
        rows += 1
        entry = AuditEntry(*row[:-2])
        if entry.place != place + 1:
            faults.append(_gap(place, entry.place))
        elif row.previous != last:
            faults.append(f"row {entry.place} does not follow the row before it: one of them was changed or moved")
        if digest(row.previous, entry) != row.hash:
            faults.append(f"row {entry.place} ({_told(entry)}) was changed after it was written")
        if known.pop(entry.place, row.hash) != row.hash:
            faults.append(f"row {entry.place} is not the one that was written down: the chain was written anew")
        place, last = entry.place, row.hash
    if (place, last) != (head.place, head.hash):
        faults.append(
            f"the chain should end with row {head.place}, it ends with row {place}: rows at the end are missing, "
            "changed or put in"
        )
    faults += [f"row {one} was written down earlier and is not there any more" for one in sorted(known)]
    return Verification(rows, tuple(faults[:MOST_FAULTS]), head, looked_for)


def _gap(place: int, found: int) -> str:
    missing = f"row {place + 1} is" if found == place + 2 else f"rows {place + 1} to {found - 1} are"
    return f"{missing} missing between row {place} and row {found}"


def _told(entry: AuditEntry) -> str:
    return f"{entry.act}, {entry.at:%Y-%m-%d %H:%M} UTC"
