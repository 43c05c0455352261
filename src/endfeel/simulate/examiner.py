"""What a hand would find on a simulated person, and how good the hand is."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from endfeel.inference import Candidate, Model
from endfeel.inference.degrees import PAINLESS, WEAK_WITHIN
from endfeel.inference.end_feels import PREFIX, asked_in_turn, is_end_feel
from endfeel.inference.families import split_leak, usual_effect
from endfeel.inference.links import Key
from endfeel.inference.network import parents_of
from endfeel.inference.nuisances import Array, slope_of, spread
from endfeel.inference.observations import counted_once, limited_by
from endfeel.simulate.people import Patient, at_place, between_nodes, logits_of
from endfeel.vocabulary import REACHED, EndFeel, Finding, Result, Unit


@dataclass(frozen=True, slots=True)
class Hands:
    """How an examiner errs beyond what the links already hold."""

    lapse_share: float = 0.0
    """Share of felt and judged outcomes that are reported as they come up in anybody, whatever is there."""
    angle_error_factor: float = 1.0
    """Times the assumed error of a measured angle."""


ASSUMED = Hands()


def find(
    patient: Patient, test: Candidate, model: Model, hands: Hands, generator: np.random.Generator
) -> Finding | None:
    """The finding of one test; None when the model knows no outcome of it."""
    procedure = test[0]
    happened = {
        outcome: happens(patient, (procedure, outcome), test, model, hands, generator)
        for outcome in counted_once(model.outcomes_of(procedure))
        if not is_end_feel(outcome)
    }
    felt = replace(finding_of(test, happened, model), end_feel=_end(patient, test, model, hands, generator))
    if procedure in model.angles:
        spec = model.angles[procedure]
        lost = lost_degrees(patient, test, limited_by(felt, model)[0], model, hands, generator)
        if spec.step_deg:
            highest = float(len(REACHED) - 1)
            step = min(highest, max(0.0, round((spec.normal_deg - lost) / spec.step_deg)))
            return replace(felt, value=step, other=spec.normal_deg / spec.step_deg, unit=Unit.LEVEL)
        return replace(felt, value=spec.normal_deg - lost, other=spec.normal_deg, unit=Unit.DEGREES)
    return felt if happened else None


def _end(
    patient: Patient, test: Candidate, model: Model, hands: Hands, generator: np.random.Generator
) -> EndFeel | None:
    """The first word that is said when all are asked in turn; a usual end when none is."""
    asked = asked_in_turn(model.outcomes_of(test[0]))
    for outcome in asked:
        if happens(patient, (test[0], outcome), test, model, hands, generator):
            return EndFeel(outcome.removeprefix(PREFIX))
    return EndFeel.FIRM_CAPSULAR if asked else None


def happens(
    patient: Patient, key: Key, test: Candidate, model: Model, hands: Hands, generator: np.random.Generator
) -> bool:
    """Whether one outcome is reported."""
    lapsed = generator.random() < hands.lapse_share
    return bool(generator.random() < chance_of(patient, key, test, model, lapsed=lapsed))


def chance_of(patient: Patient, key: Key, test: Candidate, model: Model, *, lapsed: bool = False) -> float:
    """Chance of one outcome: leak and causes at the person's own place on the nuisance, as the network has them at its
    nodes; of a report made without looking, the leak alone."""
    spec, told = model.binaries[key], _told(key, model)
    place = patient.provocation if spec.loading == "provocation" else patient.laxity
    leak = float(at_place(told.leak, model.nodes.places, place))
    fail = 1.0 - leak
    if not lapsed:
        odd = False
        if told.family is not None and patient.oddities is not None:
            odd = patient.has_oddity(told.family, test, model.parameters["family_prior"])
        own = told.leak_alone if patient.oddities is None else told.leak_with_oddity if odd else told.own_leak
        fail = 1.0 - float(at_place(own, model.nodes.places, place))
        for i, cause, share in parents_of(spec, test[1], test[2], patient.placed, model.parameters["neighbour_level"]):
            if patient.present[i]:
                here = float(at_place(told.alone[cause], model.nodes.places, place))
                left = (1.0 - here) / (1.0 - leak)
                fail *= 1.0 - share * (1.0 - min(1.0, left))
    return 1.0 - fail


@dataclass(frozen=True, slots=True)
class _Told:
    """Log odds of one outcome at the nodes (..., NODES): what they are does not depend on the person."""

    leak: Array
    alone: Array
    """(causes, NODES) with one cause and nothing else."""
    leak_alone: Array
    """By itself, where nobody has hidden causes of families."""
    own_leak: Array
    """By itself, in a person without the family's hidden cause; with it:"""
    leak_with_oddity: Array
    family: str | None


