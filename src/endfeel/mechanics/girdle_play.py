"""What hands would find at the AC and SC joints: the same people whole and with each contributor.

Everyone is his or her own control, as one side is of the other. Tests are rows of `girdle_tests`, what a contributor
does is in `girdle_changes`; a contributor is examined at the joint whose bands it changes and nowhere else.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from endfeel.anatomy.units import mm_from_m
from endfeel.evidence.figures import number
from endfeel.evidence.library import Library
from endfeel.mechanics import acromioclavicular, sternoclavicular
from endfeel.mechanics.changes import Change
from endfeel.mechanics.girdle_glides import Glide, glide
from endfeel.mechanics.girdle_ligaments import changed, contributor_changes
from endfeel.mechanics.ligament_springs import Flags, Floats, SpringJoint


@dataclass(frozen=True, slots=True)
class GirdleTest:
    """One glide of one joint under a force."""

    procedure: str
    joint: str
    """AC or SC."""
    way: tuple[float, float, float]
    """Of the clavicle: the opposite of the stated direction where the acromion is moved."""
    force_n: float


@dataclass(frozen=True, slots=True)
class Paired:
    """How far one test goes in the same people before and after a change."""

    whole_mm: Floats
    """(people,)"""
    changed_mm: Floats
    """(people,)"""
    converged: Flags
    """(people,) False where either search failed; such a pair is not to be used."""


def girdle_tests(library: Library) -> tuple[GirdleTest, ...]:
    """The glides of the two joints, in the order of the evidence."""
    tests = []
    for row in library.tables["girdle_tests"]:
        text = row.text
        at = acromioclavicular if text["joint"] == "AC" else sternoclavicular
        x, y, z = at.direction_of(text["direction"])
        sign = -1.0 if text["moving"] == "acromion" else 1.0
        way = (sign * x, sign * y, sign * z)
        tests.append(GirdleTest(text["procedure"], text["joint"], way, number(row.figures["force_N"])))
    return tuple(tests)


def girdle_contributors(library: Library) -> tuple[str, ...]:
    """The contributors that change one of these joints, in the order of the evidence."""
    return tuple(dict.fromkeys(row.text["contributor"] for row in library.tables["girdle_changes"]))


def examine_girdle(library: Library, people: int, seed: int = 0) -> dict[tuple[str, str], Paired]:
    """Every contributor at every test of its joint, by contributor and procedure; the same seed, the same people."""
    joints = {
        "AC": acromioclavicular.drawn_joints(library, people, seed),
        "SC": sternoclavicular.drawn_joints(library, people, seed),
    }
    tests = girdle_tests(library)
    whole = {test.procedure: _travel(joints[test.joint], test, ()) for test in tests}
    found: dict[tuple[str, str], Paired] = {}
    for contributor in girdle_contributors(library):
        changes = contributor_changes(library, contributor)
        for test in tests:
            if not _touches(joints[test.joint], changes):
                continue
            before, after = whole[test.procedure], _travel(joints[test.joint], test, changes)
            found[contributor, test.procedure] = Paired(
                mm_from_m(before.along_m), mm_from_m(after.along_m), before.converged & after.converged
            )
    return found


def ratios(found: Mapping[tuple[str, str], Paired]) -> dict[tuple[str, str], Floats]:
    """Travel after the change over travel before, in those in whom both searches converged."""
    return {place: (pair.changed_mm / pair.whole_mm)[pair.converged] for place, pair in found.items()}


def _travel(joint: SpringJoint, test: GirdleTest, changes: Sequence[Change]) -> Glide:
    return glide(changed(joint, changes), test.way, test.force_n)


def _touches(joint: SpringJoint, changes: Sequence[Change]) -> bool:
    known = {*joint.bands, *joint.groups, joint.surface}
    return all(change.structure in known for change in changes)
