"""Published predictors of how it goes, with effect and source, and which of them the record already tells."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from endfeel.evidence.figures import Figure
from endfeel.evidence.library import Library
from endfeel.follow.courses import DOCUMENT

NOT_ADDED = (
    "The effects are not added to a forecast: they come from another group, whose own averages were not at hand, "
    "and how little of the differences between people they explain together stands beside the first of each source."
)


@dataclass(frozen=True, slots=True)
class Predictor:
    """One published predictor."""

    id: str
    says: str
    effect: Figure
    kind: str
    """Kind of estimate as the source prints it."""
    per: str
    direction: str
    """`better`, `worse`, or what the source says instead."""
    outcome: str
    here: str
    """What the record says about it; empty when it has to be asked."""
    fit: str
    """How well the source's model explains single people."""


def predictors(here: Mapping[str, str], library: Library) -> tuple[Predictor, ...]:
    """Every published predictor. `here` holds what is known of this person, by the names of the data file."""
    table = library.tables["prognosis"]
    found = []
    for told in library.documents[DOCUMENT]["predictor"]:
        row = table.rows[told["row"]]
        found.append(
            Predictor(
                id=told["row"],
                says=told["says"],
                effect=row.figures["estimate"] if "estimate" in row.figures else row.statements["factor_or_statement"],
                kind=row.text["estimate_type"],
                per=told.get("per", ""),
                direction=row.text.get("direction_for_patient", ""),
                outcome=_outcome(row.text["measure"], row.text.get("time_weeks", "")),
                here=here.get(told.get("known", ""), ""),
                fit=row.note,
            )
        )
    return tuple(found)


def _outcome(measure: str, weeks: str) -> str:
    return f"{measure} at {float(weeks):g} weeks" if weeks else measure
