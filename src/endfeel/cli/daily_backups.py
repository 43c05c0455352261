"""While the pages are served: a backup when the last one is a day old."""

from __future__ import annotations

import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

from endfeel.vocabulary import EndfeelError

if TYPE_CHECKING:
    from sqlalchemy import Engine

FIRST_LOOK_SECONDS, LOOKS_EVERY_SECONDS = 30.0, 600.0


@contextmanager
def daily_backups(engine: Engine) -> Iterator[None]:
    """Look now and then whether a backup is due, beside the work; what fails is said and tried again."""
    stopped = threading.Event()
    looking = threading.Thread(target=_look, args=(engine, stopped), name="backups", daemon=True)
    looking.start()
    try:
        yield
    finally:
        stopped.set()
        looking.join()


def _look(engine: Engine, stopped: threading.Event) -> None:
    from endfeel.care import custody

    wait = FIRST_LOOK_SECONDS
    while not stopped.wait(wait):
        wait = LOOKS_EVERY_SECONDS
        try:
            custody.back_up_when_due(engine)
        except EndfeelError as error:
            print(f"endfeel: {error}", file=sys.stderr, flush=True)
