"""A clinic on PostgreSQL with four workers of `endfeel serve`, signed-in therapists, over loopback.

First findings at an even rate, one request each, by the road the page takes; then therapists at a bedside pace. Waits
are counted from the moment a finding was due, not from when it could be sent. ENDFEEL_SECONDS=120, ENDFEEL_RATE=300 (a
second) and ENDFEEL_THERAPISTS=200 may be set smaller.
"""

from __future__ import annotations

import asyncio
import hashlib
import json
import os
import random
import secrets
import subprocess
import sys
import time
import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from urllib.parse import urlsplit

from sqlalchemy import insert, select, text

from bench.filled import fill
from bench.server import NoServer, PrivateServer
from endfeel import care
from endfeel.care import custody
from endfeel.records.staff_tables import AssignmentRow, SignInRow, StaffRow
from endfeel.records.tables import EntryRow

Streams = tuple[asyncio.StreamReader, asyncio.StreamWriter]
WORKERS = 4
A_VISIT = 20
"""Findings of one examination; then the therapist goes on in the next visit."""
PACE = (20.0, 40.0)
"""Seconds between two findings of one therapist."""
MARK_EVERY = 2.0
"""Seconds between two questions of an open page whether another device wrote (`static/couch.js`)."""
LOOKS = 4
"""One finding in so many is followed by a look at the course of the episode."""
BEFORE = 10.0
"""Seconds of findings at the same rate before anything is measured; the server knows then how large its tables are."""
GRACE = 30.0
"""Seconds after the last request was due; what is not answered then is told as not answered."""


