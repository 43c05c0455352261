"""What the contributors call for: closed forms, safety first, and the worth of a test against playing it out."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from endfeel.assessment import read_case
from endfeel.evidence.library import Library
from endfeel.inference import Model, build_model, infer
from endfeel.inference.candidates import Prospects
from endfeel.safety import verdict
from endfeel.treatment import Course, Decision, decide
from endfeel.treatment.decision import OPINION, gain_of
from endfeel.treatment.worth import worth_by
from endfeel.vocabulary import Case, Complaint, Irritability, Person, Side

STORIES = Path(__file__).resolve().parents[3] / "stories"


@pytest.fixture(scope="module")
def model(library: Library) -> Model:
    return build_model(library)


def story(name: str, library: Library) -> Case:
    return read_case((STORIES / f"{name}.txt").read_text(encoding="utf-8"), name, library)


def made(case: Case, library: Library, model: Model) -> Decision:
    return decide(infer(case, model), library, verdict(case, library))


def test_the_gain_of_a_course_by_hand() -> None:
    assert gain_of(1.0, 8.0, 2.0, 1.0) == 7.0
    assert gain_of(0.0, 8.0, 2.0, 1.0) == -3.0
    assert gain_of(0.3, 8.0, 2.0, 1.0) == pytest.approx(0.3 * 8 - 0.7 * 2 - 1)


@pytest.mark.parametrize(
    ("name", "treatment_class", "region"),
    [
        ("frozen", "mobilise_joint", "glenohumeral"),
        ("neck_root", "neck_care", "cervicothoracic"),
        ("anterior_laxity", "stabilise", "glenohumeral"),
        ("thoracic", "mobilise_joint", "thoracic"),
    ],
)
def test_a_story_calls_first_for_what_it_was_written_about(
    name: str, treatment_class: str, region: str, library: Library, model: Model
) -> None:
    best = made(story(name, library), library, model).worthwhile[0]
    assert (best.treatment_class, best.region) == (treatment_class, region)


def test_courses_stand_by_gain_with_range_need_and_figures_that_exist(library: Library, model: Model) -> None:
    for name in ("frozen", "cuff_tear", "acromioclavicular"):
        found = made(story(name, library), library, model)
        gains = [course.expected_points for course in found.courses]
        assert all(here >= max(gains[k:]) - 1.0 for k, here in enumerate(gains))  # less than a point is no difference
        for one, following in pairwise(found.courses):
            if one.expected_points < following.expected_points:
                assert one.needed_for[0][1] >= following.needed_for[0][1]
        for course in found.courses:
            assert course.expected_low <= course.expected_points <= course.expected_high
            assert 0.0 <= course.needed_low <= course.needed <= course.needed_high <= 1.0
            assert course.open_points >= -1e-12
            assert all(one in library.figures for one in course.figures), course.figures
        by_kind = [
            m for m, course in zip(found.members, found.courses, strict=True) if course.treatment_class != OPINION
        ]
        assert sorted(i for mine in by_kind for i in mine) == list(range(len(found.weights)))
        assert found.weights.max() == 1.0


def test_an_urgent_verdict_withholds_every_course(library: Library, model: Model) -> None:
    case = story("danger_apical", library)
    assert verdict(case, library).withholds_treatment
    found = made(case, library, model)
    assert found.withheld
    assert found.worthwhile == () == found.unexamined


def test_what_was_not_examined_is_not_proposed(library: Library, model: Model) -> None:
    found = made(Case(Person(50), Complaint(side=Side.RIGHT)), library, model)
    assert found.worthwhile == ()
    assert all(not course.examined for course in found.courses)


def test_harm_counts_more_in_a_sore_shoulder_unless_the_course_is_gentler(library: Library, model: Model) -> None:
    case = story("neck_root", library)
    harm: dict[tuple[str, str], list[tuple[float, str]]] = {}
    for level in (Irritability.LOW, Irritability.MODERATE, Irritability.HIGH):
        sore = replace(case, complaint=replace(case.complaint, irritability=level))
        for course in made(sore, library, model).courses:
            harm.setdefault((course.treatment_class, course.region), []).append((course.harm_points, course.stage))
    (low, _), (moderate, _), (high, _) = harm["neck_care", "cervicothoracic"]
    assert low < moderate < high
    (low, _), (moderate, _), (high, stage) = harm["mobilise_joint", "glenohumeral"]
    assert low < moderate
    assert stage == "sore"
    assert high < 1.8 * moderate


def one_course(library: Library, model: Model, benefit: float, harm: float) -> Decision:
    some: Course = made(story("frozen", library), library, model).courses[0]
    course = replace(some, benefit_points=benefit, harm_points=harm, name="a course")
    return Decision((course,), 0.0, False, "advice", (), ((0,),))


def test_the_worth_of_one_test_by_hand(library: Library, model: Model) -> None:
    """Need 0.4, test positive in 0.9 of those who need it and 0.2 of the others; benefit 10, harm 10, no effort.

    Now: 0.4 * 10 - 0.6 * 10 = -2, so nothing is started: value 0. Positive: P = 0.48, need 0.75, gain 5. Negative:
    need 0.04 / 0.52, gain below 0. Worth = 0.48 * 5 = 2.4.
    """
    needed = np.repeat([True, False], [40, 60])[:, None]
    chance = np.where(needed, 0.9, 0.2).astype(np.float32)
    solution = infer(Case(Person(50), Complaint(side=Side.RIGHT)), model).solution
    prospects = Prospects(np.array([0]), ("positive",), np.zeros((1, 1)), chance, needed, solution, 1)
    decision = one_course(library, model, 10.0, 10.0)
    found = worth_by(prospects, needed, decision, [("hawkins", Side.RIGHT, None)], 0.05)
    assert found.points[0] == pytest.approx(2.4, abs=1e-6)
    (turn,) = found.turns
    assert turn is not None
    assert (turn.outcome, turn.starts) == ("positive", True)
    assert turn.chance == pytest.approx(0.48, abs=1e-6)
    settled = worth_by(prospects, np.ones((100, 1), dtype=bool), decision, [("hawkins", Side.RIGHT, None)], 0.05)
    assert settled.settled
    assert settled.points[0] == pytest.approx(0.0, abs=1e-9)


def test_two_tests_that_turn_nothing_alone_may_turn_it_together(library: Library, model: Model) -> None:
    """Need 0.2, benefit 10, harm 10; each test positive in 0.7 of those who need it and 0.3 of the others.

    Alone a positive test makes the need 0.14 / 0.38 = 0.37: not worth starting. Both positive, chance 0.2 * 0.49 +
    0.8 * 0.09 = 0.17, make it 0.098 / 0.17 = 0.576: gain 1.53. Together 0.17 * 1.53 = 0.26 points.
    """
    needed = np.repeat([True, False], [20, 80])[:, None]
    chance = np.repeat(np.where(needed, 0.7, 0.3), 2, axis=1).astype(np.float32)
    solution = infer(Case(Person(50), Complaint(side=Side.RIGHT)), model).solution
    prospects = Prospects(np.array([0, 1]), ("positive", "weak"), np.zeros((2, 1)), chance, needed, solution, 2)
    decision = one_course(library, model, 10.0, 10.0)
    tests = [("hawkins", Side.RIGHT, None), ("iso_er", Side.RIGHT, None)]
    found = worth_by(prospects, needed, decision, tests, 0.05)
    assert found.points == pytest.approx([0.0, 0.0], abs=1e-9)
    assert found.together(np.array([0, 1]))[0, 1] == pytest.approx(0.26, abs=1e-6)
    assert not found.settled
    useless = np.repeat(np.where(needed, 0.4, 0.4), 2, axis=1).astype(np.float32)
    flat = worth_by(replace(prospects, seen=useless), needed, decision, tests, 0.05)
    assert flat.settled


def test_two_tests_together_are_worth_what_playing_them_out_gains(library: Library, model: Model) -> None:
    generator = np.random.default_rng(8)
    needed = generator.random((6000, 1)) < 0.35
    chance = np.concatenate([np.where(needed, 0.8, 0.3), np.where(needed, 0.7, 0.4)], axis=1).astype(np.float32)
    solution = infer(Case(Person(50), Complaint(side=Side.RIGHT)), model).solution
    prospects = Prospects(np.array([0, 1]), ("positive", "weak"), np.zeros((2, 1)), chance, needed, solution, 2)
    decision = one_course(library, model, 9.0, 6.0)
    tests = [("hawkins", Side.RIGHT, None), ("iso_er", Side.RIGHT, None)]
    found = worth_by(prospects, needed, decision, tests, 0.05)
    seen = generator.random(chance.shape) < chance
    after = 0.0
    for a in (True, False):
        for b in (True, False):
            here = (seen[:, 0] == a) & (seen[:, 1] == b)
            need = float(needed[here].mean())
            after += float(here.mean()) * max(0.0, need * 9.0 - (1 - need) * 6.0)
    now = max(0.0, float(needed.mean()) * 9.0 - (1 - float(needed.mean())) * 6.0)
    assert found.together(np.array([0, 1]))[0, 1] == pytest.approx(after - now, abs=0.25)


def test_a_course_that_nothing_speaks_for_gains_only_beyond_the_story(library: Library, model: Model) -> None:
    """Need 0.6, benefit 10, no harm: the story promises 6, held back. A test positive in 0.9 of those who need it and
    0.3 of the others: positive 0.66, need 0.54 / 0.66 = 0.818, gain 8.18 less 6. Worth = 0.66 * 2.18 = 1.44; a test
    that says nothing gains nothing."""
    needed = np.repeat([True, False], [60, 40])[:, None]
    solution = infer(Case(Person(50), Complaint(side=Side.RIGHT)), model).solution
    chance = np.concatenate([np.where(needed, 0.9, 0.3), np.full_like(needed, 0.5, dtype=float)], axis=1)
    prospects = Prospects(
        np.array([0, 1]), ("positive", "weak"), np.zeros((2, 1)), chance.astype(np.float32), needed, solution, 2
    )
    some = one_course(library, model, 10.0, 0.0)
    course = replace(some.courses[0], examined=False, spoken_for=False, held_points=6.0)
    tests = [("hawkins", Side.RIGHT, None), ("iso_er", Side.RIGHT, None)]
    found = worth_by(prospects, needed, replace(some, courses=(course,)), tests, 0.05)
    assert found.points == pytest.approx([0.66 * (0.54 / 0.66 * 10 - 6), 0.0], abs=1e-5)
    assert found.examines[0] == "a course"


def test_the_worth_of_one_test_is_what_acting_on_it_gains_when_played_out(library: Library, model: Model) -> None:
    generator = np.random.default_rng(5)
    needed = generator.random((4000, 1)) < 0.35
    chance = np.where(needed, 0.8, 0.3).astype(np.float32)
    solution = infer(Case(Person(50), Complaint(side=Side.RIGHT)), model).solution
    prospects = Prospects(np.array([0]), ("weak",), np.zeros((1, 1)), chance, needed, solution, 1)
    decision = one_course(library, model, 9.0, 6.0)
    key = ("hawkins", Side.RIGHT, None)
    found = worth_by(prospects, needed, decision, [key], 0.05)
    seen = generator.random(needed.shape) < chance
    outcomes = []
    for result in (True, False):
        share = float((seen == result).mean())
        need = float(needed[seen == result].mean())
        outcomes.append(share * max(0.0, need * 9.0 - (1 - need) * 6.0))
    now = max(0.0, float(needed.mean()) * 9.0 - (1 - float(needed.mean())) * 6.0)
    assert found.points[0] == pytest.approx(sum(outcomes) - now, abs=0.25)
