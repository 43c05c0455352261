"""One cell of a table: a number, a range, a bound, or a statement in words."""

from __future__ import annotations

import math
import re
from typing import NamedTuple

_N = r"[-+]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][-+]?[0-9]+)?"
_NUMBER = re.compile(_N)
_RANGE = re.compile(rf"({_N})\s*(?:to|-|–)\s*({_N})")
_ABOUT = re.compile(rf"(?:about|nearly)\s+({_N})")
_WITH_SPREAD = re.compile(rf"({_N})\s*\({_N}\)")
_BELOW = re.compile(rf"(?:<=?|below|under|up to)\s*({_N})")
_ABOVE = re.compile(rf"(?:>=?|above|over)\s*({_N})|({_N}) or more")


class Reading(NamedTuple):
    """What a cell says: a value, or a range with one or both ends, or neither (words)."""

    value: float | None
    low: float | None = None
    high: float | None = None

    @property
    def is_words(self) -> bool:
        return self.value is None and self.low is None and self.high is None


def read_number(cell: str) -> float | None:
    """The number in `cell` when it holds a plain finite number and nothing else."""
    if _NUMBER.fullmatch(cell) is None:
        return None
    value = float(cell)
    return value if math.isfinite(value) else None


def read_cell(cell: str) -> Reading:
    """A number, "0.60 to 0.79", "<0.001", "about 4", "2.8 (1.7)" with its spread, or words."""
    value = read_number(cell)
    if value is not None:
        return Reading(value)
    if match := _RANGE.fullmatch(cell):
        return Reading(None, float(match[1]), float(match[2]))
    if match := _ABOUT.fullmatch(cell) or _WITH_SPREAD.fullmatch(cell):
        return Reading(float(match[1]))
    if match := _BELOW.fullmatch(cell):
        return Reading(None, None, float(match[1]))
    if match := _ABOVE.fullmatch(cell):
        return Reading(None, float(match[1] or match[2]))
    return Reading(None)


def column_of(line: str, index: int) -> int:
    """Where field `index` of a comma-separated line begins, counting characters from 1."""
    quoted, field = False, 0
    for place, character in enumerate(line):
        if field == index:
            return place + 1
        if character == '"':
            quoted = not quoted
        elif character == "," and not quoted:
            field += 1
    return len(line) + 1
