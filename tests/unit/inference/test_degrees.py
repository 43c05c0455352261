"""How much counts: a stiffer, slacker or weaker finding moves what it speaks for farther."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

import pytest

from endfeel.evidence.library import Library
from endfeel.inference import Examiner, Model, OwnAgreement, build_model, infer
from endfeel.inference.degrees import DEGREES, WEAK_WITHIN
from endfeel.vocabulary import Case, Complaint, Finding, Person, Result, Side, Unit


@pytest.fixture(scope="module")
def model(library: Library) -> Model:
    return build_model(library)


def share(model: Model, finding: Finding, contributor: str) -> float:
    belief = infer(Case(Person(40), Complaint(side=Side.RIGHT), findings=(finding,)), model).belief(contributor)
    assert belief is not None
    return belief.probability


@pytest.mark.parametrize(
    ("procedure", "field", "grades", "contributor"),
    [
        ("gh_post", "mobility", (3, 2, 1), "capsule_posterior_middle"),
        ("gh_inf", "mobility", (3, 4, 5), "multidirectional_laxity"),
        ("serratus_strength", "strength", (5, 4, 1), "long_thoracic_palsy"),
        ("iso_ir", "strength", (5, 4, 1), "subscapularis_tear"),
        ("iso_er", "strength", (5, 4, 3, 2), "infraspinatus_tear"),
        ("iso_er", "strength", (5, 4, 3, 2), "suprascapular_palsy"),
        ("hhd_er", "value", (180, 120, 40), "suprascapular_palsy"),
    ],
)
def test_more_of_it_says_more(
    procedure: str, field: str, grades: Sequence[int], contributor: str, model: Model
) -> None:
    beside = {"other": 180.0, "unit": Unit.NEWTONS} if field == "value" else {}
    found = [
        share(model, Finding(procedure, Side.RIGHT, **beside, **{field: grade}), contributor)  # type: ignore[arg-type]
        for grade in grades
    ]
    assert all(less < more for less, more in itertools.pairwise(found)), found


def test_pain_alone_makes_nobody_very_weak(model: Model) -> None:
    """Strength 1 of 5 speaks against pain as the cause of a weak abduction, beside strength 4."""
    very, somewhat = (
        share(model, Finding("iso_abd", Side.RIGHT, strength=grade), "axillary_palsy") for grade in (1, 4)
    )
    assert very > 2 * somewhat


def test_a_result_in_words_says_nothing_about_how_much(model: Model) -> None:
    case = Case(
        Person(40), Complaint(side=Side.RIGHT), findings=(Finding("gh_post", Side.RIGHT, result=Result.REDUCED),)
    )
    keys = {one.key[1] for one in infer(case, model).solution.network.observations.binaries}
    assert "hypo" in keys
    assert not keys & set(DEGREES.values())


def test_every_outcome_within_has_the_one_it_is_asked_in_and_figures_that_exist(library: Library, model: Model) -> None:
    outer = {inner: outcome for outcome, inner in DEGREES.items()}
    within = [key for key in model.binaries if key[1] in outer]
    assert len(within) > 50
    for procedure, outcome in within:
        weak_inside = outcome == "very_weak" and (procedure, WEAK_WITHIN) in model.binaries
        assert (procedure, WEAK_WITHIN if weak_inside else outer[outcome]) in model.binaries
        for _, q, link in model.binaries[procedure, outcome].causes:
            assert 0.0 < q < 1.0
            assert all(figure in library.figures for figure in link.figures), link.figures


def test_an_examiner_with_better_hands_says_more_and_one_without_any_says_nothing(library: Library) -> None:
    """Own agreement takes the place of the published kappa; at kappa 0 a felt stiffness moves nothing."""
    finding = Finding("gh_post", Side.RIGHT, mobility=1)
    usual, good, none = (
        share(build_model(library, examiner), finding, "capsule_posterior_middle")
        for examiner in (
            None,
            Examiner(tuple(OwnAgreement("gh_post", outcome, 0.95, 100_000) for outcome in ("hypo", "hyper"))),
            Examiner(tuple(OwnAgreement("gh_post", outcome, 0.0, 100_000) for outcome in ("hypo", "hyper"))),
        )
    )
    before = infer(Case(Person(40), Complaint(side=Side.RIGHT)), build_model(library)).belief(
        "capsule_posterior_middle"
    )
    assert before is not None
    assert good > usual > none
    assert none == pytest.approx(before.probability, abs=0.02)
