"""Which sign is done again, and what it says on one line."""

from __future__ import annotations

from pathlib import Path

import pytest

from endfeel.assessment import compare_retests, read_case
from endfeel.evidence.library import Library
from endfeel.measurement import comparable_signs, line_of
from endfeel.vocabulary import Finding, Side, Unit

STORY = Path(__file__).resolve().parents[3] / "stories" / "first_visit.txt"


def angle(procedure: str, value: float, other: float, **more: object) -> Finding:
    return Finding(procedure, side=Side.RIGHT, value=value, other=other, unit=Unit.DEGREES, **more)  # type: ignore[arg-type]


def test_the_most_changed_of_two_like_signs_is_taken(library: Library) -> None:
    little, much = angle("gh_er_0", 50, 65), angle("gh_hadd", 0, 45)
    (best,) = comparable_signs([little, much], library, most=1)
    assert best.finding == much


def test_the_familiar_symptom_wins_over_a_larger_loss_without_it(library: Library) -> None:
    silent, known = angle("gh_er_0", 20, 65), angle("gh_hadd", 25, 45, familiar=True)
    (best,) = comparable_signs([silent, known], library, most=1)
    assert best.finding == known
    assert "brings the familiar symptom" in best.reasons


def test_the_milder_of_two_equal_signs_is_taken_and_a_strong_provocation_never(library: Library) -> None:
    mild, strong = Finding("act_flexion", side=Side.RIGHT, pain=6), Finding("act_abduction", side=Side.RIGHT, pain=6)
    assert library.catalogue["act_flexion"].irritability_load < library.catalogue["act_abduction"].irritability_load
    (best,) = comparable_signs([strong, mild], library, most=1)
    assert best.finding == mild
    fierce = Finding("empty_can", side=Side.RIGHT, pain=9, familiar=True)
    assert library.catalogue["empty_can"].irritability_load == 3
    assert comparable_signs([fierce], library) == ()


def test_never_more_than_two_nor_two_of_one_movement_nor_a_forbidden_one(library: Library) -> None:
    found = [
        angle("gh_er_0", 30, 65), angle("gh_er_90", 40, 90), angle("act_flexion", 90, 165, pain=5),
        angle("gh_hadd", 10, 45),
    ]  # fmt: skip
    signs = comparable_signs(found, library)
    assert len(signs) == 2
    assert not {"gh_er_0", "gh_er_90"} <= {sign.finding.procedure for sign in signs}
    banned = {sign.finding.procedure for sign in signs}
    assert not banned & {sign.finding.procedure for sign in comparable_signs(found, library, forbidden=banned)}


def test_what_is_as_it_should_be_is_no_sign(library: Library) -> None:
    assert comparable_signs([angle("gh_er_0", 65, 65, pain=0)], library) == ()


def test_before_and_after_stand_on_one_line_with_the_error_of_the_instrument(library: Library) -> None:
    case = read_case(STORY.read_text(encoding="utf-8"), STORY.name, library)
    rotation = next(one for one in compare_retests(case, library) if one.procedure == "gh_er_0")
    line = line_of(rotation)
    assert "\n" not in line
    assert "range 35° → 43°, within measurement error" in line
    assert "smallest detectable change" in line
    mine = next(one for one in compare_retests(case, library) if one.procedure == "act_abduction")
    others = next(one for one in compare_retests(case, library, "goniometer", "inter") if one.before == mine.before)
    assert "range 100° → 128°, changed beyond error, better" in line_of(mine)
    assert "range 100° → 128°, within measurement error" in line_of(others)


@pytest.mark.parametrize("rater", ["intra", "inter"])
def test_a_sign_names_the_row_its_error_comes_from(rater: str, library: Library) -> None:
    (sign,) = comparable_signs([angle("gh_er_0", 30, 65)], library, rater=rater)
    assert sign.figures
    assert all(one in library.figures for one in sign.figures)
