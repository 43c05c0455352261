"""The questions that restraint studies ask, each a function that puts one kind of row to the model.

Rules, fixed beforehand. A structure that leads holds back more of the force (or of the resisting moment) than any
other band; a rank shared with k others means among the first k + 1 of them. Taut is taut in most people, under the
stated load. A number with a spread is met within one standard deviation; without one, within the factor for recalled
numbers. A gain or loss without a number counts from `notable_deg`. Where a row names no force, a laboratory's.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from endfeel.anatomy.units import Floats
from endfeel.evidence.figures import number
from endfeel.mechanics.changes import bands_of
from endfeel.mechanics.parameters import BANDS
from endfeel.mechanics.shoulder import Shoulders
from endfeel.mechanics.study_bench import (
    DOWNWARD,
    FRONT_TO_BACK,
    Answered,
    At,
    Bench,
    Flags,
    Measured,
    Question,
    ended,
    everybody,
    first,
    mean,
    near,
    number_words,
    others_of,
    ranked,
    ranking_words,
    summed,
    taut_n,
    within,
    without,
)

Asked = Callable[[Bench], Question]
FACTOR = "girdle_ligaments.gl176.value"
NOTABLE_PERCENT = "girdle_ligaments.gl174.value"
LIGAMENTS = ("superior_GHL", "middle_GHL", "anterior_band_IGHL", "posterior_band_IGHL", "coracohumeral")


def published(bench: Bench, row: str) -> float:
    return bench.figure(f"restraint_studies.{row}.value")


def restrains(
    structure: str | Sequence[str],
    at: At,
    direction: str,
    force: str,
    *,
    count: int = 1,
    among: Sequence[str] | None = None,
    leaving: bool = False,
) -> Asked:
    """A structure holds back most of a force on the head, and more than a taut band's tension; `leaving` where the
    study dislocates it. What each holds is found by sections, which open the joint to the air."""

    def asked(bench: Bench) -> Question:
        names = bench.living.band_names
        others, pushed = others_of(names, structure, among), bench.figure(force)

        def measure(bench: Bench) -> Measured:
            glide, ok = bench.glide(bench.people(vented=True), at, direction, pushed)
            return Measured(ranked(glide.resistance, names, structure, others), ok)

        leads = first(count)
        words = ranking_words([_named(structure), *others], "%", 100.0)
        holds = lambda rows: leads(rows) & (rows[:, 0] * pushed > taut_n(bench))  # noqa: E731
        return Question(measure, holds, words, mean, may_leave=leaving)

    return asked


def stops(structure: str | Sequence[str], at: At, *, count: int = 1) -> Asked:
    """A structure gives most of the moment at the end of a turn."""

    def asked(bench: Bench) -> Question:
        names = bench.living.band_names
        others = others_of(names, structure)

        def measure(bench: Bench) -> Measured:
            end = bench.limit(bench.people(), bench.motion(at, str(at.turn)))
            return Measured(ranked(end.stopping, names, structure, others), ended(end))

        return Question(measure, first(count), ranking_words([_named(structure), *others], "%", 100.0), mean)

    return asked


def taut(
    structures: Sequence[str],
    places: Sequence[At | str],
    *,
    every: bool = False,
    is_taut: bool = True,
    direction: str = "",
    force: str = FRONT_TO_BACK,
    acting: bool = False,
) -> Asked:
    """One of some structures is taut (or none is) in one of some positions, or in every one of them.

    A position is a place of the arm or the end of a motion by name."""

    def asked(bench: Bench) -> Question:
        def measure(bench: Bench) -> Measured:
            found, fine = [], everybody(len(bench.living))
            people = bench.acting() if acting else bench.people()
            for place in places:
                tension, ok = _tension(bench, people, place, direction, force)
                pulls = np.max([summed(tension, BANDS, one) for one in structures], axis=0)
                found.append(pulls > taut_n(bench))
                fine &= ok
            joined = np.all(found, axis=0) if every else np.any(found, axis=0)
            return Measured(joined[:, None].astype(float), fine)

        half = bench.set_to("majority")
        return Question(
            measure,
            lambda rows: (rows[:, 0] >= half) == is_taut,
            lambda row: f"taut in {row[0] * 100:.0f} % of people",
            mean,
        )

    return asked


def bears(
    structure: str, at: Sequence[At], direction: str, holds: Callable[[Bench], Callable[[Floats], Flags]]
) -> Asked:
    """The greatest force in a structure over some positions, under the laboratory's push."""

    def asked(bench: Bench) -> Question:
        def measure(bench: Bench) -> Measured:
            pulls, fine = [], everybody(len(bench.living))
            for place in at:
                glide, ok = bench.glide(bench.people(), place, direction, bench.figure(FRONT_TO_BACK))
                pulls.append(summed(glide.bands.tension_n, BANDS, structure))
                fine &= ok
            return Measured(np.max(pulls, axis=0)[:, None], fine)

        return Question(measure, holds(bench), number_words("N", 0))

    return asked


