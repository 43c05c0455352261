"""A writer is killed again and again: what was acknowledged is there, once; what was begun is there whole or not at
all, also where several findings are kept in one act.

`python -m bench kill` does it 500 times on each database, ENDFEEL_KILLS times when that is set.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from bench.server import NoServer, PrivateServer
from endfeel import care
from endfeel.assessment import read_case
from endfeel.care import custody
from endfeel.records import queries
from endfeel.vocabulary import Complaint, Side

KILLS = 500
TOGETHER = 4
"""Findings of different visits kept in one act, after each that is kept alone."""
STORY = Path(__file__).resolve().parents[1] / "stories" / "first_visit.txt"
NURSERY = """
import os, random, signal, sys, time, uuid
from dataclasses import replace
from pathlib import Path
from endfeel import care
from endfeel.assessment import read_case
from endfeel.records import open_engine
from endfeel.vocabulary import Finding, Side

address, story, kills, *visits = sys.argv[1:]
grown_up = care.open_desk(address)
case = read_case(Path(story).read_text(encoding="utf-8"), "first_visit.txt", grown_up.library)
grown_up.engine.dispose()

def write(ready):
    desk = replace(grown_up, engine=open_engine(address))
    number = 0
    while True:
        os.write(ready, b"r")
        number += 1
        found = Finding("gh_post", Side.RIGHT, mobility=2)
        kept = care.record_finding(desk, visits[0], found)
        os.write(1, f"{kept}\\n".encode())
        os.write(ready, b"r")
        act = uuid.uuid4().hex
        several = [care.new_finding(desk, visit, "finding", found, f"{act}-{at}") for at, visit in enumerate(visits)]
        if not all(care.keep_together(several)):
            sys.exit("not kept together")
        os.write(1, "".join(f"{one.entry.id}\\n" for one in several).encode())
        if number % 2:
            os.write(ready, b"r")
            care.import_case(desk, case)

for number in range(int(kills)):
    heard, ready = os.pipe()
    writer = os.fork()
    if writer == 0:
        write(ready)
    os.close(ready)
    steps, began = random.randint(1, 9), time.monotonic()
    for _ in range(steps):
        if not os.read(heard, 1):
            sys.exit("the writer ended by itself")
        step = (time.monotonic() - began) / steps
    time.sleep(random.uniform(0.0, 1.5 * step))  # in the middle of the next one, however busy the machine is
    os.kill(writer, signal.SIGKILL)
    os.waitpid(writer, 0)
    os.close(heard)
"""
"""One process that forks writers and kills them: the evidence is read once."""


@dataclass(frozen=True, slots=True)
class Survived:
    """What was there after all the kills."""

    kills: int
    together: int
    """Findings of an act that keeps several."""
    acknowledged: int
    stored: int
    lost: int
    """Acknowledged and not there."""
    doubled: int
    unasked: int
    """There beyond what was acknowledged: at most the act that was on its way at each kill."""
    half_acts: int
    """Acts of which some findings are there and some are not."""
    gaps: int
    cases: int
    half_cases: int
    audit_faults: tuple[str, ...]
    damage: tuple[str, ...]

    @property
    def is_whole(self) -> bool:
        wrong = self.lost or self.doubled or self.half_acts or self.gaps or self.half_cases
        return not (wrong or self.audit_faults or self.damage) and self.unasked <= self.kills * self.together


def kill_writers(address: str, kills: int) -> Survived:
    """Kill a writer `kills` times at a random moment, then count what is there. Raises RuntimeError when none runs."""
    desk = care.open_desk(address)
    case = read_case(STORY.read_text(encoding="utf-8"), STORY.name, desk.library)
    people = [care.new_person(desk, "invented", invented=True) for _ in range(TOGETHER)]
    visits = [care.open_visit(desk, care.open_episode(desk, one, Complaint(side=Side.RIGHT))) for one in people]
    given = [sys.executable, "-c", NURSERY, address, str(STORY), str(kills), *visits]
    ended = subprocess.run(  # noqa: S603
        given, capture_output=True, text=True, env=os.environ.copy(), check=False
    )
    if ended.returncode:
        raise RuntimeError(ended.stderr)
    acknowledged = ended.stdout.split()
    with desk.transaction() as session:
        rows = [queries.entry_rows(session, visit) for visit in visits]
    ids = [row.id for several in rows for row in several]
    acts = Counter(one[:-2] for one in ids if one[-2] == "-")  # an act's findings have its id and their place
    whole = len(case.findings) + len(case.treatments) + len(case.retests)
    imported = [shown for other in care.list_people(desk) if other.id not in people for shown in other.visits]
    state = custody.look_at_store(desk.engine, "bench")
    desk.engine.dispose()
    return Survived(
        kills,
        TOGETHER,
        len(acknowledged),
        len(ids),
        len(set(acknowledged) - set(ids)),
        len(ids) - len(set(ids)),
        len(set(ids) - set(acknowledged)),
        sum(there != TOGETHER for there in acts.values()),
        sum(row.sequence != at for several in rows for at, row in enumerate(several, 1)),
        len(imported),
        sum(shown.entries != whole for shown in imported),
        state.check.chain.faults,
        state.check.damage,
    )


def run() -> Iterator[dict[str, str]]:
    """A row for each database."""
    kills = int(os.environ.get("ENDFEEL_KILLS", KILLS))
    with tempfile.TemporaryDirectory() as folder:
        yield _row("SQLite", str(Path(folder) / "records.sqlite"), kills)
        del os.environ["ENDFEEL_UNENCRYPTED"]
        os.environ["ENDFEEL_PASSPHRASE"] = "words of a bench alone"  # noqa: S105
        yield _row("SQLite, encrypted", str(Path(folder) / "sealed.sqlite"), kills)
    try:
        server = PrivateServer(synced=True)
    except NoServer as missing:
        yield {"what": "kill -9, PostgreSQL", "measured": "not run", "note": str(missing)}
        return
    try:
        yield _row("PostgreSQL", server.new_store(), kills)
    finally:
        server.close()


def _row(database: str, address: str, kills: int) -> dict[str, str]:
    began = time.perf_counter()
    told = kill_writers(address, kills)
    faults = (*told.audit_faults, *told.damage)
    there = f"{told.acknowledged} findings acknowledged, {told.stored} there ({told.unasked} were on their way)"
    whole = f"{told.half_acts} acts half there, {told.gaps} gaps, {told.half_cases} of {told.cases} cases half there"
    note = f"{there}, {whole}, audit and pages {faults[0] if faults else 'sound'}, {time.perf_counter() - began:.0f} s"
    measured = f"{told.lost} lost, {told.doubled} double" + ("" if told.is_whole else ", NOT WHOLE")
    return {
        "what": f"kill -9 a writer {kills} times, {database}",
        "measured": measured,
        "aim": "0 lost, 0 double",
        "note": note,
    }
