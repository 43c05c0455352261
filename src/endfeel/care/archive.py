"""Everything a person owns in one file: a JSON file that holds every row, a table a kind, a page that explains them."""

from __future__ import annotations

import csv
import io
import json
import zipfile
from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any

from endfeel import __version__
from endfeel.care.desk import Desk
from endfeel.care.people import export_person
from endfeel.vocabulary import CAUTIONS

OPENERS = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")
"""A cell of words that begins so may be taken for a formula by a spreadsheet; the wide forms too."""
LONGEST_CELL = 32_000
"""A spreadsheet holds no more letters in one cell (32,767 in common programs; from memory)."""
TOO_LONG = "(too long for a table: see person.json)"
_KINDS = {
    "person": "the person as first told",
    "episode": "episodes of care with the complaint as first told",
    "story": "person and complaint told again; the latest counts",
    "visit": "visits",
    "entry": "findings, re-tests, treatments, and what took one back or corrected it",
    "screen_answer": "answers to the safety screen; the latest counts",
    "turn": "positions the person was turned to",
    "wish": "what was wanted of the plan",
    "chart_area": "areas drawn on the body chart",
    "outcome_answer": "answered outcome measures",
    "confirmed_outcome": "what turned out to be so, by imaging, block, surgery or response",
    "counted_episode": "what this record tells a count of many, worked out from the rest where that was agreed to",
    "preference": "what was not wanted of treatment, and by what was measured",
    "verdict_override": "safety verdicts that were overridden, with name and reason",
    "signed_note": "signed notes as they were signed",
    "addendum": "words added after signing",
    "signed_document": "signed letters, summaries and handouts as they were signed",
    "document_addendum": "words added to one of them",
    "presented": "papers of a student that were presented for counter-signature, and what became of them",
    "assignment": "who cares for this person now, by the id of staff",
    "break_glass": "when the record was opened by somebody it was not assigned to, and why",
    "consent": "what the person agreed to, by purpose; the latest counts",
    "access": "who looked at or changed this record, when and why",
}


def person_json(desk: Desk, person_id: str) -> bytes:
    """Everything about a person as one JSON file. Raises NotFound."""
    return _json(export_person(desk, person_id))


def person_archive(desk: Desk, person_id: str) -> bytes:
    """The same with a table a kind and a page that explains them, as a zip file. Raises NotFound."""
    now = desk.clock()
    given = export_person(desk, person_id)
    tables = {name: rows for name, rows in (*given["rows"].items(), ("access", given["access"])) if rows}
    files = {"README.txt": _readme(desk, tables, now).encode(), "person.json": _json(given)}
    files |= {f"{name}.csv": table_csv(rows).encode() for name, rows in tables.items()}
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in files.items():
            archive.writestr(zipfile.ZipInfo(name, now.timetuple()[:6]), content, zipfile.ZIP_DEFLATED)
    return packed.getvalue()


def table_csv(rows: Sequence[Mapping[str, Any]]) -> str:
    """Rows as comma-separated values with a header. Words that could be taken for a formula get an apostrophe first."""
    columns = list(dict.fromkeys(name for row in rows for name in row))
    written = io.StringIO()
    writer = csv.writer(written, lineterminator="\r\n")
    writer.writerow(columns)
    writer.writerows([_cell(row.get(name)) for name in columns] for row in rows)
    return written.getvalue()


def _cell(value: Any) -> str:
    """Numbers as they are, nothing as nothing, lists and tables as JSON, words made harmless."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        return repr(value)
    words = value if isinstance(value, str) else json.dumps(value, ensure_ascii=False, default=str)
    if len(words) > LONGEST_CELL:
        return TOO_LONG
    return f"'{words}" if words.lstrip(" ").startswith(OPENERS) else words


def _json(value: Any) -> bytes:
    return (json.dumps(value, ensure_ascii=False, indent=1, default=str) + "\n").encode()


def _readme(desk: Desk, tables: Mapping[str, Sequence[Any]], now: datetime) -> str:
    lines = [
        "EVERYTHING ON RECORD ABOUT ONE PERSON",
        "",
        f"Written {now.astimezone():%Y-%m-%d %H:%M %Z} by endfeel {__version__}, evidence {desk.library.release}.",
        "These files hold what a person told in confidence: keep them as you keep the record itself.",
        "",
        "person.json holds every row exactly as it is kept. Each table below holds one kind of row for a spreadsheet:",
        "UTF-8, commas, the names of the columns in the first line, times in UTC, yes and no in words.",
        "A cell of words that a spreadsheet could take for a formula begins with an apostrophe that is not part of it;",
        "what is too long for a cell, such as a signed note with its pictures, stands in person.json alone.",
        "Kinds of which there is no row have no table.",
        "",
        *(f"{name}.csv: {len(rows)} rows; {_KINDS.get(name, name.replace('_', ' '))}" for name, rows in tables.items()),
        "",
        *CAUTIONS,
    ]
    return "\r\n".join(lines) + "\r\n"
