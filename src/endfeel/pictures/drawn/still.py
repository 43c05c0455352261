"""The scene as a still picture: SVG for print and for browsers that cannot draw in three dimensions.

What is nearest at each point is found as the viewer would find it; the areas are then drawn as smooth shapes in three
tones, so that the picture prints sharply and stays small. The movement stands at its end.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from endfeel.anatomy.units import Floats
from endfeel.pictures.bones import convex_hull
from endfeel.pictures.drawn.arrows import Arrow
from endfeel.pictures.drawn.drawn_scene import DrawnScene, Hand
from endfeel.pictures.drawn.meshes import COLOURS, Surface
from endfeel.pictures.drawn.outlines import outlines
from endfeel.pictures.drawn.raster import Seen, nearest_surfaces
from endfeel.pictures.drawn.room import Eye, eye_of, furniture, room_from_thorax
from endfeel.pictures.drawn.scene_words import role_words, scene_words
from endfeel.pictures.drawn.solids import Mesh, joined, tube, unit
from endfeel.pictures.strain_scale import SLACK, STEPS, StrainScale, sample, stroke
from endfeel.pictures.svg import (
    GREY,
    INK,
    NORMAL,
    PAPER,
    SCREEN_FONT,
    SMALL,
    document,
    letters_that_fit,
    tag,
    text,
    wrapped,
)

WIDE, HIGH = 720, 540
LAMP = "#f2a900"
ARROW_M, ARROW_HEAD_M = 0.0070, 0.030
HAND_SCALE = 0.72
HAND_LETTER, PLAIN_LETTER = 13.5, 30.0
"""Height of what is written beside a hand; larger where the picture is printed small."""
_TONES = (0.74, 0.93)
"""Light below the first is drawn dark, above the second bright."""
_DARK, _BRIGHT, _EDGE = 0.80, 1.06, 0.42
"""Times the colour."""
_CLEAR_M = 0.004
"""A fibre that lies no deeper than this behind a surface is drawn before it."""


@dataclass(frozen=True, slots=True)
class _Part:
    """One shape in the axes of the eye."""

    colour: str
    points_m: Floats
    normals: Floats
    triangles: NDArray[np.int32]


def still_picture(
    scene: DrawnScene,
    surfaces: Sequence[Surface],
    scale: StrainScale,
    font: str = SCREEN_FONT,
    title: str = "",
    plain: Mapping[str, str] | None = None,
) -> str:
    """SVG of a scene, with its legend and, for those who cannot see it, its words.

    `plain`: what each role of a hand is called, for a picture that goes home with the person: it has these words, its
    title, and no legend.
    """
    draw = _Drawing(scene, surfaces, scale, plain)
    foot, height = ([], float(HIGH)) if plain else _legend(scene, scale, HIGH + 26.0, font)
    frame = tag("rect", x=0, y=0, width=WIDE, height=HIGH, fill="none", stroke="#c9cfd2", stroke_width=1.0)
    window = tag("clipPath", tag("rect", x=0, y=0, width=WIDE, height=HIGH), id="drawn-window")
    inside = tag("g", *draw.parts(), clip_path="url(#drawn-window)")
    name = title or f"{scene.name}, {scene.side.value} side"
    words = title if plain else scene_words(scene, scale)
    return document((float(WIDE), height), name, words, [window, inside, frame, *foot], font)


class _Drawing:
    def __init__(
        self, scene: DrawnScene, surfaces: Sequence[Surface], scale: StrainScale, plain: Mapping[str, str] | None
    ) -> None:
        self.plain = plain
        self.scene, self.scale, self.eye = scene, scale, eye_of(scene)
        self.turn = self.eye.axes @ room_from_thorax(scene.position, scene.side)
        self.shift = -(self.eye.axes @ self.eye.target_m)
        self.surfaces = surfaces

    def parts(self) -> Iterator[str]:
        for mesh, name in self._furniture():
            page, _ = _on_page(mesh.points_m @ self.eye.axes.T + self.shift, self.eye)
            dark, colour = _times(COLOURS[name], _DARK), COLOURS[name]
            yield _path([convex_hull(page)], fill=dark if name == "couch" else colour, stroke=dark, stroke_width=1.2)
            if name == "couch":
                top = mesh.points_m[:, 1] > mesh.points_m[:, 1].max() - 1e-6
                yield _path([convex_hull(page[top])], fill=colour)
        for skins in self._skins():
            mask = _seen(skins, self.eye).part >= 0
            yield _path(outlines(mask), fill="#f3dccd", fill_opacity=0.45, stroke="#c79a80", stroke_width=1.1)
        solids = list(self._solids())
        seen = _seen(solids, self.eye)
        yield from _shapes(seen, [part.colour for part in solids])
        yield from self._fibres(seen)
        yield from self._lamps()
        yield from self._names()

    def _furniture(self) -> list[tuple[Mesh, str]]:
        return [(mesh, name) for name, mesh in furniture(self.scene.position, self.scene.side).items()]

    def _placed(self, surface: Surface, colour: str) -> Iterator[_Part]:
        for bone in self.scene.bones:
            if bone.mesh == surface.shape:
                turn = self.turn @ bone.end_turn
                yield _part(surface.mesh, turn, self.turn @ bone.end_place_m + self.shift, colour)

    def _skins(self) -> list[list[_Part]]:
        """The other arm, the trunk, the arm: each group one outline."""
        groups: dict[str, list[_Part]] = {"other": [], "trunk": [], "arm": []}
        for surface in self.surfaces:
            if surface.material == "skin":
                start = surface.shape.split("_")[0]
                groups[start if start in groups else "arm"] += self._placed(surface, "")
        return list(groups.values())

    def _solids(self) -> Iterator[_Part]:
        for surface in self.surfaces:
            if surface.material in ("skin", "hand"):
                continue
            pieces = _pieces(surface.mesh) if surface.material in ("rib", "spine") else [surface.mesh]
            for piece in pieces:
                yield from self._placed(Surface(surface.shape, surface.material, piece), COLOURS[surface.material])
        shape = next(surface.mesh for surface in self.surfaces if surface.material == "hand")
        for hand in self.scene.hands:
            yield self._hand(hand, shape)
        for arrow in self.scene.arrows:
            if arrow.role != "fossa":
                yield _part(arrow_mesh(arrow), self.turn, self.shift, COLOURS[arrow.role])

    def _hand(self, hand: Hand, shape: Mesh) -> _Part:
        up = unit(hand.end_outward)
        fingers = unit(hand.end_fingers - (hand.end_fingers @ up) * up)
        axes = np.stack([fingers, np.cross(up, fingers), up], axis=-1)
        mesh = shape
        if hand.is_left:
            mesh = Mesh(shape.points_m * np.array([1.0, -1.0, 1.0]), shape.triangles[:, ::-1])
        mesh = Mesh(mesh.points_m * HAND_SCALE, mesh.triangles)
        return _part(mesh, self.turn @ axes, self.turn @ hand.end_point_m + self.shift, COLOURS[hand.role])

    def _page(self, points_m: Floats) -> tuple[Floats, Floats]:
        return _on_page(points_m @ self.turn.T + self.shift, self.eye)

    def _fibres(self, seen: Seen) -> Iterator[str]:
        lit = {band: one.probability for one in self.scene.lit for band in one.bands}
        for fibre in sorted(self.scene.end_fibres, key=lambda one: one.strain_percent):
            fine = np.linspace(0.0, len(fibre.points_m) - 1.0, 40)
            places = np.arange(len(fibre.points_m))
            path = np.stack([np.interp(fine, places, fibre.points_m[:, axis]) for axis in range(3)], axis=-1)
            page, near = self._page(path)
            column = np.clip(page[:, 0].astype(int), 0, WIDE - 1)
            row = np.clip(page[:, 1].astype(int), 0, HIGH - 1)
            clear = near >= seen.depth[row, column] - _CLEAR_M
            edges = np.flatnonzero(np.diff(np.concatenate([[0], clear.astype(int), [0]])))
            for start, stop in zip(edges[::2], edges[1::2], strict=True):
                if stop - start < 2:
                    continue
                if fibre.band in lit:
                    yield _line(page[start:stop], LAMP, 4.0 + 6.0 * lit[fibre.band], 0.55)
                yield stroke(page[start:stop], self.scale.step(fibre.strain_percent), halo=False)

    def _lamps(self) -> Iterator[str]:
        for number, one in enumerate(self.scene.lit, 1):
            places = list(one.points_m)
            if one.bands:
                places += [f.points_m[len(f.points_m) // 2] for f in self.scene.end_fibres if f.band in one.bands][:1]
            for point in places:
                (x, y), _ = self._page(np.asarray(point))
                if one.points_m.size:
                    glow = 7.0 + 9.0 * one.probability
                    yield tag("circle", cx=float(x), cy=float(y), r=glow, fill=LAMP, fill_opacity=0.55)
                yield tag("circle", cx=float(x), cy=float(y), r=9.0, fill=PAPER, stroke=INK, stroke_width=1.2)
                yield text(float(x), float(y) + 4.5, str(number), 13.0, INK, text_anchor="middle", font_weight="bold")

    def _names(self) -> Iterator[str]:
        back = self.turn @ np.array([-1.0, 0.0, 0.0])
        for name, point in self.scene.named_levels if back[2] > 0.0 else ():
            (x, y), _ = self._page(point)
            yield text(float(x), float(y) + 4.0, name, 11.0, INK, text_anchor="middle")
        taken: list[float] = []
        for hand in self.scene.hands:
            (x, y), _ = self._page(hand.end_point_m + 0.060 * hand.end_outward - 0.15 * unit(hand.end_fingers))
            words = self.plain[hand.role] if self.plain else _hand_words(hand)
            size = PLAIN_LETTER if self.plain else HAND_LETTER
            half, high = 0.322 * size * len(words) + 8.0, 0.85 * size
            x, y = float(np.clip(x, half + 4, WIDE - half - 4)), float(np.clip(y, high + 4, HIGH - high - 4))
            y += 2.2 * high * any(abs(y - other) < 2 * high for other in taken)
            taken.append(y)
            shade = _times(COLOURS[hand.role], _DARK)
            yield tag("rect", x=x - half, y=y - high, width=2 * half, height=2 * high, rx=5, fill=shade)
            yield text(x, y + size / 3.0, words, size, PAPER, text_anchor="middle", font_weight="bold")


def _hand_words(hand: Hand) -> str:
    return role_words(hand.role) + (f": {hand.words}" if hand.words else "")


def arrow_mesh(arrow: Arrow) -> Mesh:
    """An arrow as a solid: a round shaft and its head."""
    path = arrow.points_m
    far = np.linalg.norm(path - path[-1], axis=1)
    shaft = path[: max(1, int(np.argmax(far <= ARROW_HEAD_M)))]
    near = shaft[-1]
    neck = near + (path[-1] - near) * max(0.0, 1.0 - ARROW_HEAD_M / float(np.linalg.norm(path[-1] - near)))
    shaft = np.concatenate([shaft[:-1], [near, neck]]) if np.linalg.norm(neck - near) > 1e-6 else shaft
    side = unit(np.cross(path[-1] - path[0], [0.3, 0.5, 0.8]))
    head = np.linspace(neck, path[-1], 4)
    sizes = ARROW_M * np.array([2.4, 1.65, 0.85, 0.05])
    parts = [tube(head, np.stack([sizes, sizes], axis=-1), side, 14, round_ends=False)]
    if len(shaft) > 1:
        parts.append(tube(shaft, ARROW_M, side, 12, round_ends=False))
    return joined(parts)


def _part(mesh: Mesh, turn: Floats, shift: Floats, colour: str) -> _Part:
    return _Part(colour, mesh.points_m @ turn.T + shift, mesh.normals() @ turn.T, mesh.triangles)


def _on_page(points: Floats, eye: Eye) -> tuple[Floats, Floats]:
    """Points (..., 3) in the axes of the eye on the page (..., 2), and their nearness (...)."""
    size = WIDE / eye.wide_m
    page = np.stack([WIDE / 2.0 + size * points[..., 0], HIGH / 2.0 - size * points[..., 1]], axis=-1)
    return page, points[..., 2]


def _seen(parts: Sequence[_Part], eye: Eye) -> Seen:
    corners, light, owner = [], [], []
    for place, part in enumerate(parts):
        page, near = _on_page(part.points_m, eye)
        flat = np.concatenate([page, near[:, None]], axis=-1)
        corners.append(flat[part.triangles])
        light.append(_light(part.normals)[part.triangles])
        owner.append(np.full(len(part.triangles), place, dtype=np.int32))
    return nearest_surfaces(np.concatenate(corners), np.concatenate(light), np.concatenate(owner), (HIGH, WIDE))


def _light(normals: Floats) -> Floats:
    """The viewer's light: a lamp from above on the left, a weaker one from the right, edges darker."""
    key = np.maximum(normals @ np.array([-0.42, 0.60, 0.68]), 0.0)
    fill = np.maximum(normals @ np.array([0.75, -0.10, 0.55]), 0.0)
    away = 1.0 - np.maximum(normals[:, 2], 0.0)
    bright: Floats = (0.57 + 0.08 * normals[:, 1] + 0.40 * key + 0.13 * fill) * (1.0 - 0.36 * away**3)
    return bright


