"""Figures that cannot be separated from their source.

A `Figure` is one number (or short text) from one row of the data files. A `Cited` is what a
computation made out of figures. Neither can be printed by accident: `str()` and formatting raise,
`repr` shows ids only. `number(figure)` reads the value inside the core; `cite(...)` prints it with
its mark on screen and paper.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from enum import IntEnum
from typing import NoReturn


class Provenance(IntEnum):
    """How far a figure may be trusted. A higher number is weaker; the weakest label wins."""

    READ = 1
    MEMORY = 2
    PRACTICE = 3

    @property
    def label(self) -> str:
        return self.name.lower()

    @classmethod
    def from_label(cls, label: str) -> Provenance:
        return cls[label.upper()]


@dataclass(frozen=True, slots=True)
class Source:
    """Where a figure was seen."""

    id: str
    citation: str
    address: str
    """DOI or web address; empty when none is known."""


class _Unprintable:
    """Refuses every road by which a bare number could reach a page without its source."""

    __slots__ = ()

    def _refuse(self) -> NoReturn:
        raise TypeError(f"{self!r} carries a source: print it with cite(), read it with number()")

    def __str__(self) -> str:  # noqa: PLE0307
        self._refuse()

    def __format__(self, spec: str) -> str:
        self._refuse()

    def __html__(self) -> str:
        self._refuse()


@dataclass(frozen=True, slots=True, repr=False)
class Figure(_Unprintable):
    """One value of one row of the data files, with unit, population, source and provenance."""

    id: str
    """`table.row.column`, for instance `diagnostic.da001.sensitivity`."""
    _value: float | None
    text: str
    """The cell as written: the number, a range, or a short statement."""
    unit: str
    low: float | None
    high: float | None
    n: int | None
    population: str
    source: Source
    provenance: Provenance
    note: str = ""

    def __repr__(self) -> str:
        return f"<Figure {self.id}>"


@dataclass(frozen=True, slots=True, repr=False)
class Cited(_Unprintable):
    """A computed number with the figures behind it and the weakest provenance among them."""

    _value: float
    figures: tuple[str, ...]
    provenance: Provenance
    caveats: tuple[str, ...] = field(default=())

    def __repr__(self) -> str:
        return f"<Cited from {', '.join(self.figures)}>"


def number(of: Figure | Cited) -> float:
    """The bare value, for use inside the core. Raises ValueError when the figure is text only."""
    if of._value is None:
        raise ValueError(f"{of!r} is a statement, not a number")
    return of._value


def cited(value: float, figures: Iterable[Figure | Cited], caveats: Iterable[str] = ()) -> Cited:
    """Wrap a computed value with the union of its figures and the weakest provenance."""
    used = tuple(figures)
    if not used:
        raise ValueError("a cited value needs at least one figure")
    ids: dict[str, None] = {}
    for one in used:
        for figure_id in (one.id,) if isinstance(one, Figure) else one.figures:
            ids[figure_id] = None
    inherited = [caveat for one in used if isinstance(one, Cited) for caveat in one.caveats]
    return Cited(
        value,
        tuple(ids),
        max(one.provenance for one in used),
        tuple(dict.fromkeys([*inherited, *caveats])),
    )
