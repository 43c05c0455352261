"""What else foretells: questions, faults, what moves a forecast and what stays a word."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from statistics import NormalDist

import pytest

from endfeel.evidence.figures import number
from endfeel.evidence.library import Library
from endfeel.follow import FollowedVisit, follow
from endfeel.follow.outlook import leaning, pulls, questions, read_outlook, shift, shift_words
from endfeel.vocabulary import CannotRead, Case, Complaint
from endfeel.vocabulary.outcomes import Occasion, OutcomeAnswer

START = date(2026, 3, 2)


def visits(library: Library, **outlook: str) -> list[FollowedVisit]:
    rest = OutcomeAnswer("nprs", START, (7,), occasion=Occasion.REST)
    first = FollowedVisit(START, (OutcomeAnswer("spadi", START, total=60), rest), outlook=outlook)
    later = START + timedelta(weeks=2)
    return [first, FollowedVisit(later, (OutcomeAnswer("spadi", later, total=52),))]


def forecasts(library: Library, told: list[FollowedVisit], case: Case | None = None) -> list[float]:
    found = follow(told, date(2026, 12, 1), library, case=case, contributors={"capsule_global": 0.9})
    (one,) = (line for line in found.trajectories if line.line.measure == "spadi")
    return [number(made.middle) for made in one.forecasts]


def test_an_answer_moves_the_forecast_and_the_farther_ahead_the_more(library: Library) -> None:
    plain, slight = forecasts(library, visits(library)), forecasts(library, visits(library, expectation="slight"))
    moved = [b - a for a, b in zip(plain, slight, strict=True)]
    assert all(one > 0 for one in moved)
    assert moved == sorted(moved)
    assert moved[-1] == pytest.approx((12.43 - 4) / 2)
    full = forecasts(library, visits(library, expectation="full"))
    assert all(a > b for a, b in zip(plain, full, strict=True))


def test_the_later_answer_counts(library: Library) -> None:
    told = visits(library, expectation="slight", work="without")
    again = [told[0], FollowedVisit(told[1].day, told[1].answers, outlook={"expectation": "full"})]
    assert forecasts(library, again) == forecasts(library, visits(library, expectation="full"))


def test_how_long_it_has_lasted_counts_up_to_five_years(library: Library) -> None:
    one, ten, fifty = (
        forecasts(library, visits(library), Case(complaint=Complaint(weeks=weeks))) for weeks in (52, 520, 2600)
    )
    assert one[-1] < ten[-1]
    assert ten == fifty
    five, long = (pulls({"weeks": weeks}, {}, library)[0] for weeks in (260, 520))
    assert (five.here, long.here) == ("260 weeks", "520 weeks"), "shown as it was told"
    assert five.points == long.points


def test_what_was_first_asked_later_moves_nothing_and_says_so(library: Library) -> None:
    told = visits(library)
    without = [FollowedVisit(START, told[0].answers[:1]), told[1]]
    later = told[1].day
    asked = (OutcomeAnswer("nprs", later, (7,), occasion=Occasion.REST), OutcomeAnswer("pseq", later, total=20))
    again = [without[0], FollowedVisit(later, (*told[1].answers, *asked))]
    assert forecasts(library, again) == forecasts(library, without) != forecasts(library, told)
    for shown, *said in (
        (again, "7 at visit 2; not asked at the start", "would move the forecast"),
        (told, "7 at the start", "moves the forecast"),
    ):
        found = {one.id: one for one in follow(shown, date(2026, 12, 1), library).predictors}
        assert [found["pr015"].here, found["pr015"].role] == said


def test_how_long_it_has_lasted_is_that_of_the_first_visit(library: Library) -> None:
    early, late = (Case(complaint=Complaint(weeks=weeks, areas=("neck",))) for weeks in (10, 90))
    told = follow(visits(library), date(2026, 12, 1), library, case=late, first=early)
    by_id = {one.id: one for one in told.predictors}
    assert (by_id["pr016"].here, by_id["pr033"].here) == ("10 weeks", "told")


def test_the_start_is_not_counted_twice_and_a_direction_moves_nothing(library: Library) -> None:
    told = follow(visits(library), date(2026, 12, 1), library, case=Case(complaint=Complaint(areas=("neck",))))
    by_id = {one.id: one for one in told.predictors}
    assert (by_id["pr020"].pull, by_id["pr020"].role) == (None, "in it through the scores themselves")
    assert (by_id["pr033"].here, by_id["pr033"].pull, by_id["pr033"].role) == ("told", None, "a word only")
    assert by_id["pr015"].pull is not None
    assert leaning(by_id["pr015"].pull) == "worse on average"


def test_effects_stay_with_the_measure_they_were_printed_for(library: Library) -> None:
    told = pulls({"rest": 8}, {}, library)
    assert shift(told, "nprs", 26, library) is None
    assert shift((), "spadi", 26, library) is None


def test_what_a_forecast_was_moved_by_is_told_with_its_interval(library: Library) -> None:
    moved = shift(pulls({"rest": 8}, {}, library), "spadi", 26, library)
    assert moved is not None
    half = moved.points - NormalDist(moved.points, moved.sd).inv_cdf(0.025)
    assert shift_words(moved, "points") == f"{moved.points:+.1f} points (95 %: give or take {half:.1f})"


def test_every_question_has_its_answers_and_every_number_an_interval(library: Library) -> None:
    for one in questions(library):
        for answer in one.answers:
            (pull,) = pulls({}, {one.id: answer}, library)
            assert pull.sd > 0
            assert all(figure.low is not None for figure in pull.figures[1:])
    share = next(one for one in library.tables["following_parameters"] if one.text["quantity"] == "predictor_share")
    assert (share.figures["value"].low, share.figures["value"].high) == (0, 1)


def test_what_is_no_question_or_answer_is_told_all_at_once(library: Library) -> None:
    with pytest.raises(CannotRead) as error:
        read_outlook(["hope=much", "expectation=great", "work"], library)
    assert [one.message for one in error.value.faults] == [
        "not an answer", "no such question", "expectation: no such answer",
    ]  # fmt: skip
    told = [replace(one, line=line) for line, one in enumerate(visits(library, hope="much"), 2)]
    with pytest.raises(CannotRead, match="no such question"):
        follow(told, date(2026, 12, 1), library)


def test_an_answer_on_record_that_the_evidence_no_longer_has_is_left_out_and_said(library: Library) -> None:
    told = visits(library, hope="much", expectation="slight", work="often")
    found = follow(told, date(2026, 12, 1), library)
    assert found.outlook == {"expectation": "slight"}
    assert [one.split(":")[1].split()[0] for one in found.left_out] == ["hope=much", "work=often"]
    assert all("visit 1" in one for one in found.left_out)
    assert forecasts(library, told) == forecasts(library, visits(library, expectation="slight"))
