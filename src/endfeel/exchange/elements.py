"""Small pieces of resources: references, codes, quantities, moments, words."""

from __future__ import annotations

import uuid
from collections.abc import Iterable
from datetime import UTC, datetime
from typing import Any

from endfeel.exchange.systems import UCUM
from endfeel.vocabulary import Unit

Json = dict[str, Any]
_SPACE = uuid.UUID("714103c1-24ea-5171-8eea-92075f34af0e")
UCUM_CODES: dict[Unit, str] = {
    Unit.DEGREES: "deg",
    Unit.NEWTONS: "N",
    Unit.MILLIMETRES: "mm",
    Unit.CENTIMETRES: "cm",
    Unit.SECONDS: "s",
    Unit.GRADE: "{grade}",
    Unit.MMHG: "mm[Hg]",
    Unit.PER_MINUTE: "/min",
    Unit.PERCENT: "%",
    Unit.KILOGRAMS: "kg",
}
"""Units as the unified code for units of measure writes them; a level is a code, not a quantity."""
SCORE = "{score}"


def derived_id(*parts: str) -> str:
    """The same id for the same parts, always."""
    return str(uuid.uuid5(_SPACE, "|".join(parts)))


def words(text: str) -> str:
    """Words as the standard takes them: spaces of other kinds become plain ones; empty when nothing is left."""
    plain = "".join(" " if letter.isspace() and letter not in "\r\n\t" else letter for letter in text)
    return plain if plain.strip() else ""


def moment(at: datetime) -> str:
    """In UTC, to the second or finer."""
    return at.astimezone(UTC).isoformat().replace("+00:00", "Z")


def reference(kind: str, of: str, display: str = "") -> Json:
    return filled(reference=f"{kind}/{of}", display=words(display))


def coding(system: str, code: str, display: str = "") -> Json:
    return filled(system=system, code=code, display=words(display))


def concept(*codings: Json, text: str = "") -> Json:
    return filled(coding=list(codings), text=words(text))


def quantity(value: float, unit: str, code: str) -> Json:
    """A measured number with its unit; without a unit where none was recorded."""
    return {"value": plain_number(value), **(filled(unit=unit, system=UCUM, code=code) if code else {})}


def measured(value: float, unit: Unit | None) -> Json:
    """A number in a unit of a finding."""
    return quantity(value, str(unit) if unit else "", UCUM_CODES.get(unit, "") if unit else "")


def plain_number(value: float) -> float | int:
    """A whole number without its point, as people write it."""
    return int(value) if float(value).is_integer() else value


def note(text: str, at: datetime | None = None) -> list[Json]:
    """A list with one note, or nothing."""
    told = words(text)
    return [filled(time=moment(at) if at else "", text=told)] if told else []


def filled(**given: Any) -> Json:
    """Only what holds something: the standard knows no empty elements."""
    return {name: value for name, value in given.items() if value not in (None, "", [], {})}


def joined(parts: Iterable[str], between: str = "; ") -> str:
    return between.join(part for part in parts if part)
