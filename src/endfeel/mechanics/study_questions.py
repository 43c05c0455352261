"""The questions that restraint studies ask, each a function that puts one kind of row to the model.

Rules, fixed beforehand. A structure that leads holds back more of the force (or of the resisting moment) than any
other band; a rank shared with k others means among the first k + 1 of them. Taut is taut in most people, under the
stated load. A number with a spread is met within one standard deviation; without one, within the factor for recalled
numbers. A gain or loss without a number counts from `notable_deg`. Where a row names no force, a laboratory's.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence

import numpy as np

from endfeel.anatomy.units import Floats, mm_from_m
from endfeel.evidence.figures import number
from endfeel.mechanics.changes import REGIONS, Change, bands_of, shortened
from endfeel.mechanics.motions import Motion, published_limits
from endfeel.mechanics.parameters import BANDS
from endfeel.mechanics.shoulder import Shoulders
from endfeel.mechanics.study_bench import (
    DOWNWARD,
    FRONT_TO_BACK,
    At,
    Bench,
    Flags,
    Measured,
    Posed,
    Question,
    first,
    gain_deg,
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
OUT_AT_SIDE, IN_AT_SIDE = "external rotation, arm at side", "internal rotation, arm at side"
OUT_AT_90, IN_AT_90 = "external rotation at 90", "internal rotation at 90"
PLICATED: Mapping[str, tuple[str, ...]] = {
    "anterosuperior": ("rotator_interval", "superior_GHL", "middle_GHL"),
    "anteroinferior": ("anterior_band_IGHL", "axillary_pouch"),
    "posterosuperior": ("posterior_capsule_superior", "posterior_capsule_middle"),
    "anterior": ("rotator_interval", "superior_GHL", "middle_GHL", "anterior_band_IGHL", "axillary_pouch"),
    "posterior": (*REGIONS["posterior_capsule"], "posterior_band_IGHL", "axillary_pouch"),
    "superior": ("rotator_interval", "superior_GHL", "posterior_capsule_superior"),
    "inferior": REGIONS["inferior_capsule"],
    "posteroinferior": ("posterior_capsule_inferior", "posterior_band_IGHL"),
}
"""The bands whose attachment on the rim lies in a quadrant or half of the capsule."""


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
) -> Asked:
    """A structure holds back most of a force on the head."""

    def asked(_: Bench) -> Question:
        others = others_of(BANDS, structure, among)

        def measure(bench: Bench) -> Measured:
            glide, ok = bench.glide(bench.people(), at, direction, bench.figure(force))
            return Measured(ranked(glide.resistance, BANDS, structure, others), ok)

        return Question(measure, first(count), ranking_words([_named(structure), *others], "%", 100.0), mean)

    return asked


def stops(structure: str | Sequence[str], at: At, *, count: int = 1) -> Asked:
    """A structure gives most of the moment at the end of a turn."""

    def asked(_: Bench) -> Question:
        others = others_of(BANDS, structure)

        def measure(bench: Bench) -> Measured:
            end = bench.limit(bench.people(), bench.motion(at, str(at.turn)))
            return Measured(ranked(end.stopping, BANDS, structure, others), end.converged)

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
) -> Asked:
    """One of some structures is taut (or none is) in one of some positions, or in every one of them.

    A position is a place of the arm or the end of a motion by name."""

    def asked(bench: Bench) -> Question:
        def measure(bench: Bench) -> Measured:
            found, fine = [], np.ones(len(bench.living), dtype=bool)
            for place in places:
                tension, ok = _tension(bench, place, direction, force)
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
            pulls, fine = [], np.ones(len(bench.living), dtype=bool)
            for place in at:
                glide, ok = bench.glide(bench.people(), place, direction, bench.figure(FRONT_TO_BACK))
                pulls.append(summed(glide.bands.tension_n, BANDS, structure))
                fine &= ok
            return Measured(np.max(pulls, axis=0)[:, None], fine)

        return Question(measure, holds(bench), number_words("N", 0))

    return asked


def rises(structure: str, plane: str) -> Asked:
    """Strain rises with elevation and with outward turn, and is greatest where both are."""
    places = [At(elevation, plane, turn) for elevation in (30, 60) for turn in (0.0, -30.0, -60.0)]

    def asked(_: Bench) -> Question:
        def measure(bench: Bench) -> Measured:
            return _strains(bench, structure, places)

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


def longest(structure: str, at: At, others: Sequence[At], *, grace: int = 1) -> Asked:
    """A band is longer in one position than in any other of the study."""
    rest = [place for place in others if place != at]

    def asked(_: Bench) -> Question:
        def measure(bench: Bench) -> Measured:
            return _strains(bench, structure, [at, *rest])

        def words(row: Floats) -> str:
            best = int(np.argmax(row))
            where = "here" if best == 0 else f"at {_place(rest[best - 1])}: {row[best]:.1f} %"
            return f"{row[0]:.1f} % beyond slack here; longest {where}"

        return Question(measure, lambda rows: (rows[:, 1:] > rows[:, :1]).sum(axis=1) < grace, words)

    return asked


def strain(structure: str, at: At, row: str) -> Asked:
    """A strain published without spread."""

    def asked(bench: Bench) -> Question:
        return Question(
            lambda bench: _strains(bench, structure, [at]),
            near(published(bench, row), bench.figure(FACTOR)),
            number_words("%"),
        )

    return asked


def gains(
    structure: str | Sequence[str], motions: Sequence[str | tuple[At, str]], *, quiet: Sequence[str] = ()
) -> Asked:
    """Section lets every one of some motions go notably farther, and some others not."""

    def asked(bench: Bench) -> Question:
        step = bench.set_to("notable_deg")

        def holds(rows: Floats) -> Flags:
            more = np.all(rows[:, : len(motions)] >= step, axis=1)
            found: Flags = more & np.all(rows[:, len(motions) :] < step, axis=1)
            return found

        return Question(lambda bench: _gains(bench, without(structure), [*motions, *quiet]), holds, _degrees)

    return asked


def loses(
    structures: Sequence[str], motions: Sequence[str], holds: Callable[[Bench], Callable[[Floats], Flags]]
) -> Asked:
    """A plication (each fibre shortened alike) takes so many degrees, the mean over some motions."""

    def asked(bench: Bench) -> Question:
        def measure(bench: Bench) -> Measured:
            found = _gains(bench, _plicated(bench, structures), motions)
            return Measured(-found.rows.mean(axis=1, keepdims=True), found.ok)

        return Question(measure, holds(bench), number_words("° lost", 0))

    return asked


def limits_motion(motion: str | Motion) -> Asked:
    """The interval limits a motion: more range after section, less after imbrication, both notable."""

    def asked(bench: Bench) -> Question:
        region, step = REGIONS["interval_with_ligaments"], bench.set_to("notable_deg")

        def measure(bench: Bench) -> Measured:
            after, tight = (
                gain_deg(bench, motion, *changes) for changes in (without(region), _plicated(bench, region))
            )
            return Measured(np.hstack([after.rows, tight.rows]), after.ok & tight.ok)

        return Question(
            measure,
            lambda rows: (rows[:, 0] >= step) & (rows[:, 1] <= -step),
            lambda row: f"cut {row[0]:+.0f}°, imbricated {row[1]:+.0f}°",
        )

    return asked


def carried(motion: str, way: int, sense: float | None, *changes: Callable[[Bench], Sequence[Change]]) -> Asked:
    """Where an imposed motion carries the head by its published end: along an axis of the socket in a sense, or
    anywhere; with a change, how much farther than without."""

    def asked(bench: Bench) -> Question:
        step = bench.set_to("notable_mm")

        def measure(bench: Bench) -> Measured:
            path = _obligate(bench, bench.people(), motion)
            if changes:
                path = _obligate(bench, bench.people(*changes[0](bench)), motion) - path
            end = path[:, -1]
            size = np.linalg.norm(end, axis=1) if sense is None else end[:, way]
            return Measured(size[:, None], np.all(np.isfinite(path), axis=(1, 2)))

        def holds(rows: Floats) -> Flags:
            if sense is None:
                return rows[:, 0] >= step
            return rows[:, 0] * sense >= (0.0 if changes else step)

        return Question(
            measure,
            holds,
            lambda row: f"{row[0]:+.1f} mm {('forward', 'up', 'out')[way]}" if sense else f"{row[0]:.1f} mm",
        )

    return asked


def glide_changes(
    changes: Callable[[Bench], Sequence[Change]], pushes: Sequence[tuple[At, str, str]], sense: float
) -> Asked:
    """Every one of some glides grows (or shrinks) notably with a change."""

    def asked(bench: Bench) -> Question:
        notable = bench.figure(NOTABLE_PERCENT)

        def measure(bench: Bench) -> Measured:
            found, fine = [], np.ones(len(bench.living), dtype=bool)
            for at, direction, force in pushes:
                pair = [
                    bench.glide(people, at, direction, bench.figure(force))
                    for people in (bench.people(), bench.people(*changes(bench)))
                ]
                found.append((pair[1][0].along_mm / pair[0][0].along_mm - 1.0) * 100.0)
                fine &= pair[0][1] & pair[1][1]
            return Measured(np.column_stack(found), fine)

        return Question(
            measure,
            lambda rows: np.all(rows * sense >= notable, axis=1),
            lambda row: ", ".join(
                f"{direction} {value:+.0f} %" for (_, direction, _), value in zip(pushes, row, strict=True)
            ),
        )

    return asked


def shifted(changes: Callable[[Bench], Sequence[Change]], signs: Mapping[int, float]) -> Asked:
    """Where the head lies after a change, in the position that the unchanged shoulder reaches turned out at 90."""

    def asked(bench: Bench) -> Question:
        step = bench.set_to("notable_mm")

        def measure(bench: Bench) -> Measured:
            before, after = bench.people(), bench.people(*changes(bench))
            posed = bench.at_end_of(before, OUT_AT_90)
            moved, ok = _moved(before, after, posed)
            return Measured(moved, ok)

        def holds(rows: Floats) -> Flags:
            found: Flags = np.all([rows[:, way] * sign >= step for way, sign in signs.items()], axis=0)
            return found

        return Question(measure, holds, lambda row: f"{row[0]:+.1f} mm forward, {row[1]:+.1f} mm up")

    return asked


def correlates(structure: str, motion: str, row: str, wanted: bool) -> Asked:
    """Across people, stiffness of a structure goes with the range of a motion, or does not, at the study's size."""

    def asked(bench: Bench) -> Question:
        people_studied = bench.library.figure(f"restraint_studies.{row}.value").n or len(bench.living)
        bound = 2.0 / np.sqrt(people_studied)

        def measure(bench: Bench) -> Measured:
            columns = [BANDS.index(band) for band in bands_of(structure, BANDS)]
            stiff = np.log(bench.living.traits.stiffness_factor[:, columns]).mean(axis=1)
            end = bench.limit(bench.people(), motion)
            ok = end.converged
            product = np.zeros(len(ok))
            product[ok] = _standard(stiff[ok]) * _standard(end.angle_deg[ok])
            return Measured(product[:, None], ok)

        return Question(
            measure,
            lambda rows: (rows[:, 0] <= -bound) == wanted,
            lambda row: f"correlation {row[0]:+.2f}, found by a study of this size from {-bound:.2f}",
            mean,
        )

    return asked


