"""Many like jobs at once, by processes here or by a scheduler's workers on several machines; with a bar that moves."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Callable, Iterator, Sequence
from typing import TYPE_CHECKING, Any, TypeVar

from endfeel.cli.machine import prepare_machine
from endfeel.vocabulary import CannotRead, Fault, Refused

if TYPE_CHECKING:
    from distributed import Client

T = TypeVar("T")


def configure_jobs(parser: argparse.ArgumentParser) -> None:
    """Where the jobs are computed."""
    parser.add_argument(
        "--workers", type=int, default=os.cpu_count() or 1, metavar="N", help="processes on this machine"
    )
    parser.add_argument("--scheduler", default=os.environ.get("ENDFEEL_SCHEDULER", ""), metavar="ADDRESS",
                        help="a dask.distributed scheduler to use instead (or ENDFEEL_SCHEDULER)")  # fmt: skip


def check_jobs(options: argparse.Namespace, usual_people: int) -> None:
    """Raises CannotRead when there is nobody to compute, or nothing to compute with."""
    faults = [
        Fault(f"--{name} must be at least 1", str(value), would_do)
        for name, value, would_do in (
            ("people", options.people, f"for instance {usual_people}"),
            ("workers", options.workers, "1"),
        )
        if value < 1
    ]
    if options.seed < 0:
        faults.append(Fault("a seed is not negative", str(options.seed), "0 or more", field="seed"))
    if faults:
        raise CannotRead(faults)


def run_jobs(
    job: Callable[..., T], arguments: Sequence[tuple[Any, ...]], workers: int, scheduler: str = "", what: str = "blocks"
) -> Iterator[T]:
    """The answers of `job(*one)` for each of `arguments`, in their order whoever is ready first.

    Raises Refused when no scheduler answers at its address, or it is none.
    """
    if scheduler:
        with _client(scheduler) as client:
            client.run(prepare_machine)
            waiting = [client.submit(job, *one, pure=False).result for one in arguments]
            yield from _in_order(waiting, what)
        return
    from concurrent.futures import ProcessPoolExecutor
    from multiprocessing import get_context

    pool = ProcessPoolExecutor(workers, mp_context=get_context("spawn"), initializer=prepare_machine)
    try:
        waiting = [pool.submit(job, *one).result for one in arguments]
        yield from _in_order(waiting, what)
    finally:
        pool.shutdown(cancel_futures=True)


def _in_order(waiting: Sequence[Callable[[], T]], what: str) -> Iterator[T]:
    _bar(0, len(waiting), what)
    for count, result in enumerate(waiting, 1):
        yield result()
        _bar(count, len(waiting), what)


def _client(address: str) -> Client:
    try:
        from distributed import Client
    except ImportError:
        raise Refused("a scheduler needs the extra `cluster` (dask.distributed)") from None
    try:
        return Client(address, timeout=10)  # type: ignore[no-untyped-call]
    except (OSError, TimeoutError, ValueError) as error:
        raise Refused(f"no scheduler answers at {address!r}: {error}") from None


def _bar(done: int, of: int, what: str) -> None:
    if sys.stderr.isatty():
        filled = round(30 * done / of)
        end = "\n" if done == of else ""
        print(f"\r  {'█' * filled}{'·' * (30 - filled)} {done}/{of} {what}", end=end, file=sys.stderr)
    else:
        print(f"  {done}/{of} {what}", file=sys.stderr, flush=True)
