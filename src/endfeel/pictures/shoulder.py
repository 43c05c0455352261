"""The shoulder with its fibres, from three sides: each fibre along its path, drawn after its strain, bands numbered."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise

import numpy as np

from endfeel.pictures.bones import Bone
from endfeel.pictures.scene import Scene
from endfeel.pictures.strain_scale import StrainScale, stroke
from endfeel.pictures.svg import GREY, INK, NORMAL, PAPER, SMALL, Value, line, polygon, tag, text
from endfeel.pictures.views import OUTSIDE, VIEWS, Camera, View
from endfeel.vocabulary import Side

REACH_M = 0.064
"""How far the picture reaches from the head's place: enough for the head, its socket and a piece of every bone."""
BONE, BONE_EDGE, HEAD, SOCKET_EDGE = "#f2ede3", "#b3a690", "#e7decd", "#7d715c"
BADGE = 11.5
RING_HEADS = 1.62


def three_views(
    scene: Scene, scale: StrainScale, numbers: Mapping[str, int], side: Side, corner: tuple[float, float], wide: float
) -> str:
    """Three squares in a row, each `wide` across, the first with its corner at a place of the page."""
    gap = 14.0
    return "".join(
        one_view(scene, scale, numbers, view, side, (corner[0] + place * (wide + gap), corner[1]), wide)
        for place, view in enumerate(VIEWS)
    )


def one_view(
    scene: Scene,
    scale: StrainScale,
    numbers: Mapping[str, int],
    view: View,
    side: Side,
    corner: tuple[float, float],
    wide: float,
) -> str:
    """The shoulder from one side in a square with its corner at a place of the page."""
    x, y = corner
    camera = Camera(view, side, (x + wide / 2.0, y + wide / 2.0), wide / 2.0 / REACH_M)
    name = f"cut-{view.title.replace(' ', '-')}"
    window = tag("clipPath", tag("rect", x=x, y=y, width=wide, height=wide, rx=8), id=name)
    inside = _bones_and_fibres(scene, scale, camera) + _labels(scene, numbers, camera, (x, y, wide))
    frame = tag("rect", x=x, y=y, width=wide, height=wide, rx=8, fill="none", stroke="#c9cfd2", stroke_width=1.2)
    return window + tag("g", inside, clip_path=f"url(#{name})") + frame + _edges(camera, corner, wide)


def _bones_and_fibres(scene: Scene, scale: StrainScale, camera: Camera) -> str:
    bones = scene.bones
    nearness = float(camera.seen(bones.head.middle_m)[1])
    clear_of_head = nearness + float(bones.head.radii_m[0]) / 3.0
    back, front = _fibres(scene, scale, camera, nearness)
    groups: dict[tuple[bool, str], list[Bone]] = {}
    for bone in (*bones.blade, *bones.arm):
        groups.setdefault((float(camera.seen(bone.middle_m)[1]) > clear_of_head, bone.of), []).append(bone)
    order = sorted(groups, key=lambda group: (group[0], _nearness(groups[group], camera)))
    drawn = {False: "", True: ""}
    for is_before, of in order:
        drawn[is_before] += _one_bone(groups[is_before, of], camera, 0.5 if is_before else 1.0)
    rim = camera.seen(bones.socket_rim_m)[0]
    socket = polygon(rim, fill=PAPER, fill_opacity=0.7, stroke=SOCKET_EDGE, stroke_width=2.6)
    head = polygon(bones.head.outline(camera), fill=HEAD, fill_opacity=0.7, stroke=BONE_EDGE, stroke_width=1.8)
    return drawn[False] + socket + back + head + drawn[True] + front


def _nearness(bones: Sequence[Bone], camera: Camera) -> float:
    return float(np.mean([camera.seen(bone.middle_m)[1] for bone in bones]))


def _one_bone(parts: Sequence[Bone], camera: Camera, opacity: float) -> str:
    """Parts of one bone with one outline round them all."""
    outlines = [part.outline(camera) for part in parts]
    edge = [polygon(one, fill=BONE, stroke=BONE_EDGE, stroke_width=3.2, stroke_linejoin="round") for one in outlines]
    return tag("g", *edge, *(polygon(one, fill=BONE) for one in outlines), opacity=opacity)


def _fibres(scene: Scene, scale: StrainScale, camera: Camera, nearness: float) -> tuple[str, str]:
    """Every fibre cut where it passes behind the middle of the head: what lies behind, and what lies before."""
    back: list[str] = []
    front: list[str] = []
    for fibre in np.argsort(scene.strain_percent, kind="stable"):
        step = scale.step(float(scene.strain_percent[fibre]))
        page, near = camera.seen(scene.points_m[fibre])
        for run, is_before in _runs(near >= nearness):
            piece = stroke(page[run], step)
            (front if is_before else back).append(piece)
    return "".join(back), "".join(front)


