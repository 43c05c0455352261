"""A person doing an exercise, drawn from a few places in space: where the pelvis, the hands and the feet are.

Axes while standing: x forward, y up, z to the person's right, metres. Elbows and knees follow from the lengths of the
limbs and a hint of where they point. How thick a limb is drawn is drawing; the lengths are those of a person of 1.75 m.
The exercising arm is the right one; for the left the picture is mirrored.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from endfeel.anatomy.units import Floats, rad_from_deg
from endfeel.pictures.svg import CLAY, GREY, INK, PALE, PAPER, Value, document, polygon, polyline, tag, text

Place = tuple[float, float, float]
UPPER_ARM, FOREARM, THIGH, SHANK, TRUNK, NECK = 0.29, 0.32, 0.43, 0.43, 0.50, 0.10
SHOULDER, HIP, HEAD = 0.17, 0.09, 0.105
"""Half the width between shoulder joints, between hip joints, and the radius of the head; drawing only."""
SKIN, WORKING, CLOTH, _EYE = "#f3e9dd", "#eac4ad", "#c9dadd", "#20404e"
PANEL = (210.0, 200.0)
GAP, MARGIN, LETTER = 14.0, 12.0, 19.0


@dataclass(frozen=True, slots=True)
class Pose:
    """Where a person is. Places are in the axes above; hints are directions."""

    pelvis: Place = (0.0, 0.93, 0.0)
    lean_deg: float = 0.0
    """Of the trunk, forward."""
    lying: str = ""
    """`back` or `left` for lying on the back or on the left side; empty for upright."""
    twist_deg: float = 0.0
    """Of the shoulders against the pelvis, to the right."""
    right_hand: Place = (0.04, 0.82, 0.24)
    left_hand: Place = (0.04, 0.82, -0.24)
    right_elbow: Place = (-1.0, -0.3, 0.3)
    left_elbow: Place = (-1.0, -0.3, -0.3)
    right_foot: Place = (0.0, 0.06, 0.1)
    left_foot: Place = (0.0, 0.06, -0.1)
    knees: Place = (1.0, 0.1, 0.0)
    shrug: float = 0.0
    """How far the shoulders are raised."""
    head: Place = (0.0, 0.0, 0.0)
    """How far the head is moved from straight above the neck."""


@dataclass(frozen=True, slots=True)
class Prop:
    """A thing in the picture: a flat shape, or a line such as a stick or a band."""

    points: tuple[Place, ...]
    kind: str = "flat"
    """`flat`, `stick` or `band`."""


@dataclass(frozen=True, slots=True)
class ExercisePicture:
    """One or two poses seen from one side."""

    id: str
    yaw_deg: float
    """Where the eye is: 0 in front, 90 to the right."""
    pitch_deg: float
    poses: tuple[Pose, ...]
    props: tuple[Prop, ...] = ()
    follows: tuple[tuple[str, ...], ...] = ()
    """Bands and sticks between named places of the pose: `right_hand`, `left_hand`, or a place as written."""
    arrow: bool = True
    from_y: float | None = None
    """The picture shows only what is above this height; all of the person where None."""
    circles: bool = False
    """A round arrow at the working shoulder instead of a straight one at the hand."""


@dataclass(frozen=True, slots=True)
class _Shape:
    depth: float
    points: Floats
    width: float
    fill: str
    closed: bool = False


def exercise_svg(
    picture: ExercisePicture, title: str, words: str, labels: Sequence[str], *, left: bool, font: str
) -> str:
    """The exercise in one or two panels, numbered; `words` say the same to who cannot see it."""
    panels = [_shapes(picture, pose) for pose in picture.poses]
    scale, middle = _fit((shape for shapes in panels for shape in shapes), picture.from_y)
    width = len(panels) * PANEL[0] + (len(panels) - 1) * GAP
    height = PANEL[1] + LETTER + 6
    parts: list[str] = []
    for place, shapes in enumerate(panels):
        x0 = place * (PANEL[0] + GAP)
        drawn = [_draw(shape, scale, middle) for shape in sorted(shapes, key=lambda one: one.depth)]
        if place == len(panels) - 1:
            drawn += _arrow(picture, scale, middle)
        centre = f"translate({PANEL[0] / 2:g} {PANEL[1] / 2:g})"
        flip = f"{centre} scale(-1 1)" if left else centre
        parts.append(tag("rect", x=x0 + 0.75, y=0.75, width=PANEL[0] - 1.5, height=PANEL[1] - 1.5, rx=8, fill=PAPER,
                         stroke=PALE, stroke_width=1.5))  # fmt: skip
        inside = tag("g", *drawn, transform=flip)
        parts.append(tag("svg", inside, x=x0 + 2, y=2, width=PANEL[0] - 4, height=PANEL[1] - 4))
        if labels[place : place + 1]:
            told = f"{place + 1}  {labels[place]}" if len(panels) > 1 else labels[place]
            parts.append(text(x0 + 4, PANEL[1] + LETTER, told, 17.0, INK))
    return document((width, height), title, words, parts, font)


def joints(pose: Pose) -> dict[str, Floats]:
    """Every joint of the figure by name, (3,) each. A hand or foot out of reach is brought within it."""
    up, forward, right = _axes(pose)
    pelvis = np.array(pose.pelvis)
    neck = pelvis + up * TRUNK
    turn = rad_from_deg(pose.twist_deg)
    across = np.cos(turn) * right - np.sin(turn) * forward
    found: dict[str, Floats] = {"pelvis": pelvis, "neck": neck}
    found["head"] = (
        neck
        + up * (NECK + HEAD)
        + sum(shift * axis for shift, axis in zip(pose.head, (forward, up, right), strict=True))
    )
    knees = np.array(pose.knees)
    for side, sign in (("right", 1.0), ("left", -1.0)):
        shoulder = neck - up * (0.03 - pose.shrug) + sign * SHOULDER * across
        hip = pelvis + sign * HIP * right
        elbow, hand = _bend(shoulder, np.array(getattr(pose, f"{side}_hand")), UPPER_ARM, FOREARM,
                            np.array(getattr(pose, f"{side}_elbow")))  # fmt: skip
        knee, foot = _bend(hip, np.array(getattr(pose, f"{side}_foot")), THIGH, SHANK, knees)
        found |= {f"{side}_{name}": place for name, place in
                  (("shoulder", shoulder), ("elbow", elbow), ("hand", hand), ("hip", hip), ("knee", knee), ("foot", foot))}  # fmt: skip # noqa: E501
    return found


def _axes(pose: Pose) -> tuple[Floats, Floats, Floats]:
    if pose.lying == "back":
        up, forward = np.array([-1.0, 0.0, 0.0]), np.array([0.0, 1.0, 0.0])
    elif pose.lying == "left":
        up, forward = np.array([-1.0, 0.0, 0.0]), np.array([0.0, 0.0, -1.0])
    else:
        lean = rad_from_deg(pose.lean_deg)
        up = np.array([np.sin(lean), np.cos(lean), 0.0])
        forward = np.array([np.cos(lean), -np.sin(lean), 0.0])
    return up, forward, np.cross(forward, up)


def _bend(root: Floats, target: Floats, first: float, second: float, hint: Floats) -> tuple[Floats, Floats]:
    """The middle joint and the end of a limb that reaches for a target."""
    way = target - root
    distance = float(np.linalg.norm(way))
    along = way / max(distance, 1e-9)
    reach = min(max(distance, abs(first - second) + 1e-3), first + second - 1e-3)
    at = (first**2 - second**2 + reach**2) / (2.0 * reach)
    height = np.sqrt(max(first**2 - at**2, 0.0))
    aside = hint - along * float(hint @ along)
    size = float(np.linalg.norm(aside))
    aside = aside / size if size > 1e-6 else np.array([0.0, 0.0, 1.0])
    return root + along * at + aside * height, root + along * reach


def _view(picture: ExercisePicture) -> Floats:
    """(3, 3) rows: right and up on the page, and towards the eye."""
    yaw, pitch = rad_from_deg(picture.yaw_deg), rad_from_deg(picture.pitch_deg)
    eye = np.array([np.cos(yaw) * np.cos(pitch), np.sin(pitch), np.sin(yaw) * np.cos(pitch)])
    across = np.cross(-eye, np.array([0.0, 1.0, 0.0]))
    across = across / np.linalg.norm(across)
    return np.stack([across, np.cross(across, -eye), eye])


def _shapes(picture: ExercisePicture, pose: Pose) -> list[_Shape]:
    view, at = _view(picture), joints(pose)

    def seen(*names: str) -> Floats:
        return np.array([at[name] for name in names]) @ view.T

    def shape(points: Floats, width: float, fill: str, *, closed: bool = False, nearer: float = 0.0) -> _Shape:
        return _Shape(float(points[:, 2].mean()) + nearer, points[:, :2], width, fill, closed)

    trunk = seen("right_shoulder", "left_shoulder", "left_hip", "right_hip")
    found = [
        shape(seen("neck", "head"), 0.085, SKIN),
        shape(trunk, 0.13, CLOTH, closed=True),
        shape(seen("head", "head"), 2 * HEAD, SKIN, nearer=0.01),
    ]
    found += _face(pose, at["head"], view)
    for side, arm in (("right", WORKING), ("left", SKIN)):
        found.append(shape(seen(f"{side}_hip", f"{side}_knee", f"{side}_foot"), 0.105, CLOTH))
        toe = at[f"{side}_foot"] + _toe(pose) * 0.13
        found.append(shape(np.array([at[f"{side}_foot"], toe]) @ view.T, 0.075, GREY, nearer=0.01))
        found.append(shape(seen(f"{side}_shoulder", f"{side}_elbow", f"{side}_hand"), 0.075, arm, nearer=0.02))
        found.append(shape(seen(f"{side}_hand", f"{side}_hand"), 0.1, arm, nearer=0.03))
    for prop in picture.props:
        found.append(_prop(prop.kind, np.array(prop.points) @ view.T))
    for names in picture.follows:
        kind, *ends = names
        places = [at[name] if name in at else np.array([float(part) for part in name.split()]) for name in ends]
        found.append(_prop(kind, np.array(places) @ view.T))
    return found


def _face(pose: Pose, head: Floats, view: Floats) -> list[_Shape]:
    """Eyes where the person looks this way, a nose in profile."""
    up, forward, right = _axes(pose)
    this_way = float(forward @ view[2])
    if this_way > 0.55:
        eyes = [head + forward * 0.85 * HEAD + side * 0.4 * HEAD * right + 0.1 * HEAD * up for side in (-1.0, 1.0)]
        return [_Shape(float(eye @ view[2]) + 0.05, np.array([eye @ view.T] * 2)[:, :2], 0.02, _EYE) for eye in eyes]
    nose = head + forward * HEAD * 1.05
    return [_Shape(float(nose @ view[2]), np.array([nose @ view.T] * 2)[:, :2], 0.045, SKIN)]


def _toe(pose: Pose) -> Floats:
    """Which way the feet point."""
    if pose.lying == "left":
        return np.array([0.3, 0.0, -1.0]) / 1.05
    return np.array([0.6, 0.6, 0.0]) if pose.lying == "back" and pose.right_foot[0] > 0.7 else np.array([1.0, 0.0, 0.0])


def _prop(kind: str, points: Floats) -> _Shape:
    depth = float(points[:, 2].mean())
    if kind == "flat":
        return _Shape(float(points[:, 2].min()) - 0.05, points[:, :2], 0.0, "#e9ecec", True)
    fill, width = (INK, 0.028) if kind == "stick" else (CLAY, 0.018)
    return _Shape(depth + 0.04, points[:, :2], width, fill)


def _fit(shapes: Iterable[_Shape], from_y: float | None) -> tuple[float, Floats]:
    """Pixels a metre, and the middle of everything, so that all panels share one scale."""
    low, high = np.full(2, np.inf), np.full(2, -np.inf)
    for one in shapes:
        if from_y is not None and one.points[:, 1].max() < from_y:
            continue
        low = np.minimum(low, one.points.min(axis=0) - one.width / 2)
        high = np.maximum(high, one.points.max(axis=0) + one.width / 2)
    if from_y is not None:
        low[1] = from_y
    room = np.array(PANEL) - 2 * MARGIN
    return float((room / np.maximum(high - low, 1e-6)).min()), (low + high) / 2


def _page(points: Floats, scale: float, middle: Floats) -> Floats:
    moved: Floats = (points - middle) * scale * np.array([1.0, -1.0])
    return moved


def _draw(one: _Shape, scale: float, middle: Floats) -> str:
    points, width = _page(one.points, scale, middle), one.width * scale
    if len(points) == 2 and bool(np.allclose(points[0], points[1])):
        (x, y), round_ = points[0], 0.5 * max(width, 3.0)
        edge: dict[str, Value] = {} if one.fill == _EYE else {"stroke": INK, "stroke_width": 1.5}
        return tag("circle", cx=float(x), cy=float(y), r=round_ + 0.75, fill=one.fill, **edge)
    if one.fill in (INK, CLAY):
        return polyline(points, stroke=one.fill, stroke_width=max(width, 3.0), stroke_linecap="round")
    if one.closed and width == 0.0:
        return polygon(points, fill=one.fill, stroke=GREY, stroke_width=1.2, stroke_linejoin="round")
    joins = {"stroke_linejoin": "round", "stroke_linecap": "round"}
    if one.closed:
        return polygon(points, fill=INK, stroke=INK, stroke_width=width + 3.0, **joins) + polygon(
            points, fill=one.fill, stroke=one.fill, stroke_width=width, **joins
        )
    return polyline(points, stroke=INK, stroke_width=width + 3.0, **joins) + polyline(
        points, stroke=one.fill, stroke_width=width, **joins
    )


def _arrow(picture: ExercisePicture, scale: float, middle: Floats) -> list[str]:
    """From where the working hand was to where it is; nothing where it hardly moves on the page."""
    view = _view(picture)
    if picture.circles:
        shoulder = _page((joints(picture.poses[-1])["right_shoulder"] @ view.T)[None, :2], scale, middle)[0]
        turn = np.linspace(-2.6, 2.2, 25)[:, None]
        return _headed(shoulder + np.hstack([np.cos(turn), np.sin(turn)]) * 24.0)
    if not picture.arrow:
        return []
    first, last = (joints(pose)["right_hand"] @ view.T for pose in (picture.poses[0], picture.poses[-1]))
    start, end = _page(np.stack([first[:2], last[:2]]), scale, middle)
    way = end - start
    size = float(np.hypot(*way))
    if size < 18.0:
        return []
    along = way / size
    aside = np.array([along[1], -along[0]])
    start, end = start + aside * 14.0, end + aside * 14.0
    bow = (start + end) / 2 + aside * min(26.0, 0.25 * size)
    steps = np.linspace(0.0, 1.0, 13)[:, None]
    curve = (1 - steps) ** 2 * start + 2 * steps * (1 - steps) * bow + steps**2 * end
    return _headed(curve)


def _headed(curve: Floats) -> list[str]:
    """A curve with an arrow's head at its end."""
    head = curve[-1] - curve[-2]
    head = head / np.hypot(*head)
    wing = np.array([head[1], -head[0]])
    tip = np.stack([curve[-1] + head * 7, curve[-1] - head * 4 + wing * 6, curve[-1] - head * 4 - wing * 6])
    return [polyline(curve, stroke=CLAY, stroke_width=3.5), polygon(tip, fill=CLAY)]


def moved(pose: Pose, **changes: object) -> Pose:
    """The same person with something elsewhere."""
    return replace(pose, **changes)  # type: ignore[arg-type]
