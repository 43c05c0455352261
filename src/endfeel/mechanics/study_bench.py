"""The bench on which studies of the glenohumeral joint are put to the model: people, positions, settings, questions.

A study speaks about its people together, so the model answers with a drawn population: every question is a row of
numbers for each person and a judgement of such a row. The verdict judges the row of the people together, and the same
judgement of each person's own row says in how many it holds. People without an answer are left out and counted.

A question about a whole joint is answered by the people whose head stays in the socket: see `Answered`.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from endfeel.anatomy.girdle import girdle_pose
from endfeel.anatomy.rhythm import find_rhythm, plane_deg
from endfeel.anatomy.sizes import default_sizes
from endfeel.anatomy.units import Floats, rad_from_deg
from endfeel.evidence.figures import number
from endfeel.evidence.library import Library
from endfeel.mechanics.blade_axes import standard_from_blade
from endfeel.mechanics.changes import Change, bands_of, cut
from endfeel.mechanics.glenohumeral import Rest
from endfeel.mechanics.motions import Motion, find_motion, scapula_held
from endfeel.mechanics.passive_range import FURTHEST_RAD
from endfeel.mechanics.shoulder import Bands, End, Glide, Shoulders
from endfeel.mechanics.stress_table import BLADE_AT_REST, TAUT, turning

Flags = NDArray[np.bool_]
FRONT_TO_BACK = "claim_settings.cs004.value"
DOWNWARD = "joint_play.jp068.force_N"
"""Forces for rows that name a direction and no force."""


@dataclass(frozen=True, slots=True)
class At:
    """Where the arm is: elevation (negative: behind) in a plane, a turn in degrees (inward positive) or to a limit."""

    elevation_deg: float
    plane: str = "scapular"
    """frontal, scapular or sagittal."""
    turn: float | str = 0.0
    """Degrees, or medial or lateral: to the passive limit."""
    frame: str = "GH"
    """GH: angles of the humerus in the scapula. HT: of the arm on the trunk, the blade where the rhythm puts it."""


@dataclass(frozen=True, slots=True)
class Posed:
    """n arms in a position, and in whom it could be found."""

    rotation: Floats
    ok: Flags


@dataclass(frozen=True, slots=True)
class Answered:
    """Of n people: whose search ended at rest, and whose head then lay over the socket."""

    converged: Flags
    seated: Flags

    def __and__(self, other: Answered) -> Answered:
        """Those for whom both hold."""
        return Answered(self.converged & other.converged, self.seated & other.seated)

    @property
    def wherever(self) -> Answered:
        """The same when the question lets the head leave, as after a section."""
        return Answered(self.converged, np.ones_like(self.seated))


@dataclass(frozen=True, slots=True)
class Measured:
    """A row of numbers a person, (n, k), and who answered."""

    rows: Floats
    ok: Answered


def median(rows: Floats) -> Floats:
    """The median person in every column."""
    found: Floats = np.median(rows, axis=0)
    return found


def mean(rows: Floats) -> Floats:
    """The mean of every column."""
    found: Floats = np.mean(rows, axis=0)
    return found


@dataclass(frozen=True, slots=True)
class Question:
    """How one row of a study is put to the model."""

    measure: Callable[[Bench], Measured]
    holds: Callable[[Floats], Flags]
    """Judges rows (m, k): (m,)."""
    words: Callable[[Floats], str]
    """The row of the people together (k,) in words."""
    together: Callable[[Floats], Floats] = median
    """People as one row, (m, k) to (k,): medians of what each person does, means of shares, flags and products."""
    may_leave: bool = False
    """Whether the study itself takes the head out of the socket, so that no seated head is assumed."""


@dataclass(frozen=True, slots=True)
class Bench:
    """Drawn people, living or as a laboratory presses them; what was found once is kept."""

    library: Library
    living: Shoulders
    cuff: bool = False
    """Whether the study left the cuff on its specimens."""
    kept: dict[Hashable, Any] = field(default_factory=dict)

    def set_to(self, quantity: str) -> float:
        """A setting of the checks by name."""
        return setting(self.library, quantity)

    def figure(self, figure_id: str) -> float:
        return number(self.library.figure(figure_id))

    def people(
        self, *changes: Change, living: bool = False, compression_n: float | None = None, vented: bool = False
    ) -> Shoulders:
        """The people with something different, in a laboratory unless living. A section lets air into the joint."""
        open_ = vented or any(change.stiffness_factor == 0.0 for change in changes)
        key = ("people", changes, living, compression_n, open_)
        if key not in self.kept:
            pressed = self.living if living else self.living.in_laboratory(self.cuff)
            if compression_n is not None:
                pressed = pressed.pressed(compression_n)
            self.kept[key] = (pressed.vented() if open_ else pressed).changed(*changes)
        found: Shoulders = self.kept[key]
        return found

    def acting(self) -> Shoulders:
        """The people with the arm held up by their own muscles, which press the head into the socket."""
        return self.people(
            living=True, compression_n=self.set_to("raised_arm_load_bodyweights") * self.set_to("body_weight_N")
        )

    def limit(self, people: Shoulders, motion: str | Motion, moment_nm: float | None = None) -> End:
        """The passive limit of a motion by name or made by hand, searched once."""
        name = motion if isinstance(motion, str) else motion.name
        key = ("limit", id(people), name, moment_nm)
        if key not in self.kept:
            self.kept[key] = people.passive_limit(motion, moment_nm)
        found: End = self.kept[key]
        return found

    def motion(self, at: At, turn: str) -> Motion:
        """Turning the arm from a pure swing at a position."""
        name = f"{turn} at {at.elevation_deg:g} {at.plane} {at.frame}"
        facing = self.figure(BLADE_AT_REST)
        in_blade = at.frame == "GH" and at.plane == "scapular"
        plane, elevation = _raised(facing if in_blade else plane_deg(self.library, at.plane), at.elevation_deg)
        held = scapula_held(facing, 0.0, 0.0) if at.frame == "GH" else self._blade(plane, elevation)
        return turning(name, plane, elevation, turn, held)

    def posed(self, people: Shoulders, at: At) -> Posed:
        """Every person's arm in a position."""
        if isinstance(at.turn, str):
            motion = self.motion(at, at.turn)
            end = self.limit(people, motion)
            return Posed(*_at_end(motion, end))
        motion = self.motion(at, "medial")
        pose = motion.humerus(motion.start_rad + float(rad_from_deg(at.turn)))
        return Posed(np.broadcast_to(pose, (len(people), 3, 3)), np.ones(len(people), dtype=bool))

    def at_end_of(self, people: Shoulders, motion: str | Motion) -> Posed:
        """Every person's arm at the passive end of a motion."""
        asked = find_motion(self.library, motion) if isinstance(motion, str) else motion
        return Posed(*_at_end(asked, self.limit(people, asked)))

    def bands(self, people: Shoulders, at: At) -> tuple[Bands, Answered]:
        """What the bands do in a position, the head at rest."""
        if isinstance(at.turn, str):
            end = self.limit(people, self.motion(at, at.turn))
            return end.bands, ended(end)
        key = ("bands", id(people), at)
        if key not in self.kept:
            posed = self.posed(people, at)
            self.kept[key] = (people.bands_at(posed.rotation), rested(people, people.at_rest(posed.rotation)))
        found: tuple[Bands, Answered] = self.kept[key]
        return found

    def glide(self, people: Shoulders, at: At, direction: str, force_n: float) -> tuple[Glide, Answered]:
        """The head pushed in a position."""
        key = ("glide", id(people), at, direction, force_n)
        if key not in self.kept:
            posed = self.posed(people, at)
            glide = people.translation(posed.rotation, direction, force_n)
            self.kept[key] = (glide, Answered(posed.ok & glide.converged, glide.seated))
        found: tuple[Glide, Answered] = self.kept[key]
        return found

    def _blade(self, plane: float, elevation: float) -> Floats:
        """(3, 3) where the blade of a mean girdle stands in the thorax with the arm raised so far."""
        key = ("blade", plane, elevation)
        if key not in self.kept:
            arm = rad_from_deg([plane, elevation, 0.0])
            pose = girdle_pose(arm, find_rhythm(self.library), default_sizes(self.library))
            self.kept[key] = pose.thorax_from_scapula @ standard_from_blade(self.library)
        blade: Floats = self.kept[key]
        return blade


