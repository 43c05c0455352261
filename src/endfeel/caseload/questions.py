"""Each question once, as an expression that any engine answers. What comes back are counts and whole sums alone, so
that every engine gives the same answer to the last digit."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from endfeel.caseload.tables import BEFORE_BANDS, COLUMNS, GAP_BANDS, TURN_BANDS, Bands

if TYPE_CHECKING:
    import ibis.expr.types as ir
    import pyarrow as pa

BETTER, WITHIN, WORSE = "better", "not beyond error", "worse"
VERDICTS = (BETTER, WITHIN, WORSE)
PROBABLE = 0.5
"""A contributor counts as there from this probability on: as likely there as not."""
_ROUNDING = 1e-9
"""As in `measurement.change`: a difference that prints as the figure is not beyond it."""


@dataclass(frozen=True)
class Tables:
    """The tables of `tables.COLUMNS` on one engine."""

    episode: ir.Table
    visit: ir.Table
    finding: ir.Table
    reading: ir.Table
    contributor: ir.Table
    threshold: ir.Table
    run: Callable[[str], pa.Table] | None = None
    """Answers a question written out for DuckDB; None where each is written anew for the engine."""

    @classmethod
    def of(cls, get: Callable[[str], ir.Table], run: Callable[[str], pa.Table] | None = None) -> Tables:
        return cls(**{name: get(name) for name in COLUMNS}, run=run)


def _counted(table: ir.Table, *by: str) -> ir.Table:
    """How many rows, and how many people they are of."""
    return table.group_by(by).agg(n=table.count(), people=table.person.nunique())


def _first_and_last(t: Tables) -> ir.Table:
    """Each line with its first value, and its figures of error."""
    read = t.reading
    lines = read.group_by("episode", "person", "measure", "line").agg(first=read.visit.min(), last=read.visit.max())
    begun = read.select("episode", "line", first=read.visit, before=read.value, begun_day=read.day)
    known = t.threshold
    return lines.filter(lines["last"] > lines["first"]).join(begun, ["episode", "line", "first"]).join(known, "measure")


def verdicts(t: Tables) -> ir.Table:
    """A row for each line: whether its last value differs from its first beyond the smallest detectable change."""
    import ibis

    ended = t.reading.select("episode", "line", last=t.reading.visit, after=t.reading.value)
    ends = _first_and_last(t).join(ended, ["episode", "line", "last"])
    gain = ends.better * (ends.after - ends.before)
    beyond = ends.detectable + _ROUNDING
    told = ibis.cases((gain > beyond, BETTER), (gain < -beyond, WORSE), else_=WITHIN)
    return ends.select("episode", "person", "measure", verdict=told)


def improvement(t: Tables) -> ir.Table:
    """Lines by measure and verdict."""
    return _counted(verdicts(t), "measure", "verdict")


def who_improves(t: Tables, measure: str, by: str) -> ir.Table:
    """Lines of one measure by a trait of the episode (`age_band`, `lasting`, `leading`) and whether it is better."""
    return _counted(_of_measure(t, measure).join(t.episode.select("episode", trait=t.episode[by]), "episode"),
                    "trait", "better")  # fmt: skip


def improved_by_month(t: Tables, measure: str) -> ir.Table:
    """Lines of one measure by the month in which the episode began and whether it is better."""
    return _counted(_of_measure(t, measure).join(t.episode.select("episode", "month"), "episode"), "month", "better")


def _of_measure(t: Tables, measure: str) -> ir.Table:
    found = verdicts(t)
    found = found.filter(found.measure == measure)
    return found.select("episode", "person", better=found.verdict == BETTER)


def meaningful(t: Tables) -> ir.Table:
    """Lines by days from the first value to the first change that is beyond error and matters, or to the last value
    where there was none (`changed` false). Measures without a figure of what matters are left out."""
    begun = _first_and_last(t)
    begun = begun.filter(begun.important.notnull())
    later = begun.join(
        t.reading.select("episode", "line", day=t.reading.day, value=t.reading.value), ["episode", "line"]
    )
    gain = later.better * (later.value - later.before)
    matters = (gain > later.detectable + _ROUNDING) & (gain >= later.important - _ROUNDING)
    later = later.mutate(since=later.day - later.begun_day, matters=matters)
    lines = later.group_by("episode", "person", "measure", "line").agg(
        at=later.since.min(where=later.matters), until=later.since.max()
    )
    told = lines.mutate(days=lines["at"].coalesce(lines["until"]), changed=lines["at"].notnull())
    return _counted(told, "measure", "days", "changed")


def alone(t: Tables) -> ir.Table:
    """Episodes by contributor that is probable in them."""
    return _counted(_probable(t), "contributor")


def together(t: Tables) -> ir.Table:
    """Episodes by two contributors that are probable in them."""
    one, other = _probable(t), _probable(t).select("episode", second="contributor")
    pairs = one.join(other, "episode")
    return _counted(pairs.filter(pairs.contributor < pairs.second), "contributor", "second")


def _probable(t: Tables) -> ir.Table:
    return t.contributor.filter(t.contributor.probability >= PROBABLE).select("episode", "person", "contributor")


def deciding(t: Tables) -> ir.Table:
    """Tests done by procedure and by whether the choice of treatment changed with them."""
    return _counted(t.finding, "procedure", "decided")


def size(t: Tables) -> ir.Table:
    """Episodes and people in all."""
    return t.episode.agg(n=t.episode.count(), people=t.episode.person.nunique())


def waiting_before(t: Tables) -> ir.Table:
    """Episodes by weeks the complaint had lasted before the first visit."""
    return _in_bands(t.episode.filter(t.episode.weeks_before.notnull()), "weeks_before", BEFORE_BANDS)


def waiting_between(t: Tables) -> ir.Table:
    """Visits by days since the visit before."""
    return _in_bands(t.visit.filter(t.visit.gap_days.notnull()), "gap_days", GAP_BANDS)


def turning(t: Tables) -> ir.Table:
    """Visits by changes of position."""
    return _in_bands(t.visit, "turns", TURN_BANDS)


def _in_bands(table: ir.Table, column: str, bands: Bands) -> ir.Table:
    import ibis

    steps = [(table[column] <= end, words) for end, words in bands if end is not None]
    return _counted(table.mutate(band=ibis.cases(*steps, else_=bands[-1][1])), "band")


def by_month(t: Tables) -> ir.Table:
    """Visits of each month: how many, of how many people, changes of position and days waited in all."""
    visit = t.visit
    return visit.group_by("month").agg(
        n=visit.count(),
        people=visit.person.nunique(),
        turns=visit.turns.sum().cast("int64"),
        followed=visit.gap_days.count(),
        gap_days=visit.gap_days.sum().cast("int64"),
    )


WHOLE: Mapping[str, Callable[[Tables], ir.Table]] = {
    "size": size,
    "improvement": improvement,
    "meaningful": meaningful,
    "alone": alone,
    "together": together,
    "deciding": deciding,
    "waiting_before": waiting_before,
    "waiting_between": waiting_between,
    "turning": turning,
    "by_month": by_month,
}
"""Questions about the whole caseload, by name."""
TRAITS = ("age_band", "lasting", "leading")

Counts = dict[str, list[dict[str, Any]]]
"""Question to its rows, in the order of their columns."""


def ask_all(t: Tables) -> Counts:
    """Every question. Those about one measure are asked of the one most lines have."""
    counts = {name: rows_of(t, question) for name, question in WHOLE.items()}
    main = main_measure(counts)
    if main:
        counts |= {f"who_{trait}": rows_of(t, who_improves, main, trait) for trait in TRAITS}
        counts["improved_by_month"] = rows_of(t, improved_by_month, main)
    return counts


def main_measure(counts: Counts) -> str:
    """The measure with the most lines; empty where there is none."""
    lines: dict[str, int] = {}
    for row in counts["improvement"]:
        lines[row["measure"]] = lines.get(row["measure"], 0) + row["n"]
    return max(sorted(lines), key=lambda name: lines[name], default="")


def rows_of(t: Tables, question: Callable[..., ir.Table], *about: str) -> list[dict[str, Any]]:
    """The answer as plain rows, sorted: an engine may give them in any order."""
    told = t.run(_written(question, about)) if t.run else question(t, *about).to_pyarrow()
    rows: list[dict[str, Any]] = told.to_pylist()
    return sorted(rows, key=lambda row: [(value is None, value) for value in row.values()])


@lru_cache(maxsize=64)
def _written(question: Callable[..., ir.Table], about: tuple[str, ...]) -> str:
    """A question as DuckDB reads it; written out once, for it does not hang on the rows."""
    import ibis

    unbound = Tables.of(lambda name: ibis.table(COLUMNS[name], name=name))
    return str(ibis.to_sql(question(unbound, *about), dialect="duckdb"))


def write_out() -> None:
    """Write out every question about the whole caseload ahead, so that who asks need not wait for it."""
    for question in WHOLE.values():
        _written(question, ())
