"""Opening an episode in a store of a thousand to a million findings, on both databases.

ENDFEEL_FINDINGS=100000 for a smaller largest size, ENDFEEL_LEAST=1000000 for a larger smallest; ENDFEEL_DRAW=1 draws
the points to docs/store_growth.svg.
"""

from __future__ import annotations

import os
import random
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np

from bench.filled import Filled, fill
from bench.server import NoServer, PrivateServer
from endfeel import care
from endfeel.pictures.line_chart import Axes, Curve
from endfeel.pictures.play_sheet import play_picture
from endfeel.pictures.restraint_sheet import Words
from endfeel.records import measures, queries
from endfeel.records.tables import EpisodeRow

LEAST, MOST = 1_000, 1_000_000
FINDINGS, VISITS = 20, 2
"""Of a visit, and visits of an episode."""
ROUNDS, WHOLE_ROUNDS = 200, 40
AIM = "50 ms"
PICTURE = Path(__file__).resolve().parents[1] / "docs" / "store_growth.svg"
Points = dict[str, dict[int, float]]


def run() -> Iterator[dict[str, str]]:
    """A row a size, database and way: what the store reads of an episode, and the episode with all that follows."""
    most = int(os.environ.get("ENDFEEL_FINDINGS", str(MOST)))
    points: Points = {}
    try:
        server: PrivateServer | None = PrivateServer(synced=True)
    except NoServer as missing:
        server = None
        yield {"what": "PostgreSQL", "measured": "not run", "note": str(missing)}
    try:
        findings = int(os.environ.get("ENDFEEL_LEAST", str(LEAST)))
        while findings <= most:
            with tempfile.TemporaryDirectory() as folder:
                yield from _on("SQLite", str(Path(folder) / "records.sqlite"), findings, points)
            if server:
                yield from _on("PostgreSQL", server.new_store(), findings, points)
            findings *= 10
    finally:
        if server:
            server.close()
    if os.environ.get("ENDFEEL_DRAW"):
        PICTURE.write_text(_picture(points), encoding="utf-8")


def _on(database: str, address: str, findings: int, points: Points) -> Iterator[dict[str, str]]:
    desk, began = care.open_desk(address), time.perf_counter()
    made = fill(desk, findings // (FINDINGS * VISITS), VISITS, FINDINGS)
    filled = f"filled in {time.perf_counter() - began:.0f} s"
    chosen = random.Random(1)  # noqa: S311
    for what, act, rounds in (("read from the store", _read, ROUNDS), ("with all that follows", _whole, WHOLE_ROUNDS)):
        act(desk, made, 0)
        p95, median = _timed(lambda act=act: act(desk, made, chosen.randrange(len(made.episodes))), rounds)  # type: ignore[misc]
        points.setdefault(f"{database}, {'read' if act is _read else 'all'}", {})[findings] = 1000 * median
        yield {
            "what": f"an episode opened, {what}, {findings:,} findings, {database}, p95",
            "measured": f"{1000 * p95:.0f} ms",
            "aim": AIM,
            "note": f"median {1000 * median:.0f} ms of {rounds}, load average {os.getloadavg()[0]:.1f}; {filled}",
        }
    desk.engine.dispose()


def _read(desk: care.Desk, made: Filled, at: int) -> None:
    """Person, complaint, every visit with its findings, the measures; and the row in the audit."""
    with desk.transaction() as session:
        person = queries.row_of(session, EpisodeRow, made.episodes[at], "episode").person_id
        queries.audit(session, desk.clock(), desk.who, "view episode", person)
        days = measures.visits_of(session, made.episodes[at])
        records = queries.visit_records(session, [day.id for day in days])
        kept = measures.preferences_by_visit(session, days)
        if len(care.follow.visits_followed(session, days, records, kept)) != VISITS:
            raise RuntimeError("an episode is not whole")


def _whole(desk: care.Desk, made: Filled, at: int) -> None:
    """The same, and what is concluded from its last visit: safety, contributors, plan, course."""
    care.follow_episode(desk, made.episodes[at])


def _timed(act: Callable[[], None], rounds: int) -> tuple[float, float]:
    """p95 and median in seconds."""
    seconds = []
    for _ in range(rounds):
        began = time.perf_counter()
        act()
        seconds.append(time.perf_counter() - began)
    seconds.sort()
    return seconds[round(0.95 * (rounds - 1))], seconds[rounds // 2]


def _picture(points: Points) -> str:
    """Milliseconds by findings, findings by powers of ten."""
    curves = [
        Curve(name, np.log10(np.array(list(told), float)), np.array(list(told.values())))
        for name, told in points.items()
    ]
    axes = Axes("An episode opened, median", "findings in the store, as a power of ten", "milliseconds", (0, 0, 0, 0))
    words = Words("How opening an episode grows", "beside other work; numbers in docs/performance.md", ())
    said = "Milliseconds by findings in the store, for each database; the numbers stand in docs/performance.md."
    return play_picture([(curves, axes)], (), words, said)
