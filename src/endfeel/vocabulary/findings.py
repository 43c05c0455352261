"""A finding: what was observed, never what was concluded."""

from __future__ import annotations

import re
from dataclasses import dataclass

from endfeel.vocabulary.terms import EndFeel, Result, Side, Unit


@dataclass(frozen=True, slots=True)
class Finding:
    """One observation by one procedure. Absent fields were not recorded; absence is never "normal".

    Ranges (enforced where text or forms are read, by `vocabulary.ranges`): mobility 0 to 6,
    pain 0 to 10, strength 0 to 5.
    """

    procedure: str
    side: Side | None = None
    level: str | None = None
    mobility: int | None = None
    end_feel: EndFeel | None = None
    value: float | None = None
    """The measured quantity, in `unit`."""
    unit: Unit | None = None
    other: float | None = None
    """The same quantity on the person's other side, same unit."""
    pain: float | None = None
    """Pain during the procedure, 0 to 10."""
    pain_onset: float | None = None
    """Where pain began, in `unit` (degrees or newtons)."""
    resistance_onset: float | None = None
    """Where resistance was first felt, in `unit`."""
    familiar: bool | None = None
    """Whether it reproduced the symptom the person came with."""
    result: Result | None = None
    apprehension: bool | None = None
    strength: int | None = None
    """Manual strength 0 to 5."""
    note: str | None = None

    @property
    def lower_pressure(self) -> float | None:
        """The lower of two blood pressures in mmHg; it is kept in the note, as `both_pressures` writes it."""
        found = _BOTH_PRESSURES.search(self.note or "") if self.unit is Unit.MMHG else None
        return float(found[1]) if found else None

    @property
    def instrument(self) -> str | None:
        """What it was measured with, one of INSTRUMENTS; it is kept in the note, as `measured_with` writes it."""
        found = _MEASURED_WITH.search(self.note or "") if self.value is not None else None
        return found[1].lower() if found else None


INSTRUMENTS = ("phone", "inclinometer", "goniometer", "dynamometer")
_MEASURED_WITH = re.compile(rf"\bmeasured with (?:an? )?({'|'.join(INSTRUMENTS)})\b", re.IGNORECASE)
_BOTH_PRESSURES = re.compile(r"\b\d+(?:\.\d+)?/(\d+(?:\.\d+)?) mmHg")


def both_pressures(upper: str, lower: str) -> str:
    """Upper and lower blood pressure as a note keeps them."""
    return f"{upper}/{lower} mmHg"


def measured_with(instrument: str, note: str = "") -> str:
    """A note that names the instrument, with the other words after it."""
    return f"measured with {instrument}" + (f"; {note}" if note else "")
