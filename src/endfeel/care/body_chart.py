"""The body chart of a visit: draw an area, take it back, look at it beside the chart of before."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from endfeel.body_chart import MeasuredArea, Overlap, Rule, areas_touched, measured, overlap
from endfeel.care.checks import entry_id_of
from endfeel.care.desk import Desk, new_id
from endfeel.care.people import correct_story
from endfeel.care.visit import recall_visit
from endfeel.care.writing import open_for_writing
from endfeel.instruments import setting
from endfeel.records import charts, queries
from endfeel.records.charts import EarlierChart, KeptArea
from endfeel.vocabulary import AREAS, CannotRead, Complaint, Fault, NotFound
from endfeel.vocabulary.body_chart import MOST_AREAS, ChartArea, area_faults


@dataclass(frozen=True, slots=True)
class VisitChart:
    """The chart of a visit as it stands, measured, and what follows from it."""

    ids: tuple[str, ...]
    areas: tuple[MeasuredArea, ...]
    earlier: EarlierChart | None
    before: tuple[MeasuredArea, ...]
    overlap: Overlap | None
    """None when there is no earlier chart."""
    can_undo: bool


def chart_rule(desk: Desk) -> Rule:
    """What makes a surface of a line, from the evidence."""
    return Rule(setting(desk.library, "finger_width"), setting(desk.library, "touched_share"))


def view_chart(desk: Desk, visit_id: str) -> VisitChart:
    """Read and measure the chart of a visit. Raises NotFound."""
    with desk.transaction() as session:
        person_id = queries.person_of_visit(session, visit_id)
        kept = charts.chart_of(session, visit_id)
        earlier = charts.earlier_chart(session, visit_id)
        queries.audit(session, desk.clock(), desk.who, "view body chart", person_id, visit_id)
    return measured_chart(desk, kept, earlier)


def measured_chart(desk: Desk, kept: Sequence[KeptArea], earlier: EarlierChart | None) -> VisitChart:
    """What was read, measured."""
    rule = chart_rule(desk)
    areas = measured((one.area for one in kept), rule)
    before = measured(earlier.areas, rule) if earlier else ()
    return VisitChart(
        tuple(one.id for one in kept), areas, earlier, before, overlap(before, areas) if earlier else None, bool(kept)
    )


def draw_area(desk: Desk, visit_id: str, area: ChartArea, area_id: str | None = None) -> str:
    """Keep a drawn area; the same `area_id` twice is kept once. Raises CannotRead for what cannot be one."""
    faults = list(area_faults(area))
    area_id = entry_id_of(area_id)
    if not faults and measured([area], chart_rule(desk))[0].share == 0:
        faults = [Fault("drawn beside the figure", would_do="a line on the figure", field="path")]
    if faults:
        raise CannotRead(faults)
    with desk.transaction() as session:
        queries.lock_visit(session, visit_id)
        if charts.is_drawn(session, visit_id, area_id, area):
            return area_id
        if len(charts.chart_of(session, visit_id)) >= MOST_AREAS:
            raise CannotRead([Fault("the chart is full", f"{MOST_AREAS} areas", "fewer areas", field="path")])
        open_for_writing(session, desk, visit_id, "draw area", str(area.view))
        charts.add_area(session, visit_id, desk.clock(), area_id, area)
    return area_id


def take_back_area(desk: Desk, visit_id: str, area_id: str | None = None) -> str | None:
    """Take back an area, the last one by default; it stays on record. None when there is nothing to take back."""
    with desk.transaction() as session:
        queries.lock_visit(session, visit_id)
        standing = [one.id for one in charts.chart_of(session, visit_id)]
        if area_id is None and not standing:
            return None
        wanted = area_id or standing[-1]
        if wanted not in standing:
            if any(row.id == wanted and row.view for row in charts.chart_rows(session, visit_id)):
                return None
            raise NotFound("that area is not on this chart")
        open_for_writing(session, desk, visit_id, "take back area")
        charts.take_back_area(session, visit_id, desk.clock(), new_id(), wanted)
    return wanted


@dataclass(frozen=True, slots=True)
class AreaProposal:
    """What the chart says about where it is felt, beside what the story says."""

    to_add: tuple[str, ...]
    """Areas drawn on the side of the complaint that the story does not name."""
    undrawn: tuple[str, ...]
    """Areas the story names that are not drawn; nothing is taken from the story for that."""


def propose_areas(chart: VisitChart, complaint: Complaint) -> AreaProposal:
    """Areas to put into the story, for the therapist to say yes to. Nothing is changed here."""
    if not chart.areas:
        return AreaProposal((), ())
    drawn = areas_touched(chart.areas, complaint.side)
    return AreaProposal(
        tuple(one for one in AREAS if one in drawn and one not in complaint.areas),
        tuple(one for one in complaint.areas if one not in drawn),
    )


def confirm_areas(desk: Desk, visit_id: str, areas: Sequence[str], told_before: int | None = None) -> None:
    """Put areas into the story, by the same act as any correction of it. Raises CannotRead, Refused."""
    unknown = [Fault("no such area", one, ", ".join(AREAS), field="areas") for one in areas if one not in AREAS]
    if unknown:
        raise CannotRead(unknown)
    record = recall_visit(desk, visit_id)
    told = record.case.complaint
    wanted = tuple(one for one in AREAS if one in told.areas or one in areas)
    if set(wanted) != set(told.areas):
        correct_story(desk, visit_id, record.label, record.case.person, replace(told, areas=wanted), told_before)
