"""Rotations as 3×3 matrices, and the two sequences of angles that the trade's standard uses.

All functions take any number of leading axes. A matrix `a_from_b` turns the coordinates of a vector seen
from frame b into those seen from frame a; its columns are the axes of b as a sees them, so that
`a_from_b @ b_from_c` is `a_from_c`. Sequences are intrinsic: each turn is about an axis already turned.

Degenerate poses. In YXZ the first and third axes coincide when the middle angle is ±90°; in YXY when it is
0 or −180° (arm hanging, arm straight overhead). Only their sum or difference is then known. Decided here:
the first angle is the one the caller holds (`held_first_rad`), else the third angle is zero and the first
takes everything. The matrix made from the angles is the one that was given, in every case. YXY angles are
returned on the branch with the middle angle in −180..0°, the sign that the standard gives elevation.

References: Wu G et al. 2005, J Biomech 38:981 (sequences and signs); Phadke 2011 (degenerate poses).
"""

from __future__ import annotations

from typing import Literal, TypeAlias

import numpy as np
from numpy.typing import ArrayLike

from endfeel.anatomy.units import Floats

Sequence: TypeAlias = Literal["YXZ", "YXY"]
Axis: TypeAlias = Literal["X", "Y", "Z"]

DEGENERATE_SINE = 1e-7
"""Below this sine (0.00001°) the outer two axes count as one; a limit of arithmetic, not of anatomy."""


def turn_about(axis: Axis, angle_rad: ArrayLike) -> Floats:
    """The rotation by an angle about one coordinate axis: shape (..., 3, 3) for angles of shape (...)."""
    angle = np.asarray(angle_rad, dtype=float)
    sine, cosine = np.sin(angle), np.cos(angle)
    turned = np.zeros((*angle.shape, 3, 3))
    fixed = "XYZ".index(axis)
    after, last = (fixed + 1) % 3, (fixed + 2) % 3
    turned[..., fixed, fixed] = 1.0
    turned[..., after, after] = turned[..., last, last] = cosine
    turned[..., last, after] = sine
    turned[..., after, last] = -sine
    return turned


def rotation_from_angles(angles_rad: ArrayLike, sequence: Sequence) -> Floats:
    """The rotation made by three turns in order: shape (..., 3, 3) for angles of shape (..., 3)."""
    angles = np.asarray(angles_rad, dtype=float)
    first, second, third = (turn_about(_axis(letter), angles[..., place]) for place, letter in enumerate(sequence))
    return first @ second @ third


def angles_from_rotation(rotation: ArrayLike, sequence: Sequence, held_first_rad: ArrayLike | None = None) -> Floats:
    """The three angles, shape (..., 3), that make a rotation of shape (..., 3, 3).

    YXZ: middle angle in −90..90°. YXY: middle angle in −180..0°. In a degenerate pose the first angle is
    `held_first_rad` where given (broadcast to the leading axes), else the third angle is zero.
    """
    matrix = np.asarray(rotation, dtype=float)
    if sequence == "YXZ":
        shrink = np.hypot(matrix[..., 1, 0], matrix[..., 1, 1])
        middle = np.arctan2(-matrix[..., 1, 2], shrink)
        first = np.arctan2(matrix[..., 0, 2], matrix[..., 2, 2])
        third = np.arctan2(matrix[..., 1, 0], matrix[..., 1, 1])
    else:
        shrink = np.hypot(matrix[..., 0, 1], matrix[..., 2, 1])
        middle = -np.arctan2(shrink, matrix[..., 1, 1])
        first = np.arctan2(-matrix[..., 0, 1], -matrix[..., 2, 1])
        third = np.arctan2(-matrix[..., 1, 0], matrix[..., 1, 2])
    lost = shrink < DEGENERATE_SINE
    if lost.any():
        together = np.arctan2(-matrix[..., 2, 0], matrix[..., 0, 0])
        kept = together if held_first_rad is None else np.broadcast_to(held_first_rad, lost.shape)
        # what the held first angle leaves over, seen with the sign that the third axis has in this pose
        sign = np.sign(-matrix[..., 1, 2] if sequence == "YXZ" else matrix[..., 1, 1])
        rest = wrapped(together - kept) * (-sign if sequence == "YXZ" else sign)
        first, third = np.where(lost, kept, first), np.where(lost, rest, third)
    return np.stack([first, middle, third], axis=-1)


