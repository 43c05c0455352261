"""The grammar: everything that may be said, made from the vocabulary and the spoken words."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import groupby, pairwise

from endfeel.vocabulary import LEVELS, REACHED, Catalogue, OutcomeKind, Procedure, Side, Unit
from endfeel.vocabulary.ranges import ALLOWED, PAIN, STRENGTH, Limits, units_of
from endfeel.voice.network import Either, Maybe, Network, Part, Row, Say, Some
from endfeel.voice.numbers import in_words
from endfeel.voice.spoken import Spoken

STEP_DEGREES = 5
"""Angles are said in steps of five; a finer one is typed or comes from the angle sensor."""
SMALLER_ANGLES = (130,)
MOST_DEGREES = 180
STEP_NEWTONS = 5
MOST_NEWTONS = 300
ARC = "painful_arc"
SCORED = "beighton"
RESULTS: dict[OutcomeKind, tuple[str, ...]] = {
    OutcomeKind.TEST: ("positive", "negative", "unclear"),
    OutcomeKind.PALPATION: ("positive", "negative"),
    OutcomeKind.NEURO: ("normal", "reduced", "absent", "increased"),
    OutcomeKind.VITAL: ("normal", "reduced", "increased"),
    OutcomeKind.OBSERVATION: ("normal", "positive"),
    OutcomeKind.LENGTH: ("normal", "reduced"),
    OutcomeKind.ACTIVE: ("normal", "reduced"),
    OutcomeKind.RESISTED: (),
    OutcomeKind.GLIDE: (),
    OutcomeKind.ANGULAR: (),
    OutcomeKind.STRESS: ("positive", "negative"),
}
"""Results that are said for a kind of procedure; others are pressed or typed."""
_SPINE = (*LEVELS, "T10")
_LETTERS = {"C": "cervical", "T": "thoracic", "L": "lumbar", "R": "rib"}


def whole_grammar(catalogue: Catalogue, limits: Limits, spoken: Spoken, front: Procedure | None = None) -> Network:
    """Commands, every finding with its procedure's name, and, for the procedure in front, what was found alone."""
    parts: list[Part] = [_commands(spoken)]
    findings: list[Part] = []
    said = sorted((p for p in catalogue if p.id in spoken.procedure), key=lambda p: str(_alike(p, limits)))
    for _, group in groupby(said, key=lambda p: _alike(p, limits)):
        alike = list(group)
        names = Either(tuple(Say(spoken.procedure[p.id], ("procedure", p.id)) for p in alike))
        findings.append(Row((names, *_level(alike[0]), _found(alike[0], limits, spoken))))
    parts.append(Row((_side(), Either(tuple(findings)))))
    if front is not None:
        parts.append(Row((*_level(front, spoken_already=False), _found(front, limits, spoken))))
    return Network.of(Either(tuple(parts)))


def _commands(spoken: Spoken) -> Part:
    return Either(tuple(Say(form, ("command", name)) for name, forms in spoken.command.items() for form in forms))


def _alike(procedure: Procedure, limits: Limits) -> tuple[object, ...]:
    """Procedures with the same key can be followed by the same words."""
    special = procedure.id if procedure.id in (ARC, SCORED) else ""
    return (
        procedure.outcomes,
        special,
        procedure.levels,
        units_of(procedure, limits),
        _most_degrees(procedure, limits),
    )


def _most_degrees(procedure: Procedure, limits: Limits) -> int:
    """The largest angle that is said: a rotation is not asked for above a hundred and thirty."""
    high = limits.of_value(procedure, Unit.DEGREES)[1]
    return next((most for most in (*SMALLER_ANGLES, MOST_DEGREES) if high <= most), MOST_DEGREES)


def _side() -> Part:
    return Maybe(Either(tuple(Say(f"{side} side", ("side", side.value)) for side in Side)))


def _level(procedure: Procedure, *, spoken_already: bool = True) -> Iterable[Part]:
    """The level: a segment by both its vertebrae (`thoracic five six`), a rib by its number."""
    if not procedure.levels:
        return ()
    named = Either(tuple(Say(level_words(level), ("level", level)) for level in procedure.levels))
    return (named if spoken_already else Maybe(named),)


