"""Every act of care that opens a transaction leaves an audit row, or says here why it shows nobody's record."""

from __future__ import annotations

import ast
import re
from pathlib import Path

from endfeel.care.allowed import RIGHT_OF

CARE = Path(__file__).resolve().parents[2] / "src" / "endfeel" / "care"
LEAVE_A_ROW = {"audit", "open_for_writing", "keep_finding", "_keep_each", "_recalled", "_retract", "_note", "_settle",
               "_now_second"}  # fmt: skip
SHOW_NOTHING = {
    "visit.has_entry": "answers only whether an id was sent before",
    "visit.visit_mark": "answers only whether anything changed; asked every few seconds",
    "findings.record_line": "needs the side to read a line; the finding's own row follows",
    "documents.newest_visit": "answers only the visit's id",
    "documents.draft_document": "looks through view_visit, which leaves its row",
    "documents.sign_document": "composes only; _keep leaves the row with the document",
    "hand_over.person_of_episode": "answers only the person's id",
    "hand_over.owner_of": "answers only the person's id",
    "follow.episode_of_visit": "answers only the episode's id",
    "follow.examined_before": "answers only which earlier visit; looking at it leaves its row",
    "readings.kept_before": "answers only which of the readings it was given were kept before",
    "people.find_person": "looks in the audit itself whether an id was ever on record; the list before has its row",
    "classroom.make_class": "no patient is in a class, only the names learners chose",
    "classroom.list_classes": "no patient is in a class",
    "classroom.class_by_code": "no patient is in a class",
    "classroom.assign_cases": "no patient is in a class; cases are simulated",
    "classroom.join_class": "no patient is in a class",
    "classroom.view_class": "no patient is in a class",
    "classroom.view_class_case": "no patient is in a class; the case is simulated",
    "classroom.remove_class": "no patient is in a class",
    "classroom._member": "no patient is in a class",
    "way_in.clinic_is_on": "answers only whether anybody signs in here; asked for every page",
    "way_in.session_of": "answers only who a browser's token stands for; asked for every page; its end has a row",
    "way_in.ask_passkey": "asks a device a question; the answer has its row",
    "outcomes._counted": "counts whom local_counts has listed, with its row",
    "outcomes.has_local_counts": "answers only whether there is anything to show",
    "desk.Desk.open_desk": "asks only whether anybody signs in here",
}


def acts() -> dict[str, set[str]]:
    """Functions that open a transaction, with the names they call."""
    found = {}
    for path in CARE.glob("*.py"):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        for node in ast.walk(tree):
            if not isinstance(node, ast.FunctionDef):
                continue
            called = {
                one.func.attr if isinstance(one.func, ast.Attribute) else getattr(one.func, "id", "")
                for one in ast.walk(node)
                if isinstance(one, ast.Call)
            }
            if called & {"transaction", "reading", "glancing"}:
                owner = "Desk." if path.stem == "desk" else ""
                found[f"{path.stem}.{owner}{node.name}"] = called
    return found


def test_every_act_that_opens_the_records_leaves_a_row_or_says_why_not() -> None:
    found = acts()
    assert len(found) > 25
    silent = {name for name, called in found.items() if not called & LEAVE_A_ROW}
    assert silent == set(SHOW_NOTHING)


def test_every_act_is_somebodys_right_in_a_clinic_or_part_of_signing_in() -> None:
    named = r"(?:audit|open_for_writing)\(\s*session,[^\"()=]*(?:\(\)[^\"()=]*)*\"([a-z][a-z -]+)\""
    told = {
        act
        for path in CARE.glob("*.py")
        if path.stem not in ("custody", "way_in")
        for act in re.findall(named, path.read_text(encoding="utf-8"))
    }
    assert len(told) > 40
    assert told - set(RIGHT_OF) == {"not allowed"}