def is_degenerate(rotation: ArrayLike, sequence: Sequence, within_rad: float = DEGENERATE_SINE) -> np.ndarray:
    """Where the first and third angle cannot be told apart: shape (...), true within an angle of the pose."""
    matrix = np.asarray(rotation, dtype=float)
    entry = (1, 2) if sequence == "YXZ" else (1, 1)
    shrink = np.sqrt(np.clip(1.0 - matrix[..., entry[0], entry[1]] ** 2, 0.0, None))
    return np.asarray(shrink < np.sin(within_rad))


def wrapped(angle_rad: ArrayLike) -> Floats:
    """The same angle in −180..180°."""
    angle = np.asarray(angle_rad, dtype=float)
    within: Floats = np.arctan2(np.sin(angle), np.cos(angle))
    return within


def inverse(rotation: ArrayLike) -> Floats:
    """The rotation undone: `inverse(a_from_b)` is `b_from_a`."""
    return np.swapaxes(np.asarray(rotation, dtype=float), -1, -2)


def turned(rotation: ArrayLike, vector: ArrayLike) -> Floats:
    """A vector, shape (..., 3), turned by a rotation, shape (..., 3, 3); leading axes broadcast."""
    rotated: Floats = np.einsum("...ij,...j->...i", np.asarray(rotation, float), np.asarray(vector, float))
    return rotated


def rotation_from_vector(vector_rad: ArrayLike) -> Floats:
    """The rotation about a vector by its length in radians: shape (..., 3, 3) for (..., 3)."""
    vector = np.asarray(vector_rad, dtype=float)
    angle = np.linalg.norm(vector, axis=-1)[..., None, None]
    cross = _cross_matrix(vector)
    whole: Floats = np.eye(3) + np.sinc(angle / np.pi) * cross + 0.5 * np.sinc(angle / (2 * np.pi)) ** 2 * cross @ cross
    return whole


def vector_from_rotation(rotation: ArrayLike) -> Floats:
    """Axis times angle, shape (..., 3), of a rotation; the angle is 0..180° and at 180° the axis sign is free."""
    matrix = np.asarray(rotation, dtype=float)
    skew = np.stack(
        [
            matrix[..., 2, 1] - matrix[..., 1, 2],
            matrix[..., 0, 2] - matrix[..., 2, 0],
            matrix[..., 1, 0] - matrix[..., 0, 1],
        ],
        axis=-1,
    )
    sine, cosine = np.linalg.norm(skew, axis=-1) / 2.0, (np.trace(matrix, axis1=-2, axis2=-1) - 1.0) / 2.0
    angle = np.arctan2(sine, cosine)
    # near a half turn the skew part vanishes: the axis is then the largest column of R + R' + (1 - trace) I
    beside = 1.0 - np.trace(matrix, axis1=-2, axis2=-1)
    whole = matrix + np.swapaxes(matrix, -1, -2) + beside[..., None, None] * np.eye(3)
    column = np.argmax(np.diagonal(whole, axis1=-2, axis2=-1), axis=-1)
    half = np.take_along_axis(whole, column[..., None, None], axis=-1)[..., 0]
    half = half / np.maximum(np.linalg.norm(half, axis=-1, keepdims=True), np.finfo(float).tiny)
    half = half * np.where(np.sum(half * skew, axis=-1, keepdims=True) < 0.0, -1.0, 1.0)
    near_half_turn = (cosine < -0.5)[..., None]
    small = skew / (2.0 * np.maximum(np.sinc(angle / np.pi), np.finfo(float).eps))[..., None]
    vector: Floats = np.where(near_half_turn, half * angle[..., None], small)
    return vector


def angle_of(rotation: ArrayLike) -> Floats:
    """How far a rotation turns in all, 0..180° in radians, shape (...)."""
    angle: Floats = np.linalg.norm(vector_from_rotation(rotation), axis=-1)
    return angle


def nearest_rotation(matrix: ArrayLike) -> Floats:
    """The proper rotation nearest to a printed matrix whose digits were rounded: shape (..., 3, 3)."""
    left, _, right = np.linalg.svd(np.asarray(matrix, dtype=float))
    flip = np.ones((*left.shape[:-2], 3))
    flip[..., 2] = np.linalg.det(left @ right)
    nearest: Floats = (left * flip[..., None, :]) @ right
    return nearest


def _axis(letter: str) -> Axis:
    return "X" if letter == "X" else "Y" if letter == "Y" else "Z"


def _cross_matrix(vector: Floats) -> Floats:
    cross = np.zeros((*vector.shape[:-1], 3, 3))
    cross[..., 0, 1], cross[..., 0, 2], cross[..., 1, 2] = -vector[..., 2], vector[..., 1], -vector[..., 0]
    cross[..., 1, 0], cross[..., 2, 0], cross[..., 2, 1] = vector[..., 2], -vector[..., 1], vector[..., 0]
    return cross
