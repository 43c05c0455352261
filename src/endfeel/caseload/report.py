"""What a caseload tells, protected: counts become tables, curves and run charts that may be shown."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from endfeel.caseload.questions import TRAITS, VERDICTS, Counts, main_measure
from endfeel.caseload.run_rules import RunReading, RunRules, read_run_chart
from endfeel.caseload.small_numbers import Table, protected, protected_row, safe_pair
from endfeel.caseload.survival import Waited, put_together, waited
from endfeel.caseload.tables import BEFORE_BANDS, GAP_BANDS, TURN_BANDS, Bands, month_words
from endfeel.evidence.library import Library
from endfeel.vocabulary import CannotRead, Fault

TRAIT_WORDS: Mapping[str, str] = {
    "age_band": "by age",
    "lasting": "by how long it had lasted",
    "leading": "by the contributor that led at the first visit",
}


LEAST_DRAWN = 3
"""A run chart of fewer months is not drawn."""
MOST_ROWS = 9
OTHERS = "all others"


@dataclass(frozen=True, slots=True)
class Together:
    """Two contributors that were probable in the same episodes."""

    first: str
    second: str
    both: int
    expected: float
    """As many as there would be if neither had to do with the other."""


@dataclass(frozen=True, slots=True)
class RunChart:
    """One run chart: a value a month."""

    id: str
    title: str
    unit: str
    months: tuple[str, ...]
    values: tuple[float, ...]
    reading: RunReading
    left_out: int
    """Months of which too few people tell."""


@dataclass(frozen=True, slots=True)
class Report:
    """Everything that may be shown of a caseload."""

    episodes: int
    people: int
    fewest: int
    """A count of fewer people is hidden."""
    main: str
    """The measure most episodes have; empty where nobody was measured twice."""
    improvement: Table
    who: tuple[tuple[str, Table], ...]
    until_it_matters: tuple[tuple[str, Waited], ...]
    alone: Table
    together: tuple[Together, ...]
    pairs_hidden: int
    deciding: Table
    waiting_before: Table
    waiting_between: Table
    turning: Table
    charts: tuple[RunChart, ...]

    @property
    def too_few(self) -> bool:
        """Whether nothing may be shown at all."""
        return self.people < self.fewest


def fewest_people(library: Library, asked: int | None = None, id_: str = "fewest_people") -> int:
    """The number below which a count is hidden: what is asked for, never below the stated one. Raises CannotRead."""
    stated = int(next(p["value"] for p in library.documents["caseload"]["parameter"] if p["id"] == id_))
    if asked is not None and asked < stated:
        raise CannotRead([Fault("fewer people may not be shown", str(asked), f"{stated} or more", field="fewest")])
    return asked or stated


def report(counts: Counts, library: Library, fewest: int) -> Report:
    """Protect the counts and reckon what hangs on them. `counts` come from `questions.ask_all`."""
    rules = RunRules.of(library.documents["caseload"])
    whole = counts["size"][0]
    main = main_measure(counts)
    improvement = _improvement(counts["improvement"], fewest)
    shown = dict(improvement.inner).get(main, ())
    charts = [
        _chart("turns", "Changes of position a visit", "a visit", counts["by_month"], "turns", "n", fewest, rules),
        _chart("gaps", "Days between visits", "days", counts["by_month"], "gap_days", "followed", fewest, rules),
        _improved(counts.get("improved_by_month", []), names_of(library).get(main, main), fewest, rules),
    ]
    together, hidden = _together(counts, fewest)
    return Report(
        episodes=whole["n"],
        people=whole["people"],
        fewest=fewest,
        main=main,
        improvement=improvement,
        who=tuple((TRAIT_WORDS[trait], _by_trait(counts[f"who_{trait}"], shown, fewest)) for trait in TRAITS if main),
        until_it_matters=_until(counts["meaningful"], fewest),
        alone=_listed(counts["alone"], "contributor", whole, fewest),
        together=together,
        pairs_hidden=hidden,
        deciding=_deciding(counts["deciding"], fewest),
        waiting_before=_banded(counts["waiting_before"], BEFORE_BANDS, fewest),
        waiting_between=_banded(counts["waiting_between"], GAP_BANDS, fewest),
        turning=_banded(counts["turning"], TURN_BANDS, fewest),
        charts=tuple(one for one in charts if one is not None),
    )


Row = Mapping[str, object]


def _grid(rows: Sequence[Row], by: str, names: Sequence[str], across: str, columns: Sequence[object]) -> np.ndarray:
    """(2, names, columns) counts and people."""
    grid = np.zeros((2, len(names), len(columns)), dtype=np.int64)
    for row in rows:
        at = names.index(str(row[by])), list(columns).index(row[across])
        grid[0][at], grid[1][at] = row["n"], row["people"]
    return grid


def _improvement(rows: Sequence[Row], fewest: int) -> Table:
    """A row a measure, a column a verdict. Measures have no total in common: each is protected for itself."""
    names = sorted({str(row["measure"]) for row in rows})
    return _each_alone(names, VERDICTS, _grid(rows, "measure", names, "verdict", VERDICTS), fewest)


def _by_trait(rows: Sequence[Row], shown: Sequence[int | None], fewest: int) -> Table:
    """A row a group, better or not; the last row agrees with what is shown of the measure as a whole."""
    names = sorted({str(row["trait"]) for row in rows})
    grid = _grid(rows, "trait", names, "better", (True, False))
    if len(names) > MOST_ROWS:
        names, grid = _fewer(names, grid)
    better, whole = shown[0], shown[-1]
    rest = None if better is None or whole is None else whole - better
    return protected(names, ("better", "not better"), grid[0], grid[1], fewest, (better, rest, whole))


def _fewer(names: Sequence[str], grid: np.ndarray) -> tuple[list[str], np.ndarray]:
    """The rows with most, the others put together."""
    order = np.argsort(-grid[0].sum(axis=1), kind="stable")
    kept, rest = sorted(order[: MOST_ROWS - 1].tolist(), key=lambda k: names[k]), order[MOST_ROWS - 1 :]
    together = np.concatenate([grid[:, kept], grid[:, rest].sum(axis=1, keepdims=True)], axis=1)
    return [*(names[k] for k in kept), OTHERS], together


def _each_alone(names: Sequence[str], columns: Sequence[str], grid: np.ndarray, fewest: int) -> Table:
    """Rows that are not added up: each protected with its own total."""
    cells = tuple(protected_row(counts.tolist(), people.tolist(), fewest) for counts, people in zip(*grid, strict=True))
    return Table(tuple(names), tuple(columns), cells)


def _deciding(rows: Sequence[Row], fewest: int) -> Table:
    """Tests, the most frequent first, and how often the choice was another one after them."""
    often: dict[str, int] = {}
    for row in rows:
        often[str(row["procedure"])] = often.get(str(row["procedure"]), 0) + int(str(row["n"]))
    names = sorted(often, key=lambda name: (-often[name], name))
    return _each_alone(
        names, ("changed it", "left it"), _grid(rows, "procedure", names, "decided", (True, False)), fewest
    )


def _listed(rows: Sequence[Row], by: str, whole: Mapping[str, int], fewest: int) -> Table:
    """How often each was there, and how often not."""
    names = sorted(str(row[by]) for row in rows)
    grid = np.zeros((2, len(names), 2), dtype=np.int64)
    for row in rows:
        at = names.index(str(row[by]))
        grid[0][at] = row["n"], whole["n"] - int(str(row["n"]))
        grid[1][at] = row["people"], grid[0][at, 1]
    return _each_alone(names, ("there", "not"), grid, fewest)


def _banded(rows: Sequence[Row], bands: Bands, fewest: int) -> Table:
    """One row of counts by bands."""
    words = [word for _, word in bands]
    grid = _grid([{**row, "of": "all"} for row in rows], "of", ["all"], "band", words)
    return _each_alone(["all"], words, grid, fewest)


def _until(rows: Sequence[Row], fewest: int) -> tuple[tuple[str, Waited], ...]:
    found = []
    for measure in sorted({str(row["measure"]) for row in rows}):
        mine = [row for row in rows if row["measure"] == measure]
        told = waited((int(str(row["days"])), bool(row["changed"]), int(str(row["n"]))) for row in mine)
        if told.lines >= fewest:
            found.append((measure, put_together(told, fewest)))
    return tuple(found)


def _together(counts: Counts, fewest: int) -> tuple[tuple[Together, ...], int]:
    """Pairs of which none of the four groups is small, the most frequent first; how many were hidden."""
    everybody = counts["size"][0]["n"]
    alone = {row["contributor"]: row["n"] for row in counts["alone"]}
    told = []
    for row in counts["together"]:
        first, second, both = alone[row["contributor"]], alone[row["second"]], row["n"]
        if row["people"] >= fewest and safe_pair(both, first, second, everybody, fewest):
            told.append(Together(row["contributor"], row["second"], both, first * second / everybody))
    return tuple(sorted(told, key=lambda one: (-one.both, one.first, one.second))), len(counts["together"]) - len(told)


def _chart(
    id_: str, title: str, unit: str, rows: Sequence[Row], what: str, over: str, fewest: int, rules: RunRules
) -> RunChart | None:
    """Means by month; a month of too few people, or nobody, has no point."""
    kept = [row for row in rows if int(str(row["people"])) >= fewest and int(str(row[over])) >= fewest]
    values = [int(str(row[what])) / int(str(row[over])) for row in kept]
    return _read(id_, title, unit, [int(str(row["month"])) for row in kept], values, len(rows) - len(kept), rules)


def _improved(rows: Sequence[Row], main: str, fewest: int, rules: RunRules) -> RunChart | None:
    """Share better beyond error by the month of the first visit, in percent."""
    months = sorted({int(str(row["month"])) for row in rows})
    kept, values = [], []
    for month in months:
        cells = {bool(row["better"]): row for row in rows if row["month"] == month}
        better, rest = (int(str(cells[way]["n"])) if way in cells else 0 for way in (True, False))
        people = max(int(str(row["people"])) for row in cells.values())
        if people >= fewest and all(one == 0 or one >= fewest for one in (better, rest)):
            kept.append(month)
            values.append(100.0 * better / (better + rest))
    title = f"Better beyond error by month of start: {main}"
    return _read("improved", title, "%", kept, values, len(months) - len(kept), rules)


def _read(
    id_: str, title: str, unit: str, months: Sequence[int], values: Sequence[float], left_out: int, rules: RunRules
) -> RunChart | None:
    if len(values) < LEAST_DRAWN:
        return None
    names = tuple(month_words(month) for month in months)
    return RunChart(id_, title, unit, names, tuple(values), read_run_chart(values, rules), left_out)


def names_of(library: Library) -> dict[str, str]:
    """What measures, procedures and contributors are called, by id."""
    names = {one["id"]: one["name"] for one in library.documents["outcome_measures"]["measure"]}
    names |= {id_: procedure.name for id_, procedure in library.catalogue.by_id.items()}
    return names | {one["id"]: one["name"] for one in library.documents["contributors"]["contributor"]}
