"""Laws of following: the level lies among the values, doubt shrinks with visits, a forecast stays on its scale."""

from __future__ import annotations

from datetime import date, timedelta

from hypothesis import given, settings
from hypothesis import strategies as st

from endfeel.evidence.figures import number
from endfeel.evidence.library import Library
from endfeel.follow import FollowedVisit, Verdict, follow
from endfeel.follow.courses import courses, forecast
from endfeel.follow.level import change_between, filtered, smoothed
from endfeel.follow.outlook import pulls, questions, shift
from endfeel.vocabulary.outcomes import OutcomeAnswer

scores = st.lists(st.floats(0, 100), min_size=1, max_size=7)
gaps = st.lists(st.floats(0.1, 20), min_size=7, max_size=7)
variances = st.floats(0.5, 200)


@given(scores, gaps, variances, st.floats(0, 100))
def test_the_level_lies_among_the_values_and_is_surer_than_one(
    values: list[float], apart: list[float], error: float, drift: float
) -> None:
    weeks = [sum(apart[:k]) for k in range(len(values))]
    for one in (*filtered(weeks, values, error, drift), *smoothed(weeks, values, error, drift)):
        assert min(values) - 1e-9 <= one.mean <= max(values) + 1e-9
        assert 0 < one.variance <= error + 1e-9
    assert 0 <= change_between(weeks, values, error, drift).variance <= 2 * error + 1e-6


@given(scores, gaps, variances, st.floats(0, 100), st.floats(-50, 50))
def test_a_shift_of_all_values_shifts_the_level_and_leaves_the_change(
    values: list[float], apart: list[float], error: float, drift: float, shift: float
) -> None:
    weeks = [sum(apart[:k]) for k in range(len(values))]
    plain, moved = (smoothed(weeks, told, error, drift) for told in (values, [one + shift for one in values]))
    for a, b in zip(plain, moved, strict=True):
        assert abs(b.mean - a.mean - shift) < 1e-6
        assert abs(b.variance - a.variance) < 1e-9


@settings(max_examples=40, deadline=None)
@given(values=st.lists(st.integers(0, 100), min_size=2, max_size=5), share=st.sampled_from([0.0, 0.8]))
def test_verdict_and_forecast_of_any_course_are_sound(library: Library, values: list[int], share: float) -> None:
    days = [date(2026, 1, 5) + timedelta(weeks=2 * k) for k in range(len(values))]
    visits = [FollowedVisit(d, (OutcomeAnswer("spadi", d, total=v),)) for d, v in zip(days, values, strict=True)]
    told = follow(visits, date(2027, 1, 1), library, contributors={"capsule_global": share})
    (one,) = told.trajectories
    drop = values[0] - values[-1]
    wanted = Verdict.BETTER if drop > 18 else Verdict.WORSE if drop < -18 else None
    if wanted:
        assert one.verdict is wanted
    else:
        assert one.verdict in (Verdict.NOT_YET, Verdict.NO_CHANGE)
    for made in one.forecasts:
        assert 0 <= made.low <= made.high <= 100
        assert made.weeks > one.weeks[-1]
    refers = any(rule.kind == "refer" for rule in told.decisions)
    assert not (refers and told.standing.matters)


@settings(max_examples=40, deadline=None)
@given(value=st.integers(0, 100), rest=st.integers(0, 10), weeks=st.floats(0, 5000), data=st.data())
def test_what_else_foretells_never_makes_a_forecast_surer_and_keeps_it_on_the_scale(
    library: Library, value: int, rest: int, weeks: float, data: st.DataObject
) -> None:
    course = next(one for one in courses(library) if one.id == "frozen_spadi")
    asked = data.draw(st.lists(st.sampled_from(questions(library)), unique_by=lambda one: one.id))
    told = {one.id: data.draw(st.sampled_from(list(one.answers))) for one in asked}
    known = pulls({"rest": rest, "weeks": weeks}, told, library)
    for at in (4.0, 8.0, 52.0):
        plain = forecast(course, [0], [value], at, 6.5, (-1e6, 1e6), library)
        made = forecast(course, [0], [value], at, 6.5, (-1e6, 1e6), library, shift(known, "spadi", at, library))
        assert plain is not None
        assert made is not None
        assert made.high - made.low >= plain.high - plain.low - 1e-9
        held = forecast(course, [0], [value], at, 6.5, (0, 100), library, shift(known, "spadi", at, library))
        assert held is not None
        assert 0 <= held.low <= number(held.middle) <= held.high <= 100
