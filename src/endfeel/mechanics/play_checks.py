"""How every row of published joint play at the glenohumeral joint is put to the model, or why it cannot be.

Rules as for the restraint studies. Living people have the tone of the living. A hand whose force was not measured is
taken to push as hands that take up the slack were measured to: downward `jp028`, backward and forward `jp040`. A row
whose published travel is longer than from the middle of the socket to its rim does not ask for a seated head.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from functools import reduce
from operator import and_

import numpy as np

from endfeel.anatomy.units import Floats, mm_from_m
from endfeel.evidence.figures import number
from endfeel.mechanics.changes import cut
from endfeel.mechanics.shoulder import Shoulders
from endfeel.mechanics.study_bench import (
    Answered,
    At,
    Bench,
    Flags,
    Measured,
    Question,
    everybody,
    near,
    number_words,
    rested,
    within,
)
from endfeel.mechanics.study_questions import FACTOR, Asked

AT_SIDE = At(0, "frontal", 0.0, "HT")
DRAWER = At(45, "scapular", 0.0, "HT")
"""Drawer tests are done in mid range."""
OPEN_PACKED = At(55, "scapular", 0.0, "HT")
"""55 degrees raised, 30 in front of the frontal plane."""
RAISED = At(90, "frontal", 0.0, "HT")
PITCHER = At(90, "frontal", -60.0, "HT")
HAND_DOWN, HAND_ACROSS = "joint_play.jp028.force_N", "joint_play.jp040.force_N"
AROUND = ("superior", "anterosuperior", "anterior", "anteroinferior", "inferior", "posteroinferior", "posterior",
          "posterosuperior")  # fmt: skip
POINTS = "girdle_ligaments.gl175.value"


def travels(row: str, at: At, direction: str, force: str = "", *, living: bool = True) -> Asked:
    """How far the head goes under a force: within the published spread, else within the factor for bare numbers."""

    def asked(bench: Bench) -> Question:
        play = bench.library.tables["joint_play"].rows[row].figures
        told = number(play["translation_mm"])
        spread = play.get("translation_sd_mm")
        holds = near(told, bench.figure(FACTOR)) if spread is None else within(told, number(spread))

        def measure(bench: Bench) -> Measured:
            people = bench.people(living=living)
            glide, ok = bench.glide(people, at, direction, bench.figure(force or f"joint_play.{row}.force_N"))
            return Measured(glide.along_mm[:, None], ok)

        leaves = told > _rim_mm(bench.living, direction)
        return Question(measure, holds, number_words("mm"), may_leave=leaves)

    return asked


def pressed_travels(row: str, at: At, compression_n: float) -> Asked:
    """The same in a laboratory with a stated compression, of sealed and opened joints together: one mean is told of
    both. Only the sealed joint's head is asked to stay."""

    def asked(bench: Bench) -> Question:
        told = bench.figure(f"joint_play.{row}.translation_mm")

        def measure(bench: Bench) -> Measured:
            sealed, opened = (
                bench.glide(
                    bench.people(compression_n=compression_n, vented=vented),
                    at,
                    "inferior",
                    bench.figure(f"joint_play.{row}.force_N"),
                )
                for vented in (False, True)
            )
            both = (sealed[0].along_mm + opened[0].along_mm) / 2.0
            return Measured(both[:, None], sealed[1] & opened[1].wherever)

        leaves = told > _rim_mm(bench.living, "inferior")
        return Question(measure, near(told, bench.figure(FACTOR)), number_words("mm"), may_leave=leaves)

    return asked


def spread_is_great(at: At, direction: str, force: str) -> Asked:
    """People differ widely: standard deviation over mean. Each person's row is their deviation, so no share is told."""

    def asked(bench: Bench) -> Question:
        least = bench.set_to("great_spread_ratio")

        def measure(bench: Bench) -> Measured:
            glide, ok = bench.glide(bench.people(living=True), at, direction, bench.figure(force))
            far = glide.along_mm[ok.converged & ok.seated]
            rows = np.full((len(glide.along_mm), 1), far.std() / far.mean() if len(far) else 0.0)
            return Measured(rows, ok)

        return Question(measure, lambda rows: rows[:, 0] >= least, lambda row: f"SD {row[0] * 100:.0f} % of the mean")

    return asked


def shifts(row: str, way: int) -> Asked:
    """Where the unloaded head lies at 90° of abduction as against 15°: within the published spread."""

    def asked(bench: Bench) -> Question:
        play = bench.library.tables["joint_play"].rows[row].figures

        def measure(bench: Bench) -> Measured:
            people, places, fine = bench.people(living=True), [], everybody(len(bench.living))
            for elevation in (15, 90):
                posed = bench.posed(people, At(elevation, "frontal", 0.0, "HT"))
                rest = people.at_rest(posed.rotation)
                places.append(rest.centre_m)
                fine &= rested(people, rest)
            moved = np.einsum("nji,nj->ni", people.socket.axes, places[1] - places[0])
            return Measured(mm_from_m(moved[:, [way]]), fine)

        told, spread = number(play["translation_mm"]), number(play["translation_sd_mm"])
        return Question(measure, within(told, spread), lambda found: f"{found[0]:+.1f} mm")

    return asked


