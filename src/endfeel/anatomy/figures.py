"""Figures of the evidence as the anatomy needs them: numbers with their spread, points, matrices.

A point stands in the data as "x;y;z"; a matrix as rows in brackets; a range gives its middle. Every reading
keeps the figure, so that what is computed can say where it came from.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from endfeel.anatomy.units import Floats
from endfeel.evidence.figures import Figure, Provenance, number
from endfeel.evidence.library import Library

_NUMBER = re.compile(r"[-−]?\d+(?:\.\d+)?")


@dataclass(frozen=True, slots=True)
class Basis:
    """Where a computed value comes from: the figures behind it and the weakest provenance among them."""

    figures: tuple[str, ...]
    provenance: Provenance
    caveats: tuple[str, ...] = ()

    def joined(self, other: Basis) -> Basis:
        """The union of two bases; the weaker provenance wins."""
        return Basis(
            tuple(dict.fromkeys((*self.figures, *other.figures))),
            max(self.provenance, other.provenance),
            tuple(dict.fromkeys((*self.caveats, *other.caveats))),
        )


def basis_of(figures: Iterable[Figure], caveats: Iterable[str] = ()) -> Basis:
    """The basis of some figures. Raises ValueError when there is none: a value needs a source."""
    used = tuple(figures)
    if not used:
        raise ValueError("a value needs at least one figure")
    return Basis(
        tuple(dict.fromkeys(figure.id for figure in used)),
        max(figure.provenance for figure in used),
        tuple(caveats),
    )


def row_figure(library: Library, table: str, row: str, column: str = "value") -> Figure:
    """The figure in one cell, a number or a statement. Raises NotFound."""
    return library.figure(f"{table}.{row}.{column}")


def value_of(figure: Figure) -> float:
    """The number of a figure; the middle of a range; the stated end where there is only one bound."""
    if figure._value is not None:
        return number(figure)
    ends = [end for end in (figure.low, figure.high) if end is not None]
    if not ends:
        raise ValueError(f"{figure!r} holds words, not a number")
    return sum(ends) / len(ends)


def spread_of(library: Library, table: str, row: str) -> float:
    """The published standard deviation of a row; 0 where none was published."""
    spread = library.tables[table].rows[row].figures.get("sd")
    return 0.0 if spread is None else number(spread)


def numbers_in(figure: Figure) -> Floats:
    """Every number that a figure's text holds, in order: a point "x;y;z" or the rows of a matrix."""
    return np.array([float(word.replace("−", "-")) for word in _NUMBER.findall(figure.text)])
