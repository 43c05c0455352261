"""Where the fibres run, as points to draw: the same shortest path round the head whose length `wrapping` gives."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from endfeel.anatomy.units import Floats
from endfeel.mechanics.cuff import without_cuff
from endfeel.mechanics.glenohumeral import fibre_lengths_m
from endfeel.mechanics.shoulder import Shoulders
from endfeel.mechanics.tissue import strain_of
from endfeel.mechanics.wrapping import SHORTEST_M

ARC_POINTS = 24


@dataclass(frozen=True, slots=True)
class FibrePaths:
    """Every fibre of n shoulders in a pose, the heads at rest; scapula axes, metres."""

    bands: tuple[str, ...]
    band_of_fibre: np.ndarray
    """(F,) place in `bands`."""
    points_m: Floats
    """(n, F, k, 3) from the scapula to the humerus."""
    strain_percent: Floats
    """(n, F); negative while slack."""
    centre_m: Floats
    """(n, 3) of the head."""


def fibre_paths(shoulders: Shoulders, pose: Floats) -> FibrePaths:
    """The paths of all fibres but those of the cuff in a pose (3, 3) or (n, 3, 3)."""
    capsule, centre = without_cuff(shoulders.capsule), shoulders.at_rest(pose).centre_m
    rotation = np.broadcast_to(np.asarray(pose, dtype=float), (len(shoulders), 3, 3))
    near = np.einsum("nij,nfj->nfi", rotation, capsule.neck_m)
    points = points_round_sphere(capsule.rim_m - centre[:, None, :], near, capsule.radius_m)
    strain = strain_of(fibre_lengths_m(capsule, rotation, centre), capsule.slack_m)
    return FibrePaths(capsule.bands, capsule.band_of_fibre, points + centre[:, None, None, :], strain * 100.0, centre)


def points_round_sphere(far: Floats, near: Floats, radius_m: Floats, arc_points: int = ARC_POINTS) -> Floats:
    """Points (..., arc_points + 2, 3) of the shortest path from `far` to `near` (..., 3) outside a sphere (...).

    Ends inside the sphere are drawn out to its surface. Between two tangents the points lie on the arc; where the
    segment clears the sphere they lie on the segment.
    """
    radius = np.asarray(radius_m, dtype=float)
    a, b = (np.maximum(np.linalg.norm(end, axis=-1), radius) for end in (far, near))
    out = far / np.maximum(np.linalg.norm(far, axis=-1), SHORTEST_M)[..., None]
    inward = near - np.sum(near * out, axis=-1, keepdims=True) * out
    size = np.linalg.norm(inward, axis=-1, keepdims=True)
    across = np.where(size > SHORTEST_M, inward / np.maximum(size, SHORTEST_M), _any_across(out))
    angle = np.arctan2(size[..., 0], np.sum(near * out, axis=-1))
    leaves, lands = np.arccos(radius / a), angle - np.arccos(radius / b)
    share = np.linspace(0.0, 1.0, arc_points)
    turn = leaves[..., None] + (lands - leaves)[..., None] * share
    arc = radius[..., None, None] * (
        np.cos(turn)[..., None] * out[..., None, :] + np.sin(turn)[..., None] * across[..., None, :]
    )
    first = a[..., None] * out
    last = b[..., None] * (np.cos(angle)[..., None] * out + np.sin(angle)[..., None] * across)
    straight = first[..., None, :] + (last - first)[..., None, :] * share[:, None]
    middle = np.where((lands > leaves)[..., None, None], arc, straight)
    points: Floats = np.concatenate([first[..., None, :], middle, last[..., None, :]], axis=-2)
    return points


def _any_across(out: Floats) -> Floats:
    """A unit vector at right angles to each: the fixed choice where both ends lie on one line."""
    turned = np.cross(out, np.eye(3)[np.argmin(np.abs(out), axis=-1)])
    across: Floats = turned / np.maximum(np.linalg.norm(turned, axis=-1, keepdims=True), SHORTEST_M)
    return across
