"""While the pages are served: a backup when the last one is a day old."""

from __future__ import annotations

import logging
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

from endfeel.vocabulary import EndfeelError

if TYPE_CHECKING:
    from sqlalchemy import Engine

    from endfeel.care.custody import BackupWatch

log = logging.getLogger("endfeel.backups")
FIRST_LOOK_SECONDS, LOOKS_EVERY_SECONDS = 30.0, 600.0


@contextmanager
def daily_backups(engine: Engine, watch: BackupWatch) -> Iterator[None]:
    """Look now and then whether a backup is due, beside the work; what fails is said here and on the start page, by
    `watch`, and tried again."""
    stopped = threading.Event()
    looking = threading.Thread(target=_look, args=(engine, watch, stopped), name="backups", daemon=True)
    looking.start()
    try:
        yield
    finally:
        stopped.set()
        looking.join()


def _look(engine: Engine, watch: BackupWatch, stopped: threading.Event) -> None:
    wait = FIRST_LOOK_SECONDS
    while not stopped.wait(wait):
        wait = LOOKS_EVERY_SECONDS
        look_once(engine, watch)


def look_once(engine: Engine, watch: BackupWatch) -> None:
    """Make a backup when one is due; what fails stays in `watch` until one succeeds."""
    from endfeel.care import custody

    try:
        custody.back_up_when_due(engine)
        watch.fault = ""
    except EndfeelError as error:
        watch.fault = str(error)
        log.error("%s", error)
    except Exception:
        watch.fault = "an unexpected error; see what the program wrote where it was started"
        log.exception("a backup failed unexpectedly")
    watch.looked = True
