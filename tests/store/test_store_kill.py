"""A program killed at any moment: what was acknowledged is there, once; what was begun is there whole or not at all."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

from endfeel import care
from endfeel.assessment import read_case
from endfeel.records import queries
from endfeel.vocabulary import Complaint, Side

STORY = Path(__file__).resolve().parents[2] / "stories" / "first_visit.txt"
KILLS = 20
NURSERY = """
import os, random, signal, sys, time
from dataclasses import replace
from pathlib import Path
from endfeel import care
from endfeel.assessment import read_case
from endfeel.records import open_engine
from endfeel.vocabulary import Finding, Side

address, visit, story, kills = sys.argv[1:]
grown_up = care.open_desk(address)
case = read_case(Path(story).read_text(encoding="utf-8"), "first_visit.txt", grown_up.library)
grown_up.engine.dispose()

def write(ready):
    desk = replace(grown_up, engine=open_engine(address))
    os.write(ready, b"r")
    number = 0
    while True:
        number += 1
        kept = care.record_finding(desk, visit, Finding("gh_post", Side.RIGHT, mobility=2))
        os.write(1, f"{kept}\\n".encode())
        if number % 3 == 0:
            care.import_case(desk, case)

for number in range(int(kills)):
    heard, ready = os.pipe()
    writer = os.fork()
    if writer == 0:
        write(ready)
    os.read(heard, 1)
    time.sleep(random.uniform(0.0, 0.2 if number % 4 else 2.0))  # now and then long enough on a busy machine
    os.kill(writer, signal.SIGKILL)
    os.waitpid(writer, 0)
    os.close(heard)
    os.close(ready)
"""


def test_after_twenty_kills_every_acknowledged_finding_is_there_once_and_no_case_is_half_there(
    store_address: str,
) -> None:
    desk = care.open_desk(store_address)
    case = read_case(STORY.read_text(encoding="utf-8"), STORY.name, desk.library)
    person = care.new_person(desk, "invented")
    visit = care.open_visit(desk, care.open_episode(desk, person, Complaint(side=Side.RIGHT)))
    given = [sys.executable, "-c", NURSERY, store_address, visit, str(STORY), str(KILLS)]
    ended = subprocess.run(given, capture_output=True, text=True, env=os.environ.copy(), check=False)
    assert ended.returncode == 0, ended.stderr
    acknowledged = ended.stdout.split()
    assert acknowledged
    with desk.transaction() as session:
        stored = queries.visit_record(session, visit).entries
    ids = [entry.id for entry in stored]
    assert len(ids) == len(set(ids))
    assert set(acknowledged) <= set(ids)
    assert len(ids) <= len(acknowledged) + KILLS
    assert [entry.sequence for entry in stored] == list(range(1, len(ids) + 1))
    whole = len(case.findings) + len(case.treatments) + len(case.retests)
    imported = [shown for other in care.list_people(desk) if other.id != person for shown in other.visits]
    assert {shown.entries for shown in imported} <= {whole}
    desk.engine.dispose()
