"""What a page or a sheet of paper asks of an outcome measure: items by number, never by anybody's wording."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from endfeel.evidence.library import Library
from endfeel.measurement.outcome_figures import measure_entry
from endfeel.measurement.score import ARITHMETIC, form_of
from endfeel.vocabulary import NotFound
from endfeel.vocabulary.outcomes import OCCASIONS, WITH_ACTIVITIES, Occasion


@dataclass(frozen=True, slots=True)
class Item:
    """One item: its number, the part it belongs to, and which end is the better one."""

    number: int
    label: str
    """A short neutral name of our own: the part, and the number within it."""
    low: int
    high: int
    high_is_better: bool


@dataclass(frozen=True, slots=True)
class Form:
    """One measure as it is asked: by items where the arithmetic is here, else by a total alone."""

    id: str
    measure: str
    name: str
    about: str
    items: tuple[Item, ...]
    least: int
    """Items that must be answered for a score."""
    low: float
    high: float
    high_is_better: bool
    occasions: tuple[Occasion, ...]
    with_activities: bool
    missing_rule: str
    licence: str
    other_form: str
    """The other total of the same measure; empty when there is none."""


def form(form_id: str, library: Library) -> Form:
    """A measure as it is asked. Raises NotFound."""
    told = form_of(form_id, library)
    entry = measure_entry(told["measure"] if told else form_id, library)
    if entry is None:
        raise NotFound(f"no outcome measure {form_id!r}")
    upward = str(entry["direction"]).startswith("higher")
    return Form(
        id=form_id,
        measure=entry["id"],
        name=told["name"] if told else entry["name"],
        about=entry["what_it_measures"],
        items=_items(told, upward) if told else (),
        least=told["min_answered"] if told else 0,
        low=float(entry["score_min"]),
        high=float(entry["score_max"]),
        high_is_better=upward,
        occasions=OCCASIONS.get(form_id, ()),
        with_activities=form_id == WITH_ACTIVITIES,
        missing_rule=entry["missing_item_rule"],
        licence=entry["licence_status"],
        other_form=told.get("other_form", "") if told else "",
    )


def forms(library: Library) -> tuple[Form, ...]:
    """Every measure that can be entered: those with items here, then those by a total."""
    with_items = [one["id"] for one in library.documents[ARITHMETIC]["form"]]
    shown = {one["measure"] for one in library.documents[ARITHMETIC]["form"]}
    totals = [one["id"] for one in library.documents["outcome_measures"]["measure"] if one["id"] not in shown]
    return tuple(form(one, library) for one in (*with_items, *totals))


def _items(told: Mapping[str, Any], upward: bool) -> tuple[Item, ...]:
    turned = told.get("reversed_items", ())
    found = []
    for part in told["parts"]:
        several = part["last"] > part["first"]
        for number in range(part["first"], part["last"] + 1):
            better_up = (upward != bool(part.get("reversed"))) != (number in turned)
            label = f"{part['id']} {number - part['first'] + 1}" if several else part["id"]
            found.append(Item(number, label, part["item_min"], part["item_max"], better_up))
    return tuple(found)