def ended(end: End) -> Answered:
    """Who answered by a passive limit."""
    return Answered(end.converged, end.seated)


def rested(people: Shoulders, rest: Rest) -> Answered:
    """Who answered by a place of rest."""
    return Answered(rest.converged, people.seated(rest.centre_m))


def everybody(count: int) -> Answered:
    """All of so many people, to begin with."""
    return Answered(np.ones(count, dtype=bool), np.ones(count, dtype=bool))


def setting(library: Library, quantity: str) -> float:
    """A setting of the checks by name. Raises KeyError."""
    for row in library.tables["claim_settings"]:
        if row.text["quantity"] == quantity:
            return number(row.figures["value"])
    raise KeyError(quantity)


def _raised(plane_deg_: float, elevation_deg: float) -> tuple[float, float]:
    """Behind the trunk is the opposite plane."""
    return (plane_deg_, elevation_deg) if elevation_deg >= 0.0 else (plane_deg_ - 180.0, -elevation_deg)


def _at_end(motion: Motion, end: End) -> tuple[Floats, Flags]:
    angle = np.where(end.converged, rad_from_deg(end.angle_deg), motion.start_rad)
    return motion.humerus(angle), end.converged


# -- the usual questions ------------------------------------------------------------------------------------------


def summed(values: Floats, names: Sequence[str], structure: str) -> Floats:
    """The sum (n,) of a band's or region's columns."""
    total: Floats = values[:, [names.index(band) for band in bands_of(structure, names)]].sum(axis=1)
    return total


