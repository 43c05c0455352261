"""Lines of an episode: what stands on one, what is refused, the plain verdict, the rules that hold."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from endfeel.evidence.figures import number
from endfeel.evidence.library import Library
from endfeel.follow import Followed, FollowedVisit, Verdict, follow, last_examination
from endfeel.follow.courses import courses
from endfeel.measurement import forms
from endfeel.vocabulary import CannotRead, Finding, Side, Unit
from endfeel.vocabulary.outcomes import Occasion, OutcomeAnswer

START = date(2026, 3, 2)
TODAY = date(2026, 12, 1)


def spadi(value: float, day: date, *, form: str = "spadi") -> OutcomeAnswer:
    return OutcomeAnswer(form, day, total=value)


def episode(values: list[float], library: Library, weeks_apart: float = 2, **more: float) -> Followed:
    """One SPADI a visit."""
    days = [START + timedelta(weeks=weeks_apart * k) for k in range(len(values))]
    visits = [FollowedVisit(day, (spadi(value, day),)) for day, value in zip(days, values, strict=True)]
    return follow(visits, TODAY, library, contributors=more)


# ---- verdicts ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("after", "verdict", "matters"),
    [
        (32, Verdict.NOT_YET, False),
        (31, Verdict.BETTER, True),
        (50, Verdict.NO_CHANGE, False),
        (46, Verdict.NO_CHANGE, False),
        (43, Verdict.NOT_YET, False),
        (57, Verdict.NOT_YET, False),
        (69, Verdict.WORSE, True),
    ],
)
def test_the_verdict_is_that_of_the_smallest_detectable_change(
    library: Library, after: float, verdict: Verdict, matters: bool
) -> None:
    (one,) = episode([50, after], library).trajectories
    assert one.detectable is not None
    assert number(one.detectable) == pytest.approx(18)
    assert (one.verdict, one.matters) == (verdict, matters)


def test_a_single_value_is_judged_by_nothing(library: Library) -> None:
    told = episode([50], library)
    (one,) = told.trajectories
    assert (one.verdict, one.level, one.true_change) == (Verdict.FIRST, (), None)
    assert told.decisions == ()


def test_more_is_better_where_the_measure_says_so(library: Library) -> None:
    days = START, START + timedelta(weeks=6)
    visits = [
        FollowedVisit(day, (OutcomeAnswer("oss", day, total=value),))
        for day, value in zip(days, (20.0, 40.0), strict=True)
    ]
    (one,) = follow(visits, TODAY, library).trajectories
    assert (one.verdict, one.better) == (Verdict.BETTER, "up")


def test_every_measure_that_can_be_entered_can_be_followed_whatever_its_scale(library: Library) -> None:
    for asked in forms(library):
        if asked.with_activities:
            continue
        occasion = asked.occasions[0] if asked.occasions else None
        ends = (asked.low, asked.high) if asked.high_is_better else (asked.high, asked.low)
        days = START, START + timedelta(weeks=6)
        visits = [
            FollowedVisit(
                day, (OutcomeAnswer(asked.id, day, (end,), occasion=occasion) if occasion else
                      OutcomeAnswer(asked.id, day, total=end),)
            )
            for day, end in zip(days, ends, strict=True)
        ]  # fmt: skip
        (one,) = follow(visits, TODAY, library).trajectories
        assert one.better == ("up" if asked.high_is_better else "down"), asked.id
        assert one.verdict in (Verdict.BETTER, Verdict.SHOWN, Verdict.UNKNOWN), asked.id


@pytest.mark.parametrize(("form", "most"), [("groc", 7), ("groc_11", 5)])
def test_a_rating_of_change_is_shown_and_not_judged(library: Library, form: str, most: int) -> None:
    days = START, START + timedelta(weeks=6)
    rated = [
        OutcomeAnswer(form, day, (value,), occasion=Occasion.SINCE_START)
        for day, value in zip(days, (0.0, 5.0), strict=True)
    ]
    told = follow([FollowedVisit(one.answered_on, (one,)) for one in rated], TODAY, library)
    assert told.trajectories[0].verdict is Verdict.SHOWN
    assert (told.trajectories[0].low, told.trajectories[0].high) == (-most, most)
    assert told.standing.judged == 0


def test_a_forecast_is_never_for_a_day_that_has_passed(library: Library) -> None:
    night = OutcomeAnswer("nprs", START, (7.0,), occasion=Occasion.NIGHT)
    visits = [FollowedVisit(START, (night,)), FollowedVisit(START + timedelta(weeks=7))]
    (soon,) = follow(visits[:1], TODAY, library).trajectories
    (late,) = follow(visits, TODAY, library).trajectories
    assert [one.weeks for one in soon.forecasts] == [6, 26]
    assert [one.weeks for one in late.forecasts] == [26]


def test_the_two_ratings_of_change_are_two_lines_each_with_its_own_figures(library: Library) -> None:
    rated = tuple(OutcomeAnswer(one, START, (3.0,), occasion=Occasion.SINCE_START) for one in ("groc", "groc_11"))
    fifteen, eleven = follow([FollowedVisit(START, rated)], TODAY, library).trajectories
    assert fifteen.important is None, "the published important change is that of eleven points"
    assert eleven.important is not None
    assert number(eleven.important) == pytest.approx(2.5)


def test_a_review_that_is_done_is_due_again_only_when_as_much_has_passed_since(library: Library) -> None:
    def kinds(weeks: tuple[int, ...], reviewed: int = 0) -> list[str]:
        visits = [
            FollowedVisit(START + timedelta(weeks=week), review="carry on" if at == reviewed else "")
            for at, week in enumerate(weeks, 1)
        ]
        return [one.rule for one in follow(visits, TODAY, library).decisions if one.kind == "review"]

    assert kinds((0, 1)) == []
    assert kinds((0, 1, 2)) == ["dr008"]
    assert kinds((0, 1, 2), reviewed=3) == []
    assert kinds((0, 2, 5)) == ["dr008", "dr009"]
    assert kinds((0, 2, 5), reviewed=3) == []
    assert kinds((0, 2, 5, 6, 8), reviewed=3) == []
    assert kinds((0, 2, 5, 6, 9), reviewed=3) == ["dr009"]
    assert kinds((0, 2, 3, 4, 5, 6), reviewed=3) == ["dr008"]


def test_angles_of_the_same_instrument_stand_on_one_line(library: Library) -> None:
    def visit(week: int, degrees: float, instrument: str) -> FollowedVisit:
        found = Finding("gh_er_0", Side.RIGHT, value=degrees, unit=Unit.DEGREES)
        return FollowedVisit(START + timedelta(weeks=week), findings=(found,), instrument=instrument)

    told = follow([visit(0, 5, "goniometer"), visit(3, 75, "goniometer"), visit(6, 70, "visual")], TODAY, library)
    (one,) = told.trajectories
    assert [reading.value for reading in one.line.readings] == [5, 75]
    assert one.verdict is Verdict.BETTER
    assert "also measured by visual" in one.remarks[0]
    assert told.standing.judged == 0, "an angle is no outcome measure"


# ---- what cannot be on one line --------------------------------------------------------------------------------------


def test_the_two_totals_are_two_lines(library: Library) -> None:
    later = START + timedelta(weeks=3)
    visits = [
        FollowedVisit(START, (spadi(50, START), spadi(52, START, form="spadi_items"))),
        FollowedVisit(later, (spadi(20, later), spadi(22, later, form="spadi_items"))),
    ]
    told = follow(visits, TODAY, library)
    assert [one.line.id for one in told.trajectories] == ["spadi", "spadi_items"]
    assert all(len(one.line.readings) == 2 for one in told.trajectories)


def test_activities_are_averaged_over_those_rated_every_time(library: Library) -> None:
    names = ("comb hair", "lift a pan", "sleep on it")
    first = OutcomeAnswer("psfs", START, (2.0, 4.0, 9.0), activities=names)
    second = replace(first, answered_on=START + timedelta(weeks=3), answers=(6.0, 8.0, None))
    (one,) = follow([FollowedVisit(a.answered_on, (a,)) for a in (first, second)], TODAY, library).trajectories
    assert [reading.value for reading in one.line.readings] == [3.0, 7.0]
    assert "comb hair, lift a pan" in " ".join(one.line.left_out)


def test_an_unfinished_one_is_left_out_with_the_reason(library: Library) -> None:
    half = OutcomeAnswer("spadi", START, tuple([5.0] * 8 + [None] * 5))
    later = START + timedelta(weeks=3)
    told = follow([FollowedVisit(START, (half,)), FollowedVisit(later, (spadi(30, later),))], TODAY, library)
    (one,) = told.trajectories
    assert len(one.line.readings) == 1
    assert "8 of 13 items answered" in one.remarks[0]
    alone = follow([FollowedVisit(START, (half,))], TODAY, library)
    assert alone.trajectories == ()
    assert "8 of 13 items answered" in alone.left_out[0]


BAD: list[tuple[list[FollowedVisit], str]] = [
    ([FollowedVisit(START), FollowedVisit(START - timedelta(days=1), line=3)], "visit 2 comes before visit 1"),
    ([FollowedVisit(date(2027, 1, 1))], "has not come yet"),
    ([FollowedVisit(START, (spadi(101, START),))], "outside the scale"),
    ([FollowedVisit(START, (spadi(10, START), spadi(11, START)))], "twice in one visit"),
    ([FollowedVisit(START, (spadi(10, START + timedelta(days=1)),))], "answered after its visit"),
    (
        [
            FollowedVisit(START, (replace(spadi(10, START), instrument="paper"),), line=1),
            FollowedVisit(START, (replace(spadi(10, START), instrument="100 mm line"),), line=2),
        ],
        "another instrument than before",
    ),
]


@pytest.mark.parametrize(("visits", "said"), BAD)
def test_what_cannot_be_followed_is_told(library: Library, visits: list[FollowedVisit], said: str) -> None:
    with pytest.raises(CannotRead, match=said):
        follow(visits, TODAY, library)


def test_every_fault_is_told_at_once(library: Library) -> None:
    with pytest.raises(CannotRead) as caught:
        follow([FollowedVisit(START, (spadi(101, START),)), FollowedVisit(START - timedelta(1))], TODAY, library)
    assert len(caught.value.faults) == 2


# ---- rules -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("values", "apart", "kinds"),
    [
        ([50, 48], 1, set()),
        ([50, 48, 49], 1, {"review"}),
        ([50, 48, 49, 50, 49], 1, {"review", "change_course"}),
        ([50, 48, 49, 50, 49], 3, {"review", "change_course", "refer", "discharge"}),
        ([50, 75], 1, {"change_course"}),
        ([60, 20], 3, {"discharge"}),
    ],
)
def test_rules_hold_when_their_state_and_time_do(
    library: Library, values: list[float], apart: float, kinds: set[str]
) -> None:
    assert {one.kind for one in episode(values, library, apart).decisions} == kinds


def test_a_rule_of_a_contributor_waits_for_it(library: Library) -> None:
    values = [60.0, 55.0, 50.0]
    rules = {one.rule for one in episode(values, library, 7, capsule_global=0.8).decisions}
    assert "dr004" in rules
    assert "dr004" not in {one.rule for one in episode(values, library, 7).decisions}


def test_every_rule_course_and_predictor_names_its_source(library: Library) -> None:
    told = episode([50, 48, 49, 50, 49], library, 3)
    assert all(one.basis.source.citation and one.provenance for one in told.decisions)
    assert len(told.predictors) >= 15
    assert all(one.effect.source.citation for one in told.predictors)
    for one in courses(library):
        assert one.source
        assert one.figures
        assert one.weakness
        assert [point.weeks for point in one.points] == sorted({point.weeks for point in one.points})
        assert all(point.sd > 0 for point in one.points)


def test_the_course_of_a_likely_contributor_comes_first(library: Library) -> None:
    (one,) = episode([60, 55], library, 2, capsule_global=0.8).trajectories
    assert [course.id for course in one.courses] == ["frozen_spadi", "exercise_spadi"]
    assert [made.weeks for made in one.forecasts] == [4, 8, 52]
    (other,) = episode([60, 55], library, 2, capsule_global=0.2).trajectories
    assert [course.id for course in other.courses] == ["exercise_spadi"]


@pytest.mark.parametrize(
    ("counts", "place"), [((0,), 0), ((0, 0), 1), ((4, 0, 0), 0), ((4, 1), 0), ((4, 2, 1), 1), ((1, 4, 0), 1)]
)
def test_one_sign_done_again_is_no_examination(counts: tuple[int, ...], place: int) -> None:
    names = ("act_flexion", "act_abduction", "gh_er_0", "gh_abd")
    found = [[Finding(one, side=Side.RIGHT) for one in names[:count]] * 2 for count in counts]
    assert last_examination(found, 0.5) == place