def slips(labrum: bool) -> Asked:
    """The force along the socket at which a pressed head leaves it, against its compression, capsule slack."""

    def asked(bench: Bench) -> Question:
        points = bench.figure(POINTS) / 100.0
        told = _percent(bench, "jp066" if labrum else "jp067") / 100.0

        def measure(bench: Bench) -> Measured:
            whole = _stability(bench, labrum=True)
            if labrum:
                return Measured(whole, everybody(len(whole)))
            bare = _stability(bench, labrum=False)
            less = 1.0 - bare.mean(axis=1) / whole.mean(axis=1)
            return Measured(less[:, None], everybody(len(whole)))

        def holds(rows: Floats) -> Flags:
            if not labrum:
                return np.abs(rows[:, 0] - told) <= points
            best = rows.argmax(axis=1)
            upright = np.isin(best, [AROUND.index("superior"), AROUND.index("inferior")])
            found: Flags = upright & (np.abs(rows.max(axis=1) - told) <= points)
            return found

        def words(row: Floats) -> str:
            if not labrum:
                return f"{row[0] * 100:.0f} % less without labrum"
            best = int(row.argmax())
            return f"greatest {AROUND[best]}, {row[best] * 100:.0f} % of the compression"

        return Question(measure, holds, words, may_leave=True)

    return asked


def most_play_in_mid_range(bench: Bench) -> Question:
    """Front-to-back play is greatest at 15° to 45° of abduction; up-and-down play grows with abduction."""
    elevations = (0, 15, 30, 45, 60, 75)
    pushed = bench.set_to("arc_force_N")

    def play(bench: Bench, at: At, ways: Sequence[str]) -> tuple[Floats, Answered]:
        pair = [bench.glide(bench.people(), at, way, pushed) for way in ways]
        return pair[0][0].along_mm + pair[1][0].along_mm, pair[0][1] & pair[1][1]

    def measure(bench: Bench) -> Measured:
        found = [play(bench, At(elevation), ("anterior", "posterior")) for elevation in elevations]
        found += [play(bench, At(elevation), ("superior", "inferior")) for elevation in (0, 75)]
        return Measured(np.column_stack([far for far, _ in found]), reduce(and_, [ok for _, ok in found]))

    def holds(rows: Floats) -> Flags:
        across = rows[:, : len(elevations)].argmax(axis=1)
        found: Flags = (across >= 1) & (across <= 3) & (rows[:, -1] > rows[:, -2])
        return found

    def words(row: Floats) -> str:
        told = " / ".join(f"{value:.1f}" for value in row[: len(elevations)])
        return f"front to back {told} mm at 0 to 75°; up and down {row[-2]:.1f} to {row[-1]:.1f} mm"

    return Question(measure, holds, words)


def halfway(row: str, direction: str) -> Asked:
    """The force that moves an unpressed head halfway to the edge of the socket, the joint sealed."""

    def asked(bench: Bench) -> Question:
        told = bench.figure(f"joint_play.{row}.force_N")

        def measure(bench: Bench) -> Measured:
            people = bench.people(compression_n=0.0)
            forces = np.linspace(told / 8.0, told * 3.0, 24)
            posed = bench.posed(people, At(45))
            curve = people.stiffness_curve(posed.rotation, direction, [float(force) for force in forces])
            edge = people.socket.half_height_m if direction == "inferior" else people.socket.half_width_m
            wanted, ok = mm_from_m(edge) / 2.0, np.all(np.isfinite(curve), axis=1)
            reached = np.array([np.interp(far, one, forces) for far, one in zip(wanted, curve, strict=True)])
            return Measured(reached[:, None], Answered(ok, np.ones_like(ok)))

        return Question(measure, near(told, bench.figure(FACTOR)), number_words("N", 0), may_leave=True)

    return asked


def _stability(bench: Bench, *, labrum: bool) -> Floats:
    """(n, 8) the greatest tangential force by direction before the head leaves the socket, over its compression."""
    key = ("stability", labrum)
    if key not in bench.kept:
        pressed = _numbers(bench.library.tables["joint_play"].rows["jp066"].text["arm_position"])[0]
        people = bench.people(cut("whole_capsule"), compression_n=pressed).vented()
        if not labrum:
            people = _without_labrum(people)
        pose, steps = np.eye(3), np.arange(0.1, 1.0, 0.05)
        held = np.zeros((len(people), len(AROUND)))
        for place, direction in enumerate(AROUND):
            staying = np.ones(len(people), dtype=bool)
            for share in steps:
                glide = people.translation(pose, direction, float(share) * pressed)
                staying &= glide.converged & glide.seated
                held[staying, place] = share
                if not staying.any():
                    break
        bench.kept[key] = held
    held_: Floats = bench.kept[key]
    return held_


