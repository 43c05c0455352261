"""The stated parameters of the reasoning, read from evidence/data/inference.toml."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from endfeel.vocabulary import NotFound


@dataclass(frozen=True, slots=True)
class Parameters:
    """Named numbers of the model. `parameters["provocation_correlation"]` is one of them."""

    values: Mapping[str, float]
    irritability_mean: Mapping[str, float]
    """Mean on the provocation scale by recorded irritability, in standard deviations."""
    weakness_or_pain: frozenset[str] = frozenset()
    """Resisted tests that count as positive when either is found."""

    def __getitem__(self, name: str) -> float:
        try:
            return self.values[name]
        except KeyError:
            raise NotFound(f"no inference parameter {name!r} in inference.toml") from None

    @classmethod
    def of(cls, document: Mapping[str, Any]) -> Parameters:
        """From the parsed document."""
        entries = {entry["id"]: entry for entry in document["parameter"]}
        levels, resisted = entries.pop("irritability_mean"), entries.pop("weakness_or_pain")
        return cls(
            {name: float(entry["value"]) for name, entry in entries.items()},
            {level: float(levels[level]) for level in ("low", "moderate", "high")},
            frozenset(resisted["procedures"]),
        )
