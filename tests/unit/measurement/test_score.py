"""Outcome-measure arithmetic: worked by hand from the formulas in the evidence."""

from __future__ import annotations

import pytest

from endfeel.evidence.library import Library
from endfeel.measurement import score
from endfeel.vocabulary import CannotRead, NotFound, Refused


def test_the_two_circulating_totals_of_one_index_are_kept_apart(library: Library) -> None:
    answers = [10.0] * 5 + [0.0] * 8
    assert score("spadi", answers, library).total == pytest.approx(50)
    assert score("spadi_items", answers, library).total == pytest.approx(100 * 50 / 130)
    assert "spadi_items" in " ".join(score("spadi", answers, library).caveats)


def test_a_missing_item_leaves_its_maximum_out(library: Library) -> None:
    """Breckenridge and McAuley 2011: one pain item missing, divide by 40."""
    answers = [5.0, 6.0, 7.0, 4.0, None] + [3.0] * 8
    found = score("spadi", answers, library)
    assert found.total == pytest.approx((100 * 22 / 40 + 100 * 24 / 80) / 2)
    assert [(part.answered, part.items) for part in found.parts] == [(4, 5), (8, 8)]
    assert any("missing" in caveat for caveat in found.caveats)


def test_too_few_answers_are_refused(library: Library) -> None:
    with pytest.raises(Refused, match="10 of 13 items answered, at least 11 needed"):
        score("spadi", [None] * 3 + [3.0] * 10, library)
    with pytest.raises(Refused, match="9 of 20 function items answered, 10 needed"):
        score("penn", [2.0, 2.0, 2.0, 5.0] + [1.0] * 9 + [None] * 11, library)


def test_pain_and_function_halves_follow_the_printed_formula(library: Library) -> None:
    found = score("ases", [4.0] + [2.0] * 10, library)
    assert found.total == pytest.approx(5 * (10 - 4) + 5 / 3 * 20)
    assert score("ases", [0.0] + [3.0] * 10, library).total == pytest.approx(100)
    assert score("ases", [10.0] + [0.0] * 10, library).total == pytest.approx(0)


def test_function_items_that_do_not_apply_are_prorated(library: Library) -> None:
    found = score("penn", [3.0, 4.0, 5.0, 6.0] + [2.0] * 10 + [None] * 10, library)
    assert found.total == pytest.approx((30 - 12) + 6 + 60 * 20 / 30)


def test_reversed_items_are_turned_before_summing(library: Library) -> None:
    answers = [0.0] * 10
    assert score("ompsq_short", answers, library).total == pytest.approx(30)
    answers[2] = answers[3] = answers[7] = 10.0
    assert score("ompsq_short", answers, library).total == pytest.approx(0)


def test_scales_that_do_not_start_at_zero(library: Library) -> None:
    assert score("groc", [-3.0], library).total == pytest.approx(-3)
    assert score("groc_11", [-5.0], library).total == pytest.approx(-5)
    assert (score("groc_11", [0.0], library).low, score("groc_11", [0.0], library).high) == (-5, 5)
    assert score("ucla", [1.0, 1.0, 0.0, 0.0, 0.0], library).total == pytest.approx(2)
    assert score("ucla", [10.0, 10.0, 5.0, 5.0, 5.0], library).total == pytest.approx(35)


def test_activities_the_person_names_are_averaged(library: Library) -> None:
    assert score("psfs", [3.0, 4.0, 8.0], library).total == pytest.approx(5)
    assert score("psfs", [3.0, None, 8.0, 4.0], library).total == pytest.approx(5)


def test_every_answer_out_of_range_is_named_with_its_place(library: Library) -> None:
    with pytest.raises(CannotRead) as caught:
        score("ases", [11.0, 1, 1, 1, 1, 9, 1, 1, 1, 1, -1], library)
    assert [fault.column for fault in caught.value.faults] == [1, 6, 11]


def test_another_number_of_answers_is_a_fault(library: Library) -> None:
    with pytest.raises(CannotRead, match="13 answers"):
        score("spadi", [1.0, 2.0], library)


def test_a_questionnaire_with_an_owner_takes_totals_only(library: Library) -> None:
    with pytest.raises(Refused, match="scored on the owner's form"):
        score("dash", [1.0] * 30, library)
    found = score("dash", [42.0], library)
    assert (found.total, found.parts) == (42.0, ())
    with pytest.raises(CannotRead, match="0 to 100"):
        score("dash", [142.0], library)


def test_no_measure_that_is_unwise_to_ship_has_arithmetic_here(library: Library) -> None:
    unwise = {one["id"] for one in library.documents["outcome_measures"]["measure"] if one["unwise_to_ship"]}
    assert unwise
    assert not unwise & {form["measure"] for form in library.documents["outcome_arithmetic"]["form"]}


def test_best_and_worst_answers_reach_the_ends_of_every_scale(library: Library) -> None:
    measures = {one["id"]: one for one in library.documents["outcome_measures"]["measure"]}
    for form in library.documents["outcome_arithmetic"]["form"]:
        ends = []
        for end in ("item_min", "item_max"):
            answers = [float(part[end]) for part in form["parts"] for _ in range(part["first"], part["last"] + 1)]
            ends.append(score(form["id"], answers, library).total)
        if not any(part.get("reversed") for part in form["parts"]) and "reversed_items" not in form:
            entry = measures[form["measure"]]
            assert ends == pytest.approx([entry["score_min"], entry["score_max"]]), form["id"]


def test_an_unknown_measure_offers_near_names(library: Library) -> None:
    with pytest.raises(NotFound, match="spadi"):
        score("spadii", [1.0], library)
