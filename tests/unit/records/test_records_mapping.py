"""Rows and values: what goes in comes out; undo, redo and correction as a therapist would expect them."""

from __future__ import annotations

from dataclasses import dataclass, field

import pytest
from hypothesis import given
from hypothesis import strategies as st

from endfeel.assessment import shorthand_of
from endfeel.evidence.library import Library
from endfeel.records.mapping import answers, columns_of_finding, finding_from_row, standing
from endfeel.records.queries import last_to_redo, last_to_undo
from endfeel.records.tables import EntryRow, ScreenRow
from strategies import any_finding


@given(data=st.data())
def test_any_finding_comes_back_from_its_row(library: Library, data: st.DataObject) -> None:
    told = data.draw(any_finding(shorthand_of(library)))
    columns = columns_of_finding(told)
    assert finding_from_row(EntryRow(**columns)) == told
    assert all(value is None or type(value) in (str, int, float, bool) for value in columns.values())


@dataclass
class Notebook:
    """The same visit kept in the plainest way: lines, each a pile of versions, and a pile of what was undone."""

    lines: list[list[str]] = field(default_factory=list)
    undone: list[tuple[int, str]] = field(default_factory=list)
    order: dict[str, int] = field(default_factory=dict)

    def shown(self) -> list[str]:
        return [line[-1] for line in self.lines if line]

    def write(self, name: str) -> None:
        self.lines.append([name])
        self._written(name)

    def correct(self, at: int, name: str) -> None:
        next(line for line in self.lines if line and line[-1] == self.shown()[at]).append(name)
        self._written(name)

    def _written(self, name: str) -> None:
        self.order[name] = len(self.order)
        self.undone.clear()

    def undo(self) -> None:
        if self.shown():
            last = max(self.shown(), key=self.order.__getitem__)
            at = next(i for i, line in enumerate(self.lines) if line and line[-1] == last)
            self.undone.append((at, self.lines[at].pop()))

    def redo(self) -> None:
        if self.undone:
            at, name = self.undone.pop()
            self.lines[at].append(name)


@given(acts=st.lists(st.sampled_from(["write", "correct", "undo", "redo"]), max_size=40), choice=st.randoms())
def test_undo_redo_and_correction_agree_with_a_notebook(acts: list[str], choice) -> None:  # type: ignore[no-untyped-def]
    notebook, rows = Notebook(), list[EntryRow]()

    def append(kind: str, supersedes: str | None = None, retracts: str | None = None) -> str:
        name = f"e{len(rows) + 1}"
        rows.append(EntryRow(id=name, sequence=len(rows) + 1, kind=kind, supersedes=supersedes, retracts=retracts))
        return name

    for act in acts:
        shown = [row.id for row in standing(rows)]
        if act == "write":
            notebook.write(append("finding"))
        elif act == "correct" and shown:
            at = choice.randrange(len(shown))
            notebook.correct(at, append("finding", supersedes=shown[at]))
        elif act in ("undo", "redo"):
            target = last_to_undo(rows) if act == "undo" else last_to_redo(rows)
            assert (target is None) == (not (notebook.shown() if act == "undo" else notebook.undone))
            if target is not None:
                append("retraction", retracts=target)
                notebook.undo() if act == "undo" else notebook.redo()
        assert [row.id for row in standing(rows)] == notebook.shown()


@pytest.mark.parametrize(
    ("given_answers", "counts"),
    [([True, False], {"cue": False}), ([True, None], {}), ([None, True], {"cue": True}), ([], {})],
)
def test_the_latest_answer_counts_and_a_taken_back_one_is_unanswered(
    given_answers: list[bool | None], counts: dict[str, bool]
) -> None:
    rows = [ScreenRow(number=n, cue="cue", answer=answer) for n, answer in enumerate(given_answers)]
    assert answers(reversed(rows)) == counts