def _runs(before: np.ndarray) -> list[tuple[slice, bool]]:
    """Stretches of equal answers, each reaching one point into the next so that no gap shows."""
    cuts = [0, *(np.flatnonzero(np.diff(before.astype(int))) + 1), len(before)]
    return [
        (slice(start, min(end + 1, len(before))), bool(before[start])) for start, end in pairwise(cuts) if end > start
    ]


def _labels(scene: Scene, numbers: Mapping[str, int], camera: Camera, frame: tuple[float, float, float]) -> str:
    """The numbers of the bands on a ring round the head, led to their tightest fibres; slack ones in one view.
    None leaves the frame (left, top, width)."""
    low = np.array(frame[:2]) + BADGE + 3.0
    high = np.array(frame[:2]) + frame[2] - BADGE - 3.0
    middle = camera.seen(scene.bones.head.middle_m)[0]
    ring = RING_HEADS * float(scene.bones.head.radii_m[0]) * camera.scale
    wanted = []
    for place, band in enumerate(scene.bands):
        fibres = np.flatnonzero(scene.band_of_fibre == place)
        if not len(fibres):
            continue
        tightest = fibres[np.argmax(scene.strain_percent[fibres])]
        loaded = bool(scene.strain_percent[tightest] > 0.0)
        if loaded or camera.view is OUTSIDE:
            path = camera.seen(scene.points_m[tightest])[0]
            at = path[len(path) // 3]
            wanted.append((float(np.arctan2(*(at - middle)[::-1])), numbers[band], at, loaded))
    wanted.sort(key=lambda one: one[:2])
    drawn = []
    for angle, (_, number, at, loaded) in zip(
        spread([one[0] for one in wanted], 2.35 * BADGE / ring), wanted, strict=True
    ):
        x, y = np.clip(middle + ring * np.array([np.cos(angle), np.sin(angle)]), low, high)
        drawn.append(line(at[0], at[1], x, y, INK if loaded else GREY, 1.4 if loaded else 0.8))
        drawn.append(badge(x, y, number, loaded))
    return "".join(drawn)


def badge(x: float, y: float, number: int, loaded: bool) -> str:
    """A band's number in a ring: filled where the band is loaded, open where it is slack."""
    fill, ink = (INK, PAPER) if loaded else (PAPER, GREY)
    ring = tag("circle", cx=float(x), cy=float(y), r=BADGE, fill=fill, stroke=INK if loaded else GREY, stroke_width=1.2)
    return ring + text(float(x), float(y) + 5.0, str(number), SMALL, ink, text_anchor="middle", font_weight="bold")


def spread(angles: Sequence[float], least: float) -> list[float]:
    """Sorted angles pushed apart, round the whole turn, until neighbours are `least` apart or room ends."""
    count = len(angles)
    if count < 2:
        return list(angles)
    room = min(least, 2.0 * np.pi / count)
    placed = list(angles)
    for _ in range(200):
        moved = 0.0
        for one in range(count):
            other = (one + 1) % count
            gap = placed[other] - placed[one] + (2.0 * np.pi if other == 0 else 0.0)
            if gap < room:
                push = (room - gap) / 2.0
                placed[one], placed[other] = placed[one] - push, placed[other] + push
                moved = max(moved, push)
        if moved < 1e-4:
            break
    return placed


def _edges(camera: Camera, corner: tuple[float, float], wide: float) -> str:
    """The view's name and what lies towards each edge, set off from what is drawn below them."""
    x, y = corner
    left, right, top, bottom = camera.edges
    half = wide / 2.0
    halo: dict[str, Value] = {"stroke": PAPER, "stroke_width": 4, "paint_order": "stroke", "stroke_linejoin": "round"}
    low = y + wide - 9
    return (
        text(x + 10, y + 22, camera.view.title, NORMAL, INK, font_weight="bold", **halo)
        + text(x + wide - 10, y + 22, f"↑ {top}", SMALL, GREY, text_anchor="end", **halo)
        + text(x + 10, low, f"← {left}", SMALL, GREY, **halo)
        + text(x + half, low, f"↓ {bottom}", SMALL, GREY, text_anchor="middle", **halo)
        + text(x + wide - 10, low, f"{right} →", SMALL, GREY, text_anchor="end", **halo)
    )
