"""Which glide loads what stops a motion: the model's answer beside the rule.

A shoulder with something tight in it is taken to within a few degrees of its passive end in one motion. There the head
is pushed in each direction with the same force. Each band that resists the motion is weighed by its share of the
resisting moment; what the glide adds to its strain, weighed so and summed, is how much the glide loads what stops.
A stretch by glide wants that number large. It is a model of tissue at the end of range: it knows no pain and no muscle.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from endfeel.anatomy.units import Floats, rad_from_deg
from endfeel.evidence.figures import number
from endfeel.evidence.library import Library, Row
from endfeel.mechanics.changes import Change
from endfeel.mechanics.links import changes_of
from endfeel.mechanics.motions import find_motion
from endfeel.mechanics.shoulder import Shoulders, draw_population

GLIDES = ("anterior", "posterior", "inferior", "anteroinferior", "posteroinferior", "lateral")
"""Directions a hand can give the head at the end of a motion."""
TIGHT = (
    "capsule_global",
    "capsule_anterior",
    "capsule_inferior",
    "capsule_posterior_upper",
    "capsule_posterior_middle",
    "capsule_posterior_lower",
    "rotator_interval",
)
"""Contributors that are a tight region of the capsule."""


@dataclass(frozen=True, slots=True)
class GlideAnswer:
    """What one glide does to the bands that stop one motion, over the drawn people."""

    contributor: str
    procedure: str
    """The motion, by the procedure that measures it."""
    direction: str
    added_strain: float
    """Percentage points, the mean over people."""
    sd: float
    best_share: float
    """In what share of the people this direction loads what stops the motion most."""
    people: int
    counted_share: float
    """Share in whom every search ended with the head over the socket."""


def motions_measured(library: Library) -> dict[str, str]:
    """Procedure to the named passive motion that it measures; glenohumeral procedures only."""
    return {
        row.text["procedure"]: row.text["motion"]
        for row in library.tables["mechanical_tests"]
        if row.text["kind"] == "limit" and row.text["motion"] and row.text["procedure"].startswith("gh_")
    }


def glide_answers(
    library: Library, people: int, seed: int, force_n: float, short_of_end_deg: float, some: Iterable[str] = TIGHT
) -> Iterator[GlideAnswer]:
    """Every tight region, motion and direction. The same seed gives the same people."""
    whole = draw_population(library, people, seed).in_bulk()
    changes = changes_of(library)
    for contributor in some:
        tight = whole.changed(*map(_change, changes[contributor]))
        for procedure, motion in motions_measured(library).items():
            added, counted = added_strains(tight, motion, force_n, short_of_end_deg)
            if counted.any():
                yield from _answers(contributor, procedure, added[counted], float(counted.mean()), people)


def added_strains(
    shoulders: Shoulders,
    motion: str,
    force_n: float,
    short_of_end_deg: float,
    directions: Sequence[str] = GLIDES,
) -> tuple[Floats, np.ndarray]:
    """(n, directions) percentage points of strain each glide adds to what stops the motion, and (n,) who counts."""
    end, asked = shoulders.passive_limit(motion), find_motion(shoulders.library, motion)
    counted = end.converged & end.seated & np.isfinite(end.angle_deg)
    angle = np.where(np.isfinite(end.angle_deg), end.angle_deg, 0.0) - short_of_end_deg
    pose = asked.humerus(rad_from_deg(angle))
    before = np.maximum(shoulders.bands_at(pose).strain_percent, 0.0)
    found = []
    for direction in directions:
        glide = shoulders.translation(pose, direction, force_n)
        after = np.maximum(glide.bands.strain_percent, 0.0)
        found.append((end.stopping * (after - before)).sum(axis=1))
        counted &= glide.converged & glide.seated
    return np.stack(found, axis=1), counted


def _answers(contributor: str, procedure: str, added: Floats, share: float, people: int) -> Iterator[GlideAnswer]:
    best = np.bincount(added.argmax(axis=1), minlength=len(GLIDES)) / len(added)
    for place, direction in enumerate(GLIDES):
        column = added[:, place]
        mean, sd = float(column.mean()), float(column.std())
        yield GlideAnswer(contributor, procedure, direction, mean, sd, float(best[place]), people, share)


def _change(row: Row) -> Change:
    """The change at its mean severity."""
    value = number(row.figures["value"])
    if row.text["quantity"] == "rest_ratio":
        return Change(row.text["structure"], rest_ratio=value)
    return Change(row.text["structure"], stiffness_factor=value)
