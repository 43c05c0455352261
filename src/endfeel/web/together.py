"""Findings that wait at the same moment are kept in one act; each is answered when it is on the disk."""

from __future__ import annotations

import asyncio
import time
from collections import deque
from concurrent.futures import Future, ThreadPoolExecutor

from starlette.concurrency import run_in_threadpool

from endfeel import care

MOST = 16
"""Findings of one act: what waits beyond them is the next act's."""
PACE_SECONDS = 0.03
"""After an act that kept several the next begins so long after it began, at the earliest: fewer acts, more in each.
Whoever sends one finding after another alone never waits for it."""


class Together:
    """One act at a time in this process; what arrives meanwhile is the next one."""

    def __init__(self) -> None:
        self._waiting: deque[tuple[care.NewFinding, Future[care.KeptSafely | None]]] = deque()
        self._turn = ThreadPoolExecutor(1, "findings")
        self._earliest = 0.0

    async def keep(self, one: care.NewFinding) -> care.KeptSafely | None:
        """As `care.keep_and_stand`."""
        told: Future[care.KeptSafely | None] = Future()
        self._waiting.append((one, told))
        self._turn.submit(self._keep_waiting)
        return await asyncio.wrap_future(told) or await run_in_threadpool(care.keep_and_stand, one)

    def _keep_waiting(self) -> None:
        several: list[tuple[care.NewFinding, Future[care.KeptSafely | None]]] = []
        if self._waiting:
            time.sleep(max(0.0, self._earliest - time.monotonic()))
        while self._waiting and len(several) < MOST:
            one, told = self._waiting.popleft()
            if told.set_running_or_notify_cancel():
                several.append((one, told))
        if not several:
            return
        self._earliest = time.monotonic() + PACE_SECONDS if len(several) > 1 else 0.0
        try:
            found = care.keep_together([one for one, _ in several])
        except BaseException as bug:
            for _, told in several:
                told.set_exception(bug)
            raise
        for (_, told), kept in zip(several, found, strict=True):
            told.set_result(kept)
