"""Small-number protection: what could tell of one person is hidden, and so is what would give the hidden away.

A count of fewer people than a stated number is hidden (zero tells of nobody and stays). Then further counts are hidden
until nobody who knows every shown count and every total can reckon a hidden one to within that number: the least and
the most each could be are found by linear programming, so the promise does not rest on a rule of thumb.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Grid = NDArray[np.int64]
Hidden = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Table:
    """A table of counts with its totals, protected. What is hidden is None."""

    rows: tuple[str, ...]
    columns: tuple[str, ...]
    cells: tuple[tuple[int | None, ...], ...]
    """A row a name in `rows`, with its total last."""
    totals: tuple[int | None, ...] = ()
    """Of each column, then of all; empty where rows are not added up."""

    @property
    def inner(self) -> tuple[tuple[str, tuple[int | None, ...]], ...]:
        """Each row's name with its counts and its total."""
        return tuple(zip(self.rows, self.cells, strict=False))

    @property
    def hides(self) -> bool:
        return any(one is None for row in (*self.cells, self.totals) for one in row)


def protected(
    rows: Sequence[str],
    columns: Sequence[str],
    counts: Grid,
    people: Grid,
    fewest: int,
    totals: Sequence[int | None] | None = None,
) -> Table:
    """The table with its totals, what could tell of one person hidden.

    Parameters
    ----------
    counts, people : (rows, columns) what is counted, and how many people it is of.
    fewest : a count of fewer people is hidden, zero apart.
    totals : the last row as it is shown in another table already (None where hidden there); it is not changed here.
    """
    whole = _with_totals(np.asarray(counts, dtype=np.int64))
    small = _with_totals(np.asarray(people, dtype=np.int64))
    hidden = (whole > 0) & (small < fewest)
    fixed = np.zeros_like(hidden)
    if totals is not None:
        hidden[-1], fixed[-1] = [one is None for one in totals], True
    hidden = hide_enough(whole, hidden, fewest, fixed)
    cells = tuple(
        tuple(None if gone else int(one) for one, gone in zip(row, away, strict=True))
        for row, away in zip(whole, hidden, strict=True)
    )
    return Table(tuple(rows), tuple(columns), cells[:-1], cells[-1])


def _with_totals(inner: Grid) -> Grid:
    across = np.concatenate([inner, inner.sum(axis=1, keepdims=True)], axis=1)
    whole: Grid = np.concatenate([across, across.sum(axis=0, keepdims=True)])
    return whole


def protected_row(counts: Sequence[int], people: Sequence[int], fewest: int) -> tuple[int | None, ...]:
    """Counts that add up to a total, with it last: at least two are hidden where one is, and those at least `fewest`
    together, so that each could be anything up to that; else the total is hidden as well."""
    hidden = {k for k, (n, of) in enumerate(zip(counts, people, strict=True)) if n and of < fewest}
    total: int | None = sum(counts)
    while hidden and (len(hidden) < 2 or sum(counts[k] for k in hidden) < fewest):
        shown = [k for k, n in enumerate(counts) if n and k not in hidden]
        if not shown:
            total = None
            break
        hidden.add(min(shown, key=lambda k: counts[k]))
    return (*(None if k in hidden else n for k, n in enumerate(counts)), total)


def hide_enough(whole: Grid, hidden: Hidden, width: int, fixed: Hidden | None = None) -> Hidden:
    """Hide more until no hidden count can be reckoned to within `width`; `fixed` ones stay as they are.

    What is hidden next is the smallest shown count, zeros last, in the row or column of one that is known too well.
    Hiding more never tells more, so that a count found safe stays so.
    """
    hidden = hidden.copy()
    free = np.ones_like(hidden) if fixed is None else ~fixed
    safe = np.zeros_like(hidden)
    while (hidden & ~safe).any():
        row, column = (int(one) for one in np.argwhere(hidden & ~safe)[0])
        low, high = known_range(whole, hidden, (row, column))
        beside = np.zeros_like(hidden)
        beside[row], beside[:, column] = True, True
        among = next((one for one in (beside & free & ~hidden, free & ~hidden) if one.any()), None)
        if high - low >= width or among is None:
            safe[row, column] = True
            continue
        order = np.where(among, np.where(whole > 0, whole, whole.max() + 1), np.iinfo(np.int64).max)
        hidden[np.unravel_index(int(np.argmin(order)), hidden.shape)] = True
    return hidden


def known_range(whole: Grid, hidden: Hidden, place: tuple[int, int]) -> tuple[float, float]:
    """The least and the most a hidden count could be for whoever knows the shown ones, and that rows and columns add up
    to their totals."""
    from scipy.optimize import linprog

    index = {(int(row), int(column)): k for k, (row, column) in enumerate(np.argwhere(hidden))}
    height, wide = whole.shape
    lines = [[(row, column) for column in range(wide)] for row in range(height)]
    lines += [[(row, column) for row in range(height)] for column in range(wide)]
    equations, sums = [], []
    for line in lines:
        told, known = np.zeros(len(index)), 0.0
        for at, one in enumerate(line):
            sign = -1.0 if at == len(line) - 1 else 1.0
            if one in index:
                told[index[one]] = sign
            else:
                known -= sign * float(whole[one])
        if told.any():
            equations.append(told)
            sums.append(known)
    top = 4.0 * float(whole[:-1, :-1].sum()) + 1.0  # no secret: only an end to what is without one
    aim = np.zeros(len(index))
    ends = []
    for sign in (1.0, -1.0):
        aim[index[place]] = sign
        found = linprog(aim, A_eq=np.array(equations), b_eq=np.array(sums), bounds=(0.0, top), method="highs")
        ends.append(sign * float(found.fun))
    return ends[0], ends[1]


def safe_pair(both: int, first: int, second: int, everybody: int, fewest: int) -> bool:
    """Whether two traits that come together may be told: none of the four groups they make is small but there."""
    groups = both, first - both, second - both, everybody - first - second + both
    return all(one == 0 or one >= fewest for one in groups)