def held_off(bench: Bench) -> Question:
    """A push against the shift of the head in flexion does not undo it."""
    text = bench.library.tables["restraint_studies"].rows["rs065"].text["load_or_motion"]
    most = max(float(one) for one in re.findall(r"\d+", text))

    def measure(bench: Bench) -> Measured:
        people, limit = bench.people(), published_limits(bench.library)["flexion"]
        motion = limit.motion
        start = people.at_rest(motion.humerus(motion.start_rad))
        forward = people.socket.axes[:, :, 0]
        end = people.at_rest(motion.humerus(limit.angle_rad), -most * forward)
        moved = np.einsum("ni,ni->n", end.centre_m - start.centre_m, forward)
        return Measured(mm_from_m(moved)[:, None], start.converged & end.converged)

    return Question(measure, lambda rows: rows[:, 0] > 0.0, lambda row: f"{row[0]:+.1f} mm forward all the same")


def stays_low(bench: Bench) -> Question:
    """The front band bears little in the examination of the hanging arm."""
    toe = bench.living.parameters.mean("toe_strain_percent")

    def measure(bench: Bench) -> Measured:
        at, found, fine = At(0, "frontal", 0.0, "HT"), [], np.ones(len(bench.living), dtype=bool)
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
    """One band changes its length more than another over some positions."""

    def asked(_: Bench) -> Question:
        def measure(bench: Bench) -> Measured:
            spans, fine = [], np.ones(len(bench.living), dtype=bool)
            for structure in (more, less):
                found = _strains(bench, structure, places, elongation=True)
                spans.append(found.rows.max(axis=1) - found.rows.min(axis=1))
                fine &= found.ok
            return Measured(np.column_stack(spans), fine)

        return Question(
            measure,
            lambda rows: rows[:, 0] > rows[:, 1],
            lambda row: f"{more} {row[0]:.0f} mm, {less} {row[1]:.0f} mm",
        )

    return asked