def taut_n(bench: Bench) -> float:
    return bench.figure(TAUT)


def near(value: float, factor: float) -> Callable[[Floats], Flags]:
    """Within a factor of a number published without its spread."""
    return lambda rows: (rows[:, 0] >= value / factor) & (rows[:, 0] <= value * factor)


def within(value: float, sd: float) -> Callable[[Floats], Flags]:
    """Within one published standard deviation."""
    return lambda rows: np.abs(rows[:, 0] - value) <= sd


def first(count: int = 1) -> Callable[[Floats], Flags]:
    """The first column is among the `count` largest and above nothing."""
    return lambda rows: ((rows[:, 1:] > rows[:, :1]).sum(axis=1) < count) & (rows[:, 0] > 0.0)


def number_words(unit: str, digits: int = 1) -> Callable[[Floats], str]:
    return lambda row: f"{row[0]:.{digits}f} {unit}"


def ranking_words(names: Sequence[str], unit: str, scale: float = 1.0) -> Callable[[Floats], str]:
    """The three largest of a row."""

    def words(row: Floats) -> str:
        order = np.argsort(-row)[:3]
        return ", ".join(f"{names[place]} {row[place] * scale:.0f} {unit}" for place in order)

    return words


def others_of(names: Sequence[str], structure: str | Sequence[str], among: Sequence[str] | None = None) -> list[str]:
    """The bands that do not belong to a structure, of all or of some."""
    own = [band for one in _several(structure) for band in bands_of(one, names)]
    pool = names if among is None else [band for one in among for band in bands_of(one, names)]
    return [band for band in pool if band not in own]


def _several(structure: str | Sequence[str]) -> Sequence[str]:
    return (structure,) if isinstance(structure, str) else structure


def ranked(values: Floats, names: Sequence[str], structure: str | Sequence[str], others: Sequence[str]) -> Floats:
    """The structure's sum, then every other's, (n, 1 + others)."""
    own = np.sum([summed(values, names, one) for one in _several(structure)], axis=0)
    return np.column_stack([own, *(summed(values, names, other) for other in others)])


def gain_deg(bench: Bench, motion: str | Motion, *changes: Change) -> Measured:
    """How much farther a motion goes with something different, (n, 1) degrees. Where nothing stops it any more, to
    where the search ends."""
    asked = find_motion(bench.library, motion) if isinstance(motion, str) else motion
    before, after = bench.limit(bench.people(), asked), bench.limit(bench.people(*changes), asked)
    endless = np.isnan(after.angle_deg)
    reached = np.where(endless, np.rad2deg(asked.start_rad + FURTHEST_RAD), after.angle_deg)
    ok = ended(before) & Answered(after.converged | endless, np.ones(len(endless), dtype=bool))
    return Measured((reached - before.angle_deg)[:, None], ok)


def without(structure: str | Sequence[str]) -> tuple[Change, ...]:
    return tuple(cut(one) for one in _several(structure))
