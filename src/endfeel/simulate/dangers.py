"""A danger put into a simulated person: a red flag, and answers that by the rules of safety raise it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from itertools import combinations, product
from typing import Any

import numpy as np

from endfeel.evidence.library import Library
from endfeel.safety import Urgency, first_screen, verdict
from endfeel.simulate.signs import shows, signs_of
from endfeel.vocabulary import Case, Finding, Onset

DOCUMENT = "teaching"
_TRIES = 200
Ways = frozenset[frozenset[str]]


@dataclass(frozen=True, slots=True)
class PlacedDanger:
    """One red flag in a person, with the answers that give it away."""

    flag: str
    name: str
    urgency: Urgency
    cues: tuple[str, ...]
    """Those answers: yes to each raises it."""
    signs: tuple[Finding, ...] = ()
    """What eye and hand find of it."""


def ways_to_raise(rule: Any) -> Ways:
    """Sets of cues that meet a rule, none holding another."""
    if isinstance(rule, str):
        return frozenset({frozenset({rule})})
    ((word, value),) = rule.items()
    if word == "any":
        return _smallest(way for one in value for way in ways_to_raise(one))
    if word == "all":
        return _joined([ways_to_raise(one) for one in value])
    count, some = value
    return _smallest(way for few in combinations(some, count) for way in _joined([ways_to_raise(one) for one in few]))


def _joined(parts: list[Ways]) -> Ways:
    return _smallest(frozenset().union(*chosen) for chosen in product(*parts))


def _smallest(ways: Iterable[frozenset[str]]) -> Ways:
    found = set(ways)
    return frozenset(one for one in found if not any(other < one for other in found))


def askable_cues(library: Library) -> tuple[str, ...]:
    """Cues that a person can be asked, in the order of the screen."""
    by_hand = library.documents[DOCUMENT]["danger"]["by_hand"]
    items = [item for item in first_screen(library) if item.title not in by_hand]
    return tuple(dict.fromkeys(one.id for item in items for one in item.follow_up))


_PLAYED: dict[str, Mapping[str, tuple[frozenset[str], ...]]] = {}


def played_flags(library: Library) -> Mapping[str, tuple[frozenset[str], ...]]:
    """Flags that can be put into a person, each with the ways in which answers alone raise it."""
    if library.release not in _PLAYED:
        _PLAYED[library.release] = _played(library)
    return _PLAYED[library.release]


def _played(library: Library) -> dict[str, tuple[frozenset[str], ...]]:
    askable = set(askable_cues(library))
    barred = set(library.documents[DOCUMENT]["danger"]["not_played"])
    found: dict[str, tuple[frozenset[str], ...]] = {}
    for rule in library.documents["safety_rules"]["rule"]:
        flag = rule["red_flag"]
        ways = sorted(
            (one for one in ways_to_raise(rule["when"]) if all(cue in askable or _is_age(cue) for cue in one)),
            key=sorted,
        )
        if ways and flag not in barred:
            found[flag] = tuple(ways)
    return found


def place_danger(case: Case, library: Library, generator: np.random.Generator) -> tuple[Case, PlacedDanger]:
    """The story changed where the danger asks for it, with every answer, and the danger that it then raises."""
    flags = played_flags(library)
    names = {flag["id"]: flag["name"] for flag in library.documents["safety"]["red_flag"]}
    for _ in range(_TRIES):
        flag = str(generator.choice(sorted(flags)))
        way = flags[flag][int(generator.integers(len(flags[flag])))]
        cues = tuple(sorted(cue for cue in way if not _is_age(cue)))
        told = _fitting(case, way, library, generator)
        comes = shows(flag, library)
        asked = [cue for cue in comes["signs"] if cue in case.screen]
        areas = tuple(dict.fromkeys((*comes["areas"], *told.complaint.areas)))
        made = replace(
            told, screen={**told.screen, **dict.fromkeys((*cues, *asked), True)},
            complaint=replace(told.complaint, areas=areas),
        )  # fmt: skip
        signs = signs_of((*cues, *comes["signs"]), made.complaint.side, library)
        found = verdict(replace(made, findings=signs), library)
        raised = next((one for one in found.raised if one.id == flag), None)
        if raised is not None and found.is_pressing and raised.urgency is found.urgency:
            return made, PlacedDanger(flag, names[flag], found.urgency, cues, signs)
    raise AssertionError("no danger of the rules fits any story")  # the data would have to hold none


def _fitting(case: Case, way: frozenset[str], library: Library, generator: np.random.Generator) -> Case:
    """Age, onset and weeks as the answers need them."""
    person, complaint = case.person, case.complaint
    for wanted in library.documents[DOCUMENT]["danger"]["story"]:
        if way.isdisjoint(wanted["cues"]):
            continue
        if "age" in wanted and person.age is not None and not wanted["age"][0] <= person.age <= wanted["age"][1]:
            person = replace(person, age=int(generator.integers(wanted["age"][0], wanted["age"][1] + 1)))
        if "sex" in wanted:
            person = replace(person, sex=wanted["sex"])
        if "onset" in wanted and complaint.onset is not Onset.TRAUMA:
            complaint = replace(complaint, onset=Onset(wanted["onset"]))
        if "weeks" in wanted:
            complaint = replace(complaint, weeks=float(generator.integers(wanted["weeks"][0], wanted["weeks"][1] + 1)))
    return replace(case, person=person, complaint=complaint)


def _is_age(cue: str) -> bool:
    return cue.startswith("age_") and cue != "age_not_recorded"


def answers_without_danger(library: Library, generator: np.random.Generator) -> Mapping[str, bool]:
    """Every cue that can be asked answered: no, but for what is common and harmless."""
    shares = library.documents[DOCUMENT]["harmless"]
    return {cue: bool(generator.random() < shares.get(cue, 0.0)) for cue in askable_cues(library)}
