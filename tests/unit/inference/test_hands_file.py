"""hands.toml: what is read, what is refused, what a change leaves alone."""

from __future__ import annotations

import pytest

from endfeel.evidence.library import Library
from endfeel.inference import Examiner, OwnAgreement, OwnError
from endfeel.inference.hands_file import read_hands, with_rows
from endfeel.vocabulary import CannotRead

WRITTEN = """# my hands
name = "Anna"
note = "course of last spring"

[[agreement]]
procedure = "gh_post"  # glide
outcome = "hypo"
kappa = 0.42   # with Ben
subjects = 40

[[agreement]]
region = "thoracic"
outcome = "pain"
kappa = 0.5
subjects = 30
lean = -0.4
note = "spring keys"

[[angle]]
procedure = "gh_er_0"
sd_deg = 4.1
subjects = 25
"""


def test_a_file_written_by_hand_is_read(library: Library) -> None:
    assert read_hands(WRITTEN, "hands.toml", library) == Examiner(
        (OwnAgreement("gh_post", "hypo", 0.42, 40), OwnAgreement("region:thoracic", "pain", 0.5, 30, -0.4)),
        (OwnError("gh_er_0", 4.1, 25),),
        "Anna",
    )


def test_a_row_is_replaced_and_every_other_line_stays(library: Library) -> None:
    row = OwnAgreement("gh_post", "hypo", 0.61, 55, 0.3)
    changed = with_rows(WRITTEN, (row, OwnError("gh_er_0", 3.2, 60)), "anna", "hands.toml", library)
    before, after = WRITTEN.split("\n"), changed.split("\n")
    assert [line for line in before if line not in after] == [
        "kappa = 0.42   # with Ben", "subjects = 40", "sd_deg = 4.1", "subjects = 25",
    ]  # fmt: skip
    assert [line for line in after if line not in before] == [
        "lean = 0.300", "kappa = 0.610   # with Ben", "subjects = 55", "sd_deg = 3.20", "subjects = 60",
    ]  # fmt: skip
    assert read_hands(changed, "hands.toml", library).agreements[0] == row


def test_a_new_row_goes_to_the_end_and_a_new_file_is_readable(library: Library) -> None:
    row = OwnAgreement("gh_post", "end_feel:empty", 0.2, 12, 1.0)
    assert with_rows(WRITTEN, (row,), "Anna", "hands.toml", library).startswith(WRITTEN)
    fresh = with_rows("", (row,), 'Anna "A."', "hands.toml", library)
    assert read_hands(fresh, "hands.toml", library) == Examiner((row,), (), 'Anna "A."')


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ('name = "Anna"', "", r'no name of the examiner.*name = "Anna"'),
        ("note = ", "nota = ", r"hands.toml:3:8: unknown word .*'nota'.*did you mean: note"),
        ('"gh_post"', '"gh_pots"', r"hands.toml:6:13: row 1 of \[\[agreement\]\]: unknown procedure.*gh_post"),
        ('"hypo"', '"stiff"', r"hands.toml:7:11: row 1 .*unknown outcome .*'stiff'.*one of positive"),
        ("0.42", "4.2", r"hands.toml:8:9: row 1 .*kappa cannot be .*'4.2'.*from -1 to 1"),
        ("0.42", "nan", r"kappa is not a number"),
        ("0.42", "true", r"kappa is not a number"),
        ("subjects = 40\n", "", r"hands.toml:5:1: row 1 .*subjects is missing.*whole number from 1"),
        ("= 30", "= 0", r"row 2 .*subjects cannot be"),
        ("lean = -0.4", "lean = -40", r"row 2 .*lean cannot be"),
        ("lean = -0.4", 'procedure = "gh_post"', r"row 2 .*either a procedure or a region"),
        ('"thoracic"', '"torso"', r"row 2 .*unknown region.*thoracic"),
        ('"gh_er_0"', '"gh_post"', r"row 1 of \[\[angle\]\]: unknown procedure.*gh_er_0"),
        ("sd_deg = 4.1", 'sd_deg = "4"', r"sd_deg is not a number"),
        ("[[angle]]", "[angle]", r"angle is no list of rows.*\[\[angle\]\]"),
        ("kappa = 0.5", "kappa 0.5", r"hands.toml:14:\d+: not TOML"),
        ("[[angle]]", '[[agreement]]\nprocedure = "gh_post"\noutcome = "hypo"\nkappa = 0.1\nsubjects = 9\n\n[[angle]]',
         r"row 3 .*the same as row 1"),
    ],
)  # fmt: skip
def test_a_fault_names_file_line_row_and_what_would_do(library: Library, old: str, new: str, says: str) -> None:
    with pytest.raises(CannotRead, match=says):
        read_hands(WRITTEN.replace(old, new, 1), "hands.toml", library)


def test_all_faults_come_at_once(library: Library) -> None:
    with pytest.raises(CannotRead) as caught:
        read_hands(WRITTEN.replace("0.42", "7").replace('"gh_er_0"', '"x"'), "hands.toml", library)
    assert len(caught.value.faults) == 2


def test_another_examiner_and_rows_on_one_line_are_not_touched(library: Library) -> None:
    row = OwnAgreement("gh_post", "hypo", 0.61, 55, 0.3)
    with pytest.raises(CannotRead, match=r"another examiner's hands .*'Anna'"):
        with_rows(WRITTEN, (row,), "Ben", "hands.toml", library)
    inline = 'name = "Anna"\nagreement = [{procedure = "gh_post", outcome = "hypo", kappa = 0.1, subjects = 9}]\n'
    assert len(read_hands(inline, "hands.toml", library).agreements) == 1
    with pytest.raises(CannotRead, match="cannot be added to"):
        with_rows(inline, (row,), "Anna", "hands.toml", library)
