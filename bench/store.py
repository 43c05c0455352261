"""Saving a finding and reading a visit back, on SQLite and without any reasoning."""

from __future__ import annotations

import statistics
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path

from endfeel import care
from endfeel.records import queries
from endfeel.vocabulary import Complaint, Finding, Side

ENTRIES = 60
ROUNDS = 60
AIM = "20 ms"
TOLD = Finding("gh_post", Side.RIGHT, mobility=2)


def run() -> Iterator[dict[str, str]]:
    """Rows of reading a visit of sixty findings, of a save, and of the start page's list."""
    with tempfile.TemporaryDirectory() as folder:
        desk = care.open_desk(str(Path(folder) / "bench.sqlite"))
        person = care.new_person(desk, "invented", invented=True)
        visit = care.open_visit(desk, care.open_episode(desk, person, Complaint(side=Side.RIGHT)))
        for _ in range(ENTRIES):
            care.record_finding(desk, visit, TOLD)

        def read() -> None:
            with desk.transaction() as session:
                record = queries.visit_record(session, visit)
                queries.audit(session, desk.clock(), desk.who, "view visit", record.person_id, visit)

        yield _row(f"read a visit of {ENTRIES} findings, with its access row", read)
        yield _row("save one more finding", lambda: care.record_finding(desk, visit, TOLD))
        yield _row("list of people", lambda: care.list_people(desk))
        desk.engine.dispose()


def _row(what: str, act: Callable[[], object]) -> dict[str, str]:
    seconds = []
    for _ in range(ROUNDS):
        began = time.perf_counter()
        act()
        seconds.append(time.perf_counter() - began)
    seconds.sort()
    p95 = seconds[round(0.95 * (ROUNDS - 1))]
    note = f"p95 {1000 * p95:.1f} ms, {ROUNDS} rounds, SQLite, write-ahead log, synced at every commit"
    return {"what": what, "measured": f"{1000 * statistics.median(seconds):.1f} ms", "aim": AIM, "note": note}
