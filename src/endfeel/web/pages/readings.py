"""Readings of a dynamometer or inclinometer: paste or file, see what each row becomes, keep it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Any

from fastapi import APIRouter, Query, Request
from fastapi.responses import Response

from endfeel import care
from endfeel.assessment import DEFAULT_MINUTES, shorthand_of
from endfeel.inference.words import finding_words
from endfeel.instruments.readings import OFFERED_UNITS, Column, ColumnMap, Reading, guess, readings
from endfeel.instruments.table_text import Table, read_table, written_back
from endfeel.vocabulary import CannotRead, Procedure, Refused, Unit
from endfeel.vocabulary.findings import INSTRUMENTS
from endfeel.vocabulary.ranges import units_of
from endfeel.vocabulary.shorthand import finding_text
from endfeel.web.errors import sentences
from endfeel.web.forms import minutes_in, side_of
from endfeel.web.pages.desk import AtDesk, FieldsOrFile
from endfeel.web.plain import in_plain_words
from endfeel.web.rendering import REGIONS, page

router = APIRouter(include_in_schema=False)
Minutes = Annotated[float, Query(gt=0, le=240)]
MOST_NAMES = 60
COLUMN_WORDS = {
    Column.TEST: "test",
    Column.SIDE: "side",
    Column.LEVEL: "level",
    Column.VALUE: "value",
    Column.UNIT: "unit",
    Column.PAIN: "pain 0 to 10",
    Column.NOTE: "into the note",
    Column.LEAVE: "leave out",
}


@router.get("/visits/{visit_id}/readings")
def get_readings(request: Request, desk: AtDesk, visit_id: str, minutes: Minutes = DEFAULT_MINUTES) -> Response:
    return _show(request, desk, visit_id, minutes, {})


@router.post("/visits/{visit_id}/readings")
def post_readings(request: Request, desk: AtDesk, visit_id: str, given: FieldsOrFile) -> Response:
    """Read the table again, or keep what could be read; the rows that could not stay in the field.

    Of a chosen file the columns are guessed afresh.
    """
    if "file" in given:
        given = {name: given.get(name, "") for name in ("text", "minutes")}
    return _show(request, desk, visit_id, minutes_in(given), given)


def _show(request: Request, desk: care.Desk, visit_id: str, minutes: float, given: Mapping[str, str]) -> Response:
    view, shorthand = care.recall_visit(desk, visit_id), shorthand_of(desk.library)
    text, said, status = given.get("text", ""), "", 200
    table: Table | None = None
    mapping: ColumnMap | None = None
    rows: tuple[Reading, ...] = ()
    faults: list[str] = []
    retest = given.get("retest") == "yes"
    if "text" in given:
        try:
            table = read_table(text)
            mapping = _mapping(given, table) or guess(table, shorthand)
            rows = readings(table, mapping, shorthand, view.case.complaint.side)
        except CannotRead as error:
            faults, status = sentences(error), 422
    if table is not None and given.get("do") == "keep":
        if view.signed:
            raise Refused(f"the note was signed by {view.signed.signed_by}; add an addendum instead")
        said, text, table, rows = _keep(desk, visit_id, table, rows, retest=retest)
    before = care.kept_before(desk, visit_id, rows, retest=retest) if rows else frozenset()
    values: dict[str, Any] = {
        "view": view,
        "minutes": minutes,
        "text": text,
        "faults": faults,
        "table": table,
        "shape": _shape(table) if table else "",
        "mapping": mapping,
        "rows": [_row(desk, one, one.key in before) for one in rows],
        "to_keep": sum(one.finding is not None and one.key not in before for one in rows),
        "unread": sum(one.finding is None for one in rows),
        "unknown": _unknown(rows, mapping),
        "columns": list(COLUMN_WORDS.items()),
        "units": OFFERED_UNITS,
        "instruments": INSTRUMENTS,
        "tests": _measured(desk),
        "retest": retest,
        "said": said,
        "alarm": status >= 400,
    }
    return page(request, "readings.html", values, status)


def _keep(
    desk: care.Desk, visit_id: str, table: Table, rows: tuple[Reading, ...], *, retest: bool
) -> tuple[str, str, Table | None, tuple[Reading, ...]]:
    """Keep what can be; what is told, and what is left to put right."""
    kept = care.keep_readings(desk, visit_id, rows, retest=retest)
    left = tuple(one for one in rows if one.finding is None)
    again = len(rows) - len(left) - kept
    told = [f"Kept: {kept}."] if kept else ["Nothing new to keep."]
    told += [f"Kept before: {again}."] if again else []
    told += [f"Not read, still below: {len(left)}."] if left else []
    if not left:
        return " ".join(told), "", None, ()
    return " ".join(told), written_back(table, [one.row.line for one in left]), table, left


def _mapping(given: Mapping[str, str], table: Table) -> ColumnMap | None:
    """The mapping as the page showed it; None for a table that is new or of another width."""
    told = [given.get(f"column-{at}", "") for at in range(table.width)]
    if (
        given.get("shape") != _shape(table)
        or any(one not in tuple(Column) for one in told)
        or f"column-{table.width}" in given
    ):
        return None
    named = ((given.get(f"word-{at}", ""), given.get(f"name-{at}", "")) for at in range(MOST_NAMES))
    names = {words: chosen for words, chosen in named if words and chosen}
    instrument = given.get("instrument", "")
    return ColumnMap(
        tuple(Column(one) for one in told),
        given.get("unit", ""),
        given.get("procedure", ""),
        side_of(given.get("side", "")),
        instrument if instrument in INSTRUMENTS else "",
        names,
    )


def _shape(table: Table) -> str:
    """Tells one table from another: a new one is guessed afresh."""
    return "|".join((str(table.width), table.delimiter, *table.header))


def _row(desk: care.Desk, one: Reading, before: bool) -> dict[str, Any]:
    words = finding_words(one.finding, desk.library.catalogue) if one.finding else ""
    return {
        "line": one.row.line,
        "cells": one.row.cells,
        "finding": words,
        "shorthand": finding_text(one.finding) if one.finding else "",
        "faults": [in_plain_words(fault.sentence()) for fault in one.faults],
        "before": before,
    }


def _unknown(rows: tuple[Reading, ...], mapping: ColumnMap | None) -> list[tuple[str, str]]:
    """Words of tests that were not understood, or were given a test by hand, each with the test chosen."""
    if mapping is None:
        return []
    wrong = [one.words for one in rows if one.words and any(fault.field == "test" for fault in one.faults)]
    return [(words, mapping.names.get(words, "")) for words in dict.fromkeys([*mapping.names, *wrong])]


def _measured(desk: care.Desk) -> dict[str, list[Procedure]]:
    """Tests that yield a force, an angle, a length or a time, by region."""
    limits, wanted = shorthand_of(desk.library).limits, {Unit.NEWTONS, Unit.DEGREES}
    found: dict[str, list[Procedure]] = {}
    for procedure in desk.library.catalogue:
        if wanted & set(units_of(procedure, limits)):
            found.setdefault(REGIONS.get(procedure.region, procedure.region), []).append(procedure)
    return found