@dataclass(slots=True)
class Seat:
    """A therapist who is signed in, with the visits they go through."""

    token: str
    visits: list[str]
    episodes: list[str]
    kept: int = 0

    @property
    def visit(self) -> str:
        return self.visits[self._at]

    @property
    def episode(self) -> str:
        return self.episodes[self._at]

    @property
    def _at(self) -> int:
        return min(self.kept // A_VISIT, len(self.visits) - 1)


@dataclass(slots=True)
class Told:
    """Seconds of each kind of answer, ids that were acknowledged, and what went wrong."""

    seconds: dict[str, list[float]] = field(default_factory=dict)
    acknowledged: list[str] = field(default_factory=list)
    faults: list[str] = field(default_factory=list)
    asked: int = 0


class Line:
    """One connection of a browser: a request, its answer, the next one."""

    def __init__(self, port: int, token: str) -> None:
        self._port = port
        self._head = f"Host: 127.0.0.1:{port}\r\nCookie: endfeel={token}\r\nHX-Request: true\r\n"
        self._streams: Streams | None = None

    async def ask(self, method: str, path: str, body: bytes = b"") -> tuple[int, bytes]:
        """Status and body. A line the server closed is opened anew, once."""
        length = f"Content-Type: application/json\r\nContent-Length: {len(body)}\r\n" if body else ""
        told = f"{method} {path} HTTP/1.1\r\n{self._head}{length}\r\n".encode() + body
        for _ in range(2):
            try:
                if self._streams is None:
                    self._streams = await asyncio.open_connection("127.0.0.1", self._port)
                return await self._once(self._streams, told)
            except (ConnectionError, asyncio.IncompleteReadError):
                self._streams = None
        raise ConnectionError(f"{method} {path.partition('?')[0]}: no answer")

    async def _once(self, streams: Streams, told: bytes) -> tuple[int, bytes]:
        reader, writer = streams
        writer.write(told)
        head = (await reader.readuntil(b"\r\n\r\n")).lower()
        status = int(head.split(b" ", 2)[1])
        if b"content-length:" in head:
            return status, await reader.readexactly(int(head.partition(b"content-length:")[2].split(b"\r", 1)[0]))
        body = b""
        while size := int(await reader.readline(), 16):
            body += await reader.readexactly(size)
            await reader.readexactly(2)
        await reader.readexactly(2)
        return status, body


def run() -> Iterator[dict[str, str]]:
    """Rows of the even rate and of the bedside pace."""
    seconds, rate = float(os.environ.get("ENDFEEL_SECONDS", "120")), float(os.environ.get("ENDFEEL_RATE", "300"))
    therapists = int(os.environ.get("ENDFEEL_THERAPISTS", "200"))
    try:
        server = PrivateServer(synced=True)
    except NoServer as missing:
        yield {"what": "a clinic", "measured": "not run", "note": str(missing)}
        return
    try:
        address = server.new_store()
        desk = care.open_desk(address)
        visits = int((BEFORE + seconds) * rate / therapists) // A_VISIT + 2
        seats = sit_down(desk, therapists, visits)
        with served(address) as port:
            asyncio.run(_warm(port, seats))
            asyncio.run(_evenly(port, seats, BEFORE, rate))
            _count_rows(desk)
            load = os.getloadavg()[0]
            told = asyncio.run(_evenly(port, seats, seconds, rate))
            yield _row(f"{rate:g} findings a second for {seconds:g} s", told, "finding kept", 0.99, "150 ms", load)
            yield _lost(desk, told)
            load = os.getloadavg()[0]
            told = asyncio.run(_at_the_couch(port, seats, seconds))
            what = f"{therapists} therapists, a finding every {PACE[0]:g} to {PACE[1]:g} s, {seconds:g} s"
            yield _row(what, told, "", 0.95, "100 ms", load)
            for kind in sorted(told.seconds):
                yield _row("of it", told, kind, 0.95, "", load)
            yield _lost(desk, told)
        desk.engine.dispose()
    finally:
        server.close()


def sit_down(desk: care.Desk, therapists: int, visits: int) -> list[Seat]:
    """So many therapists, signed in with both factors, each with people of their own and an empty visit of each."""
    made, now = fill(desk, therapists * visits, 1, 0), desk.clock()
    staff = [str(uuid.uuid4()) for _ in range(therapists)]
    opened = [several[0] for several in made.visits]
    seats = [
        Seat(secrets.token_urlsafe(32), opened[at::therapists], made.episodes[at::therapists])
        for at in range(therapists)
    ]
    rows = (
        (StaffRow, [{"id": one, "name": f"Therapist {at}", "role": "therapist", "password": "", "must_choose": False,
                     "totp": "A" * 32, "failures": 0, "created_at": now} for at, one in enumerate(staff)]),
        (AssignmentRow, [{"person_id": person, "staff_id": one, "at": now, "by": "bench"}
                         for person, one in zip(made.people, staff * visits, strict=True)]),
        (SignInRow, [{"id": hashlib.sha256(seat.token.encode()).hexdigest(), "staff_id": one, "second": True,
                      "browser": "bench", "began_at": now, "seen_at": now}
                     for seat, one in zip(seats, staff, strict=True)]),
    )  # fmt: skip
    with desk.engine.begin() as connection:
        for table, given in rows:
            connection.execute(insert(table), given)
    return seats


@contextmanager
def served(address: str) -> Iterator[int]:
    """The port of `endfeel serve` with several workers."""
    command = [sys.executable, "-m", "endfeel.cli.main", "serve", "--port", "0", "--store", address,
               "--workers", str(WORKERS)]  # fmt: skip
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as program:  # noqa: S603
        said = program.stdout.readline().split() if program.stdout else []
        try:
            if len(said) < 4:
                raise RuntimeError("endfeel serve did not start")
            yield urlsplit(said[3]).port or 0
        finally:
            program.terminate()
            program.wait(timeout=30)


async def _warm(port: int, seats: list[Seat]) -> None:
    """What each worker makes once (templates, links) is made before anything is measured."""
    lines = [(Line(port, seat.token), seat) for seat in seats[: 8 * WORKERS]]
    for line, seat in lines:
        await line.ask("GET", f"/visits/{seat.visits[-1]}")


def _count_rows(desk: care.Desk) -> None:
    """As the server does by itself within a minute: without it questions planned on empty tables read all of them."""
    with desk.engine.connect().execution_options(isolation_level="AUTOCOMMIT") as connection:
        connection.execute(text("ANALYZE"))


async def _evenly(port: int, seats: list[Seat], seconds: float, rate: float) -> Told:
    """One finding a request, each due at its own moment, handed out to the therapists in turn."""
    told, begin = Told(), time.perf_counter() + 0.5

    async def work(place: int) -> None:
        line = Line(port, seats[place].token)
        for number in range(place, int(seconds * rate), len(seats)):
            due = begin + number / rate
            await asyncio.sleep(max(0.0, due - time.perf_counter()))
            await _finding(line, seats[place], told, due)

    await _until(begin + seconds + GRACE, [work(place) for place in range(len(seats))], told)
    return told


async def _at_the_couch(port: int, seats: list[Seat], seconds: float) -> Told:
    """Each with a page that asks for news and, beside it, findings, the page after each, now and then the course."""
    told, begin, chance = Told(), time.perf_counter() + 0.5, random.Random(1)  # noqa: S311

    async def examine(seat: Seat, first: float) -> None:
        line, due = Line(port, seat.token), begin + first
        while due < begin + seconds:
            await asyncio.sleep(max(0.0, due - time.perf_counter()))
            await _finding(line, seat, told, due)
            await _look(line, f"/visits/{seat.visit}?minutes=20", "visit page", told)
            if seat.kept % LOOKS == 0:
                await _look(line, f"/episodes/{seat.episode}/course", "course page", told)
            due = max(due + chance.uniform(*PACE), time.perf_counter())

    async def watch(seat: Seat, first: float) -> None:
        line, due = Line(port, seat.token), begin + first
        while due < begin + seconds:
            await asyncio.sleep(max(0.0, due - time.perf_counter()))
            await _look(line, f"/visits/{seat.visit}/mark", "news asked for", told)
            due = max(due + MARK_EVERY, time.perf_counter())

    acts = [examine(seat, chance.uniform(0, PACE[1])) for seat in seats]
    acts += [watch(seat, chance.uniform(0, MARK_EVERY)) for seat in seats]
    await _until(begin + seconds + GRACE, acts, told)
    return told


async def _until(end: float, acts: list[object], told: Told) -> None:
    tasks = [asyncio.ensure_future(one) for one in acts]  # type: ignore[call-overload]
    done, late = await asyncio.wait(tasks, timeout=end - time.perf_counter())
    for one in late:
        one.cancel()
    await asyncio.gather(*late, return_exceptions=True)
    told.faults += [repr(one.exception()) for one in done if one.exception()]


async def _finding(line: Line, seat: Seat, told: Told, due: float) -> None:
    one = str(uuid.uuid4())
    fields = {"procedure": "gh_post", "side": "right", "level": "", "mobility": str(seat.kept % 5), "pain": "3"}
    body = {"entries": [{"id": one, "what": "findings", "fields": fields}]}
    told.asked += 1
    status, answer = await line.ask("POST", f"/visits/{seat.visit}/arrivals", json.dumps(body).encode())
    if status == 200 and one in json.loads(answer)["kept"]:
        told.acknowledged.append(one)
        seat.kept += 1
        told.seconds.setdefault("finding kept", []).append(time.perf_counter() - due)
    else:
        told.faults.append(f"a finding was answered with {status}")


async def _look(line: Line, path: str, kind: str, told: Told) -> None:
    began = time.perf_counter()
    status, _ = await line.ask("GET", path)
    told.seconds.setdefault(kind, []).append(time.perf_counter() - began)
    if status != 200:
        told.faults.append(f"{kind} answered with {status}")


def _row(what: str, told: Told, kind: str, part: float, aim: str, load: float) -> dict[str, str]:
    given = sorted(
        told.seconds.get(kind, []) if kind else [one for several in told.seconds.values() for one in several]
    )
    if not given:
        return {"what": what, "measured": "nothing answered", "aim": aim, "note": "; ".join(told.faults[:1])}
    p50, p95, p99 = (1000 * given[min(len(given) - 1, int(share * len(given)))] for share in (0.5, 0.95, 0.99))
    note = f"p50 {p50:.0f}, p95 {p95:.0f}, p99 {p99:.0f} ms of {len(given)} answers"
    note += f"; {WORKERS} workers, {os.cpu_count()} cores, load average before {load:.1f}"
    note += f"; {len(told.faults)} faults, the first: {told.faults[0]}" if told.faults else ""
    measured = f"{p99 if part == 0.99 else p95:.0f} ms"
    return {
        "what": f"{what}, {kind or 'all answers'}, p{100 * part:.0f}",
        "measured": measured,
        "aim": aim,
        "note": note,
    }


def _lost(desk: care.Desk, told: Told) -> dict[str, str]:
    """Counted in the database: every acknowledged finding there, none twice, the chain whole."""
    with desk.transaction() as session:
        ids = list(session.scalars(select(EntryRow.id)))
    lost = len(set(told.acknowledged) - set(ids))
    twice = len(told.acknowledged) - len(set(told.acknowledged))
    chain = custody.verify_audit(desk.engine, "bench")
    note = f"{told.asked} sent, {len(told.acknowledged)} acknowledged in time, {len(ids)} in the database; audit of "
    note += f"{chain.rows} rows {'sound' if chain.is_sound else chain.faults[0]}"
    return {"what": "of them lost", "measured": f"{lost} lost, {twice} twice", "aim": "0", "note": note}
