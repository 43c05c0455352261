"""How a danger shows beside the answers: what eye and hand find, what the person tells. Custom, all (teaching.toml)."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import fields, replace
from typing import Any

import numpy as np

from endfeel.evidence.library import Library
from endfeel.inference import Candidate
from endfeel.vocabulary import Case, EndFeel, Finding, Result, Side, Unit

DOCUMENT = "teaching"
_KINDS = {"result": Result, "end_feel": EndFeel, "unit": Unit}


def shows(flag: str, library: Library) -> Mapping[str, Any]:
    """What comes with a danger of this flag: further cues, where it is drawn, how it feels there."""
    rows = library.documents[DOCUMENT]["danger"]["shows"]
    found: Mapping[str, Any] = next((one for one in rows if one["flag"] == flag), {"signs": (), "areas": ()})
    return found


def signs_of(cues: Iterable[str], side: Side | None, library: Library) -> tuple[Finding, ...]:
    """What is found on a person in whom these cues are so; one finding a procedure, what stands first before others."""
    wanted, found = set(cues), dict[str, Finding]()
    for row in library.documents[DOCUMENT]["danger"]["seen"]:
        if row["cue"] in wanted:
            for told in row["finding"]:
                found.setdefault(told["procedure"], _finding(told, side, library))
    return tuple(found.values())


def usual_finding(test: Candidate, library: Library) -> Finding | None:
    """What is found where no link says anything of a procedure and no danger shows; None where nothing is known."""
    for told in library.documents[DOCUMENT]["usual"]:
        if told["procedure"] == test[0]:
            return replace(_finding(told, None, library), side=test[1], level=test[2])
    return None


def with_sign(made: Finding, signs: Iterable[Finding]) -> Finding:
    """A finding as it is where a danger shows in it."""
    sign = next((one for one in signs if one.procedure == made.procedure), None)
    if sign is None:
        return made
    told = {one.name: getattr(sign, one.name) for one in fields(sign) if one.name not in ("procedure", "side", "level")}
    return replace(made, **{name: value for name, value in told.items() if value is not None})


def story_of(case: Case, cues: Iterable[str], library: Library, seed: int) -> str:
    """The story in the person's own words: how it began, the day, what of these cues is told, else what bothers."""
    words = library.documents[DOCUMENT]["story"]
    generator = np.random.default_rng([seed, *map(ord, "story")])
    complaint = case.complaint

    def one_of(some: list[str]) -> str:
        return str(some[int(generator.integers(len(some)))])

    weeks = complaint.weeks or 1.0
    says = library.documents[DOCUMENT]["danger"]["says"]
    parts = [
        one_of(words["began"][complaint.onset or "unknown"]),
        f"That was {weeks:g} {'week' if weeks == 1 else 'weeks'} ago.",
        one_of(words["day"]),
        *(str(says[cue]) for cue in cues if cue in says),
    ]
    if not cues:
        parts.append(one_of(words["bothers"][complaint.irritability or "moderate"]))
    return " ".join([*parts, one_of(words["hopes"])])


def _finding(told: Mapping[str, Any], side: Side | None, library: Library) -> Finding:
    given: dict[str, Any] = {name: _KINDS[name](value) if name in _KINDS else value for name, value in told.items()}
    for name in ("value", "other", "pain"):
        if name in given:
            given[name] = float(given[name])
    return Finding(side=side if library.catalogue[told["procedure"]].sided else None, **given)
