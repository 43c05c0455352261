"""Generators shared by the property tests."""

from __future__ import annotations

from typing import Any

from hypothesis import strategies as st

from endfeel.vocabulary import (
    AREAS,
    Case,
    Complaint,
    EndFeel,
    Finding,
    Irritability,
    Onset,
    Person,
    Procedure,
    Result,
    Side,
    Treatment,
    Unit,
)
from endfeel.vocabulary.ranges import ALLOWED, units_of
from endfeel.vocabulary.shorthand import Shorthand

WORDS = st.text(st.characters(codec="utf-8", exclude_categories=("Cc", "Cs", "Zl", "Zp")), max_size=40).map(
    lambda text: " ".join(text.split())
)
"""Free words on one line, without surrounding space."""


def maybe(strategy: st.SearchStrategy[Any]) -> st.SearchStrategy[Any]:
    """The value, or not recorded."""
    return st.none() | strategy


def _number(low: float, high: float) -> st.SearchStrategy[float]:
    return st.floats(low, high, allow_nan=False).map(lambda value: round(value, 2) + 0.0)


@st.composite
def findings_of(draw: st.DrawFn, procedure: Procedure, shorthand: Shorthand) -> Finding:
    """Any finding the procedure can yield."""
    allowed = ALLOWED[procedure.outcomes]
    units = units_of(procedure, shorthand.limits)
    unit = draw(st.sampled_from(units)) if units else None
    low, high = shorthand.limits.of_value(procedure, unit) if unit else (0.0, 0.0)
    fields: dict[str, st.SearchStrategy[Any]] = {
        "mobility": st.integers(0, 6),
        "end_feel": st.sampled_from(EndFeel),
        "value": _number(low, high),
        "other": _number(low, high),
        "pain": _number(0, 10),
        "pain_onset": _number(low, high),
        "resistance_onset": _number(low, high),
        "familiar": st.booleans(),
        "result": st.sampled_from(Result),
        "apprehension": st.booleans(),
        "strength": st.integers(0, 5),
        "note": WORDS.map(lambda text: text or None),
    }
    if unit is Unit.LEVEL:
        fields |= {"value": st.integers(int(low), int(high)), "other": st.integers(int(low), int(high))}
        del fields["pain_onset"], fields["resistance_onset"]
    given = {name: draw(maybe(strategy)) for name, strategy in fields.items() if name in allowed}
    if all(value is None for value in given.values()):
        given["note"] = "nothing more"
    measured = any(given.get(name) is not None for name in ("value", "other", "pain_onset", "resistance_onset"))
    return Finding(
        procedure=procedure.id,
        side=draw(st.sampled_from(Side) if procedure.sided else maybe(st.sampled_from(Side))),
        level=draw(st.sampled_from(procedure.levels)) if procedure.levels else None,
        unit=unit if measured else None,
        **given,
    )


@st.composite
def any_finding(draw: st.DrawFn, shorthand: Shorthand) -> Finding:
    """Any finding of any procedure."""
    procedure = draw(st.sampled_from(tuple(shorthand.catalogue)))
    return draw(findings_of(procedure, shorthand))


@st.composite
def cases(draw: st.DrawFn, shorthand: Shorthand, cues: tuple[str, ...]) -> Case:
    """Any case a therapist could write."""
    return Case(
        person=Person(
            draw(maybe(st.integers(0, 120))), draw(maybe(st.sampled_from(("female", "male", "other")))),
            draw(maybe(st.sampled_from(Side))),
        ),
        complaint=Complaint(
            side=draw(maybe(st.sampled_from(Side))), onset=draw(maybe(st.sampled_from(Onset))),
            weeks=draw(maybe(_number(0, 5200))), irritability=draw(maybe(st.sampled_from(Irritability))),
            areas=tuple(draw(st.lists(st.sampled_from(tuple(AREAS)), unique=True, max_size=4))), story=draw(WORDS),
        ),
        screen=draw(st.dictionaries(st.sampled_from(cues), st.booleans(), max_size=6)),
        findings=tuple(draw(st.lists(any_finding(shorthand), max_size=5))),
        treatments=tuple(
            Treatment(technique, draw(WORDS), draw(WORDS))
            for technique in draw(st.lists(WORDS.filter(bool), max_size=2))
        ),
        retests=tuple(draw(st.lists(any_finding(shorthand), max_size=2))),
        title=draw(WORDS),
        invented=draw(st.booleans()),
    )  # fmt: skip
