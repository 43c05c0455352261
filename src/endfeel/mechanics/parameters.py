"""The parameters of the mechanical shoulder, read from the evidence: nothing physical is written in code.

A row of `mechanics_parameters` or `capsule_bands` holds its own value or names the row of `ligament_geometry`
whose value it takes (`from_row`); either way the figure that speaks is the one cited.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from endfeel.evidence.figures import Figure, number
from endfeel.evidence.library import Library, Row
from endfeel.vocabulary import NotFound

BANDS = (
    "superior_GHL",
    "middle_GHL",
    "anterior_band_IGHL",
    "axillary_pouch",
    "posterior_band_IGHL",
    "coracohumeral_anterior",
    "coracohumeral_posterior",
    "posterior_capsule_superior",
    "posterior_capsule_middle",
    "posterior_capsule_inferior",
    "rotator_interval",
)
"""The bands of the glenohumeral capsule, by the names that the evidence uses for structures."""


@dataclass(frozen=True, slots=True)
class Parameters:
    """Mean and spread of every parameter by name, with the figures behind them."""

    figures: Mapping[str, Figure]
    """By quantity, and by `band.quantity` for the bands."""
    values: Mapping[str, float]
    """The bare numbers, by the same names."""
    spreads: Mapping[str, float]
    """Standard deviation between people, in the unit of the figure; absent where none is known."""

    def mean(self, name: str) -> float:
        """The value of a parameter in the unit its name ends with. Raises NotFound."""
        if name not in self.values:
            raise NotFound(f"no parameter {name!r} of the mechanical shoulder in the evidence")
        return self.values[name]

    def sd(self, name: str) -> float:
        """Its standard deviation between people; zero where none is known."""
        return self.spreads.get(name, 0.0)

    def has(self, name: str) -> bool:
        """Whether the evidence has the parameter."""
        return name in self.values

    def with_values(self, others: Mapping[str, float]) -> Parameters:
        """The same with some values put in place of the evidence: for a fit or a trial of one assumption."""
        return replace(self, values={**self.values, **others})


def read_parameters(library: Library) -> Parameters:
    """Every parameter of the two tables. Raises NotFound when a row points at a row that is not there."""
    figures: dict[str, Figure] = {}
    spreads: dict[str, float] = {}
    named = [(row.text["quantity"], row) for row in library.tables["mechanics_parameters"]]
    named += [(f"{row.text['band']}.{row.text['quantity']}", row) for row in library.tables["capsule_bands"]]
    for name, row in named:
        holder = _holder(library, row)
        figures[name] = holder.figures["value"]
        if "sd" in holder.figures:
            spreads[name] = number(holder.figures["sd"])
    return Parameters(figures, {name: number(figure) for name, figure in figures.items()}, spreads)


def _holder(library: Library, row: Row) -> Row:
    """The row that holds the value: the row itself or the one of `ligament_geometry` that it names."""
    other = row.text.get("from_row", "")
    if not other:
        return row
    rows = library.tables["ligament_geometry"].rows
    if other not in rows:
        raise NotFound(f"row {row.id} takes its value from ligament_geometry row {other!r}, which is not there")
    return rows[other]
