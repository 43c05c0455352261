"""Simulated people: findings come as often as the links say, seeds repeat, and a wrong forecaster is found out."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from endfeel.evidence.library import Library
from endfeel.inference import Model, build_model, infer
from endfeel.inference.network import build_network
from endfeel.simulate import (
    ASSUMED,
    Hands,
    Patient,
    Tally,
    draw_patient,
    draw_story,
    find,
    join_blocks,
    minutes_for,
    resampled,
    run_block,
    summed,
)
from endfeel.simulate.people import between_nodes
from endfeel.vocabulary import Case, Complaint, Irritability, Onset, Person, Result, Side

MANY = 3000


@pytest.fixture(scope="module")
def model(library: Library) -> Model:
    return build_model(library)


def somebody(model: Model, present: set[str], provocation: float = 0.0, laxity: float = 0.0) -> Patient:
    case = Case(
        Person(50), Complaint(side=Side.RIGHT, onset=Onset.GRADUAL, weeks=12, irritability=Irritability.MODERATE)
    )
    network = build_network(case, model)
    there = np.array([instance.id in present and instance.side in (None, Side.RIGHT) for instance in network.instances])
    return Patient(case, network, there, provocation, laxity)


@pytest.mark.parametrize(
    ("procedure", "present"),
    [("hawkins", set()), ("hawkins", {"cuff_pain"}), ("er_lag", {"infraspinatus_tear"}), ("er_lag", set())],
)
def test_an_outcome_comes_as_often_as_the_network_says(procedure: str, present: set[str], model: Model) -> None:
    """At a node of the nuisance: the network's own probability, within five standard errors."""
    node = int(np.argmax(model.nodes.weights))
    place = float(model.nodes.places[node])
    patient = somebody(model, present, place, place)
    generator = np.random.default_rng(3)
    test = (procedure, Side.RIGHT, None)
    seen = [find(patient, test, model, ASSUMED, generator) for _ in range(MANY)]
    share = sum(one is not None and one.result is Result.POSITIVE for one in seen) / MANY
    network = build_network(
        replace(patient.case, findings=(replace(next(o for o in seen if o), result=Result.POSITIVE),)), model
    )
    factor = next(f for f in network.binaries if f.observation.key == (procedure, "positive"))
    joint = next(k for k in range(len(model.nodes.provocation_index))
                 if model.nodes.provocation_index[k] == node == model.nodes.laxity_index[k])  # fmt: skip
    fails = factor.log_no_leak[joint] + sum(
        factor.log_fail[row, joint] for row, parent in enumerate(factor.parents) if patient.present[parent]
    )
    wanted = 1.0 - math.exp(fails)
    assert abs(share - wanted) < 5.0 * math.sqrt(wanted * (1.0 - wanted) / MANY)


def test_between_nodes_is_the_table_at_them_and_between_its_neighbours(model: Model) -> None:
    places = model.nodes.places
    table = np.array([0.1, 0.2, 0.4, 0.7, 0.9])
    for k, place in enumerate(places):
        assert between_nodes(table, places, float(place)) == pytest.approx(table[k])
    middle = float(between_nodes(table, places, float((places[1] + places[2]) / 2)))
    assert 0.2 < middle < 0.4
    assert float(between_nodes(table, places, 10.0)) <= 1.0


def test_a_lost_angle_has_the_mean_and_spread_of_its_links(model: Model) -> None:
    """Without strays: effect of the link, and its spread together with the error of two measurements."""
    values = model.parameters.values | {"stray_angle_share": 0.0, "guarding_limited_share": 1e-9}
    plain = replace(model, parameters=replace(model.parameters, values=values))
    patient = somebody(plain, {"capsule_global"})
    generator = np.random.default_rng(4)
    spec = plain.angles["gh_er_0"]
    link = next(one for index, one in spec.causes if plain.contributors[index].id == "capsule_global")
    lost = []
    for _ in range(MANY):
        found = find(patient, ("gh_er_0", Side.RIGHT, None), plain, ASSUMED, generator)
        assert found is not None
        assert found.value is not None
        assert found.other is not None
        lost.append(found.other - found.value)
    spread = math.sqrt(link.effect_sd_deg**2 + 2 * spec.error_sd_deg**2 + spec.side_sd_deg**2)
    assert abs(np.mean(lost) - link.effect_deg) < 5.0 * spread / math.sqrt(MANY)
    assert np.std(lost) == pytest.approx(spread, rel=0.08)


def test_the_same_seed_draws_the_same_people_and_scores(library: Library, model: Model) -> None:
    one, again = (run_block(library, model, 7, 3, "as assumed", (10.0,)) for _ in range(2))
    other = run_block(library, model, 8, 3, "as assumed", (10.0,))
    assert all(np.array_equal(rows, again[key]) for key, rows in one.items())
    assert any(not np.array_equal(one[key], other[key]) for key in one)
    both = summed(join_blocks([one, other]))
    assert all(both[key].total("people") == 6 for key in both)


def test_bootstrap_keeps_its_people_together_and_covers_the_estimate(library: Library, model: Model) -> None:
    """Two ways that are the same differ by nothing in any sample; samples spread about the estimate."""
    generator = np.random.default_rng(3)
    rows = np.zeros((200, len(next(iter(run_block(library, model, 7, 1, "as assumed", ()).values()))[0])))
    rows[:, 0] = rows[:, 2] = 10.0
    rows[:, 3] = generator.binomial(10, 0.7, 200)
    found = {("a", 0.0, "x"): rows, ("a", 0.0, "y"): rows.copy()}
    shares = []
    for sample in resampled(found, 300, 1):
        x, y = (sample["a", 0.0, way].share("first_right") for way in "xy")
        assert x == y
        shares.append(x)
    assert np.std(shares) == pytest.approx(math.sqrt(0.7 * 0.3 / 2000), rel=0.25)
    assert abs(np.mean(shares) - rows[:, 3].sum() / 2000) < 0.002


