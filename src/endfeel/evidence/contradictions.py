"""Where a row contradicts itself: counts, ratios, intervals, error and detectable change, percentiles.

A row that repeats a slip of its source faithfully says so in its `doubt` column and is then left in peace;
`use = no_weight` says besides that nothing may be computed from it.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator

from endfeel.evidence.cells import read_number
from endfeel.evidence.library import Row, Table

Finding = tuple[str, str, str, str]
"""Column, what is wrong, what was read, what would do."""
_DERIVED = re.compile(r"tp=(\d+)\s+fp=(\d+)\s+fn=(\d+)\s+tn=(\d+)")
_RATIO = re.compile(r"(LR[+-])\s*=\s*(\d+(?:\.\d+)?)")
_PERCENTILES = ("p05", "p10", "p25", "p50", "p75", "p90", "p95")
_Z = {90.0: 1.645, 95.0: 1.96}


def row_faults(table: Table, row: Row) -> Iterator[Finding]:
    """Every contradiction inside one row that its `doubt` does not already own up to."""
    if row.text.get("doubt"):
        return
    yield from _outside_interval(table, row)
    if "sensitivity" in row.text:
        yield from _counts(row)
        yield from _ratios(row)
    if "mdc" in row.text:
        yield from _detectable_change(row)
    if "p50" in row.text:
        yield from _percentiles(row)


def _cell(row: Row, column: str) -> float | None:
    return read_number(row.text.get(column, ""))


def _last_place(text: str) -> float:
    """One unit of the last printed decimal: a figure may have been rounded or cut off."""
    return 10.0 ** -len(text.partition(".")[2])


def _outside_interval(table: Table, row: Row) -> Iterator[Finding]:
    for column in table.schema.columns.values() if table.schema else ():
        if not (column.low or column.high):
            continue
        value, low, high = _cell(row, column.name), _cell(row, column.low), _cell(row, column.high)
        if value is None:
            continue
        if (low is not None and value < low) or (high is not None and value > high):
            ends = f"{row.text.get(column.low, '')} to {row.text.get(column.high, '')}"
            yield (
                column.name,
                "outside its interval",
                f"{row.text[column.name]} in {ends}",
                "a value within, or a doubt",
            )


def _counts(row: Row) -> Iterator[Finding]:
    printed = tuple(_cell(row, column) for column in ("tp", "fp", "fn", "tn"))
    derived = _DERIVED.search(row.note)
    for where, counts in (("tp", printed), ("note", tuple(map(float, derived.groups())) if derived else (None,) * 4)):
        tp, fp, fn, tn = counts
        for column, hits, misses in (("sensitivity", tp, fn), ("specificity", tn, fp)):
            text = row.text[column]
            if hits is None or misses is None or not text or hits + misses == 0:
                continue
            share = hits / (hits + misses)
            if abs(share - float(text)) >= _last_place(text):
                read = f"{hits:g} of {hits + misses:g} is {share:.3f}, printed {text}"
                yield where, f"counts disagree with the printed {column}", read, "counts that agree, or a doubt"
        people = _cell(row, "n_patients")
        total = sum(count for count in counts if count is not None)
        if None not in counts and people is not None and total != people:
            yield where, "counts do not add up to the people", f"{total:g} of {people:g}", "one of the two, or a doubt"


def _ratios(row: Row) -> Iterator[Finding]:
    sensitivity, specificity = row.text["sensitivity"], row.text["specificity"]
    if not sensitivity or not specificity:
        return
    half_sens, half_spec = _last_place(sensitivity) / 2, _last_place(specificity) / 2
    sens, spec = float(sensitivity), float(specificity)
    for name, printed in _RATIO.findall(row.note):
        share, rest, half_rest = (sens, 1 - spec, half_spec) if name == "LR+" else (1 - sens, spec, half_spec)
        least = max(share - half_sens, 0.0) / (rest + half_rest)
        most = (share + half_sens) / (rest - half_rest) if rest > half_rest else math.inf
        half = _last_place(printed) / 2
        if not least - half <= float(printed) <= most + half:
            fits = f"{least:.2f} to {most:.2f}"
            yield "note", f"{name} does not fit the printed sensitivity and specificity", f"{name}={printed}", fits


def _detectable_change(row: Row) -> Iterator[Finding]:
    z = _Z.get(_cell(row, "mdc_confidence_percent") or 0.0)
    if z is None:
        return
    for error, change in (("sem", "mdc"), ("sem_low", "mdc_low"), ("sem_high", "mdc_high")):
        sem, mdc = _cell(row, error), _cell(row, change)
        if sem is not None and mdc is not None and abs(sem * z * math.sqrt(2) - mdc) > 0.1 * mdc:
            wanted = f"{sem * z * math.sqrt(2):.1f}, or a doubt"
            yield (
                change,
                "detectable change does not follow from the error",
                f"{error} {sem:g}, {change} {mdc:g}",
                wanted,
            )


def _percentiles(row: Row) -> Iterator[Finding]:
    values = [value for column in _PERCENTILES if (value := _cell(row, column)) is not None]
    if values not in (sorted(values), sorted(values, reverse=True)):
        yield "p50", "percentiles out of order", " ".join(f"{value:g}" for value in values), "rising or falling"
