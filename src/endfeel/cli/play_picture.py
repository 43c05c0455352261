"""The curves of `endfeel play --svg`: the force raised step by step, and the same push in other positions."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, TypeAlias

import numpy as np

from endfeel.anatomy.units import Floats, mm_from_m
from endfeel.cli.play_findings import Play, girdle_joints, pushed
from endfeel.cli.shoulder_options import Asked, mean_and_people, pose_of
from endfeel.cli.shoulder_words import enough, foot_of
from endfeel.pictures import Axes, Curve, Holding, Words, curve_words, play_picture

if TYPE_CHECKING:
    from endfeel.evidence.library import Library
    from endfeel.mechanics import Shoulders
    from endfeel.mechanics.ligament_springs import SpringJoint

STEPS = 9
ELEVATIONS = (0.0, 20.0, 40.0, 60.0, 80.0, 100.0, 120.0)
OTHERS = (0.0, 45.0, 90.0)
SLIPS, NO_REST = "slips over the rim", "finds no rest"
BEYOND = 1.5
"""How far beyond the force at which the head slips the force is raised."""
LEAST_FORCE_N = 5.0
"""Below it other positions are not tried with half the force."""
BOX = (0.0, 0.0, 1.0, 1.0)


Charts: TypeAlias = Sequence[tuple[list[Curve], Axes]]


def charts_of(found: Play, library: Library, asked: Asked) -> Charts:
    """The curves: every point is a population at rest, so this takes some seconds."""
    return _head_charts(found, library, asked) if found.joint == "gh" else _girdle_charts(found, library, asked)


def draw_play(charts: Charts, found: Play, library: Library, asked: Asked, font: str) -> str:
    """SVG of the curves and of what holds the bone back."""
    from endfeel.cli.play import notes, title_of

    ranged = enough(found.counted)
    holding = [
        Holding(one.name, one.share, one.tension_n, _between(one.people_share) if ranged else None)
        for one in found.loaded
    ]
    if found.speaks:
        holding.append(Holding(found.surface_word, found.surface_share))
    title, _, where = title_of(found, asked).removeprefix("Joint play: ").partition(", pushed ")
    words = Words(
        f"{asked.side.value.capitalize()} shoulder: {title}",
        f"Pushed {where}",
        [
            *(f"Different about it: {word}." for word in asked.change_words),
            *notes(found, None),
            *foot_of(found.basis, library),
        ],
    )
    told = [words.subtitle + "."]
    for curves, axes in charts:
        told.append(
            f"{axes.title}: " + "; ".join(curve_words(curve, axes.x_word, axes.y_word) for curve in curves) + "."
        )
    told.append("; ".join(f"{one.name} {100 * one.share:.0f} % of the force" for one in holding) + ".")
    return play_picture(charts, holding, words, " ".join(told), _caption(found, charts), font)


def _caption(found: Play, charts: Charts) -> str:
    curves = [curve for of_chart, _ in charts for curve in of_chart]
    stays = " whose head stays in" if found.joint == "gh" else ""
    shaded = (
        f"Shaded, round the curve that was asked for: nine in ten of the people{stays}. "
        if any(curve.low is not None and np.isfinite(curve.low).any() for curve in curves)
        else ""
    )
    lost = "the head slips over the rim" if found.joint == "gh" else "no rest is found"
    crosses = f"× where {lost}." if any(curve.lost for curve in curves) else ""
    bars = "Line on a bar: the same people. " if enough(found.counted) and found.loaded else ""
    return f"{shaded}{bars}{crosses}"


def _between(shares: Floats | None) -> tuple[float, float] | None:
    if shares is None or not len(shares):
        return None
    low, high = np.percentile(shares, [5, 95])
    return float(low), float(high)


def _head_charts(found: Play, library: Library, asked: Asked) -> Charts:
    forces = np.linspace(0.0, _shown_force_n(found), STEPS)
    mean, people = mean_and_people(library, asked)
    name = "as asked" if not asked.changes else "changed"
    rising = [_rising(mean, people, library, asked, found, forces, name)]
    along = [_by_position(mean, people, library, asked, found, name)]
    asked_n = found.force_n
    while np.isnan(along[0].y).sum() > len(along[0].y) / 2.0 and found.force_n > LEAST_FORCE_N:
        found = replace(found, force_n=found.force_n / 2.0)  # where it slips nearly everywhere there is nothing to see
        along = [_by_position(mean, people, library, asked, found, name)]
    if asked.changes:
        before, _ = mean_and_people(library, replace(asked, people=0), with_changes=False)
        rising.append(_rising(before, None, library, asked, found, forces, "unchanged"))
        along.append(_by_position(before, None, library, asked, found, "unchanged"))
    else:
        for elevation in OTHERS:
            if elevation != asked.elevation_deg:
                other = replace(asked, elevation_deg=elevation)
                label = f"raised {elevation:g}°" if elevation else "hanging"
                rising.append(_rising(mean, None, library, other, found, forces, label))
    place = "same plane and turn" if found.force_n == asked_n else f"under {asked_n:g} N it slips"
    return [
        (rising, Axes("The force raised step by step", "force, N", "translation, mm", BOX, 110.0)),
        (
            along,
            Axes(f"{found.force_n:g} N by elevation, {place}", "arm raised, degrees", "translation, mm", BOX, 110.0),
        ),
    ]


def _shown_force_n(found: Play) -> float:
    """How far the axis of force reaches: little beyond the force at which the head slips."""
    return found.force_n if not found.seated_up_to_n else min(found.force_n, BEYOND * found.seated_up_to_n)


def _travel(shoulders: Shoulders, pose: Floats, direction: str, force: float) -> Floats:
    """Translation (n,) in millimetres; NaN where the head slipped out or found no rest."""
    glide = shoulders.translation(pose, direction, force)
    travel: Floats = np.where(glide.converged & glide.seated, glide.along_mm, np.nan)
    return travel


def _rising(
    mean: Shoulders, people: Shoulders | None, library: Library, asked: Asked, found: Play, forces: Floats, name: str
) -> Curve:
    pose = pose_of(library, asked, mean)
    y = _until_lost(np.array([_travel(mean, pose, found.direction, float(force))[0] for force in forces]))
    low = high = None
    if people is not None:
        many = pose_of(library, asked, people)
        spread = [_percentiles(_travel(people, many, found.direction, float(force))) for force in forces]
        low, high = np.array(spread).T
    return Curve(name, forces, y, low, high, SLIPS if np.isnan(y[-1]) else "")


def _by_position(
    mean: Shoulders, people: Shoulders | None, library: Library, asked: Asked, found: Play, name: str
) -> Curve:
    at = np.array(sorted({*ELEVATIONS, asked.elevation_deg}))
    poses = [pose_of(library, asked, mean, float(elevation)) for elevation in at]
    y = np.array([_travel(mean, pose, found.direction, found.force_n)[0] for pose in poses])
    low = high = None
    if people is not None:
        spread = [
            _percentiles(_travel(people, pose_of(library, asked, people, float(one)), found.direction, found.force_n))
            for one in at
        ]
        low, high = np.array(spread).T
    return Curve(name, at, y, low, high, SLIPS if np.isnan(y).any() else "", every_loss=True)


def _until_lost(values: Floats) -> Floats:
    """The values up to the first that is no number: beyond it nothing is shown."""
    lost: Floats = np.where(np.cumsum(np.isnan(values)) > 0, np.nan, values)
    return lost


def _percentiles(values: Floats) -> tuple[float, float]:
    is_known = np.isfinite(values)
    if not enough(is_known):
        return np.nan, np.nan
    low, high = np.percentile(values[is_known], [5, 95])
    return float(low), float(high)


def _girdle_charts(found: Play, library: Library, asked: Asked) -> Charts:
    from endfeel.cli.play import directions_of

    forces = np.linspace(0.0, found.force_n, STEPS)
    mean, people = girdle_joints(library, asked, found.joint)
    order = [found.direction, *(one for one in directions_of(found.joint) if one != found.direction)]
    curves = []
    for direction in order:
        y = np.array([_shifted(mean, found.joint, direction, float(force)) for force in forces])
        low = high = None
        if people is not None and direction == found.direction:
            glides = [pushed(people, found.joint, direction, float(force)) for force in forces]
            spread = [_percentiles(np.where(one.converged, mm_from_m(one.along_m), np.nan)) for one in glides]
            low, high = np.array(spread).T
        lost = NO_REST if np.isnan(y).any() else ""
        curves.append(Curve(direction.replace("_", "-"), forces, y, low, high, lost))
    return [(curves, Axes("The force raised step by step, every direction", "force, N", "translation, mm", BOX, 200.0))]


def _shifted(joint: SpringJoint, name: str, direction: str, force: float) -> float:
    glide = pushed(joint, name, direction, force)
    return float(mm_from_m(glide.along_m)) if bool(np.all(glide.converged)) else float("nan")