def test_tests_of_one_family_come_up_together_as_the_network_says(model: Model) -> None:
    """Two AC tests in people without any contributor, at a node: both positive, within five standard errors."""
    node = int(np.argmax(model.nodes.weights))
    place = float(model.nodes.places[node])
    nobody = somebody(model, set(), place, place)
    tests = [(name, Side.RIGHT, None) for name in ("ac_cross_body", "ac_resisted_ext")]
    generator = np.random.default_rng(5)
    both, found = 0, ()
    for person in range(MANY):
        patient = replace(nobody, oddities=person)
        found = tuple(f for f in (find(patient, test, model, ASSUMED, generator) for test in tests) if f)
        both += all(one.result is Result.POSITIVE for one in found)
    positive = tuple(replace(one, result=Result.POSITIVE) for one in found)
    network = build_network(replace(nobody.case, findings=positive), model)
    joint = int(np.flatnonzero(model.nodes.provocation_index == node)[0])
    hidden = network.shared[0].prior
    own = [factor.log_no_leak[joint] for factor in network.binaries]
    effect = [factor.log_fail[-1, joint] for factor in network.binaries]
    apart = math.prod(1.0 - math.exp(one) for one in own)
    together = math.prod(1.0 - math.exp(one + other) for one, other in zip(own, effect, strict=True))
    wanted = (1.0 - hidden) * apart + hidden * together
    assert abs(both / MANY - wanted) < 5.0 * math.sqrt(wanted * (1.0 - wanted) / MANY)
    assert wanted > 1.5 * math.prod(
        1.0 - math.exp(one) * (1 - hidden + hidden * math.exp(e)) for one, e in zip(own, effect, strict=True)
    )


def test_a_story_moves_who_is_hidden(library: Library, model: Model) -> None:
    generator = np.random.default_rng(2)
    case = draw_story(library, generator)
    assert case.invented
    assert case.findings == ()
    shares = np.mean([draw_patient(case, model, generator).present for _ in range(MANY)], axis=0)
    prior = build_network(case, model).prior
    assert np.abs(shares - prior).max() < 5.0 * math.sqrt(0.25 / MANY)


def test_calibration_error_and_brier_by_hand() -> None:
    """Four at 0.95 of which three are so, four at 0.05 of which none is."""
    said = np.array([0.95] * 4 + [0.05] * 4)
    so = np.array([True] * 3 + [False] + [False] * 4)
    tally = Tally.of(said, so)
    assert tally.calibration_error == pytest.approx((4 * 0.95 - 3 + 4 * 0.05) / 8)
    assert tally.brier == pytest.approx((3 * 0.05**2 + 0.95**2 + 4 * 0.05**2) / 8)
    assert [(round(s, 2), round(t, 2), n) for s, t, n in tally.curve] == [(0.05, 0.0, 4), (0.95, 0.75, 4)]
    halves = Tally.of(said[:4], so[:4]) + Tally.of(said[4:], so[4:])
    assert halves.brier == pytest.approx(tally.brier)


def test_an_overconfident_forecaster_is_found_out() -> None:
    generator = np.random.default_rng(1)
    truth = generator.random(400_000)
    so = generator.random(400_000) < truth
    sharp = truth**3 / (truth**3 + (1 - truth) ** 3)
    assert Tally.of(truth, so).calibration_error < 0.01
    assert Tally.of(sharp, so).calibration_error > 0.08


def test_minutes_for_a_score_by_hand() -> None:
    curve = [(0.0, 0.3), (5.0, 0.4), (10.0, 0.6)]
    assert minutes_for(curve, 0.5) == pytest.approx(7.5)
    assert minutes_for(curve, 0.35) == pytest.approx(2.5)
    assert minutes_for(curve, 0.2) == 0.0
    assert minutes_for(curve, 0.7) is None


def test_the_inference_is_calibrated_on_its_own_people_and_multiplied_ratios_are_not(
    library: Library, model: Model
) -> None:
    found = summed(run_block(library, model, 11, 60, "as assumed", (20.0,)))
    ours = found["as assumed", 20.0, "planned"].everything
    ratios = found["as assumed", 20.0, "independent ratios"].everything
    assert ours.calibration_error < 0.03
    assert ratios.calibration_error > 2 * ours.calibration_error
    assert ours.brier < ratios.brier
    flat = found["as assumed", 20.0, "nuisances ignored"].everything
    assert flat.brier > ours.brier  # on so few people the calibration errors of these two differ by chance
    fair = found["as assumed", 20.0, "textbook without screening"]
    assert fair.total("tests") > 0


def test_a_worse_examiner_tells_less(library: Library, model: Model) -> None:
    patient = somebody(model, {"capsule_global"})
    generator = np.random.default_rng(9)

    def spread_of(hands: Hands) -> float:
        lost = []
        for _ in range(400):
            found = find(patient, ("gh_er_0", Side.RIGHT, None), model, hands, generator)
            assert found is not None
            assert found.value is not None
            lost.append(found.value)
        low, high = np.quantile(lost, [0.25, 0.75])
        return float(high - low)

    assert spread_of(Hands(angle_error_factor=3.0)) > 1.2 * spread_of(ASSUMED)
    assert infer(patient.case, model).beliefs
