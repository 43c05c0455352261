"""Lines for whoever runs the program: what was asked for by its pattern, how it ended, how long it took. Nothing about
anybody: no address, no id, no word of a form, no message of an unexpected error."""

from __future__ import annotations

import json
import logging
import sys
import traceback
from datetime import UTC, datetime
from enum import StrEnum
from typing import Any, TextIO

OURS = "endfeel"
FACTS = "facts"
"""The attribute of a record that holds what is told beside the event."""
requests = logging.getLogger("endfeel.requests")


class Form(StrEnum):
    """How a line is written."""

    TEXT = "text"
    JSON = "json"


class Journal(logging.Formatter):
    """One line a record. What another library would fill into its message is left out, and so is what an exception
    says: both may hold what was typed. Where it happened is told instead."""

    def __init__(self, form: Form) -> None:
        super().__init__()
        self._form = form

    def format(self, record: logging.LogRecord) -> str:
        """The line, without the end of line."""
        told: dict[str, Any] = {
            "time": f"{datetime.fromtimestamp(record.created, UTC):%Y-%m-%dT%H:%M:%S.%f}"[:-3] + "Z",
            "level": record.levelname.lower(),
            "from": record.name,
            "event": record.getMessage() if record.name.startswith(OURS) else str(record.msg).strip(),
            **getattr(record, FACTS, {}),
        }
        if record.exc_info and record.exc_info[0]:
            told |= {"error": record.exc_info[0].__qualname__, "at": _places(record.exc_info[1])}
        if self._form is Form.JSON:
            return json.dumps(told, ensure_ascii=False)
        time, level, source, event, *rest = told.values()
        names = list(told)[4:]
        more = "".join(f" {name}={value}" for name, value in zip(names, rest, strict=True))
        return " ".join(f"{time} {level} {source}: {event}{more}".split("\n"))


def _places(error: BaseException | None) -> list[str]:
    """File, line and function of each frame, the innermost last; no message and no value."""
    frames = traceback.extract_tb(error.__traceback__) if error else []
    return [f"{'/'.join(one.filename.split('/')[-3:])}:{one.lineno} {one.name}" for one in frames]


def configure(form: Form | None, to: TextIO | None = None) -> None:
    """Send every line of this program to `to` (standard error). With a form a line a request, without faults alone."""
    handler = logging.StreamHandler(to or sys.stderr)
    handler.setFormatter(Journal(form or Form.TEXT))
    logging.basicConfig(handlers=[handler], level=logging.WARNING, force=True)
    requests.setLevel(logging.INFO if form else logging.WARNING)