def holds_part(structure: str, at: Sequence[At], direction: str) -> Asked:
    """A structure takes a notable part of the laboratory's push, the mean over some positions."""
    return _part(structure, at, direction, lambda bench: lambda rows: rows[:, 0] >= bench.figure(NOTABLE_PERCENT))


def holds_published_part(row: str, structure: str, at: At, direction: str) -> Asked:
    """A structure takes the published part of the laboratory's push, within its spread."""
    return _part(structure, [at], direction, within_published(row))


def _part(
    structure: str, at: Sequence[At], direction: str, holds: Callable[[Bench], Callable[[Floats], Flags]]
) -> Asked:
    def asked(bench: Bench) -> Question:
        def measure(bench: Bench) -> Measured:
            parts, fine = [], everybody(len(bench.living))
            for place in at:
                glide, ok = bench.glide(bench.people(), place, direction, bench.figure(FRONT_TO_BACK))
                parts.append(summed(glide.resistance, bench.living.band_names, structure) * 100.0)
                fine &= ok
            return Measured(np.mean(parts, axis=0)[:, None], fine)

        return Question(measure, holds(bench), number_words("%", 0))

    return asked


def rises(structure: str, plane: str) -> Asked:
    """Strain rises with elevation and with outward turn, and is greatest where both are."""
    places = [At(elevation, plane, turn) for elevation in (30, 60) for turn in (0.0, -30.0, -60.0)]

    def asked(_: Bench) -> Question:
        def measure(bench: Bench) -> Measured:
            return _strains(bench, bench.people(), structure, places)

        def holds(rows: Floats) -> Flags:
            with_turn = np.all(np.diff(rows[:, 3:], axis=1) > 0.0, axis=1)
            with_elevation = rows[:, 5] > rows[:, 2]
            found: Flags = with_turn & with_elevation & (rows[:, 5] >= rows.max(axis=1))
            return found

        def words(row: Floats) -> str:
            raised = f"60° raised, 0 / 30 / 60° out: {row[3]:.1f} / {row[4]:.1f} / {row[5]:.1f} %"
            return f"{raised}; 30° raised, 60° out: {row[2]:.1f} %"

        return Question(measure, holds, words)

    return asked


def longest(structure: str, at: At, others: Sequence[At], *, grace: int = 1, acting: bool = False) -> Asked:
    """A band is longer in one position than in any other of the study; `acting` where living people held the arm."""
    rest = [place for place in others if place != at]

    def asked(_: Bench) -> Question:
        def measure(bench: Bench) -> Measured:
            return _strains(bench, bench.acting() if acting else bench.people(), structure, [at, *rest])

        def words(row: Floats) -> str:
            best = int(np.argmax(row))
            where = "here" if best == 0 else f"at {_place(rest[best - 1])}: {row[best]:.1f} %"
            return f"{row[0]:.1f} % beyond slack here; longest {where}"

        return Question(measure, lambda rows: (rows[:, 1:] > rows[:, :1]).sum(axis=1) < grace, words)

    return asked


def strain(structure: str, at: At, row: str, *, left: str = "whole_capsule") -> Asked:
    """A strain published without spread, in a specimen of which some part of the capsule alone was left."""
    gone = without([band for band in BANDS if band not in bands_of(left, BANDS)])

    def asked(bench: Bench) -> Question:
        return Question(
            lambda bench: _strains(bench, bench.people(*gone), structure, [at]),
            near(published(bench, row), bench.figure(FACTOR)),
            number_words("%"),
        )

    return asked


