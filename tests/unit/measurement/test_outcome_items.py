"""What a page asks of an outcome measure fits its arithmetic: the better end of every item makes the best score."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from endfeel.evidence.library import Library
from endfeel.measurement import form, forms, score, score_of
from endfeel.measurement.answer_checks import answer_faults, series_faults
from endfeel.vocabulary import NotFound, Refused
from endfeel.vocabulary.outcomes import Occasion, OutcomeAnswer

DAY = date(2026, 3, 2)
WITH_ITEMS = (
    "spadi", "spadi_items", "ases", "constant", "sst", "penn", "psfs", "nprs", "groc", "groc_11", "sane",
    "ucla", "ompsq_short",
)  # fmt: skip


@pytest.mark.parametrize("form_id", WITH_ITEMS)
def test_the_better_end_of_every_item_makes_the_best_score(library: Library, form_id: str) -> None:
    asked = form(form_id, library)
    best = [float(item.high if item.high_is_better else item.low) for item in asked.items]
    worst = [float(item.low if item.high_is_better else item.high) for item in asked.items]
    ends = score(form_id, best, library).total, score(form_id, worst, library).total
    assert ends == pytest.approx((asked.high, asked.low) if asked.high_is_better else (asked.low, asked.high))


def test_every_measure_of_the_evidence_can_be_entered(library: Library) -> None:
    every = forms(library)
    assert {one.id for one in every if one.items} == set(WITH_ITEMS)
    assert {one.measure for one in every} == {one["id"] for one in library.documents["outcome_measures"]["measure"]}
    assert len({one.id for one in every}) == len(every)


def test_labels_are_short_and_name_the_part_alone(library: Library) -> None:
    for one in forms(library):
        for item in one.items:
            assert len(item.label.split()) <= 3, item.label
            assert "?" not in item.label


def test_a_missing_item_is_left_out_of_the_denominator_and_counted(library: Library) -> None:
    """Worked by hand from the rule read in Breckenridge 2011: four pain items of 6 and eight of 3 out of 10."""
    answer = OutcomeAnswer("spadi", DAY, (6.0, 6.0, None, 6.0, 6.0, *[3.0] * 8))
    told = score_of(answer, library)
    assert told.total == pytest.approx((100 * 24 / 40 + 100 * 24 / 80) / 2)
    other = score_of(replace(answer, measure="spadi_items"), library)
    assert other.total == pytest.approx(100 * 48 / 120)
    assert other.form != told.form
    with pytest.raises(Refused, match="10 of 13 items"):
        score_of(replace(answer, answers=(None, None, *answer.answers[2:])), library)


def test_a_total_scored_elsewhere_keeps_its_form(library: Library) -> None:
    told = score_of(OutcomeAnswer("spadi_items", DAY, total=40), library)
    assert (told.form, told.measure, told.total) == ("spadi_items", "spadi", 40)
    assert "not checked here" in told.caveats[0]


def test_a_line_goes_on_with_the_same_instrument_and_activities(library: Library) -> None:
    first = OutcomeAnswer("psfs", DAY, (1.0, 2.0, 3.0), activities=("comb hair", "lift a pan", "sleep on it"))
    again = replace(first, activities=("Sleep on it", "comb  hair", "lift a pan"))
    assert series_faults(again, [first]) == []
    assert series_faults(replace(first, activities=("swim", "comb hair", "lift a pan")), [first])
    assert series_faults(replace(first, measure="spadi"), [first]) == []
    night = OutcomeAnswer("nprs", DAY, (3.0,), occasion=Occasion.NIGHT)
    assert series_faults(night, [replace(night, occasion=Occasion.REST, instrument="100 mm line")]) == []
    assert answer_faults(first, library) == []


def test_an_unknown_measure_is_told(library: Library) -> None:
    with pytest.raises(NotFound, match="no outcome measure"):
        form("spodi", library)
