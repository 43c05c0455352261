"""Ratings read from CSV and summed up; every bad cell named."""

from __future__ import annotations

import json
import math
from pathlib import Path

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from endfeel.cli.agree import agreement_dict
from endfeel.cli.main import main
from endfeel.measurement.agreement import Kind, agreement, read_ratings
from endfeel.measurement.icc import reliability
from endfeel.measurement.kappa import two_raters
from endfeel.vocabulary import CannotRead, Fault

GRADES = "subject,anna,ben\n" + "\n".join(f"s{i},{i % 4},{(i + i % 3 % 2) % 4}" for i in range(24)) + "\n"
READINGS = "anna,ben,carla\n30.5,31,29\n45,44.5,47\n60,63,61\n38,39,36\n"


def test_kind_is_detected() -> None:
    assert read_ratings("a,b\nyes,no\nyes,yes\n").kind is Kind.NOMINAL
    assert read_ratings(GRADES).kind is Kind.ORDINAL
    assert read_ratings(READINGS).kind is Kind.CONTINUOUS
    assert read_ratings(GRADES, kind="nominal").kind is Kind.NOMINAL


def test_long_and_wide_form_say_the_same() -> None:
    wide = read_ratings("anna,ben\n1,2\n2,2\n3,1\n")
    long = read_ratings("subject,rater,value\nx,anna,1\nx,ben,2\ny,anna,2\ny,ben,2\nz,ben,1\nz,anna,3\n")
    assert (wide.raters, wide.rows) == (long.raters, long.rows)


def test_a_subject_with_a_missing_rating_is_left_out_and_counted() -> None:
    ratings = read_ratings("a,b\n1,2\n2,-\n3,3\n1,1\n")
    assert (len(ratings.rows), ratings.dropped) == (3, 1)
    assert "left out" in agreement(ratings).caveats[0]


def test_grades_between_the_extremes_keep_their_distance() -> None:
    assert read_ratings("a,b\n0,6\n6,6\n0,0\n").categories == tuple("0123456")


def test_words_in_a_stated_order_are_ordinal() -> None:
    ratings = read_ratings("a,b\nstiff,normal\nnormal,normal\nloose,stiff\n", order=["stiff", "normal", "loose"])
    assert (ratings.kind, ratings.categories) == (Kind.ORDINAL, ("stiff", "normal", "loose"))


def test_a_line_with_another_number_of_cells_is_named() -> None:
    with pytest.raises(CannotRead) as caught:
        read_ratings("a,b\n1.5,2\n1.1,2.2,3.3\n2.5,3\n7\n", file="r.csv")
    assert [fault.line for fault in caught.value.faults] == [3, 5]


def test_every_bad_cell_is_named_with_line_and_column() -> None:
    with pytest.raises(CannotRead) as caught:
        read_ratings("a,b\n1.5,x\n2.5,3\n4.25,y\n", file="r.csv")
    assert [(fault.line, fault.column, fault.read) for fault in caught.value.faults] == [(2, 2, "x"), (4, 2, "y")]


@pytest.mark.parametrize(
    "text", ["", "a\n1\n2\n", "a,b\n1,2\n", "a,a\n1,2\n2,2\n", "subject,rater,value\nx,a,1\nx,a,2\ny,a,1\n"]
)
def test_files_that_say_nothing_are_faults(text: str) -> None:
    with pytest.raises(CannotRead):
        read_ratings(text)


def test_one_category_leaves_kappa_undefined_without_failing() -> None:
    found = agreement(read_ratings("a,b\nyes,yes\nyes,yes\n"))
    assert found.pairs[0].categories is not None
    assert math.isnan(found.pairs[0].categories.kappa.value)
    assert any("one category" in caveat for caveat in found.caveats)


def test_the_command_prints_one_object(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "readings.csv"
    path.write_text(READINGS, encoding="utf-8")
    assert main(["agree", str(path), "--json"]) == 0
    said = json.loads(capsys.readouterr().out)
    assert said["ratings"]["kind"] == "continuous"
    assert set(said["reliability"]["forms"]) == {f"icc_{n}_{k}" for n in "123" for k in "1k"}
    assert len(said["pairs"]) == 3
    assert main(["agree", str(path)]) == 0
    assert "limits of agreement" in capsys.readouterr().out


def test_the_commands_score_and_change_print_one_object(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["score", "spadi", *["5"] * 12, "-", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["total"] == pytest.approx(50)
    assert main(["change", "gh_er_0", "30", "55", "--json"]) == 0
    said = json.loads(capsys.readouterr().out)
    assert (said["verdict"], said["direction"], said["figures"][1]["provenance"]) == ("changed", "better", "read")
    assert main(["score", "spadi", "1", "x"]) == 1
    assert "answer 2 is not a number" in capsys.readouterr().err
    assert main(["score", "dash", "1", "2"]) == 3


@given(st.lists(st.lists(st.integers(0, 20), min_size=3, max_size=3), min_size=3, max_size=3))
def test_swapping_the_examiners_changes_no_coefficient(counts: list[list[int]]) -> None:
    if sum(map(sum, counts)) == 0:
        return
    turned = [list(column) for column in zip(*counts, strict=True)]
    there, back = two_raters(counts), two_raters(turned)
    for name in ("kappa", "ac1", "weighted_linear", "weighted_quadratic"):
        assert getattr(there, name).value == pytest.approx(getattr(back, name).value, nan_ok=True)
    if not math.isnan(there.kappa.value):
        assert there.kappa.value <= there.kappa_max + 1e-9


@given(
    st.text(alphabet='ab,-;"\n\r\0 019.eéNa', max_size=120), st.sampled_from([None, "nominal", "ordinal", "continuous"])
)
def test_no_text_raises_anything_but_the_readers_own_fault(text: str, kind: str | None) -> None:
    faults: tuple[Fault, ...] = ()
    found = None
    try:
        found = agreement(read_ratings(text, kind=kind))
    except CannotRead as error:
        faults = error.faults
    assert faults or found
    if found:
        json.dumps(agreement_dict(found), allow_nan=False)


@given(
    st.lists(st.lists(st.integers(0, 60), min_size=3, max_size=3), min_size=3, max_size=8),
    st.integers(-50, 50),
    st.sampled_from([0.5, 2.0, 10.0]),
)
@example([[0, 13, 0], [0, 13, 0], [0, 13, 0]], -1, 0.5)
def test_reliability_does_not_depend_on_unit_or_zero(readings: list[list[int]], shift: int, scale: float) -> None:
    if len({value for row in readings for value in row}) == 1:
        return
    plain = reliability(readings)
    moved = reliability([[scale * value + shift for value in row] for row in readings])
    for form, value in plain.forms.items():
        if math.isfinite(value.value) and abs(value.value) < 50:
            assert moved.forms[form].value == pytest.approx(value.value, abs=1e-6)
    assert moved.sem_agreement == pytest.approx(scale * plain.sem_agreement, abs=1e-6)


@pytest.mark.parametrize("scale", [1.0, 0.1, 1 / 3, 1000.0])
def test_what_rounding_leaves_behind_is_not_taken_for_a_difference_between_people(scale: float) -> None:
    """Nobody differs and the examiners differ steadily: consistency is not defined, whatever the unit."""
    found = reliability([[0.0, 13 * scale, 0.0]] * 3)
    assert found.squares.residual == 0.0
    assert math.isnan(found.forms["icc_3_1"].value)
    assert found.forms["icc_2_1"].value == pytest.approx(0.0, abs=1e-12)
    assert found.sem_consistency == 0.0
