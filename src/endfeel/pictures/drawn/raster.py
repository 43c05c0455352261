"""Which surface is seen at each point of a picture, and how brightly it is lit: a depth buffer on plain arrays."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from endfeel.anatomy.units import Floats

_FRAGMENTS = 2_000_000
"""How many points are looked at in one go."""


@dataclass(frozen=True, slots=True)
class Seen:
    """A picture (rows, columns) from the top down."""

    part: NDArray[np.int32]
    """The surface that is nearest; −1 where there is none."""
    light: Floats
    """How brightly it is lit, 0 to 1."""
    depth: Floats
    """How near it is to the eye; −inf where there is none."""


def nearest_surfaces(corners: Floats, light: Floats, part: NDArray[np.int32], shape: tuple[int, int]) -> Seen:
    """What is seen of triangles (t, 3, 3): column, row and nearness of each corner; their light (t, 3) and part (t,).

    Triangles turned away from the eye are left out.
    """
    rows, columns = shape
    edge, other = corners[:, 1, :2] - corners[:, 0, :2], corners[:, 2, :2] - corners[:, 0, :2]
    area = edge[:, 0] * other[:, 1] - edge[:, 1] * other[:, 0]
    low, high = corners[:, :, :2].min(axis=1), corners[:, :, :2].max(axis=1)
    inside = (high >= 0.0).all(axis=1) & (low[:, 0] < columns) & (low[:, 1] < rows)
    kept = np.flatnonzero((area < -1e-9) & inside)  # rows count downward: what faces the eye runs clockwise there
    size = np.ceil((high - low)[kept].max(axis=1)).astype(int) + 2
    step = 1 << np.ceil(np.log2(size)).astype(int)
    found = Seen(np.full(shape, -1, dtype=np.int32), np.zeros(shape), np.full(shape, -np.inf))
    for wide in np.unique(step):
        mine = kept[step == wide]
        for start in range(0, len(mine), max(1, _FRAGMENTS // int(wide * wide))):
            some = mine[start : start + max(1, _FRAGMENTS // int(wide * wide))]
            _paint(found, corners[some], light[some], part[some], area[some], int(wide))
    return found


def _paint(seen: Seen, corners: Floats, light: Floats, part: NDArray[np.int32], area: Floats, wide: int) -> None:
    rows, columns = seen.part.shape
    first = np.floor(corners[:, :, :2].min(axis=1))
    first = np.maximum(first, 0.0)
    grid = np.arange(wide) + 0.5
    x = first[:, 0, None, None] + grid[None, None, :]
    y = first[:, 1, None, None] + grid[None, :, None]
    share = []
    for corner in range(3):
        a, b = corners[:, (corner + 1) % 3], corners[:, (corner + 2) % 3]
        run, fall = (b - a)[:, 0, None, None], (b - a)[:, 1, None, None]
        share.append((run * (y - a[:, 1, None, None]) - fall * (x - a[:, 0, None, None])) / area[:, None, None])
    covered = (share[0] >= 0.0) & (share[1] >= 0.0) & (share[2] >= 0.0)
    covered &= (x >= 0.0) & (x < columns) & (y >= 0.0) & (y < rows)
    triangle, row, column = np.nonzero(covered)
    weights = np.stack([one[covered] for one in share], axis=-1)
    depth = np.einsum("kc,kc->k", weights, corners[triangle, :, 2])
    bright = np.einsum("kc,kc->k", weights, light[triangle])
    at_row = first[triangle, 1].astype(int) + row
    at_column = first[triangle, 0].astype(int) + column
    order = np.argsort(depth, kind="stable")
    place = at_row[order] * columns + at_column[order]
    better = depth[order] > seen.depth.ravel()[place]
    order, place = order[better], place[better]
    seen.depth.ravel()[place] = depth[order]
    seen.part.ravel()[place] = part[triangle[order]]
    seen.light.ravel()[place] = bright[order]
