"""Published clusters: what several tests together were seen to do, against what the model makes of the single tests."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace

import pytest

from endfeel.evidence.library import Library
from endfeel.inference import Model, build_model, infer
from endfeel.inference.contributors import Contributor
from endfeel.inference.links import BinarySpec, Key
from endfeel.inference.model import compile_model
from endfeel.inference.pooling import Beta, Proportion, between_study_variance, pool
from endfeel.vocabulary import Case, Complaint, Finding, Result, Side

Single = tuple[str, str, float, float]
"""Procedure, outcome, sensitivity, specificity."""

PARK: tuple[Single, ...] = (
    ("hawkins", "positive", 0.72, 0.66),  # da009, Park 2005, read
    ("painful_arc", "positive", 0.74, 0.81),  # da016, Park 2005, read
    ("iso_er", "weak", 0.42, 0.90),  # da049, Park 2005, from memory
)


def one_contributor_model(model: Model, singles: tuple[Single, ...], correlation: float | None = None) -> Model:
    """The product's own model with one contributor and these single-test figures exactly."""
    parameters = model.parameters
    if correlation is not None:
        parameters = replace(parameters, values={**parameters.values, "provocation_correlation": correlation})
    who = Contributor("target", "target", "", "glenohumeral", True, (), Beta(0.4, 50.0), (), "load", "tendon", "read")
    binaries: dict[Key, BinarySpec] = {}
    for procedure, outcome, sensitivity, specificity in singles:
        cause = (sensitivity - (1 - specificity)) / specificity
        key = procedure, outcome
        link = next(iter(model.binaries[key].causes))[2]
        binaries[key] = BinarySpec(key, Beta(1 - specificity, 100.0), ((0, cause, link),), "provocation")
    return compile_model("test", model.catalogue, parameters, (who,), (), binaries, {}, {})


def cluster_ratio(model: Model, singles: tuple[Single, ...], positive: int) -> float:
    """Likelihood ratio of a number of positives (the named tests positive in order), summed over which ones."""
    with_it = without = 0.0
    for chosen in itertools.combinations(range(len(singles)), positive):
        findings = tuple(finding(single, i in chosen) for i, single in enumerate(singles))
        post = infer(Case(complaint=Complaint(side=Side.RIGHT), findings=findings), model)
        belief = post.beliefs[0]
        joint = math.exp(post.solution.log_evidence)
        with_it += belief.probability * joint / belief.prior
        without += (1 - belief.probability) * joint / (1 - belief.prior)
    return with_it / without


def finding(single: Single, positive: bool) -> Finding:
    procedure, outcome = single[:2]
    if outcome == "weak":
        return Finding(procedure, Side.RIGHT, strength=4 if positive else 5)
    return Finding(procedure, Side.RIGHT, result=Result.POSITIVE if positive else Result.NEGATIVE)


@pytest.fixture(scope="module")
def model(library: Library) -> Model:
    return build_model(library)


def test_three_tests_of_the_subacromial_cluster_come_out_near_10_and_not_near_35(model: Model) -> None:
    """Observed 10.56 for three of three (Park 2005, ratios recalled: da053); the single ratios multiply to 35."""
    together = cluster_ratio(one_contributor_model(model, PARK), PARK, 3)
    assert 7.5 < together < 13.5
    independent = cluster_ratio(one_contributor_model(model, PARK, correlation=1e-9), PARK, 3)
    assert independent == pytest.approx(math.prod(s / (1 - c) for _, _, s, c in PARK), rel=0.01)
    assert independent > 30


def test_each_single_test_keeps_its_published_ratio(model: Model) -> None:
    for single in PARK:
        alone = cluster_ratio(one_contributor_model(model, (single,)), (single,), 1)
        assert alone == pytest.approx(single[2] / (1 - single[3]), rel=1e-6)


