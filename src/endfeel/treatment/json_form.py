"""The choice of techniques as plain data, for the command line and the JSON interface."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from endfeel.evidence.cite import number_or_none
from endfeel.evidence.figures import Figure
from endfeel.evidence.library import Library
from endfeel.measurement.retest import RetestComparison
from endfeel.measurement.signs import STEERS, STEERS_FIGURES, Sign, line_of
from endfeel.treatment.choice import EXPECTED, Choice, Offer
from endfeel.treatment.directions import MODEL_WORDS, GlideDirection
from endfeel.treatment.limits import Preference
from endfeel.treatment.techniques import KIND_WORDS, techniques
from endfeel.vocabulary import CannotRead, Fault


def check_preference(preference: Preference, library: Library) -> None:
    """Raises CannotRead naming every word that is no kind and no technique."""
    ids = {one.id for one in techniques(library)}
    faults = [
        Fault("no such kind or technique", word, f"hands_on, {', '.join(KIND_WORDS)}, or a technique's id")
        for word in sorted(preference.refused - ids - set(KIND_WORDS) - {"hands_on"})
    ]
    faults += [Fault("no such technique", word, "a technique's id") for word in sorted(preference.consented - ids)]
    if faults:
        raise CannotRead(faults)


def choice_json(choice: Choice, retests: Sequence[RetestComparison], library: Library) -> dict[str, Any]:
    """Everything a page or another program needs, every figure with its source."""
    return {
        "withheld": choice.withheld,
        "stage": choice.stage,
        "irritability": choice.irritability,
        "position": choice.position,
        "offers": [_offer(one) for one in choice.offers],
        "unchanged": _offer(choice.unchanged),
        "behind_screening": [
            {"offer": _offer(one.offer), "questions": list(one.questions), "needs_consent": one.needs_consent}
            for one in choice.locked
        ],
        "left_out": [
            {"id": one.technique.id, "name": one.technique.name, "reason": one.reason} for one in choice.left_out
        ],
        "directions": [_direction(one) for one in choice.directions],
        "signs": [_sign(one) for one in choice.signs],
        "retests": [
            {
                "procedure": one.procedure, "side": one.side, "level": one.level, "line": line_of(one),
                "verdict": one.verdict, "direction": one.direction,
            }
            for one in retests
        ],
        "steers": {"text": STEERS, "figures": [_figure(library.figure(one)) for one in STEERS_FIGURES]},
        "expected": EXPECTED,
        "model": MODEL_WORDS,
        "caveats": list(choice.caveats),
    }  # fmt: skip


def _offer(one: Offer) -> dict[str, Any]:
    return {
        "id": one.technique.id,
        "name": one.name,
        "kind": one.technique.kind,
        "joint": one.technique.joint,
        "direction": one.technique.direction,
        "side": one.side,
        "level": one.level,
        "position": one.position,
        "same_position": one.stays,
        "needed_for": [{"name": name, "probability": round(chance, 4)} for name, chance in one.needed_for],
        "dose": {"text": one.dose.text, "grade": one.dose.grade, "irritability": one.dosed_for,
                 "figure": _figure(one.dose.words)},
        "expected_points": {"value": round(one.expected_points, 2), "low": round(one.expected_low, 2),
                            "high": round(one.expected_high, 2)} if one.technique.treatment_class else None,
        "may_cost": one.harm_words,
        "trials": [{"text": effect.words, "certainty": effect.certainty, "figure": _figure(effect.figure)}
                   for effect in one.effects],
        "against": list(one.against),
        "why": one.why,
        "do_again": [_sign(sign) for sign in one.signs],
        "figures": list(one.figures),
        "source": one.source,
        "provenance": one.provenance,
    }  # fmt: skip


def _sign(one: Sign) -> dict[str, Any]:
    return {
        "procedure": one.finding.procedure, "name": one.name, "side": one.finding.side, "level": one.finding.level,
        "found": one.shown, "smallest_change": one.smallest, "reasons": list(one.reasons),
        "figures": list(one.figures),
    }  # fmt: skip


def _direction(one: GlideDirection) -> dict[str, Any]:
    return {
        "procedure": one.procedure, "name": one.name, "lost_deg": one.lost_deg, "against": one.against,
        "rule": {"direction": one.rule, "figure": _figure(one.rule_figure)},
        "publications": {"favour": one.favours.text, "figures": [_figure(figure) for figure in one.evidence]},
        "model": {
            "tight": one.contributor,
            "glides": [
                {"direction": glide.direction, "added_strain": number_or_none(glide.added),
                 "best_share": number_or_none(glide.best), "figure": glide.added.id}
                for glide in one.model
            ],
        },
        "verdict": one.verdict,
    }  # fmt: skip


def _figure(figure: Figure) -> dict[str, Any]:
    return {
        "id": figure.id, "text": figure.text, "value": number_or_none(figure), "low": figure.low, "high": figure.high,
        "unit": figure.unit, "provenance": figure.provenance.label, "citation": figure.source.citation,
        "address": figure.source.address,
    }  # fmt: skip
