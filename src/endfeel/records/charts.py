"""What is read from and added to the body chart of a visit. The caller opens the transaction."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from endfeel.records.tables import ChartAreaRow, VisitRow
from endfeel.vocabulary import Refused
from endfeel.vocabulary.body_chart import ChartArea, ChartView, SymptomDepth, SymptomQuality


@dataclass(frozen=True, slots=True)
class KeptArea:
    """An area of a chart as it stands, with its id."""

    id: str
    area: ChartArea


@dataclass(frozen=True, slots=True)
class EarlierChart:
    """The last chart of the episode that has anything drawn on it, before this visit."""

    visit_id: str
    opened_at: datetime
    areas: tuple[ChartArea, ...]


def chart_rows(session: Session, visit_id: str) -> list[ChartAreaRow]:
    """All rows of a chart, in order."""
    wanted = select(ChartAreaRow).where(ChartAreaRow.visit_id == visit_id).order_by(ChartAreaRow.number)
    return list(session.scalars(wanted))


def chart_of(session: Session, visit_id: str) -> tuple[KeptArea, ...]:
    """The areas that stand, in the order they were drawn."""
    return standing_areas(chart_rows(session, visit_id))


def standing_areas(rows: Iterable[ChartAreaRow]) -> tuple[KeptArea, ...]:
    """Areas that were not taken back."""
    told = list(rows)
    gone = {row.takes_back for row in told}
    return tuple(KeptArea(row.id, area_from_row(row)) for row in told if row.view and row.id not in gone)


def earlier_chart(session: Session, visit_id: str) -> EarlierChart | None:
    """The chart to compare with: that of the latest earlier visit of the episode on which something stands drawn."""
    visit = session.get(VisitRow, visit_id)
    if visit is None:
        return None
    before = (
        select(VisitRow)
        .where(VisitRow.episode_id == visit.episode_id, VisitRow.id != visit.id)
        .where(
            (VisitRow.opened_at < visit.opened_at)
            | ((VisitRow.opened_at == visit.opened_at) & (VisitRow.id < visit.id))
        )
        .where(VisitRow.id.in_(select(ChartAreaRow.visit_id)))
        .order_by(VisitRow.opened_at.desc(), VisitRow.id.desc())
    )
    for other in session.scalars(before):
        areas = chart_of(session, other.id)
        if areas:
            return EarlierChart(other.id, other.opened_at, tuple(one.area for one in areas))
    return None


def area_from_row(row: ChartAreaRow) -> ChartArea:
    """The area a row holds."""
    return ChartArea(
        ChartView(row.view or ""),
        tuple((float(x), float(y)) for x, y in row.path),
        SymptomQuality(row.quality) if row.quality else None,
        SymptomDepth(row.depth) if row.depth else None,
        row.intensity,
    )


def is_drawn(session: Session, visit_id: str, area_id: str, area: ChartArea) -> bool:
    """Whether this very area is there already (sent twice). Raises Refused when its id stands for another."""
    row = session.scalar(select(ChartAreaRow).where(ChartAreaRow.id == area_id))
    if row is None:
        return False
    if row.visit_id != visit_id or row.view is None or area_from_row(row) != area:
        raise Refused("this area was already kept with other content; draw it anew")
    return True


def add_area(session: Session, visit_id: str, at: datetime, area_id: str, area: ChartArea) -> None:
    """Append a drawn area. The caller holds the visit."""
    told: dict[str, Any] = {name: str(value) if value else None for name, value in _words(area)}
    path = [list(point) for point in area.path]
    session.add(
        ChartAreaRow(
            id=area_id, visit_id=visit_id, at=at, view=str(area.view), path=path, intensity=area.intensity, **told
        )
    )


def _words(area: ChartArea) -> tuple[tuple[str, str | None], ...]:
    return (("quality", area.quality), ("depth", area.depth))


def take_back_area(session: Session, visit_id: str, at: datetime, row_id: str, area_id: str) -> None:
    """Append the taking back of an area. The caller holds the visit."""
    session.add(ChartAreaRow(id=row_id, visit_id=visit_id, at=at, takes_back=area_id, path=[]))
