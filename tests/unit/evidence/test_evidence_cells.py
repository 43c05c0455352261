"""One cell: numbers, ranges, bounds, words; and where a cell stands in its line."""

from __future__ import annotations

import csv

import pytest
from hypothesis import given
from hypothesis import strategies as st

from endfeel.evidence.cells import Reading, column_of, read_cell, read_number


@pytest.mark.parametrize(
    ("cell", "reading"),
    [
        ("0.86", Reading(0.86)),
        ("-6.4", Reading(-6.4)),
        ("0.60 to 0.79", Reading(None, 0.60, 0.79)),
        ("94-98", Reading(None, 94, 98)),
        ("-0.01 to 0.70", Reading(None, -0.01, 0.70)),
        ("<0.001", Reading(None, None, 0.001)),
        ("below 0.50", Reading(None, None, 0.50)),
        (">=15", Reading(None, 15, None)),
        ("0.80 or more", Reading(None, 0.80, None)),
        ("about 4", Reading(4)),
        ("2.82 (1.7)", Reading(2.82)),
        ("poor to low", Reading(None)),
        ("18.0;11.0;-9.0", Reading(None)),
    ],
)
def test_a_cell_is_read_as_it_is_written(cell: str, reading: Reading) -> None:
    assert read_cell(cell) == reading


@pytest.mark.parametrize("cell", ["", "nan", "inf", "1_000", "0x10", "١", "1,5", "four"])
def test_what_is_no_plain_number_is_not_taken_for_one(cell: str) -> None:
    assert read_number(cell) is None


@given(st.floats(allow_nan=False, allow_infinity=False))
def test_every_finite_number_survives_writing_and_reading(value: float) -> None:
    assert read_number(repr(value)) == value


@given(st.text(max_size=40))
def test_no_text_whatever_upsets_the_reading_of_a_cell(cell: str) -> None:
    reading = read_cell(cell)
    assert reading.low is None or reading.value is None


@given(st.lists(st.text(alphabet="ab,\"' é", max_size=6), min_size=2, max_size=6), st.data())
def test_the_column_of_a_cell_is_where_its_text_begins(cells: list[str], data: st.DataObject) -> None:
    quoted = ['"' + cell.replace('"', '""') + '"' for cell in cells]
    index = data.draw(st.integers(0, len(cells) - 1))
    line = ",".join(quoted)
    assert next(csv.reader([line])) == cells
    start = column_of(line, index) - 1
    assert line[start:].startswith(quoted[index])
