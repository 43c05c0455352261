"""The questions that studies ask by changing a shoulder: what section or plication does to range, glide and shift."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from functools import reduce
from operator import and_

import numpy as np

from endfeel.anatomy.units import Floats, mm_from_m
from endfeel.mechanics.changes import REGIONS, Change, bands_of, shortened
from endfeel.mechanics.motions import Motion, find_motion
from endfeel.mechanics.parameters import BANDS
from endfeel.mechanics.shoulder import Shoulders
from endfeel.mechanics.study_bench import (
    Answered,
    At,
    Bench,
    Flags,
    Measured,
    Posed,
    Question,
    ended,
    everybody,
    gain_deg,
    mean,
    number_words,
    rested,
    without,
)
from endfeel.mechanics.study_questions import NOTABLE_PERCENT, Asked

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
    """Where an imposed motion carries the head by its passive end: along an axis of the socket in a sense, or
    anywhere; with a change, how much farther it is carried to the same place than without."""

    def asked(bench: Bench) -> Question:
        step = bench.set_to("notable_mm")

        def measure(bench: Bench) -> Measured:
            found = _carried(bench, bench.people(), motion)
            moved, ok = found.rows, found.ok
            if changes:
                other = _carried(bench, bench.people(*changes[0](bench)), motion)
                moved, ok = other.rows - moved, ok & other.ok.wherever
            size = np.linalg.norm(moved, axis=1) if sense is None else moved[:, way]
            return Measured(size[:, None], ok)

        def holds(rows: Floats) -> Flags:
            if sense is None:
                return rows[:, 0] >= step
            return rows[:, 0] * sense > 0.0 if changes else rows[:, 0] * sense >= step

        def words(row: Floats) -> str:
            return f"{row[0]:.1f} mm" if sense is None else f"{row[0]:+.1f} mm {('forward', 'up', 'out')[way]}"

        return Question(measure, holds, words)

    return asked


def glide_changes(
    changes: Callable[[Bench], Sequence[Change]], pushes: Sequence[tuple[At, str, str]], sense: float
) -> Asked:
    """Every one of some glides grows (or shrinks) notably with a change."""

    def asked(bench: Bench) -> Question:
        notable = bench.figure(NOTABLE_PERCENT)

        def measure(bench: Bench) -> Measured:
            found, fine = [], everybody(len(bench.living))
            for at, direction, force in pushes:
                pair = [
                    bench.glide(people, at, direction, bench.figure(force))
                    for people in (bench.people(), bench.people(*changes(bench)))
                ]
                found.append((pair[1][0].along_mm / pair[0][0].along_mm - 1.0) * 100.0)
                fine &= pair[0][1] & pair[1][1].wherever
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
    """Across living people a structure's stiffness goes with the range of a motion, or not, at the study's size."""

    def asked(bench: Bench) -> Question:
        people_studied = bench.library.figure(f"restraint_studies.{row}.value").n or len(bench.living)
        bound = 2.0 / np.sqrt(people_studied)

        def measure(bench: Bench) -> Measured:
            columns = [BANDS.index(band) for band in bands_of(structure, BANDS)]
            stiff = np.log(bench.living.traits.stiffness_factor[:, columns]).mean(axis=1)
            end = bench.limit(bench.people(living=True), motion)
            ok = ended(end)
            counted = ok.converged & ok.seated
            product = np.zeros(len(counted))
            product[counted] = _standard(stiff[counted]) * _standard(end.angle_deg[counted])
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
        found = _carried(bench, bench.people(), "flexion", -most)
        return Measured(found.rows[:, :1], found.ok)

    return Question(measure, lambda rows: rows[:, 0] > 0.0, lambda row: f"{row[0]:+.1f} mm forward against the push")


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


def plicated(*structures: str) -> Callable[[Bench], Sequence[Change]]:
    return lambda bench: _plicated(bench, structures)


def sectioned(*structures: str) -> Callable[[Bench], Sequence[Change]]:
    return lambda _: without(structures)


def _gains(bench: Bench, changes: Sequence[Change], motions: Sequence[str | tuple[At, str]]) -> Measured:
    each = [gain_deg(bench, one if isinstance(one, str) else bench.motion(*one), *changes) for one in motions]
    return Measured(np.hstack([one.rows for one in each]), reduce(and_, [one.ok for one in each]))


def _plicated(bench: Bench, structures: Sequence[str]) -> tuple[Change, ...]:
    return tuple(shortened(one, by_mm=bench.set_to("plication_mm")) for one in structures)


def _carried(bench: Bench, people: Shoulders, motion: str, push_n: float = 0.0) -> Measured:
    """How far the head has gone, (n, 3) millimetres forward, up, out, from the start of a motion to where it ends in
    the unchanged people, there pushed forward by so much."""
    asked = find_motion(bench.library, motion)
    end = bench.at_end_of(bench.people(), asked)
    axes = people.socket.axes
    start = people.at_rest(asked.humerus(asked.start_rad))
    rest = people.at_rest(end.rotation, push_n * axes[:, :, 0])
    moved = np.einsum("nji,nj->ni", axes, rest.centre_m - start.centre_m)
    found = rested(people, start) & rested(people, rest)
    return Measured(mm_from_m(moved), Answered(end.ok & found.converged, found.seated))


def _moved(before: Shoulders, after: Shoulders, posed: Posed) -> tuple[Floats, Answered]:
    """How the head's place differs, (n, 3) millimetres forward, up, out."""
    rests = [people.at_rest(posed.rotation) for people in (before, after)]
    moved = np.einsum("nji,nj->ni", before.socket.axes, rests[1].centre_m - rests[0].centre_m)
    found = rested(before, rests[0]) & rested(after, rests[1]).wherever
    return mm_from_m(moved), Answered(posed.ok & found.converged, found.seated)


def _standard(values: Floats) -> Floats:
    scores: Floats = (values - values.mean()) / values.std()
    return scores


def _degrees(row: Floats) -> str:
    return ", ".join(f"{value:+.0f}°" for value in row)
