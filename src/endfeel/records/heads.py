"""What is true of a visit as a whole, told by one plain statement: no objects are made of its row."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any, cast

import sqlalchemy as sa
from sqlalchemy import Connection, bindparam, func, select
from sqlalchemy.orm import Session

from endfeel.records.staff_tables import AssignmentRow
from endfeel.records.tables import (
    ChartAreaRow,
    ConsentRow,
    EntryRow,
    EpisodeRow,
    MeasureRow,
    OverrideRow,
    PersonRow,
    PreferenceRow,
    ScreenRow,
    SignedNoteRow,
    StoryRow,
    Table,
    TurnRow,
    VisitRow,
    WishRow,
)
from endfeel.vocabulary import NotFound

STAFF = "who is signed in"
"""Under this name a session holds the id of the one whose act it is."""
CARED_FOR = "whom they care for"
"""Ids of people of whom this transaction has read that they are assigned to them."""


def plain(of: type[Table]) -> sa.Table:
    """A table without its class: what is read by it comes as plain rows."""
    return cast("sa.Table", of.__table__)


_V, _EP, _P, _E = plain(VisitRow), plain(EpisodeRow), plain(PersonRow), plain(EntryRow)
_SIGNED, _STORY, _CONSENT, _TURN = (plain(of) for of in (SignedNoteRow, StoryRow, ConsentRow, TurnRow))
BY_VISIT = {
    name: plain(of)
    for name, of in (("screen", ScreenRow), ("turn", TurnRow), ("wish", WishRow), ("measure", MeasureRow),
                     ("preference", PreferenceRow), ("override", OverrideRow))
}  # fmt: skip
IDS: Any = bindparam("ids", expanding=True)


def _last(name: str) -> Any:
    table = BY_VISIT[name]
    return select(func.max(table.c.number)).where(table.c.visit_id == _V.c.id).scalar_subquery().label(f"last_{name}")


_NUMBERS = (
    select(func.max(_E.c.sequence)).where(_E.c.visit_id == _V.c.id).scalar_subquery().label("last_entry"),
    *(_last(name) for name in BY_VISIT),
    select(func.max(_STORY.c.number)).where(_STORY.c.person_id == _EP.c.person_id).scalar_subquery()
    .label("last_story"),
    _SIGNED.c.id.label("signed_id"),
)  # fmt: skip
_OF_A_VISIT = _V.join(_EP, _V.c.episode_id == _EP.c.id).outerjoin(_SIGNED, _SIGNED.c.visit_id == _V.c.id)
_MARK = select(*_NUMBERS).select_from(_OF_A_VISIT).where(_V.c.id == bindparam("visit"))
_SAID = (
    select(_CONSENT.c.given)
    .where(_CONSENT.c.person_id == _EP.c.person_id, _CONSENT.c.purpose == "care")
    .order_by(_CONSENT.c.number.desc())
    .limit(1)
    .scalar_subquery()
)
_TURNED = (
    select(_TURN.c.position)
    .where(_TURN.c.visit_id == _V.c.id)
    .order_by(_TURN.c.number.desc())
    .limit(1)
    .scalar_subquery()
)
_SIBLING, _AREA = _V.alias("sibling"), plain(ChartAreaRow)
_DRAWN = (
    select(_AREA.c.number)
    .select_from(_SIBLING.join(_AREA, _AREA.c.visit_id == _SIBLING.c.id))
    .where(_SIBLING.c.episode_id == _V.c.episode_id)
    .exists()
)
_CARES = plain(AssignmentRow)
_TEAM = (
    select(func.aggregate_strings(_CARES.c.staff_id, ","))
    .where(_CARES.c.person_id == _EP.c.person_id)
    .scalar_subquery()
)
_HEADS = (
    select(
        _V.c.id, _V.c.episode_id, _V.c.opened_at, func.coalesce(_TURNED, _V.c.position).label("position"),
        *(_EP.c[name] for name in ("person_id", "title", "side", "onset", "weeks", "irritability", "areas", "story")),
        *(_P.c[name] for name in ("label", "age", "sex", "dominant", "invented")),
        _SIGNED.c.signed_by, _SIGNED.c.signed_at, _SIGNED.c.last_story.label("signed_story"),
        _SAID.label("care"), _DRAWN.label("drawn"), _TEAM.label("team"),
        *_NUMBERS,
    )
    .select_from(_OF_A_VISIT.join(_P, _EP.c.person_id == _P.c.id))
    .where(_V.c.id.in_(IDS))
)  # fmt: skip
_HELD = select(_V.c.id, _V.c.episode_id, _V.c.opened_at, _V.c.position).where(_V.c.id == bindparam("visit"))
_HELD = _HELD.with_for_update()
_FREE = select(*_HELD.selected_columns).where(_V.c.id.in_(IDS)).with_for_update(skip_locked=True)


def fetch(session: Session, statement: Any, **given: Any) -> Sequence[Any]:
    """Rows of a plain statement, as they come; what waits to be written is written first."""
    session.flush()
    return session.connection().execute(statement, given).all()


def hold_visit(session: Session, visit_id: str) -> Any:
    """The row of a visit, held against other writers until the transaction ends. Raises NotFound."""
    return _only(fetch(session, _HELD, visit=visit_id), visit_id)


def hold_free(session: Session, visit_ids: Iterable[str]) -> dict[str, Any]:
    """Rows of those visits that nobody else holds, held now, by their ids. Nobody is waited for."""
    return {one.id: one for one in fetch(session, _FREE, ids=list(visit_ids))}


def head_of(session: Session, visit_id: str) -> Any:
    """What is true of a visit as a whole: person, complaint, last turn, consent to care, who signed, and the number
    of the last row of each kind (`last_entry`, `last_screen` …; None without one). Raises NotFound."""
    return _only(_fetch_heads(session, [visit_id]), visit_id)


def _fetch_heads(session: Session, visit_ids: list[str]) -> Sequence[Any]:
    """Heads, and beside them whether who is signed in cares for these people: asked anyway a moment later."""
    found = fetch(session, _HEADS, ids=visit_ids)
    note_who_cares(session, found)
    return found


def note_who_cares(session: Session, heads: Iterable[Any]) -> None:
    """Note for whom of these people the one who is signed in cares."""
    staff = session.info.get(STAFF)
    if staff:
        mine = {one.person_id for one in heads if staff in (one.team or "").split(",")}
        session.info.setdefault(CARED_FOR, set()).update(mine)


def visit_mark(session: Session, visit_id: str) -> str:
    """Changes whenever anything is recorded in the visit, by whichever device. Raises NotFound."""
    session.flush()
    return mark_seen(session.connection(), visit_id)


def mark_seen(connection: Connection, visit_id: str) -> str:
    """The same where no session is open. Raises NotFound."""
    return mark_of(_only(connection.execute(_MARK, {"visit": visit_id}).all(), visit_id))


def mark_of(head: Any, *, more: int = 0) -> str:
    """The mark that a head tells, `more` entries later."""
    numbers = (
        (head.last_entry or 0) + more, head.last_screen, head.last_turn, head.last_wish, head.last_measure,
        head.last_preference, head.last_override, head.last_story, head.signed_id is not None,
    )  # fmt: skip
    return "-".join(str(int(one or 0)) for one in numbers)


def _only(rows: Sequence[Any], visit_id: str) -> Any:
    if not rows:
        raise NotFound(f"no visit {visit_id!r} in these records")
    return rows[0]


def heads_of(session: Session, visit_ids: Iterable[str]) -> dict[str, Any]:
    """Visit id → its head, in the order asked for. Raises NotFound."""
    wanted = list(dict.fromkeys(visit_ids))
    found = {one.id: one for one in _fetch_heads(session, wanted)} if wanted else {}
    for visit_id in wanted:
        if visit_id not in found:
            raise NotFound(f"no visit {visit_id!r} in these records")
    return {visit_id: found[visit_id] for visit_id in wanted}