def _shapes(seen: Seen, colours: Sequence[str]) -> Iterator[str]:
    """Each part as three areas: all of it, its shade, its light."""
    for place in np.unique(seen.part[seen.part >= 0]):
        mask, colour = seen.part == place, colours[place]
        yield _path(
            outlines(mask), fill=colour, stroke=_times(colour, _EDGE), stroke_width=1.3, stroke_linejoin="round"
        )
        yield _path(outlines(mask & (seen.light < _TONES[0])), fill=_times(colour, _DARK))
        yield _path(outlines(mask & (seen.light > _TONES[1])), fill=_times(colour, _BRIGHT))


def _path(loops: Sequence[Floats], **attributes: str | float) -> str:
    if not loops:
        return ""
    told = "".join("M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in loop) + "Z" for loop in loops)
    return tag("path", d=told, fill_rule="evenodd", **attributes)


def _line(points: Floats, colour: str, wide: float, opacity: float) -> str:
    told = " ".join(f"{x:.1f},{y:.1f}" for x, y in points)
    return tag("polyline", points=told, fill="none", stroke=colour, stroke_width=wide, stroke_opacity=opacity)


def _times(colour: str, factor: float) -> str:
    parts = (int(colour[start : start + 2], 16) for start in (1, 3, 5))
    return "#" + "".join(f"{min(255, round(part * factor)):02x}" for part in parts)


def _pieces(mesh: Mesh) -> list[Mesh]:
    """The separate surfaces that a joined one is made of."""
    label = np.arange(len(mesh.points_m))
    while True:
        lowest = label[mesh.triangles].min(axis=1)
        before = label.copy()
        for corner in range(3):
            np.minimum.at(label, mesh.triangles[:, corner], lowest)
        if (label == before).all():
            break
    owner = label[mesh.triangles[:, 0]]
    return [Mesh(mesh.points_m, mesh.triangles[owner == one]) for one in np.unique(owner)]


def _legend(scene: DrawnScene, scale: StrainScale, y: float, font: str) -> tuple[list[str], float]:
    """What hands, arrow and patterns mean, and the numbers of what is lit."""
    parts: list[str] = []
    shown = [step for step in STEPS if any(scale.step(f.strain_percent) is step for f in scene.end_fibres)]
    x = 12.0
    for step in shown:
        words = step.word if step is SLACK else f"{step.word}, {scale.range_words(step)}"
        parts += [sample(x, y - 5.0, 34.0, step), text(x + 42.0, y, words, SMALL, GREY)]
        x += 60.0 + 7.6 * len(words)
        if x > WIDE - 170.0:
            x, y = 12.0, y + 24.0
    y += 26.0 if x > 12.0 else 2.0
    for number, one in enumerate(scene.lit, 1):
        told = f"{number}  {one.name}, {100.0 * one.probability:.0f} %"
        parts.append(text(12.0, y, told, NORMAL, INK))
        y += 23.0
    for row in wrapped(scene_words(scene, scale), letters_that_fit(WIDE - 24.0, SMALL, font)):
        parts.append(text(12.0, y, row, SMALL, GREY))
        y += 20.0
    return parts, y
