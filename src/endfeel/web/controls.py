"""Which controls a procedure's kind of outcome wants, the most used first."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from endfeel.evidence.library import Library
from endfeel.vocabulary import EndFeel, OutcomeKind, Procedure, Result, Unit
from endfeel.vocabulary.ranges import ALLOWED, UNITS, Limits

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


def controls_of(procedure: Procedure, library: Library, limits: Limits) -> Controls:
    """What to show for this procedure, in order."""
    kind = procedure.outcomes
    allowed = ALLOWED[kind]
    wanted = SHOWN_BY_PERSON if procedure.direction == OWN_TASK else FIRST[kind]
    first = tuple(name for name in wanted if name in allowed)
    results = _GRADED if kind is OutcomeKind.NEURO else _TOLD
    units = UNITS.get(kind, ())
    low, high = limits.of_value(procedure, units[0]) if units else (0.0, 0.0)
    named = {entry["id"]: entry for entry in library.documents["joint_rules"]["end_feel"]}
    return Controls(
        first=first,
        more=tuple(name for name in ORDER if name in allowed and name not in first),
        units=units,
        results=tuple((str(one), _SIGNS.get(one, str(one).replace("_", " "))) for one in results),
        end_feels=tuple((str(one), *_felt(one, named)) for one in EndFeel),
        start_at=round((low + high) / 10) * 5 if abs(low) + abs(high) < float("inf") else 0.0,
    )


def _felt(one: EndFeel, named: Mapping[str, Mapping[str, str]]) -> tuple[str, str]:
    entry = named.get(str(one), {})
    return entry.get("name", str(one).replace("_", " ")), entry.get("feel", "")
