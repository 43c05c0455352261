"""What hands would find: how far every angle and glide goes in many shoulders, with and without each contributor.

The same people are examined twice, once as they are and once with something changed in them, so that everyone is his
or her own control, as one side is of the other. An angle loses degrees; a glide or a stress test goes a share of its
way, which a hand calls stiff or slack with the threshold and unsureness stated in the evidence. Contributors, changes
and tests are tables of the evidence. Blocks of people are independent, so they can be computed anywhere and added up.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from endfeel.anatomy.units import Floats, rad_from_deg
from endfeel.evidence.figures import number
from endfeel.evidence.library import Library, Row
from endfeel.mechanics.changes import Change
from endfeel.mechanics.girdle_play import examine_girdle
from endfeel.mechanics.motions import Motion
from endfeel.mechanics.parameters import Parameters
from endfeel.mechanics.shoulder import Shoulders, arm, draw_population
from endfeel.vocabulary import OutcomeKind

INPUTS = (
    "capsule_bands",
    "cuff_muscles",
    "girdle_changes",
    "girdle_ligaments",
    "girdle_tests",
    "ligament_geometry",
    "mechanical_changes",
    "mechanical_tests",
    "mechanics_parameters",
    "muscle_paths",
    "passive_limits",
)
"""The tables that decide the links."""
BLOCK = 50
"""People examined at once."""


@dataclass(frozen=True, slots=True)
class HandTest:
    """One test: a passive motion taken to its end, or a glide under a force."""

    procedure: str
    act: tuple[object, ...]
    """What is done; tests of the same act share its computation."""
    travel: Callable[[Shoulders], tuple[Floats, Floats]]
    """Shoulders to (n,) degrees or millimetres and (n,) how far to trust them: 0, `FOUND` or `SEATED`."""
    angular: bool
    """Whether the degrees themselves are recorded; else the travel is judged by feel."""


@dataclass(frozen=True, slots=True)
class Sums:
    """What one block of people adds to one link; sums over those in whom both searches ended as they should."""

    people: int
    converged: int
    first: float
    """Of the degrees lost, or of the probability that the hand says stiff."""
    second: float
    """Of their squares, or of the probability that it says slack."""

    def __add__(self, other: Sums) -> Sums:
        return Sums(
            self.people + other.people,
            self.converged + other.converged,
            self.first + other.first,
            self.second + other.second,
        )


FOUND, SEATED = 1.0, 2.0
"""Marks of a travel: the search ended; it ended with the head on the socket. A healthy glide that slips over the rim is
known to be wrong (docs/mechanics.md): those in whom it does are left out."""
Block = Mapping[tuple[str, str], Sums]
"""Contributor and procedure to sums."""


@dataclass(frozen=True, slots=True)
class ComputedLink:
    """What one contributor does to one outcome of one test, over the population."""

    contributor: str
    procedure: str
    outcome: str
    """`deficit`, `hypo` or `hyper`."""
    present: float | None
    absent: float | None
    effect_deg: float | None
    effect_sd_deg: float | None
    people: int
    converged_share: float


def hand_tests(library: Library) -> tuple[HandTest, ...]:
    """Every test of the evidence that the model can do."""
    return tuple(_hand_test(row, library) for row in library.tables["mechanical_tests"])


def changes_of(library: Library) -> dict[str, tuple[Row, ...]]:
    """Contributor to the rows that say what it changes."""
    rows: dict[str, list[Row]] = defaultdict(list)
    for row in library.tables["mechanical_changes"]:
        rows[row.text["contributor"]].append(row)
    return {contributor: tuple(mine) for contributor, mine in rows.items()}


def examine_block(
    library: Library, seed: int, people: int = BLOCK, done: Callable[[], None] = lambda: None
) -> dict[tuple[str, str], Sums]:
    """Examine one block of people with every test, whole and with every contributor; `done` is called after each.

    The same seed gives the same people and the same severities.
    """
    shoulders = draw_population(library, people, seed).in_bulk()
    tests, parameters = hand_tests(library), shoulders.parameters
    whole = _travels(tests, shoulders)
    done()
    generator = np.random.default_rng([seed, people])
    found: dict[tuple[str, str], Sums] = {}
    for contributor, rows in changes_of(library).items():
        severity = np.clip(generator.standard_normal((people, 1)), -2.0, 2.0)
        ill = shoulders.changed(*(_change(row, severity) for row in rows))
        after = _travels(tests, ill)
        for test in tests:
            found[contributor, test.procedure] = _sums(test, whole[test.act], after[test.act], parameters)
        done()
    for place, pair in examine_girdle(library, people, seed).items():
        flags = pair.converged.astype(float)
        found[place] = _felt(pair.whole_mm, pair.changed_mm, flags > 0, parameters)
    done()
    return found


def add_blocks(blocks: Iterable[Block]) -> dict[tuple[str, str], Sums]:
    """The sums of several blocks together; their order does not matter."""
    total: dict[tuple[str, str], Sums] = {}
    for block in blocks:
        for place, sums in block.items():
            total[place] = total[place] + sums if place in total else sums
    return total


def links_from(total: Block, library: Library, parameters: Parameters) -> tuple[ComputedLink, ...]:
    """Links from sums, in the order of the evidence."""
    angular = {test.procedure for test in hand_tests(library) if test.angular}
    stiff, slack = usual_shares(parameters)
    links: list[ComputedLink] = []
    for (contributor, procedure), sums in total.items():
        if not sums.converged:
            continue
        counted = sums.people, sums.converged / sums.people
        first = sums.first / sums.converged
        second = sums.second / sums.converged
        if procedure in angular:
            sd = math.sqrt(max(0.0, second - first * first))
            links.append(ComputedLink(contributor, procedure, "deficit", None, None, first, sd, *counted))
        else:
            links.append(ComputedLink(contributor, procedure, "hypo", first, stiff, None, None, *counted))
            links.append(ComputedLink(contributor, procedure, "hyper", second, slack, None, None, *counted))
    return tuple(links)


def usual_shares(parameters: Parameters) -> tuple[float, float]:
    """How often a hand calls a healthy side stiff, and slack, beside the other."""
    sd = _unsureness(parameters)
    return _normal(_threshold(parameters, "felt_stiff_ratio") / sd), _normal(
        -_threshold(parameters, "felt_slack_ratio") / sd
    )


def _travels(tests: Iterable[HandTest], shoulders: Shoulders) -> dict[tuple[object, ...], tuple[Floats, Floats]]:
    """What every act does to these shoulders, each act once."""
    return {act: travel(shoulders) for act, travel in {test.act: test.travel for test in tests}.items()}


def _hand_test(row: Row, library: Library) -> HandTest:
    text = row.text
    angular = library.catalogue[text["procedure"]].outcomes is OutcomeKind.ANGULAR
    angle = {name: number(figure) for name, figure in row.figures.items()}
    act = (*(text[name] for name in ("kind", "motion", "sense", "direction")), *sorted(angle.items()))
    if text["kind"] == "limit":
        motion: str | Motion = text["motion"] or Motion(
            text["procedure"],
            float(rad_from_deg(angle["plane_deg"])),
            float(rad_from_deg(angle["elevation_deg"])),
            float(rad_from_deg(angle["axial_deg"])),
            "axial",
            1.0 if text["sense"] == "+" else -1.0,
            np.eye(3),
        )

        def limit(shoulders: Shoulders) -> tuple[Floats, Floats]:
            end = shoulders.passive_limit(motion)
            return end.angle_deg, np.where(end.converged & np.isfinite(end.angle_deg), SEATED, 0.0)

        return HandTest(text["procedure"], act, limit, angular)
    pose = arm(angle["elevation_deg"], angle["plane_deg"], angle["axial_deg"])

    def glide(shoulders: Shoulders) -> tuple[Floats, Floats]:
        moved = shoulders.translation(pose, text["direction"], angle["force_N"])
        return moved.along_mm, np.where(moved.converged, np.where(moved.seated, SEATED, FOUND), 0.0)

    return HandTest(text["procedure"], act, glide, angular=False)


def _change(row: Row, severity: Floats) -> Change:
    """A change with everyone's own severity (n, 1); away from one, never across it."""
    value, figure = number(row.figures["value"]), row.figures.get("sd")
    spread = number(figure) if figure is not None else 0.0
    ratio = value + spread * severity
    ratio = np.minimum(ratio, 1.0) if value < 1.0 else np.maximum(ratio, 1.0)
    if row.text["quantity"] == "rest_ratio":
        return Change(row.text["structure"], rest_ratio=ratio)
    return Change(row.text["structure"], stiffness_factor=value)


