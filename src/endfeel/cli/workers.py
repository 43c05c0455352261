"""Several processes of the pages behind one address, forked from one that has read the evidence."""

from __future__ import annotations

import multiprocessing
import os
import signal
import sys
import threading
import time
from collections.abc import Callable
from multiprocessing.connection import wait
from multiprocessing.context import ForkProcess
from types import FrameType

from endfeel.vocabulary import Refused

MOST = 64
TOO_SOON_SECONDS = 5.0
"""A worker that ends so soon after its start would end again: all are stopped then."""
STOP = (signal.SIGTERM, signal.SIGINT)


def check_workers(number: int, *, on_a_server: bool, doors: bool) -> None:
    """Raises Refused where several workers cannot be had: a store in a file has one writer, and what a phone sends
    or a class's port lies in one process."""
    if not 1 <= number <= MOST:
        raise Refused(f"{number} workers are not possible; 1 to {MOST} would do")
    if number == 1:
        return
    if not on_a_server:
        raise Refused(
            "several workers need a store on PostgreSQL: --store postgresql://… (docs/records.md); "
            "a store in a file is served by one"
        )
    if doors:
        raise Refused(
            "a phone or a class comes in at one process: leave out --workers, or serve --phone and --class by a second "
            "endfeel serve on the same store, at a --port of its own"
        )
    if sys.platform != "linux":
        raise Refused("several workers share a port on Linux alone; start an endfeel serve each, with its own --port")


def work_together(number: int, work: Callable[[int], None], ready: Callable[[], None]) -> int:
    """Let so many processes do `work(place)`, place from 0, until SIGTERM or Ctrl-C; `ready` is called once they run.

    One that ends by itself is started anew; one that ends right after its start stops all. Returns the exit code.
    """
    forking = multiprocessing.get_context("fork")
    running: dict[ForkProcess, tuple[int, float]] = {}
    stopping = False

    def begin(place: int) -> None:
        one = forking.Process(target=_worker, args=(work, place), name=f"worker {place + 1}")
        one.start()
        running[one] = place, time.monotonic()

    def stop(_: int = 0, __: FrameType | None = None) -> None:
        nonlocal stopping
        stopping = True
        for one in tuple(running):
            one.terminate()

    before = {sign: signal.signal(sign, stop) for sign in STOP}
    code = 0
    try:
        for place in range(number):
            begin(place)
        ready()
        while running:
            wait([one.sentinel for one in running])
            for one in [one for one in running if not one.is_alive()]:
                place, began = running.pop(one)
                if stopping:
                    continue
                print(f"endfeel: worker {place + 1} ended by itself ({one.exitcode})", file=sys.stderr, flush=True)
                if time.monotonic() - began < TOO_SOON_SECONDS:
                    code = 1
                    stop()
                else:
                    begin(place)
    finally:
        for sign, handler in before.items():
            signal.signal(sign, handler)
    return code


def _worker(work: Callable[[int], None], place: int) -> None:
    signal.signal(signal.SIGTERM, signal.SIG_DFL)
    signal.signal(signal.SIGINT, signal.default_int_handler)
    threading.Thread(target=_end_with_parent, name="parent", daemon=True).start()
    work(place)


def _end_with_parent() -> None:
    """No worker stays behind when the first process was killed."""
    parent = multiprocessing.parent_process()
    if parent is not None:
        parent.join()
        os.kill(os.getpid(), signal.SIGTERM)
