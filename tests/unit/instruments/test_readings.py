"""Tables of a dynamometer or inclinometer: found, guessed, converted, every fault by its row, nothing lost."""

from __future__ import annotations

from functools import lru_cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from endfeel.assessment import shorthand_of
from endfeel.evidence.library import Library
from endfeel.evidence.load import load_library
from endfeel.instruments.readings import Column, ColumnMap, Reading, guess, readings
from endfeel.instruments.table_text import decoded, read_table, written_back
from endfeel.vocabulary import CannotRead, Side, Unit
from endfeel.vocabulary.shorthand import Shorthand, finding_text, parse_finding


@pytest.fixture(scope="module")
def shorthand(library: Library) -> Shorthand:
    return shorthand_of(library)


def read(text: str, shorthand: Shorthand, mapping: ColumnMap | None = None) -> tuple[Reading, ...]:
    table = read_table(text)
    return readings(table, mapping or guess(table, shorthand), shorthand, Side.RIGHT)


def values(found: tuple[Reading, ...]) -> list[tuple[float | None, Unit | None] | None]:
    return [(one.finding.value, one.finding.unit) if one.finding else None for one in found]


@pytest.mark.parametrize(
    ("written", "newtons"),
    [
        ("100 N", 100.0),
        ("10 kgf", 98.1),  # 10 x 9.80665, the standard gravity of the 3rd CGPM 1901
        ("10 kg", 98.1),
        ("10 lb", 44.5),  # 10 x 0.45359237 x 9.80665, the international pound of 1959
        ("12,5 kgf", 122.6),
        ("12.5 kgf", 122.6),
    ],
)
def test_forces_are_kept_in_newtons_and_the_note_says_what_was_read(
    written: str, newtons: float, shorthand: Shorthand
) -> None:
    (one,) = read(f"iso er;right;{written}", shorthand)
    assert one.finding is not None
    assert (one.finding.value, one.finding.unit) == (pytest.approx(newtons, abs=0.05), Unit.NEWTONS)
    assert one.finding.instrument == "dynamometer"
    assert ("read" in (one.finding.note or "")) == (" N" not in written)


@pytest.mark.parametrize("mark", ["\t", ";", ",", "|"])
def test_any_delimiter_and_a_quoted_decimal_comma(mark: str, shorthand: Shorthand) -> None:
    value = '"12,5"' if mark == "," else "12,5"
    text = f"Muscle{mark}Side{mark}Force (kgf)\niso er{mark}R{mark}{value}\niso er{mark}L{mark}14\n"
    found = read(text, shorthand)
    assert values(found) == [(122.6, Unit.NEWTONS), (137.3, Unit.NEWTONS)]
    assert [one.finding.side for one in found if one.finding] == [Side.RIGHT, Side.LEFT]


def test_a_heading_tells_columns_and_unit_and_without_one_the_content_does(shorthand: Shorthand) -> None:
    told = guess(read_table("Movement\tArm\tAngle [deg]\tNRS\tComment\nact abd\tL\t121\t4\tslow"), shorthand)
    assert told.columns == (Column.TEST, Column.SIDE, Column.VALUE, Column.PAIN, Column.NOTE)
    assert (told.unit, told.instrument) == ("deg", "inclinometer")
    bare = guess(read_table("iso er,R,182,N\niso ir,L,190,N"), shorthand)
    assert bare.columns == (Column.TEST, Column.SIDE, Column.VALUE, Column.UNIT)
    assert bare.instrument == "dynamometer"


def test_every_fault_stands_at_its_row_and_the_other_rows_are_read(shorthand: Shorthand) -> None:
    text = "test;side;value;unit\niso er;R;180;N\nwobble;R;180;N\niso er;up;180;N\niso er;R;many;N\niso er;R;5000;N\n"
    text += "iso er;R;12;stone\niso er;R;;N\niso er;R;180;\n"
    found = read(text, shorthand)
    assert [one.row.line for one in found] == list(range(2, 10))
    assert [{fault.field for fault in one.faults} for one in found] == [
        set(), {"test"}, {"side"}, {"value"}, {"value"}, {"unit"}, {"value"}, {"unit"},
    ]  # fmt: skip
    assert [one.finding is not None for one in found] == [True] + [False] * 7