def _sums(test: HandTest, whole: tuple[Floats, Floats], ill: tuple[Floats, Floats], parameters: Parameters) -> Sums:
    if not test.angular:
        return _felt(whole[0], ill[0], (whole[1] >= SEATED) & (ill[1] >= FOUND), parameters)
    both = (whole[1] >= SEATED) & (ill[1] >= SEATED)
    lost = (whole[0] - ill[0])[both]
    return Sums(len(both), int(both.sum()), float(lost.sum()), float((lost**2).sum()))


def _felt(whole: Floats, ill: Floats, both: NDArray[np.bool_], parameters: Parameters) -> Sums:
    """What a hand says of a travel (n,) beside that of the same person whole, where both searches converged."""
    usable = both & (np.where(both, whole, 0.0) >= _least_travel(whole, both))
    ratio = np.log(np.maximum(ill[usable], 0.01 * whole[usable]) / whole[usable])
    people = len(both)
    sd = _unsureness(parameters)
    stiff = [_normal((_threshold(parameters, "felt_stiff_ratio") - one) / sd) for one in ratio]
    slack = [_normal((one - _threshold(parameters, "felt_slack_ratio")) / sd) for one in ratio]
    return Sums(people, int(usable.sum()), float(sum(stiff)), float(sum(slack)))


def _least_travel(whole: Floats, both: NDArray[np.bool_]) -> float:
    """A healthy travel under a tenth of the usual one, or none at all, is no base for a ratio."""
    usual = float(np.median(whole[both])) if both.any() else 0.0
    return 0.1 * usual if usual > 0.0 else math.inf


def _threshold(parameters: Parameters, name: str) -> float:
    return math.log(parameters.mean(name))


def _unsureness(parameters: Parameters) -> float:
    return math.hypot(parameters.mean("hand_noise_log_sd"), parameters.mean("side_difference_log_sd"))


def _normal(value: float) -> float:
    return 0.5 * (1.0 + math.erf(value / math.sqrt(2.0)))
