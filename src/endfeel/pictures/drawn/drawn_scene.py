"""One procedure on one side as a scene: bones before and after, hands, arrows, fibres with their strain, what is lit.

A pure value that the viewer in the browser and the still picture both draw. Computed for a right shoulder; the left is
its mirror image, made here in one place (`DrawnScene.mirrored`). Thorax axes, metres and radians.
"""

# ruff: noqa: RUF005 (the sums are sums of points, not of lists)

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from endfeel.anatomy.frames import mirrored_points, mirrored_rotation
from endfeel.anatomy.units import Floats
from endfeel.evidence.figures import number
from endfeel.evidence.library import Library, Row
from endfeel.mechanics import acromioclavicular, sternoclavicular
from endfeel.pictures.drawn.arrows import Arrow, along_socket, pushed, round_axis, seen_on, swept
from endfeel.pictures.drawn.fibres import DrawnFibre, fibres_of
from endfeel.pictures.drawn.places import Place, find_place
from endfeel.pictures.drawn.poses import Model, Stance, glided, moved_blade, stance, tested
from endfeel.vocabulary import NotFound, Position, Procedure, Refused, Side

GIRDLE = ("clavicle", "scapula", "humerus", "forearm")
OTHER_ARM_DEG: Mapping[Position, tuple[float, float, float, float]] = {
    Position.SIDE_LYING: (80.0, 82.0, -10.0, 100.0),
    Position.SUPINE: (30.0, 10.0, 10.0, 20.0),
    Position.PRONE: (0.0, 14.0, 20.0, 15.0),
    Position.SITTING: (35.0, 12.0, 20.0, 60.0),
    Position.STANDING: (20.0, 6.0, 20.0, 15.0),
}
"""How the other arm lies: plane, elevation, inward turn, bend of the elbow. A matter of drawing."""
HAND_FORCE = "mechanical_tests.mt022.force_N"
"""The force of a hand in a glide that has no mechanical test of its own."""


@dataclass(frozen=True, slots=True)
class PlacedBone:
    """One shape, before and after."""

    id: str
    mesh: str
    turn: Floats
    place_m: Floats
    end_turn: Floats
    end_place_m: Floats


@dataclass(frozen=True, slots=True)
class Hand:
    """One hand of the examiner."""

    role: str
    """`fixes`, `moves`, `resists` or `feels`."""
    words: str
    """What it lies on, as the procedure says it."""
    point_m: Floats
    outward: Floats
    fingers: Floats
    end_point_m: Floats
    end_outward: Floats
    end_fingers: Floats
    is_left: bool = False


@dataclass(frozen=True, slots=True)
class Lit:
    """A contributor where it is shown."""

    contributor: str
    name: str
    probability: float
    bands: tuple[str, ...]
    points_m: Floats
    """(k, 3), one a place; none where bands are lit."""


@dataclass(frozen=True, slots=True)
class Belief:
    """What is believed of a contributor, as far as a picture needs it."""

    contributor: str
    name: str
    side: Side | None
    level: str | None
    probability: float


@dataclass(frozen=True, slots=True)
class DrawnScene:
    """Everything that is drawn of one procedure, or of an arm in a pose."""

    id: str
    """Of the procedure; empty for a pose."""
    name: str
    fixed: str
    direction: str
    """As the procedure words them."""
    kind: str
    side: Side
    level: str
    position: Position
    view: str
    bones: tuple[PlacedBone, ...]
    hands: tuple[Hand, ...]
    arrows: tuple[Arrow, ...]
    fibres: tuple[DrawnFibre, ...]
    end_fibres: tuple[DrawnFibre, ...]
    lit: tuple[Lit, ...]
    named_levels: tuple[tuple[str, Floats], ...]
    force_n: float
    """Of the hand in a glide as it is shown; 0 where none is meant."""
    asked_force_n: float

    def mirrored(self) -> DrawnScene:
        """The other side's."""

        def hand(one: Hand) -> Hand:
            points = ("point_m", "outward", "fingers", "end_point_m", "end_outward", "end_fingers")
            image: dict[str, Any] = {name: mirrored_points(getattr(one, name)) for name in points}
            return replace(one, is_left=not one.is_left, **image)

        def bone(one: PlacedBone) -> PlacedBone:
            turns, places = ("turn", "end_turn"), ("place_m", "end_place_m")
            image: dict[str, Any] = {name: mirrored_rotation(getattr(one, name)) for name in turns}
            image |= {name: mirrored_points(getattr(one, name)) for name in places}
            return replace(one, **image)

        return replace(
            self,
            side=Side.LEFT if self.side is Side.RIGHT else Side.RIGHT,
            bones=tuple(bone(one) for one in self.bones),
            hands=tuple(hand(one) for one in self.hands),
            arrows=tuple(replace(one, points_m=mirrored_points(one.points_m)) for one in self.arrows),
            fibres=tuple(replace(one, points_m=mirrored_points(one.points_m)) for one in self.fibres),
            end_fibres=tuple(replace(one, points_m=mirrored_points(one.points_m)) for one in self.end_fibres),
            lit=tuple(replace(one, points_m=mirrored_points(one.points_m)) for one in self.lit),
            named_levels=tuple((name, mirrored_points(point)) for name, point in self.named_levels),
        )


