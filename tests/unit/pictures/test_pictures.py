"""Pictures: well-formed, told in words, readable without colour; the left is the mirror of the right."""

from __future__ import annotations

from xml.etree import ElementTree

import numpy as np
import pytest

from endfeel.anatomy.units import Floats
from endfeel.evidence.library import Library
from endfeel.mechanics import arm, default_shoulder
from endfeel.mechanics.band_names import band_name
from endfeel.pictures import (
    Axes,
    BandLine,
    Curve,
    Holding,
    JointPart,
    Scene,
    StrainScale,
    Words,
    play_picture,
    restraint_picture,
    scene_of,
    share_picture,
)
from endfeel.pictures.bones import convex_hull
from endfeel.pictures.line_chart import apart, ticks
from endfeel.pictures.shoulder import one_view, spread
from endfeel.pictures.strain_scale import STEPS
from endfeel.pictures.svg import text, wrapped
from endfeel.pictures.views import ABOVE, FRONT, OUTSIDE, VIEWS, Camera
from endfeel.vocabulary import Side

SVG = "{http://www.w3.org/2000/svg}"
SCALE = StrainScale(3.0, 5.0, 11.0, 27.0)
WORDS = Words("Right <shoulder> & more", "arm raised", ["A caution."])


@pytest.fixture(scope="module")
def scene(library: Library) -> Scene:
    person, pose = default_shoulder(library), arm(80, 30, 70)
    return scene_of(person, pose, np.array([-0.2, 0.1, 1.0]))


def band_lines(scene: Scene) -> list[BandLine]:
    lines = []
    for place, band in enumerate(scene.bands):
        strain = float(scene.strain_percent[scene.band_of_fibre == place].max())
        lines.append(BandLine(band, band_name(band), strain, strain / 2, max(strain, 0.0), 0.1, (0.0, 9.0), 0.5))
    return lines


def parsed(svg: str) -> ElementTree.Element:
    return ElementTree.fromstring(svg)  # noqa: S314 (our own text)


def words_in(root: ElementTree.Element) -> str:
    return " ".join("".join(one.itertext()) for one in root.iter(f"{SVG}text"))


def test_a_restraint_picture_is_well_formed_and_told_in_words(scene: Scene) -> None:
    root = parsed(restraint_picture(scene, band_lines(scene), SCALE, Side.RIGHT, WORDS))
    assert root.tag == f"{SVG}svg"
    assert root.get("role") == "img"
    ids = {one.get("id"): "".join(one.itertext()) for one in root.iter() if one.get("id")}
    assert ids[root.get("aria-labelledby")] == "Right <shoulder> & more"
    told = ids[root.get("aria-describedby")]
    assert all(band_name(band) in told for band in scene.bands)
    assert told.count("slack by") == sum(line.strain_percent <= 0 for line in band_lines(scene))
    shown = words_in(root)
    assert all(band_name(band) in shown for band in scene.bands)
    assert "A caution." in shown


def test_strain_is_told_apart_without_colour() -> None:
    looks = [(step.width, step.dashes, step.cored) for step in STEPS]
    assert len(set(looks)) == len(STEPS)
    assert [step.width for step in STEPS] == sorted(step.width for step in STEPS)
    greys = [luminance(step.colour) for step in STEPS]
    assert greys == sorted(greys, reverse=True)
    assert min(np.diff(greys[::-1])) > 0.02


def luminance(colour: str) -> float:
    """How bright a colour is in grey, 0 to 1 (the usual weights of red, green and blue)."""
    red, green, blue = (int(colour[place : place + 2], 16) / 255 for place in (1, 3, 5))
    return 0.299 * red + 0.587 * green + 0.114 * blue


def test_the_legend_carries_every_pattern_and_its_range(scene: Scene) -> None:
    root = parsed(restraint_picture(scene, band_lines(scene), SCALE, Side.RIGHT, WORDS))
    shown = words_in(root)
    strokes = {(one.get("stroke"), one.get("stroke-dasharray")) for one in root.iter(f"{SVG}line")}
    for step in STEPS:
        assert step.word in shown
        assert SCALE.range_words(step) in shown
        assert (step.colour, step.dashes or None) in strokes


@pytest.mark.parametrize(
    ("strain", "word"),
    [(-1.0, "slack"), (0.0, "slack"), (0.1, "taking up slack"), (4.0, "taut"), (6.0, "firm"), (12.0, "very firm"),
     (27.0, "very firm"), (27.1, "past failure")],
)  # fmt: skip
def test_steps_end_where_the_scale_says(strain: float, word: str) -> None:
    assert SCALE.step(strain).word == word


