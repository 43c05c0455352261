"""Several simulated examiners on the same simulated people: a table of ratings, as real ones would write it.

What one hand reports has the chances of the links, as everywhere. What two hands report on one person hangs together
so that they agree by the published kappa: people differ, which makes hands agree by itself; what is missing comes
from what is there to be felt on the day, the same for every hand, which a hand reports with a stated chance, else
what it would report of such a person by itself. An angle is lost alike for every hand; only its measurement error is
the hand's own.
"""

from __future__ import annotations

import math
import zlib
from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from endfeel.evidence.library import Library
from endfeel.inference import Candidate, Model
from endfeel.inference.end_feels import is_end_feel
from endfeel.inference.examiner import hands_of
from endfeel.inference.observations import counted_once, limited_by
from endfeel.simulate.examiner import ASSUMED, Hands, chance_of, finding_of, happens, lost_degrees
from endfeel.simulate.people import Patient, draw_patient, draw_story
from endfeel.vocabulary import CannotRead, Fault, Finding, Procedure, Result, Unit

_NO_ERROR = Hands(angle_error_factor=0.0)


def simulated_ratings(
    procedure: Procedure, examiners: Mapping[str, Hands], people: int, seed: int, library: Library, model: Model,
    level: str | None = None,
) -> str:  # fmt: skip
    """CSV with a column an examiner and a line a person: grades 0 to 6, degrees, or yes and no.

    Raises CannotRead when simulated people show nothing of this procedure.
    """
    generator = np.random.default_rng([seed, 9])
    where = level or (procedure.levels[len(procedure.levels) // 2] if procedure.levels else None)
    drawn = [draw_patient(draw_story(library, generator), model, generator) for _ in range(people)]
    tests = [(procedure.id, one.case.complaint.side if procedure.sided else None, where) for one in drawn]
    outcomes = [one for one in counted_once(model.outcomes_of(procedure.id)) if not is_end_feel(one)]
    agreed = hands_of(library, model.parameters)
    feels = {one: _feels(agreed.kappa((procedure.id, one)), one, drawn, tests, model) for one in outcomes}
    lines = [",".join(["subject", *examiners])]
    for number, (patient, test) in enumerate(zip(drawn, tests, strict=True), 1):
        luck = int(generator.integers(2**31))
        found = [_reported(patient, test, model, hands, feels, luck, generator) for hands in examiners.values()]
        written = [_written(one) for one in found]
        if not all(written):
            would = "a test that is graded, measured in degrees, or positive and negative"
            raise CannotRead([Fault("simulated people show nothing of it", procedure.id, would)])
        lines.append(",".join([f"person {number}", *written]))
    return "\n".join(lines) + "\n"


def _feels(kappa: float, outcome: str, people: list[Patient], tests: list[Candidate], model: Model) -> float:
    """Chance with which a hand reports what is there on the day, so that two hands come to this kappa.

    Hands that report by themselves agree by the share of the variance that lies between people; nobody agrees less.
    """
    chances = np.array(
        [chance_of(one, (test[0], outcome), test, model) for one, test in zip(people, tests, strict=True)]
    )
    mean = float(chances.mean())
    between = float(chances.var()) / (mean * (1.0 - mean)) if 0.0 < mean < 1.0 else 1.0
    return math.sqrt(max(0.0, (kappa - between) / (1.0 - between))) if between < 1.0 else 0.0


def _reported(
    patient: Patient, test: Candidate, model: Model, hands: Hands, feels: Mapping[str, float], luck: int,
    own: np.random.Generator,
) -> Finding | None:  # fmt: skip
    """What one hand reports; `luck` is the person's, the same for every hand."""
    procedure = test[0]
    happened = {
        outcome: _happens(patient, (procedure, outcome), test, model, hands, feels[outcome], luck, own)
        for outcome in counted_once(model.outcomes_of(procedure))
        if not is_end_feel(outcome)
    }
    felt = finding_of(test, happened, model)
    spec = model.angles.get(procedure)
    if spec is None:
        return felt if happened else None
    same = np.random.default_rng([luck, 1])
    lost = lost_degrees(patient, test, limited_by(felt, model)[0], model, _NO_ERROR, same)
    lost += math.sqrt(2.0) * hands.angle_error_factor * spec.error_sd_deg * own.standard_normal()
    return replace(felt, value=spec.normal_deg - lost, other=spec.normal_deg, unit=Unit.DEGREES)


def _happens(
    patient: Patient, key: tuple[str, str], test: Candidate, model: Model, hands: Hands, feels: float,
    luck: int, own: np.random.Generator,
) -> bool:  # fmt: skip
    """One outcome: what is there to be felt, or what this hand reports by itself; its lapses lie in the second."""
    feels *= 1.0 - hands.lapse_share
    if own.random() < feels:
        same = np.random.default_rng([luck, zlib.crc32(key[1].encode())])
        return happens(patient, key, test, model, ASSUMED, same)
    rest = min(1.0, hands.lapse_share / (1.0 - feels)) if feels < 1.0 else 0.0
    return happens(patient, key, test, model, replace(hands, lapse_share=rest), own)


def _written(found: Finding | None) -> str:
    """The one thing of a finding that examiners are compared by; empty when there is none."""
    if found is None:
        return ""
    if found.mobility is not None:
        return str(found.mobility)
    if found.value is not None:
        return f"{found.value:.0f}"
    if found.result is not None:
        return "yes" if found.result is Result.POSITIVE else "no"
    if found.pain is not None:
        return "yes" if found.pain > 0 else "no"
    return str(found.strength) if found.strength is not None else ""
