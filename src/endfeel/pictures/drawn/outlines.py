"""Round areas of a picture of points as smooth closed lines: how a depth buffer becomes shapes that print sharply."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from endfeel.anatomy.units import Floats

_SMOOTHINGS = 3
_THINNINGS = 5
_FLAT = 0.35
"""A corner that spans less than this, in squares of the grid, is left out."""
_SMALLEST = 9.0
"""Areas of fewer squares are left out."""


def outlines(mask: NDArray[np.bool_]) -> list[Floats]:
    """The closed lines (k, 2), column and row, round the areas of a picture (rows, columns); holes run backward."""
    filled_rows, filled_columns = np.flatnonzero(mask.any(axis=1)), np.flatnonzero(mask.any(axis=0))
    if not len(filled_rows):
        return []
    corner = np.array([filled_columns[0], filled_rows[0]], dtype=float)
    mask = mask[filled_rows[0] : filled_rows[-1] + 1, filled_columns[0] : filled_columns[-1] + 1]
    columns = mask.shape[1]
    padded = np.pad(mask, 1)
    above, below = padded[:-1, 1:-1], padded[1:, 1:-1]
    left, right = padded[1:-1, :-1], padded[1:-1, 1:]
    wide = columns + 1
    starts, ends = [], []
    tops, bottoms, rights, lefts = below & ~above, above & ~below, left & ~right, right & ~left
    for found, forward, step in ((tops, True, 1), (bottoms, False, 1), (rights, True, wide), (lefts, False, wide)):
        row, column = np.nonzero(found)
        first = row * wide + column
        starts.append(first if forward else first + step)
        ends.append(first + step if forward else first)
    follows: dict[int, list[int]] = {}
    for start, end in zip(np.concatenate(starts).tolist(), np.concatenate(ends).tolist(), strict=True):
        follows.setdefault(start, []).append(end)
    loops = []
    while follows:
        start = next(iter(follows))
        loop, at = [start], _taken(follows, start)
        while at != start:
            loop.append(at)
            at = _taken(follows, at)
        place = np.array(loop)
        smooth = _smoothed(np.stack([place % wide, place // wide], axis=-1).astype(float))
        if smooth is not None:
            loops.append(smooth + corner)
    return loops


def _taken(follows: dict[int, list[int]], start: int) -> int:
    ends = follows[start]
    end = ends.pop()
    if not ends:
        del follows[start]
    return end


def _smoothed(loop: Floats) -> Floats | None:
    """Stairs made a curve, then every corner left out that bends it little; None for a speck."""
    if len(loop) < 8 or abs(_area(loop)) < _SMALLEST:
        return None
    for _ in range(_SMOOTHINGS):
        loop = 0.25 * np.roll(loop, 1, axis=0) + 0.5 * loop + 0.25 * np.roll(loop, -1, axis=0)
    for _ in range(_THINNINGS):
        before, after = np.roll(loop, 1, axis=0) - loop, np.roll(loop, -1, axis=0) - loop
        spans = 0.5 * np.abs(before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0])
        dropped = (spans < _FLAT) & (np.arange(len(loop)) % 2 == 1)
        if len(loop) - dropped.sum() < 5 or not dropped.any():
            break
        loop = loop[~dropped]
    return loop


def _area(loop: Floats) -> float:
    following = np.roll(loop, -1, axis=0)
    return float(0.5 * np.sum(loop[:, 0] * following[:, 1] - loop[:, 1] * following[:, 0]))
