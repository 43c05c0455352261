"""The rows the questions are asked of: no names, no days of the calendar, whole numbers wherever there can be."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import pyarrow as pa

COLUMNS: Mapping[str, Mapping[str, str]] = {
    "episode": {
        "episode": "int32",
        "person": "int32",
        "month": "int32",  # in which it began: twelve times the year, plus the month from 0
        "age_band": "string",
        "lasting": "string",
        "leading": "string",
        "weeks_before": "int32",
    },
    "visit": {
        "episode": "int32",
        "person": "int32",
        "month": "int32",
        "gap_days": "int32",  # since the visit before; nothing for the first
        "turns": "int32",
    },
    "finding": {"episode": "int32", "person": "int32", "procedure": "string", "decided": "bool"},
    "reading": {
        "episode": "int32",
        "person": "int32",
        "measure": "string",
        "line": "string",
        "visit": "int32",
        "day": "int32",
        "value": "float64",
    },
    "contributor": {"episode": "int32", "person": "int32", "contributor": "string", "probability": "float64"},
    "threshold": {"measure": "string", "detectable": "float64", "important": "float64", "better": "int32"},
}
"""Table to columns and their kinds. `person` and `episode` are numbers given for one count, not ids of the records."""

Rows = Mapping[str, "pa.Table"]
"""Every table of `COLUMNS`, by name."""


def arrow_table(name: str, columns: Mapping[str, Any]) -> pa.Table:
    """One table out of its columns (lists or arrays), in the kinds of `COLUMNS`."""
    import pyarrow as pa

    def column(values: Any, kind: str) -> Any:
        wanted = pa.type_for_alias(kind)
        return values.cast(wanted) if isinstance(values, pa.Array) else pa.array(values, type=wanted)

    return pa.table({key: column(columns[key], kind) for key, kind in COLUMNS[name].items()})


def table_of_rows(name: str, rows: Iterable[Mapping[str, Any]]) -> pa.Table:
    """One table out of its rows."""
    told = list(rows)
    return arrow_table(name, {key: [row[key] for row in told] for key in COLUMNS[name]})


def month_number(year: int, month: int) -> int:
    """Twelve times the year plus the month from 0: months in a row are numbers in a row."""
    return 12 * year + month - 1


def month_words(number: int) -> str:
    """`2026-03`."""
    return f"{number // 12:04d}-{number % 12 + 1:02d}"


AGE_BANDS = ((30, "under 30"), (45, "30 to 44"), (60, "45 to 59"), (75, "60 to 74"))
LASTING_BANDS = ((6, "under 6 weeks"), (13, "6 to 12 weeks"), (52, "13 to 51 weeks"))


def age_band(age: int | None) -> str:
    """The band of an age in years."""
    if age is None:
        return "not told"
    return next((words for end, words in AGE_BANDS if age < end), "75 and over")


def lasting_band(weeks: float | None) -> str:
    """The band of how long the complaint had lasted, in weeks."""
    if weeks is None:
        return "not told"
    return next((words for end, words in LASTING_BANDS if weeks < end), "a year and longer")


Bands = tuple[tuple[int | None, str], ...]
"""Up to this number, in words; the last without an end."""
TURN_BANDS: Bands = ((0, "none"), (1, "one"), (2, "two"), (3, "three"), (None, "four and more"))
GAP_BANDS: Bands = ((7, "up to a week"), (14, "8 to 14 days"), (28, "15 to 28 days"), (None, "over four weeks"))
BEFORE_BANDS: Bands = ((5, "up to 5 weeks"), (12, "6 to 12 weeks"), (51, "13 to 51 weeks"), (None, "a year and longer"))
