"""Which controls a procedure's kind of outcome wants, the most used first."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from endfeel.evidence.library import Library
from endfeel.vocabulary import EndFeel, OutcomeKind, Procedure, Result, Unit
from endfeel.vocabulary.ranges import ALLOWED, UNITS, Limits, units_of
from endfeel.vocabulary.terms import REACHED

FIRST: Mapping[OutcomeKind, tuple[str, ...]] = {
    OutcomeKind.GLIDE: ("mobility", "end_feel", "pain", "familiar"),
    OutcomeKind.ANGULAR: ("value", "other", "end_feel", "pain", "familiar"),
    OutcomeKind.ACTIVE: ("value", "other", "pain", "familiar"),
    OutcomeKind.TEST: ("result", "pain", "familiar"),
    OutcomeKind.STRESS: ("mobility", "end_feel", "pain", "familiar", "apprehension"),
    OutcomeKind.RESISTED: ("strength", "pain", "familiar"),
    OutcomeKind.PALPATION: ("pain", "familiar", "result"),
    OutcomeKind.NEURO: ("result",),
    OutcomeKind.VITAL: ("value", "result"),
    OutcomeKind.OBSERVATION: ("result", "note"),
    OutcomeKind.LENGTH: ("value", "other", "end_feel", "pain", "familiar"),
}
"""Shown at once; the rest of what a kind may hold opens under "more"."""
NORMAL: Mapping[OutcomeKind, Mapping[str, str]] = {
    OutcomeKind.GLIDE: {"mobility": "3", "pain": "0"},
    OutcomeKind.STRESS: {"mobility": "3", "pain": "0"},
    OutcomeKind.ANGULAR: {"result": "normal", "pain": "0"},
    OutcomeKind.ACTIVE: {"result": "normal", "pain": "0"},
    OutcomeKind.LENGTH: {"result": "normal", "pain": "0"},
    OutcomeKind.TEST: {"result": "negative"},
    OutcomeKind.RESISTED: {"strength": "5", "pain": "0"},
    OutcomeKind.PALPATION: {"pain": "0"},
    OutcomeKind.NEURO: {"result": "normal"},
    OutcomeKind.OBSERVATION: {"result": "normal"},
}
"""What one press on "normal" records, by kind: the middle of the scale, the full grade, a negative test, no pain."""
NORMAL_WORDS: Mapping[OutcomeKind, str] = {
    OutcomeKind.GLIDE: "Normal: grade 3, no pain",
    OutcomeKind.STRESS: "Normal: grade 3, no pain",
    OutcomeKind.ANGULAR: "Normal, no pain",
    OutcomeKind.ACTIVE: "Normal, no pain",
    OutcomeKind.LENGTH: "Normal, no pain",
    OutcomeKind.TEST: "Negative",
    OutcomeKind.RESISTED: "Strong: 5 of 5, no pain",
    OutcomeKind.PALPATION: "No pain",
    OutcomeKind.NEURO: "Normal",
    OutcomeKind.OBSERVATION: "Normal",
}
"""The same, as the button says it."""
MOST_ON_A_RULER = 250
HALF_TURN = (0.0, 180.0, 5.0)
_SLID = (Unit.DEGREES,)
OWN_TASK = "as the task"
SHOWN_BY_PERSON = ("note", "pain", "familiar")
"""First where the person shows a task of their own: which one it is, before anything is measured."""
ORDER = (
    "mobility",
    "value",
    "other",
    "strength",
    "result",
    "end_feel",
    "pain",
    "familiar",
    "apprehension",
    "pain_onset",
    "resistance_onset",
    "note",
)
_GRADED = (Result.NORMAL, Result.REDUCED, Result.ABSENT, Result.INCREASED, Result.UNCLEAR)
_TOLD = (Result.POSITIVE, Result.NEGATIVE, Result.UNCLEAR, Result.NORMAL, Result.NOT_DONE)
_SIGNS = {Result.POSITIVE: "+ positive", Result.NEGATIVE: "− negative", Result.UNCLEAR: "? unclear"}


@dataclass(frozen=True, slots=True)
class Controls:
    """The controls of one procedure."""

    first: tuple[str, ...]
    more: tuple[str, ...]
    units: tuple[Unit, ...]
    results: tuple[tuple[str, str], ...]
    """Value and label of each result button."""
    end_feels: tuple[tuple[str, str, str], ...]
    """Value, name and what it feels like."""
    start_at: float
    """Where stepping begins in an empty field: the middle of what can be, in the usual unit."""
    scale: tuple[float, float, float] | None = None
    """Lowest, highest and step of a ruler to slide along; none where the limits are not of that kind."""
    places: tuple[str, ...] = ()
    """Where a hand can reach, from below, for procedures that are told in places."""
    closes: bool = False
    """Whether a press on pain ends the finding."""


def controls_of(procedure: Procedure, library: Library, limits: Limits) -> Controls:
    """What to show for this procedure, in order."""
    kind = procedure.outcomes
    allowed = ALLOWED[kind]
    wanted = SHOWN_BY_PERSON if procedure.direction == OWN_TASK else FIRST[kind]
    first = tuple(name for name in wanted if name in allowed)
    results = _GRADED if kind is OutcomeKind.NEURO else _TOLD
    units = UNITS.get(kind, ())
    low, high = limits.of_value(procedure, units[0]) if units else (0.0, 0.0)
    reaches = Unit.LEVEL in units_of(procedure, limits)
    named = {entry["id"]: entry for entry in library.documents["joint_rules"]["end_feel"]}
    return Controls(
        first=first,
        more=tuple(name for name in ORDER if name in allowed and name not in first),
        units=units,
        results=tuple((str(one), _SIGNS.get(one, str(one).replace("_", " "))) for one in results),
        end_feels=tuple((str(one), *_felt(one, named)) for one in EndFeel),
        scale=_scale(low, high) if units and units[0] in _SLID and not reaches else None,
        places=REACHED if reaches else (),
        closes="pain" in wanted,
        start_at=round((low + high) / 10) * 5 if abs(low) + abs(high) < float("inf") else 0.0,
    )


def _scale(low: float, high: float) -> tuple[float, float, float] | None:
    """In steps of five, finer by the buttons beside it. Where the limits are those of any angle, a half turn will do:
    what lies beyond is typed."""
    return (low, high, 5.0) if high - low < MOST_ON_A_RULER else HALF_TURN


def _felt(one: EndFeel, named: Mapping[str, Mapping[str, str]]) -> tuple[str, str]:
    entry = named.get(str(one), {})
    return entry.get("name", str(one).replace("_", " ")), entry.get("feel", "")