def level_words(level: str) -> str:
    """How a level is said. Two numbers for a segment: one misheard number is then no other segment."""
    upper = f"{_LETTERS[level[0]]} {in_words(int(level[1:]))}"
    lower = dict(pairwise(_SPINE)).get(level)
    return f"{upper} {in_words(int(lower[1:]))}" if lower else upper


def _found(procedure: Procedure, limits: Limits, spoken: Spoken) -> Part:
    """What was found, in the order measure, result, end feel, pain; at least one of them."""
    return Some(tuple(_findings(procedure, limits, spoken)))


def _findings(procedure: Procedure, limits: Limits, spoken: Spoken) -> Iterator[Part]:
    allowed = ALLOWED[procedure.outcomes]
    units = units_of(procedure, limits)
    measures = tuple(_measures(procedure, units, limits, spoken))
    if measures:
        yield Either(measures)
    results = RESULTS[procedure.outcomes]
    if results:
        yield Either(tuple(Say(spoken.result[name], ("result", name)) for name in results))
    if "end_feel" in allowed and procedure.outcomes is not OutcomeKind.PALPATION:
        yield Either(tuple(Say(words, ("end_feel", name)) for name, words in spoken.end_feel.items()))
    if "pain" in allowed:
        grades = range(PAIN[0], PAIN[1] + 1)
        yield Either(tuple(Say(f"pain {in_words(grade)}", ("pain", str(grade))) for grade in grades))
        yield Either((Say("reproduces symptoms", ("familiar", "yes")), Say("not familiar", ("familiar", "no"))))
    if "apprehension" in allowed and procedure.outcomes in (OutcomeKind.TEST, OutcomeKind.STRESS):
        yield Say("with apprehension", ("apprehension", "yes"))


def _measures(procedure: Procedure, units: Sequence[Unit], limits: Limits, spoken: Spoken) -> Iterator[Part]:
    allowed = ALLOWED[procedure.outcomes]
    if "mobility" in allowed:
        yield Either(tuple(Say(words, ("mobility", str(grade))) for grade, words in spoken.grade.items()))
    if "strength" in allowed and procedure.outcomes is OutcomeKind.RESISTED:
        grades = range(STRENGTH[0], STRENGTH[1] + 1)
        yield Either(tuple(Say(f"strength {in_words(n)} of five", ("strength", str(n))) for n in grades))
    if procedure.id == ARC:
        yield Row((_angles("from", "pain_onset", (60, 90), after=""), _angles("to", "value", (90, 120, 180))))
    elif procedure.id == SCORED:
        yield Either(tuple(Say(f"{in_words(n)} points", ("value", f"{n} points")) for n in range(10)))
    elif Unit.LEVEL in units:
        yield Row((_reach("reaching", "value"), Maybe(_reach("other side", "other"))))
    elif procedure.outcomes in (OutcomeKind.ANGULAR, OutcomeKind.ACTIVE):
        angles = range(0, _most_degrees(procedure, limits) + 1, STEP_DEGREES)
        yield Row((_angles("", "value", angles), Maybe(_angles("other side", "other", angles))))
    elif Unit.NEWTONS in units and procedure.outcomes is OutcomeKind.RESISTED:
        forces = range(STEP_NEWTONS, MOST_NEWTONS + 1, STEP_NEWTONS)
        yield _numbers("", "value", forces, "newtons", "N")


def _angles(before: str, field: str, angles: Iterable[int], after: str = "degrees") -> Part:
    return _numbers(before, field, angles, after, "deg")


def _numbers(before: str, field: str, numbers: Iterable[int], after: str, unit: str) -> Part:
    said = Either(tuple(Say(in_words(n), (field, f"{n} {unit}")) for n in numbers))
    return Row(
        tuple(part for part in (Say(before), said, Say(after)) if not (isinstance(part, Say) and not part.words))
    )


def _reach(before: str, field: str) -> Part:
    places = ((place, place_words(place)) for place in REACHED)
    return Row((Say(before), Either(tuple(Say(words, (field, place)) for place, words in places))))


def place_words(place: str) -> str:
    """How the place a hand reaches is said."""
    return f"{_LETTERS[place[0]]} {in_words(int(place[1:]))}" if place[0] in "TL" and place[1:].isdigit() else place