def test_no_positive_of_the_cluster_speaks_against_as_observed(model: Model) -> None:
    """Observed 0.17 for none of three (Park 2005, recalled: da053)."""
    assert cluster_ratio(one_contributor_model(model, PARK), PARK, 0) == pytest.approx(0.17, abs=0.06)


def test_two_or_more_ac_tests_come_out_near_the_observed_ratio(model: Model) -> None:
    """Observed 0.81/0.11 = 7.4 for two or more of three (Chronopoulos 2004: da156); singles da146, da148, da154."""
    singles: tuple[Single, ...] = (
        ("ac_cross_body", "positive", 0.77, 0.79),
        ("ac_resisted_ext", "positive", 0.72, 0.85),
        ("ac_active_compression", "positive", 0.41, 0.95),
    )
    assert at_least(one_contributor_model(model, singles), singles, 2) == pytest.approx(7.4, rel=0.35)


def test_three_or_more_of_five_subacromial_tests_come_out_near_the_observed_ratio(model: Model) -> None:
    """Observed 2.93 (Michener 2009: da047); singles da042 to da046 of the same people."""
    singles: tuple[Single, ...] = (
        ("hawkins", "positive", 0.63, 0.62),
        ("neer", "positive", 0.81, 0.54),
        ("painful_arc", "positive", 0.75, 0.67),
        ("empty_can", "positive", 0.50, 0.87),
        ("iso_er", "weak", 0.56, 0.87),
    )
    assert at_least(one_contributor_model(model, singles), singles, 3) == pytest.approx(2.93, rel=0.35)


def at_least(model: Model, singles: tuple[Single, ...], least: int) -> float:
    """Ratio of `least` or more positives, from the ratios' own numerators and denominators."""
    with_it = without = 0.0
    for count in range(least, len(singles) + 1):
        for chosen in itertools.combinations(range(len(singles)), count):
            findings = tuple(finding(single, i in chosen) for i, single in enumerate(singles))
            post = infer(Case(complaint=Complaint(side=Side.RIGHT), findings=findings), model)
            joint = math.exp(post.solution.log_evidence)
            with_it += post.beliefs[0].probability * joint / post.beliefs[0].prior
            without += (1 - post.beliefs[0].probability) * joint / (1 - post.beliefs[0].prior)
    return with_it / without


def test_one_positive_test_moves_the_published_pre_test_to_the_published_post_test(model: Model) -> None:
    """Odds arithmetic on a published ratio: pre-test 0.40, sensitivity 0.72, specificity 0.66 (Park 2005: da009)."""
    single = PARK[0]
    post = infer(
        Case(complaint=Complaint(side=Side.RIGHT), findings=(finding(single, True),)),
        one_contributor_model(model, (single,)),
    )
    odds = 0.4 / 0.6 * 0.72 / 0.34
    assert odds / (1 + odds) == pytest.approx(0.585, abs=0.001)
    assert post.beliefs[0].probability == pytest.approx(odds / (1 + odds), abs=1e-9)


def test_pooling_follows_the_moment_estimate() -> None:
    """Worked by hand: logits 0 and 1, variances 0.1 and 0.1: Q = 5, tau2 = (5 - 1) / 10 = 0.4."""
    assert between_study_variance([0.0, 1.0], [0.1, 0.1]) == pytest.approx(0.4)
    assert between_study_variance([0.3, 0.3], [0.1, 0.2]) == 0.0


def test_one_study_stays_wide_and_agreeing_studies_narrow() -> None:
    one = pool([Proportion(0.8, 1000)], 0.6, 0.25)
    many = pool([Proportion(0.8, 1000)] * 6, 0.6, 0.25)
    disagreeing = pool([Proportion(0.99, 200), Proportion(0.5, 200), Proportion(0.2, 200)], 0.6, 0.25)
    assert one.weight < 20 < many.weight
    assert disagreeing.weight < one.weight
    assert many.mean == pytest.approx(0.8, abs=0.01)