@pytest.mark.parametrize("view", VIEWS, ids=lambda view: view.title)
def test_the_left_is_the_mirror_of_the_right(scene: Scene, view: object) -> None:
    numbers = {band: place + 1 for place, band in enumerate(scene.bands)}
    wide = 300.0
    sides = [
        parsed(f'<svg xmlns="{SVG[1:-1]}">{one_view(scene, SCALE, numbers, view, side, (0.0, 0.0), wide)}</svg>')  # type: ignore[arg-type]
        for side in (Side.RIGHT, Side.LEFT)
    ]
    for kind in ("polyline", "polygon"):
        right, left = (
            [points_of(one, mirror_in=wide if place else None) for one in root.iter(f"{SVG}{kind}")]
            for place, root in enumerate(sides)
        )
        assert len(right) == len(left) > 5
        for one, other in zip(right, left, strict=True):
            assert len(one) == len(other)
            nearest = np.abs(one[:, None, :] - other[None, :, :]).sum(axis=-1)
            assert nearest.min(axis=1).max() < 0.25  # tenths of a page unit are written
    labels = [[one.text for one in root.iter(f"{SVG}text")] for root in sides]
    assert len(labels[0]) > 5
    assert sorted(one.strip("←→ ") for one in labels[0]) == sorted(one.strip("←→ ") for one in labels[1])


def points_of(element: ElementTree.Element, mirror_in: float | None) -> Floats:
    points = np.array([[float(part) for part in pair.split(",")] for pair in element.get("points", "").split()])
    if mirror_in is not None:
        points[:, 0] = mirror_in - points[:, 0]
    return points


def test_views_look_from_where_they_say() -> None:
    """Forward, up and lateral of a right shoulder fall where the edges of each view say."""
    forward, up, lateral = np.eye(3)
    for view, point, edge in [
        (FRONT, lateral, "out"), (FRONT, up, "up"), (OUTSIDE, forward, "front"), (OUTSIDE, up, "up"),
        (ABOVE, lateral, "out"), (ABOVE, forward, "front"),
    ]:  # fmt: skip
        for side in Side:
            camera = Camera(view, side, (0.0, 0.0), 1.0)
            x, y = camera.seen(point)[0]
            left, right, top, bottom = camera.edges
            at = (right if x > 0 else left) if abs(x) > 0.5 else (bottom if y > 0 else top)
            assert at == edge, (view.title, side)
    assert camera_nearness(FRONT, forward) == camera_nearness(OUTSIDE, lateral) == camera_nearness(ABOVE, up) == 1.0


def camera_nearness(view: object, point: Floats) -> float:
    return float(Camera(view, Side.RIGHT, (0.0, 0.0), 1.0).seen(point)[1])  # type: ignore[arg-type]


def test_a_play_picture_marks_where_the_head_slips_and_tells_it() -> None:
    x = np.array([0.0, 10.0, 20.0])
    whole = Curve("here", x, np.array([0.0, 1.0, 2.0]), np.array([0.0, 0.5, 1.0]), np.array([0.0, 2.0, 4.0]))
    broken = Curve("there", x, np.array([0.0, 1.5, np.nan]), lost="slips")
    axes = Axes("Rising", "force, N", "mm", (0, 0, 1, 1))
    plain = parsed(play_picture([([whole], axes)], [Holding("band", 0.4, 9.0)], WORDS, "all of it"))
    marked = parsed(play_picture([([whole, broken], axes)], [Holding("band", 0.4, 9.0)], WORDS, "all of it"))
    crosses = [
        len([one for one in root.iter(f"{SVG}line") if one.get("stroke-width") == "2.6"]) for root in (plain, marked)
    ]
    assert crosses == [0, 2]
    dashes = {one.get("stroke-dasharray") for one in marked.iter(f"{SVG}polyline")}
    assert len(dashes) == 2
    assert "there" in words_in(marked)
    assert "all of it" in "".join(marked.itertext())


def test_a_share_picture_hatches_what_is_lost_and_has_the_interval_in_words() -> None:
    parts = [
        JointPart("glenohumeral", 107.0, 74.0, 33.0, (15.0, 52.0), 0.73, "73 % (30 to 116)"),
        JointPart("thoracic spine", 3.0, 8.0, -5.0, (-17.0, 8.0), None, ""),
    ]
    root = parsed(share_picture(parts, WORDS))
    assert any(one.get("fill") == "url(#hatch)" for one in root.iter(f"{SVG}rect"))
    told = "".join(root.itertext())
    assert "74 of 107 degrees remain, 33 lost (15 to 52), 73 % (30 to 116) of the loss" in told
    assert "lost −5° (−17 to 8)" in told


def test_small_laws_of_layout() -> None:
    assert ticks(0.0, 40.0, 6) == pytest.approx([0, 10, 20, 30, 40])
    assert ticks(-3.0, 4.2, 6) == pytest.approx([-4, -2, 0, 2, 4, 6])
    assert apart([10.0, 11.0, 80.0], 20.0, 0.0, 90.0) == pytest.approx([10.0, 30.0, 80.0])
    assert apart([89.0, 90.0], 20.0, 0.0, 90.0) == pytest.approx([70.0, 90.0])
    angles = spread([0.0, 0.01, 0.02], 0.3)
    assert np.diff(angles).min() > 0.299
    square = np.array([[0, 0], [1, 0], [1, 1], [0, 1], [0.5, 0.5], [0.2, 0.7]], dtype=float)
    assert {tuple(point) for point in convex_hull(square)} == {(0, 0), (1, 0), (1, 1), (0, 1)}
    assert wrapped("one two three four", 9) == ["one two", "three", "four"]
    assert "&lt;b&gt; &amp;" in text(0, 0, "<b> &")