def stays_low(bench: Bench) -> Question:
    """The front band bears little in the examination of the hanging arm."""
    toe = bench.living.parameters.mean("toe_strain_percent")

    def measure(bench: Bench) -> Measured:
        at, found, fine = At(0, "frontal", 0.0, "HT"), [], everybody(len(bench.living))
        for direction, force in (("anterior", FRONT_TO_BACK), ("posterior", FRONT_TO_BACK), ("inferior", DOWNWARD)):
            glide, ok = bench.glide(bench.people(), at, direction, bench.figure(force))
            found.append(glide.bands.of("anterior_band_IGHL").strain_percent[:, 0])
            fine &= ok
        return Measured(np.max(found, axis=0)[:, None], fine)

    return Question(measure, lambda rows: rows[:, 0] <= toe, number_words("%"))


def most_strained(structure: str, at: At, direction: str, force: str, others: Sequence[str] = BANDS) -> Asked:
    """A band is strained more than every other under a push."""
    rest = [band for band in others if band != structure]

    def asked(_: Bench) -> Question:
        def measure(bench: Bench) -> Measured:
            pushed = float(force) if force.isdigit() else bench.figure(force)
            glide, ok = bench.glide(bench.people(), at, direction, pushed)
            strains = np.column_stack([glide.bands.of(band).strain_percent[:, 0] for band in (structure, *rest)])
            return Measured(strains, ok)

        return Question(measure, first(), ranking_words([structure, *rest], "%"))

    return asked


def wider_range(more: str, less: str, places: Sequence[At]) -> Asked:
    """One band changes its length more than another over some positions of an arm that living people held."""

    def asked(_: Bench) -> Question:
        def measure(bench: Bench) -> Measured:
            spans, fine = [], everybody(len(bench.living))
            for structure in (more, less):
                found = _strains(bench, bench.acting(), structure, places, elongation=True)
                spans.append(found.rows.max(axis=1) - found.rows.min(axis=1))
                fine &= found.ok
            return Measured(np.column_stack(spans), fine)

        return Question(
            measure,
            lambda rows: rows[:, 0] > rows[:, 1],
            lambda row: f"{more} {row[0]:.0f} mm, {less} {row[1]:.0f} mm",
        )

    return asked


def _tension(bench: Bench, people: Shoulders, place: At | str, direction: str, force: str) -> tuple[Floats, Answered]:
    if isinstance(place, str):
        end = bench.limit(people, place)
        return end.bands.tension_n, ended(end)
    if direction:
        glide, ok = bench.glide(people, place, direction, bench.figure(force))
        return glide.bands.tension_n, ok
    bands, ok = bench.bands(people, place)
    return bands.tension_n, ok


def _strains(
    bench: Bench, people: Shoulders, structure: str, places: Sequence[At], *, elongation: bool = False
) -> Measured:
    """The greatest strain (or elongation) of a structure's bands beyond slack in some positions."""
    columns = [BANDS.index(band) for band in bands_of(structure, BANDS)]
    found, fine = [], everybody(len(bench.living))
    for place in places:
        bands, ok = bench.bands(people, place)
        values = bands.elongation_mm if elongation else bands.strain_percent
        found.append(values[:, columns].max(axis=1))
        fine &= ok
    return Measured(np.column_stack(found), fine)


def _named(structure: str | Sequence[str]) -> str:
    return structure if isinstance(structure, str) else "+".join(structure)


def _place(at: At) -> str:
    turned = at.turn if isinstance(at.turn, str) else f"{at.turn:+.0f}°"
    return f"{at.elevation_deg:g}° {at.plane}, {turned}"


def near_published(row: str) -> Callable[[Bench], Callable[[Floats], Flags]]:
    return lambda bench: near(published(bench, row), bench.figure(FACTOR))


def within_published(row: str) -> Callable[[Bench], Callable[[Floats], Flags]]:
    return lambda bench: within(published(bench, row), number(bench.library.figure(f"restraint_studies.{row}.sd")))


def at_least_published(row: str) -> Callable[[Bench], Callable[[Floats], Flags]]:
    def holds(bench: Bench) -> Callable[[Floats], Flags]:
        low = bench.library.figure(f"restraint_studies.{row}.value").low
        return lambda rows: rows[:, 0] >= (np.nan if low is None else low)

    return holds


def below_published(row: str) -> Callable[[Bench], Callable[[Floats], Flags]]:
    def holds(bench: Bench) -> Callable[[Floats], Flags]:
        high = bench.library.figure(f"restraint_studies.{row}.value").high
        return lambda rows: rows[:, 0] < (np.nan if high is None else high)

    return holds
