"""Laws of the examiner: what own agreement, lean and angle error may do to the model, and what not."""

from __future__ import annotations

import math

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from endfeel.evidence.library import Library
from endfeel.inference import Examiner, Model, OwnAgreement, OwnError, build_model, infer
from endfeel.inference.examiner import OUTCOMES, REGION, hands_of
from endfeel.vocabulary import Case, Complaint, Finding, Person, Side

FEW = settings(max_examples=30, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
PLENTY = 10**9
kappas = st.floats(-1.0, 1.0)
people = st.integers(1, 10**6)


@pytest.fixture(scope="module")
def model(library: Library) -> Model:
    return build_model(library)


def everywhere(library: Library, kappa: float | None, subjects: int, lean: float = 0.0) -> Examiner:
    """The same row for every outcome of every procedure of the model; kappa None: the published one."""
    usual = hands_of(library, build_model(library).parameters)
    keys = {(procedure, outcome) for procedure, outcome in build_model(library).binaries if outcome in OUTCOMES}
    return Examiner(tuple(
        OwnAgreement(p, o, usual.published_kappa((p, o))[0] if kappa is None else kappa, subjects, lean)
        for p, o in sorted(keys)
    ))  # fmt: skip


def alone(model: Model, key: tuple[str, str]) -> dict[int, float]:
    spec = model.binaries[key]
    return {cause: 1.0 - (1.0 - spec.leak.mean) * (1.0 - q) for cause, q, _ in spec.causes}


def logit(p: float) -> float:
    return math.log(p / (1.0 - p))


def test_no_rows_and_rows_that_say_what_is_published_change_nothing_at_all(library: Library, model: Model) -> None:
    for examiner in (None, Examiner(), everywhere(library, None, 70)):
        again = build_model(library, examiner)
        assert again.binaries == model.binaries
        assert again.angles == model.angles


def test_kappa_1_on_plenty_of_people_gives_every_cause_at_least_its_published_weight(
    library: Library, model: Model
) -> None:
    best = build_model(library, everywhere(library, 1.0, PLENTY))
    gained = 0
    for key, spec in model.binaries.items():
        usual, own = alone(model, key), alone(best, key)
        assert own.keys() == usual.keys()
        if all(link.published for _, _, link in spec.causes):
            assert best.binaries[key] == spec
        if not any(link.published for _, _, link in spec.causes):
            assert all(own[cause] >= usual[cause] for cause in usual)
            gained += any(own[cause] > usual[cause] + 0.01 for cause in usual)
    assert gained > 200


def test_kappa_0_on_plenty_of_people_leaves_no_information_in_any_outcome(library: Library) -> None:
    """Every cause alone reports the outcome as often as nothing does."""
    none = build_model(library, everywhere(library, 0.0, PLENTY))
    for key, spec in none.binaries.items():
        for there in alone(none, key).values():
            assert there == pytest.approx(spec.leak.mean, abs=1e-3), key


@FEW
@given(kappa=kappas, subjects=people)
def test_the_kappa_in_use_stands_between_published_and_own_and_nearer_to_own_with_people(
    library: Library, model: Model, kappa: float, subjects: int
) -> None:
    key = "gh_post", "hypo"
    published = hands_of(library, model.parameters).published_kappa(key)[0]
    few, many = (
        hands_of(library, model.parameters, Examiner((OwnAgreement(*key, kappa, n),))).kappa(key)
        for n in (subjects, 2 * subjects)
    )
    assert min(published, kappa) - 1e-12 <= few <= max(published, kappa) + 1e-12
    assert abs(many - kappa) <= abs(few - kappa) + 1e-12


@FEW
@given(lean=st.floats(-10.0, 10.0), subjects=people)
def test_a_lean_shifts_leak_and_each_cause_alone_by_the_same_on_the_logit_scale_and_keeps_the_weights(
    library: Library, model: Model, lean: float, subjects: int
) -> None:
    key = "gh_post", "hypo"
    kappa = hands_of(library, model.parameters).published_kappa(key)[0]
    leaning = build_model(library, Examiner((OwnAgreement(f"{REGION}glenohumeral", "hypo", kappa, subjects, lean),)))
    before, after = model.binaries[key], leaning.binaries[key]
    used = lean * subjects / (subjects + model.parameters["own_agreement_people"])
    assert logit(after.leak.mean) - logit(before.leak.mean) == pytest.approx(used, abs=1e-6)
    usual, own = alone(model, key), alone(leaning, key)
    for cause in usual:
        assert logit(own[cause]) - logit(usual[cause]) == pytest.approx(used, abs=1e-6)
    assert after.leak.weight == before.leak.weight
    for (_, q, mine), (_, _, link) in zip(after.causes, before.causes, strict=True):
        assert 0.0 <= q < 1.0
        assert (mine.present.weight, mine.absent.weight) == (link.present.weight, link.absent.weight)


def test_who_reports_stiff_sooner_says_less_by_it_and_more_by_its_absence(library: Library, model: Model) -> None:
    key = "gh_post", "hypo"
    kappa = hands_of(library, model.parameters).published_kappa(key)[0]
    leaning = build_model(library, Examiner((OwnAgreement(*key, kappa, 400, 1.5),)))
    shares = {}
    for grade in (2, 3):
        case = Case(Person(54), Complaint(side=Side.RIGHT), findings=(Finding("gh_post", Side.RIGHT, mobility=grade),))
        for name, used in (("usual", model), ("leaning", leaning)):
            belief = infer(case, used).belief("capsule_posterior_middle")
            assert belief is not None
            shares[grade, name] = belief.probability
    assert shares[2, "leaning"] < shares[2, "usual"] - 0.005
    assert shares[3, "leaning"] < shares[3, "usual"]


@FEW
@given(sd=st.floats(0.0, 90.0), subjects=people)
def test_the_error_of_an_angle_stands_between_published_and_own_as_a_variance(
    library: Library, model: Model, sd: float, subjects: int
) -> None:
    hands = hands_of(library, model.parameters, Examiner(errors=(OwnError("gh_er_0", sd, subjects),)))
    published = model.angles["gh_er_0"].error_sd_deg
    weight = subjects / (subjects + model.parameters["own_agreement_people"])
    assert hands.error_sd_deg("gh_er_0", published) ** 2 == pytest.approx(weight * sd**2 + (1 - weight) * published**2)
    assert hands.error_sd_deg("gh_abd", published) == published