def _tension(bench: Bench, place: At | str, direction: str, force: str) -> tuple[Floats, Flags]:
    if isinstance(place, str):
        end = bench.limit(bench.people(), place)
        return end.bands.tension_n, end.converged
    if direction:
        glide, ok = bench.glide(bench.people(), place, direction, bench.figure(force))
        return glide.bands.tension_n, ok
    bands, ok = bench.bands(bench.people(), place)
    return bands.tension_n, ok


def _strains(bench: Bench, structure: str, places: Sequence[At], *, elongation: bool = False) -> Measured:
    """The greatest strain (or elongation) of a structure's bands beyond slack in some positions."""
    columns = [BANDS.index(band) for band in bands_of(structure, BANDS)]
    found, fine = [], np.ones(len(bench.living), dtype=bool)
    for place in places:
        bands, ok = bench.bands(bench.people(), place)
        values = bands.elongation_mm if elongation else bands.strain_percent
        found.append(values[:, columns].max(axis=1))
        fine &= ok
    return Measured(np.column_stack(found), fine)


def _gains(bench: Bench, changes: Sequence[Change], motions: Sequence[str | tuple[At, str]]) -> Measured:
    each = [gain_deg(bench, one if isinstance(one, str) else bench.motion(*one), *changes) for one in motions]
    return Measured(np.hstack([one.rows for one in each]), np.all([one.ok for one in each], axis=0))