def _told(key: Key, model: Model) -> _Told:
    """Made once a model."""
    name = "told", key
    if name not in model.kept:
        at, family = model.at_nodes[key], model.families.get(key)
        whole = own = np.log1p(-at.leak)
        odd = own
        if family is not None:
            usual = usual_effect(model.binaries[key], at.log_fail, model.contributors)
            own, effect = split_leak(own, usual, model.parameters, key[1])
            odd = own + effect
        alone = 1.0 - (1.0 - at.leak) * np.exp(at.log_fail)
        by_itself = [logits_of(-np.expm1(one)) for one in (whole, own, odd)]
        model.kept[name] = _Told(logits_of(at.leak), logits_of(alone), by_itself[0], by_itself[1], by_itself[2], family)
    kept = model.kept[name]
    assert isinstance(kept, _Told)  # noqa: S101
    return kept


def lost_degrees(
    patient: Patient, test: Candidate, limit: str, model: Model, hands: Hands, generator: np.random.Generator
) -> float:
    """Degrees missing against the other side; `limit` is what but structure may have stopped the motion."""
    spec, of = model.angles[test[0]], model.parameters
    name, share = "stray_angle", of["stray_angle_share"]
    if limit:
        name = f"{limit}_limited"
        table = spread(np.array(of[f"{name}_share"]), slope_of(of["provocation_correlation"]), model.nodes)
        share = float(between_nodes(table, model.nodes.places, patient.provocation))
    if generator.random() < share:
        return float(of[f"{name}_sd"] * generator.standard_normal())
    mean, variance = 0.0, 0.0
    for i, cause, _ in parents_of(spec, test[1], None, patient.placed, 1.0):
        if patient.present[i] and not patient.network.instances[i].contributor.bilateral:
            link = spec.causes[cause][1]
            mean, variance = mean + link.effect_deg, variance + link.effect_sd_deg**2
    error = 2.0 * (hands.angle_error_factor * spec.error_sd_deg) ** 2 + spec.side_sd_deg**2
    return float(mean + np.sqrt(variance + error) * generator.standard_normal())


def finding_of(test: Candidate, happened: dict[str, bool], model: Model) -> Finding:
    """Outcomes written down so that reading the finding gives the same outcomes back."""
    procedure, side, level = test
    of = model.parameters
    mobility = None
    if "hypo" in happened or "hyper" in happened:
        mobility = (int(of["hypo_grade"]) + int(of["hyper_grade"])) // 2
        if happened.get("hypo"):
            mobility = int(of["very_stiff_grade" if happened.get("very_stiff") else "hypo_grade"])
        elif happened.get("hyper"):
            mobility = int(of["very_slack_grade" if happened.get("very_slack") else "hyper_grade"])
    result = None
    if "positive" in happened:
        result = Result.POSITIVE if happened["positive"] else Result.NEGATIVE
    strength = None
    if "weak" in happened or WEAK_WITHIN in happened:
        weak = happened.get("weak", happened.get("positive") and happened.get(WEAK_WITHIN))
        strength = int(of["full_strength"])
        if weak:
            strength = int(of["very_weak_grade"]) if happened.get("very_weak") else strength - 1
    pain, familiar = None, None
    if "pain" in happened:
        pain, familiar = (None, True) if happened["pain"] else (0.0, None)
    elif PAINLESS in happened and happened.get("positive") and happened.get(WEAK_WITHIN):
        pain, familiar = (0.0, None) if happened[PAINLESS] else (None, True)
    return Finding(
        procedure, side, level, mobility=mobility, pain=pain, familiar=familiar, result=result, strength=strength,
        apprehension=happened.get("apprehension"),
    )  # fmt: skip