def _rim_mm(people: Shoulders, direction: str) -> float:
    """How far it is from the middle of the mean socket to its rim, up and down or front to back."""
    upright = direction in ("superior", "inferior")
    half = people.socket.half_height_m if upright else people.socket.half_width_m
    return float(mm_from_m(half).mean())


def _without_labrum(people: Shoulders) -> Shoulders:
    springs = 2 * round(people.parameters.mean("labrum_springs_a_ring"))
    stiffness = people.bed.stiffness_n_per_m.copy()
    stiffness[:, -springs:] = 0.0
    return replace(people, bed=replace(people.bed, stiffness_n_per_m=stiffness))


def _numbers(text: str) -> list[float]:
    return [float(one) for one in re.findall(r"\d+(?:\.\d+)?", text)]


def _percent(bench: Bench, row: str) -> float:
    """The number before the word percent in a finding."""
    text = bench.library.figure(f"joint_play.{row}.finding").text
    return _numbers(text.partition(" percent")[0])[-1]


def _pressed_words(bench: Bench, row: str) -> float:
    """The compression that a row's population names."""
    return _numbers(bench.library.tables["joint_play"].rows[row].text["population"])[0]


def _warner(row: str, elevation: float) -> Asked:
    return lambda bench: pressed_travels(row, At(elevation), _pressed_words(bench, row))(bench)


PLAY_CHECKS: dict[str, Asked] = {
    "jp006": travels("jp006", DRAWER, "anterior", HAND_ACROSS),
    "jp007": travels("jp007", DRAWER, "posterior", HAND_ACROSS),
    "jp008": travels("jp008", AT_SIDE, "inferior", HAND_DOWN),
    "jp009": travels("jp009", RAISED, "posterior", HAND_ACROSS),
    "jp010": spread_is_great(DRAWER, "anterior", HAND_ACROSS),
    "jp012": travels("jp012", At(15, "frontal", 0.0, "HT"), "anterior"),
    "jp013": travels("jp013", RAISED, "anterior"),
    "jp014": shifts("jp014", 0),
    "jp015": shifts("jp015", 1),
    "jp016": shifts("jp016", 2),
    "jp017": travels("jp017", PITCHER, "anterior"),
    "jp018": travels("jp018", PITCHER, "posterior", "joint_play.jp017.force_N"),
    "jp019": travels("jp019", PITCHER, "anterior"),
    "jp020": travels("jp020", PITCHER, "posterior", "joint_play.jp017.force_N"),
    **{f"jp{row:03d}": travels(f"jp{row:03d}", AT_SIDE, "inferior") for row in (27, 28, 29)},
    **{f"jp{row:03d}": travels(f"jp{row:03d}", OPEN_PACKED, "inferior") for row in (30, 31, 32)},
    **{f"jp{row:03d}": travels(f"jp{row:03d}", RAISED, "inferior") for row in (33, 34, 35)},
    **{
        f"jp{row:03d}": travels(f"jp{row:03d}", OPEN_PACKED, "inferior", f"joint_play.jp{row - 6:03d}.force_N")
        for row in (36, 37, 38)
    },
    **{f"jp{row:03d}": travels(f"jp{row:03d}", OPEN_PACKED, "posterior") for row in (39, 40, 41)},
    "jp066": slips(labrum=True),
    "jp067": slips(labrum=False),
    "jp068": _warner("jp068", 0),
    "jp069": _warner("jp069", 45),
    "jp070": _warner("jp070", 90),
    "jp071": _warner("jp071", 0),
    "jp072": most_play_in_mid_range,
    "jp073": halfway("jp073", "anterior"),
    "jp074": halfway("jp074", "posterior"),
    "jp075": halfway("jp075", "inferior"),
}
"""How each row is put to the model."""

_ARTHROMETER = "neither the position of the arm nor the peak force is in what was read"
_CREEP = "the effect of treatment over time: creep and healing are not in the model"
_GRADE = "says what a grade means; nothing is measured"
_ACTING = "muscles act; none acts in the model"
PLAY_SILENT: dict[str, str] = {
    **{f"jp{row:03d}": _ARTHROMETER for row in (1, 3, 4, 5)},
    "jp002": "neither position nor force is in what was read, and the people of the model differ by sex in bones alone",
    "jp011": "compares patients with healthy people; the model has no unstable patients to examine",
    "jp021": _ACTING,
    "jp022": "the effect of training on muscle",
    **{f"jp{row:03d}": _ACTING for row in (23, 24, 25, 26)},
    "jp042": "how therapists differ in force",
    **{f"jp{row:03d}": _CREEP for row in (43, 44, 45, 46, 47)},
    **{f"jp{row:03d}": _GRADE for row in range(53, 66)},
}
"""Why the model cannot speak to a row."""