def test_a_test_without_words_or_with_unknown_ones_is_named_by_hand(shorthand: Shorthand) -> None:
    table = read_table("12,5 kgf\n13,1 kgf")
    found = readings(table, ColumnMap((Column.VALUE,), procedure="iso_er", side=Side.LEFT), shorthand, Side.RIGHT)
    assert values(found) == [(122.6, Unit.NEWTONS), (128.5, Unit.NEWTONS)]
    assert all(one.finding and one.finding.side is Side.LEFT for one in found)
    named = ColumnMap((Column.TEST, Column.VALUE), names={"Prot 7": "iso_er"})
    (one,) = readings(read_table("Prot 7;180 N"), named, shorthand, Side.RIGHT)
    assert one.finding is not None
    assert one.finding.procedure == "iso_er"


def test_what_may_be_a_thousand_is_asked_for_unless_another_value_proves_the_comma(shorthand: Shorthand) -> None:
    assert [fault.message for one in read("iso er;1,250 N\n", shorthand) for fault in one.faults] == [
        "may be a thousand or a fraction"
    ]
    proven = read("iso er;1,250 kgf\niso er;11,2 kgf\n", shorthand)
    assert values(proven) == [(12.3, Unit.NEWTONS), (109.8, Unit.NEWTONS)]
    both = read("iso er;1.102,5 N\n", shorthand)
    assert "1102.5" in " ".join(fault.read for one in both for fault in one.faults), "read as eleven hundred, refused"


def test_an_angle_is_not_taken_for_a_force_test(shorthand: Shorthand) -> None:
    (one,) = read("iso er;R;40 deg", shorthand)
    assert one.finding is None
    assert "deg" in one.faults[0].sentence()


def test_the_preview_line_gives_the_same_finding_back(shorthand: Shorthand) -> None:
    for one in read("test;value;pain;note\nact flexion;121,5 °;3;second go\niso er;12 lb;;", shorthand):
        assert one.finding is not None
        assert parse_finding(finding_text(one.finding), shorthand, Side.RIGHT) == one.finding


def test_the_same_table_twice_has_the_same_keys_and_a_repeat_its_own(shorthand: Shorthand) -> None:
    text = "iso er;R;180 N\niso er;R;180 N\niso er;R;181 N\n"
    first, second = read(text, shorthand), read("\n" + text.replace(";", " ; "), shorthand)
    assert len({one.key for one in first}) == 3
    assert [one.key for one in first] == [one.key for one in second]


def test_rows_that_could_not_be_read_are_written_back_and_read_again(shorthand: Shorthand) -> None:
    text = 'test;side;value\niso er;R;180 N\n"wob;ble";R;"12 ""N"""\n'
    table = read_table(text)
    back = read_table(written_back(table, [3]))
    assert back.header == table.header
    assert back.rows[0].cells == table.rows[1].cells


@pytest.mark.parametrize("content", ["", "  \n\n", "\n".join("iso er;1 N" for _ in range(501)), ";".join("x" * 50)])
def test_no_table_or_too_much_of_one_is_refused(content: str) -> None:
    with pytest.raises(CannotRead):
        read_table(content)


def test_files_of_old_and_new_programs_are_decoded() -> None:
    for encoding in ("utf-8", "utf-8-sig", "utf-16", "cp1252"):
        assert decoded("Kraft;12,5 kgf;40°".encode(encoding)) == "Kraft;12,5 kgf;40°"


cells = st.text(st.characters(blacklist_categories=("Cs", "Cc"), blacklist_characters='"'), max_size=12)


@lru_cache(maxsize=1)
def shipped() -> Shorthand:
    return shorthand_of(load_library())


@given(st.lists(st.lists(cells, min_size=2, max_size=4), min_size=1, max_size=8))
@settings(max_examples=60, deadline=None)
def test_no_row_is_ever_lost_whatever_stands_in_it(rows: list[list[str]]) -> None:
    shorthand = shipped()
    text = "\n".join(";".join(f'"{cell}"' for cell in row) for row in rows)
    try:
        table = read_table(text)
    except CannotRead:
        return
    found = readings(table, guess(table, shorthand), shorthand, None)
    assert [one.row for one in found] == list(table.rows)
    assert all((one.finding is None) == bool(one.faults) for one in found)
    assert len({one.key for one in found}) == len(found)
