"""Invented rows, as many as wanted: nobody in them exists, and no figure in them is a claim about real people."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from endfeel.caseload.tables import (
    AGE_BANDS,
    COLUMNS,
    LASTING_BANDS,
    Rows,
    age_band,
    arrow_table,
    lasting_band,
    month_number,
)

if TYPE_CHECKING:
    import pyarrow as pa

Whole = NDArray[np.integer[Any]]
FINDINGS_A_VISIT = 10
VISITS_AN_EPISODE = 4
FIRST_MONTH = month_number(2020, 1)
MONTHS = 60
MEASURES = (("spadi", 100.0, 8.0), ("nprs-rest", 10.0, 1.0))
"""Invented lines: id, range, spread of a change."""


def invented_rows(
    findings: int,
    seed: int,
    procedures: Sequence[str],
    contributors: Sequence[str],
    thresholds: Sequence[Mapping[str, object]],
) -> Rows:
    """Rows of a caseload with about so many findings (ten a visit, four visits an episode).

    Parameters
    ----------
    procedures, contributors : ids to draw from.
    thresholds : the rows of the table of that name.
    """
    draw = np.random.default_rng(seed)
    episodes = max(1, findings // (FINDINGS_A_VISIT * VISITS_AN_EPISODE))
    visits = episodes * VISITS_AN_EPISODE
    person = (np.arange(episodes) * 4 // 5).astype(np.int32)
    month = draw.integers(FIRST_MONTH, FIRST_MONTH + MONTHS, episodes).astype(np.int32)
    age = draw.integers(18, 90, episodes)
    weeks = np.minimum(np.floor(draw.exponential(20.0, episodes)), 500).astype(np.int32)
    leading = draw.integers(0, len(contributors), episodes)
    bands = [age_band(end - 1) for end, _ in AGE_BANDS] + [age_band(99)]
    lasting = [lasting_band(end - 1) for end, _ in LASTING_BANDS] + [lasting_band(999)]
    whose = np.repeat(np.arange(episodes, dtype=np.int32), VISITS_AN_EPISODE)
    order = np.tile(np.arange(1, VISITS_AN_EPISODE + 1, dtype=np.int32), episodes)
    gaps = draw.integers(3, 29, visits).astype(np.int32)
    gaps[order == 1] = 0
    days = gaps.reshape(episodes, VISITS_AN_EPISODE).cumsum(axis=1).ravel().astype(np.int32)
    tested = np.repeat(whose, FINDINGS_A_VISIT)
    return {
        "episode": arrow_table("episode", {
            "episode": np.arange(episodes, dtype=np.int32), "person": person, "month": month,
            "age_band": _words(bands, np.searchsorted([end for end, _ in AGE_BANDS], age, side="right")),
            "lasting": _words(lasting, np.searchsorted([end for end, _ in LASTING_BANDS], weeks, side="right")),
            "leading": _words(contributors, leading), "weeks_before": weeks,
        }),
        "visit": arrow_table("visit", {
            "episode": whose, "person": person[whose], "month": month[whose] + days // 30,
            "gap_days": _gaps(gaps, order == 1), "turns": draw.poisson(1.6, visits).astype(np.int32),
        }),
        "finding": arrow_table("finding", {
            "episode": tested, "person": person[tested],
            "procedure": _words(procedures, draw.integers(0, len(procedures), len(tested))),
            "decided": draw.random(len(tested)) < 0.2,
        }),
        "reading": _readings(draw, whose, person, order, days),
        "contributor": _contributors(draw, episodes, person, contributors, leading),
        "threshold": arrow_table("threshold", {
            key: [row[key] for row in thresholds] for key in ("measure", "detectable", "important", "better")
        }),
    }  # fmt: skip


def _words(words: Sequence[str], which: Whole) -> pa.Array:
    """Words by their places: no copy of every word for every row."""
    import pyarrow as pa

    return pa.array(words, type=pa.string()).take(pa.array(which))


def _gaps(gaps: Whole, is_first: NDArray[np.bool_]) -> pa.Array:
    import pyarrow as pa

    return pa.array(gaps, mask=is_first)


def _readings(draw: np.random.Generator, whose: Whole, person: Whole, order: Whole, days: Whole) -> pa.Table:
    """Both measures at every visit, falling on the whole."""
    columns: dict[str, list[Any]] = {name: [] for name in COLUMNS["reading"]}
    pace = draw.normal(0.12, 0.08, len(person))
    for line, top, spread in MEASURES:
        start = draw.uniform(0.4, 0.9, len(person)) * top
        value = start[whose] - pace[whose] * top * (order - 1) + draw.normal(0.0, spread, len(whose))
        told = {
            "episode": whose, "person": person[whose], "measure": np.full(len(whose), line.partition("-")[0]),
            "line": np.full(len(whose), line), "visit": order, "day": days,
            "value": np.clip(np.round(value), 0.0, top),
        }  # fmt: skip
        for name, column in told.items():
            columns[name].append(column)
    return arrow_table("reading", {name: np.concatenate(parts) for name, parts in columns.items()})


def _contributors(
    draw: np.random.Generator, episodes: int, person: Whole, words: Sequence[str], leading: Whole
) -> pa.Table:
    """The one that leads, and up to three more that differ from it and from each other."""
    steps = np.cumsum(draw.integers(1, max(2, len(words) // 4), (episodes, 3)), axis=1)
    which = np.concatenate([leading[:, None], (leading[:, None] + steps) % len(words)], axis=1)
    share = np.concatenate([draw.uniform(0.5, 1.0, (episodes, 1)), draw.random((episodes, 3))], axis=1)
    whose = np.repeat(np.arange(episodes, dtype=np.int32), 4)
    return arrow_table("contributor", {
        "episode": whose, "person": person[whose], "contributor": _words(words, which.ravel()),
        "probability": share.ravel(),
    })  # fmt: skip
