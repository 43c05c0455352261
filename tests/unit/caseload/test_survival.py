"""Time until it matters against a published example and a second implementation."""

from __future__ import annotations

import numpy as np
import pytest
from statsmodels.duration.survfunc import SurvfuncRight

from endfeel.caseload.survival import put_together, waited
from endfeel.evidence.library import Library


def test_remission_of_twenty_one_children_comes_out_as_printed(library: Library) -> None:
    """Freireich 1963; days and answers from memory, as textbooks print them."""
    told = next(one for one in library.documents["statistics_checks"]["check"] if one["id"] == "freireich_remission")
    found = waited((day, bool(changed), 1) for day, changed in zip(told["days"], told["changed"], strict=True))
    expected = told["expected"]
    assert {f"at_{step.day}": pytest.approx(step.still, abs=told["tolerance"]) for step in found.steps} == {
        name: value for name, value in expected.items() if name != "median"
    }
    assert found.median_day == expected["median"]
    assert (found.lines, found.changed) == (21, 9)


def test_the_estimate_is_that_of_another_program() -> None:
    draw = np.random.default_rng(8)
    days, changed = draw.integers(1, 40, 200), draw.random(200) < 0.6
    found = waited((int(day), bool(one), 1) for day, one in zip(days, changed, strict=True))
    other = SurvfuncRight(days, changed)
    assert [step.day for step in found.steps] == other.surv_times.tolist()
    assert [step.still for step in found.steps] == pytest.approx(other.surv_prob.tolist(), abs=1e-12)
    assert [step.at_risk for step in found.steps] == other.n_risk.tolist()


def test_counts_and_single_people_give_the_same() -> None:
    single = [(3, True, 1)] * 4 + [(5, False, 1)] * 3 + [(9, True, 1)] * 2
    assert waited(single) == waited([(3, True, 4), (5, False, 3), (9, True, 2)])


def test_no_step_is_of_fewer_people_than_may_be_told() -> None:
    found = waited([(day, True, 1) for day in range(1, 21)] + [(30, False, 4)])
    told = put_together(found, 5)
    assert [step.day for step in told.steps] == [5, 10, 15, 20]
    assert all(step.changed >= 5 for step in told.steps)
    assert [step.still for step in told.steps] == [step.still for step in found.steps if step.day % 5 == 0]


def test_without_a_change_there_is_no_curve() -> None:
    assert waited([(4, False, 10)]).steps == ()