def _plicated(bench: Bench, structures: Sequence[str]) -> tuple[Change, ...]:
    return tuple(shortened(one, by_mm=bench.set_to("plication_mm")) for one in structures)


def plicated(*structures: str) -> Callable[[Bench], Sequence[Change]]:
    return lambda bench: _plicated(bench, structures)


def sectioned(*structures: str) -> Callable[[Bench], Sequence[Change]]:
    return lambda _: without(structures)


def _obligate(bench: Bench, people: Shoulders, motion: str) -> Floats:
    limit = published_limits(bench.library)[motion]
    key = ("obligate", id(people), motion)
    if key not in bench.kept:
        angles = np.rad2deg(np.linspace(limit.motion.start_rad, limit.angle_rad, 7))
        bench.kept[key] = people.obligate_translation(motion, angles)
    path: Floats = bench.kept[key]
    return path


def _moved(before: Shoulders, after: Shoulders, posed: Posed) -> tuple[Floats, Flags]:
    """How the head's place differs, (n, 3) millimetres forward, up, out."""
    rests = [people.at_rest(posed.rotation) for people in (before, after)]
    moved = np.einsum("nji,nj->ni", before.socket.axes, rests[1].centre_m - rests[0].centre_m)
    return mm_from_m(moved), posed.ok & rests[0].converged & rests[1].converged


def _standard(values: Floats) -> Floats:
    scores: Floats = (values - values.mean()) / values.std()
    return scores


def _named(structure: str | Sequence[str]) -> str:
    return structure if isinstance(structure, str) else "+".join(structure)


def _degrees(row: Floats) -> str:
    return ", ".join(f"{value:+.0f}°" for value in row)


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


def loses_all(bench: Bench, structures: Sequence[str], motions: Sequence[str]) -> Question:
    step = bench.set_to("notable_deg")
    return Question(
        lambda bench: _gains(bench, _plicated(bench, structures), motions),
        lambda rows: np.all(rows <= -step, axis=1),
        _degrees,
    )


def gain_near(
    bench: Bench, structure: str, motion: str, holds: Callable[[Bench], Callable[[Floats], Flags]]
) -> Question:
    return Question(lambda bench: gain_deg(bench, motion, *without(structure)), holds(bench), number_words("° more", 0))