def drawn_row(library: Library, procedure_id: str) -> Row:
    """How a procedure is drawn. Raises NotFound for one that the catalogue does not have."""
    procedure = library.catalogue[procedure_id]
    for row in library.tables["drawn_procedures"]:
        if row.text["procedure"] == procedure.id:
            return row
    raise NotFound(f"nothing says how {procedure.id!r} is drawn")


def why_not_drawn(library: Library, procedure_id: str) -> str:
    """The reason why there is no picture of a procedure; empty where there is one."""
    return drawn_row(library, procedure_id).text.get("reason", "")


def drawn_scene(
    model: Model,
    procedure_id: str,
    side: Side,
    level: str = "",
    beliefs: Sequence[Belief] = (),
    position: Position | None = None,
) -> DrawnScene:
    """The scene of a procedure. Raises NotFound for an unknown one, Refused with the reason for one without picture."""
    library, row = model.library, drawn_row(model.library, procedure_id)
    if row.text["kind"] == "none":
        raise Refused(f"no picture: {row.text['reason']}")
    procedure = library.catalogue[procedure_id]
    at_level = level or (procedure.levels[len(procedure.levels) // 2] if procedure.levels else "T5")
    made = _Maker(model, row, procedure, at_level)
    where = position or procedure.preferred_position
    beside = procedure.region if made.kind in ("push", "feel") else ""
    start, end = made.way[0], made.way[-1]
    scene = DrawnScene(
        procedure.id,
        procedure.name,
        procedure.fixed,
        procedure.direction,
        row.text["kind"],
        Side.RIGHT,
        at_level if procedure.levels else "",
        where,
        row.text["view"],
        _bones(model, start, end, where),
        made.hands(),
        made.arrows(),
        fibres_of(model, start, beside),
        fibres_of(model, end, beside),
        (),
        _level_names(model),
        made.force_n,
        made.asked_force_n,
    )
    on_side = scene.mirrored() if side is Side.LEFT else scene
    return lit_scene(model, on_side, beliefs) if beliefs else on_side


def posed_scene(
    model: Model, arm_deg: Sequence[float], elbow_deg: float, side: Side, position: Position = Position.SITTING
) -> DrawnScene:
    """An arm in any pose, to look at what girdle and fibres do: plane, elevation, inward turn in degrees."""
    at = stance(model, arm_deg, elbow_deg)
    fibres = fibres_of(model, at, "")
    scene = DrawnScene(
        "", "Arm in a pose", "none", "none", "show", Side.RIGHT, "", position, "front",
        _bones(model, at, at, position), (), (), fibres, fibres, (), _level_names(model), 0.0, 0.0,
    )  # fmt: skip
    return scene.mirrored() if side is Side.LEFT else scene


def lit_scene(model: Model, scene: DrawnScene, beliefs: Sequence[Belief]) -> DrawnScene:
    """The same scene with contributors lit: those of its side, or of none, where the table shows them."""
    side = scene.side
    right = scene if side is Side.RIGHT else scene.mirrored()
    ends = {bone.id: (bone.end_turn, bone.end_place_m) for bone in right.bones}
    ends["thorax"] = ends["trunk"]
    made = replace(right, lit=_lit(model, ends, side, beliefs))
    return made if side is Side.RIGHT else made.mirrored()


def _level_names(model: Model) -> tuple[tuple[str, Floats], ...]:
    return tuple((name, find_place(name, "", model.shoulders).point_m) for name in _NAMED)


_NAMED = ("C5", "C7", "T2", "T4", "T6", "T8")
"""Levels that carry a name; every second, so that the names stand apart."""


class _Maker:
    """What one row of the table says, carried out."""

    def __init__(self, model: Model, row: Row, procedure: Procedure, level: str) -> None:
        self.model, self.row, self.procedure, self.level = model, row, procedure, level
        self.force_n = self.asked_force_n = 0.0
        self.kind, self.word = row.text["kind"], row.text.get("way", "")
        self.test = next(
            (t for t in model.library.tables["mechanical_tests"] if t.text["procedure"] == procedure.id), None
        )
        self.way = self._way()

    def hands(self) -> tuple[Hand, ...]:
        roles = []
        if self.row.text.get("fixed_place"):
            roles.append(("fixes", self.row.text["fixed_place"], self.procedure.fixed))
        moved = self.row.text.get("moved_place")
        if moved and self.procedure.technique != "active" and self.kind != "show":
            role = {"feel": "feels", "hold": "resists"}.get(self.kind, "moves")
            roles.append((role, moved, "" if role == "feels" else self.procedure.moved))
        return tuple(self._hand(role, place, words, role == "fixes") for role, place, words in roles)

    def arrows(self) -> tuple[Arrow, ...]:
        model, sizes, start = self.model, self.model.sizes, self.way[0]
        if self.kind == "feel" or self.kind == "show":
            return ()
        if self._glides():
            return along_socket(model, start, self.test.text["direction"] if self.test and not self.word else self.word)
        place = self._place("moved_place")
        if self.kind == "push":
            return (pushed(place, self.word, start, sizes),)
        if self.kind == "hold":
            return (swept(place, (*self._arm_way(),), sizes, "pushes"),)
        if self.kind == "blade" and self.word in ("off_ribs", "circle"):
            point, outward, fingers = seen_on(place, start, sizes)
            if self.word == "off_ribs":
                return (Arrow("moves", np.linspace(point + 0.02 * outward, point + 0.10 * outward, 9)),)
            middle = point + 0.03 * outward
            return (round_axis(middle + 0.05 * fingers, middle, outward, 5.2),)
        if self.kind in ("roll", "turn", "bend"):
            return (self._turned(place),)
        return (swept(place, self.way, sizes),)

    def _turned(self, place: Place) -> Arrow:
        """About the long axis of the clavicle, or of the spine, or bending the spine to the side."""
        start, sizes = self.way[0], self.model.sizes
        point, outward, _ = seen_on(place, start, sizes)
        if self.kind == "roll":
            axis = start.clavicle[:, 2]
            middle = start.sternoclavicular_m + axis * ((point - start.sternoclavicular_m) @ axis)
            from_m = middle + 0.040 * start.clavicle[:, 0]
            return round_axis(from_m, middle, axis if self.word == "forward" else -axis, 3.4)
        spine = find_place("level", self.level, self.model.shoulders).point_m + [0.045, 0.0, 0.0]
        from_m = point + 0.025 * outward
        if self.kind == "turn":
            return round_axis(from_m, spine * [1, 0, 1] + from_m * [0, 1, 0], np.array([0.0, 1.0, 0.0]), -0.75)
        return round_axis(from_m, spine, np.array([1.0, 0.0, 0.0]), 0.9)

    def _glides(self) -> bool:
        return self.kind == "glide" or (
            self.kind == "test" and self.test is not None and self.test.text["kind"] == "glide"
        )

    def _way(self) -> tuple[Stance, ...]:
        model = self.model
        if self.kind == "test" and self.test is not None:
            found, self.force_n = tested(model, self.test, 90.0 if self.row.text["moved_place"] == "wrist" else 75.0)
            if self.test.text["kind"] == "glide":
                self.asked_force_n = number(self.test.figures["force_N"])
            return found
        if self.kind == "hold":
            return (self._arm_way()[0],)
        if self.kind == "move":
            return self._arm_way()
        joint = self.procedure.region in ("acromioclavicular", "sternoclavicular")
        start = stance(
            model, self._figures("plane_deg", "elevation_deg", "inward_deg"), self._figure("elbow_deg"), joint
        )
        if self.kind == "glide":
            if self.word in ("lateral", "medial"):
                return (start,)
            self.asked_force_n = number(model.library.figure(HAND_FORCE))
            end, self.force_n = glided(model, start, self.word, self.asked_force_n)
            return start, end
        if self.kind == "blade" and self.word not in ("off_ribs", "circle"):
            return (start, *(moved_blade(model, start, self.word, share) for share in (0.5, 1.0)))
        if self.kind == "roll":
            return start, moved_blade(model, start, f"clavicle rolled {self.word}", 1.0)
        if self.kind == "push" and joint:
            return start, self._joint_pushed(start)
        return (start,)

    def _joint_pushed(self, start: Stance) -> Stance:
        """What the model of the AC or SC joint gives way under the force of its test."""
        library = self.model.library
        test = next((t for t in library.tables["girdle_tests"] if t.text["procedure"] == self.procedure.id), None)
        if test is None:
            return start
        force = self.force_n = self.asked_force_n = number(test.figures["force_N"])
        if test.text["joint"] == "SC":
            shift = sternoclavicular.translate(library, test.text["direction"], force).shift_m  # type: ignore[arg-type]
            shifted = start.sternoclavicular_m + shift
            return replace(start, sternoclavicular_m=shifted, acromioclavicular_m=start.acromioclavicular_m + shift)
        moving = "acromion" if test.text["moving"] == "acromion" else "clavicle"
        found = acromioclavicular.translate(library, test.text["direction"], force, moving=moving)  # type: ignore[arg-type]
        shift = start.clavicle @ found.shift_m
        if moving == "acromion":
            return replace(start, acromioclavicular_m=start.acromioclavicular_m + shift)
        return replace(start, sternoclavicular_m=start.sternoclavicular_m + shift)

    def _arm_way(self) -> tuple[Stance, ...]:
        """The arm from its first to its last pose, the elbow bending with it."""
        names = ("plane_deg", "elevation_deg", "inward_deg", "elbow_deg")
        first, last = (np.array(self._figures(*(f"{to}{name}" for name in names))) for to in ("", "to_"))
        steps = [first + share * (last - first) for share in np.linspace(0.0, 1.0, 13)]
        return tuple(stance(self.model, one[:3], float(one[3])) for one in steps)

    def _hand(self, role: str, name: str, words: str, is_left: bool) -> Hand:
        place = find_place(name, self.level, self.model.shoulders)
        first = seen_on(place, self.way[0], self.model.sizes)
        last = seen_on(place, self.way[-1], self.model.sizes) if role != "fixes" else first
        return Hand(role, words, *first, *last, is_left)

    def _place(self, column: str) -> Place:
        return find_place(self.row.text[column], self.level, self.model.shoulders)

    def _figure(self, name: str) -> float:
        return number(self.row.figures[name])

    def _figures(self, *names: str) -> list[float]:
        return [self._figure(name) for name in names]


def _bones(model: Model, start: Stance, end: Stance, position: Position) -> tuple[PlacedBone, ...]:
    """The girdle that is examined, the other one, and the trunk."""
    before, after = start.bones(model.sizes), end.bones(model.sizes)
    placed = [PlacedBone(name, name, *before[name], *after[name]) for name in GIRDLE]
    *arm_deg, elbow_deg = OTHER_ARM_DEG[position]
    other = stance(model, arm_deg, elbow_deg).bones(model.sizes)
    for name in GIRDLE:
        turn, place = mirrored_rotation(other[name][0]), mirrored_points(other[name][1])
        placed.append(PlacedBone(f"other_{name}", f"other_{name}", turn, place, turn, place))
    still = (np.eye(3), np.zeros(3), np.eye(3), np.zeros(3))
    return (*placed, PlacedBone("trunk", "trunk", *still))


def _lit(
    model: Model, ends: Mapping[str, tuple[Floats, Floats]], side: Side, beliefs: Sequence[Belief]
) -> tuple[Lit, ...]:
    rows: dict[str, list[Row]] = {}
    for row in model.library.tables["drawn_contributors"]:
        rows.setdefault(row.text["contributor"], []).append(row)
    lit = []
    for belief in beliefs:
        if belief.side not in (None, side):
            continue
        bands, points = [], []
        for row in rows.get(belief.contributor, []):
            if row.text["part_kind"] == "band":
                bands.append(row.text["part"])
                continue
            name = "level" if row.text["part_kind"] == "level" else row.text["part"]
            place = find_place(name, belief.level or "", model.shoulders)
            turn, origin = ends[place.bone]
            points.append(origin + turn @ (place.point_m + 0.006 * place.outward))
        lit.append(Lit(belief.contributor, belief.name, belief.probability, tuple(bands), np.reshape(points, (-1, 3))))
    return tuple(lit)
