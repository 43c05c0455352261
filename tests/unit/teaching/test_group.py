"""A group's closed cases: paths on a clock, agreement with small numbers held back, contributors against the truth."""

from __future__ import annotations

from itertools import pairwise

import pytest

from endfeel.evidence.library import Library
from endfeel.inference import build_model
from endfeel.safety import Urgency
from endfeel.simulate import CaseWish, Danger, draw_case
from endfeel.teaching import ADVICE, Closed, Commitment, Forecast, Named, Outcome, Step, group_results, path_of, play
from endfeel.teaching.group import YES_NO, compared
from endfeel.vocabulary import Position


def closed(learner: str, code: str, said: dict[str, float], there: set[str], safety: Urgency = Urgency.NONE) -> Closed:
    forecasts = tuple(Forecast(one, one, "glenohumeral", share, one in there, 0.5) for one, share in said.items())
    hidden = tuple((one, "glenohumeral", 0.5, one in said) for one in sorted(there))
    ranking = tuple(Named(one, round(100 * share)) for one, share in said.items())
    outcome = Outcome(forecasts, hidden, (), 10.0, 2, 0, 1.0, 0.5, missed=("fever?",))
    return Closed(learner, code, Commitment(ranking, safety, ADVICE), outcome)


def test_a_path_keeps_order_clock_and_turns(library: Library) -> None:
    model = build_model(library)
    person = draw_case(CaseWish(21, danger=Danger.NEVER), library, model)
    steps = [Step("1", "ask", "where"), Step("2", "examine", "gh_post"), Step("3", "turn", position=Position.PRONE)]
    found = play(person, steps, library, model)
    path = path_of(found.moments)
    assert [one.kind for one in path] == ["ask", "examine", "turn"]
    assert [one.turned for one in path] == [False, True, True]
    assert path[0].at_seconds == 0
    for before, after in pairwise(path):
        assert after.at_seconds == pytest.approx(before.at_seconds + before.lasts_seconds)
    assert path[-1].at_seconds + path[-1].lasts_seconds == pytest.approx(found.seconds)


def test_agreement_of_two_on_ten_is_the_published_kind_of_count() -> None:
    """Eight of ten alike, each saying yes five times: 80 %, chance 50 %, kappa 0.6 by hand."""
    first, second = "yyyyynnnnn", "yyyynynnnn"
    words = {"y": "yes", "n": "no"}
    cells = {str(k): {"A": words[a], "B": words[b]} for k, (a, b) in enumerate(zip(first, second, strict=True))}
    told = compared("x", cells, ["A", "B"], 5, YES_NO)
    assert told.pairs[0].agreed.value == pytest.approx(0.8)
    assert told.pairs[0].kappa.value == pytest.approx(0.6)
    values = {one.id: one.analytic.value for one in told.statistics}
    assert values["agreement"] == pytest.approx(0.8)
    assert "rough" in told.caution


def test_below_the_fewest_no_coefficient_is_said_but_gaps_are_no_hindrance() -> None:
    cells = {str(k): {"A": "yes", "B": "no"} for k in range(4)} | {"alone": {"A": "yes"}}
    told = compared("x", cells, ["A", "B", "C"], 5, YES_NO)
    assert told.subjects == 4
    assert told.learners == 2
    assert told.statistics == ()
    assert "no coefficient" in told.caution
    assert [(one.first, one.second, one.subjects) for one in told.pairs] == [("A", "B", 4)]
    same = compared("x", {str(k): {"A": "yes", "B": "yes"} for k in range(9)}, ["A", "B"], 5, YES_NO)
    assert same.statistics == ()
    assert "one and the same" in same.caution


def test_a_group_is_held_against_the_truth_and_counted_together(library: Library) -> None:
    told = group_results(
        [
            closed("Wren", "A", {"capsule": 0.8, "cuff": 0.6}, {"capsule", "biceps"}),
            closed("Teal", "A", {"biceps": 0.9, "cuff": 0.3}, {"capsule", "biceps"}, Urgency.URGENT),
            closed("Wren", "B", {"cuff": 0.8}, {"cuff"}),
        ],
        library,
    )
    assert told.together.cases == 3
    assert told.together.forecasts == 5
    assert {name: one.cases for name, one in told.by_learner.items()} == {"Wren": 2, "Teal": 1}
    wren, teal = told.truth
    assert (wren.hidden, wren.stood_for, wren.false) == (3, 2, 1)
    assert (teal.hidden, teal.stood_for, teal.false) == (2, 1, 0)
    contributors, safety, treatment = told.comparisons
    assert contributors.subjects == 3  # capsule, biceps and cuff of case A; case B was judged by one alone
    assert contributors.pairs[0].agreed.value == 0.0
    assert safety.pairs[0].agreed.value == 0.0
    assert treatment.pairs[0].agreed.value == 1.0
    assert not any(one.enough for one in told.together.bands)
