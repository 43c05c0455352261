"""Lessons on simulated patients, kept as files of their own: a line a step, synced as it is added, never changed.

They lie in a folder beside the records and never in them: nobody real is in the one, nobody simulated in the other.
"""

from __future__ import annotations

import json
import os
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sqlalchemy import Engine

from endfeel.records.faults import StoreFault
from endfeel.records.store import default_path
from endfeel.vocabulary import NotFound

ENDING = ".lesson.jsonl"


@dataclass(frozen=True, slots=True)
class LessonFiles:
    """The folder in which lessons lie, one file each."""

    folder: Path

    @classmethod
    def beside(cls, engine: Engine) -> LessonFiles:
        """The folder beside a store in a file; beside the default store where the store is none."""
        name = engine.url.database if engine.url.get_backend_name() == "sqlite" else None
        place = Path(name) if name and name != ":memory:" else default_path()
        return cls(place.parent / f"{place.stem}-lessons")

    def ids(self) -> tuple[str, ...]:
        """All lessons, the oldest first."""
        if not self.folder.is_dir():
            return ()
        files = [one for one in self.folder.iterdir() if one.name.endswith(ENDING)]
        found = sorted((one.stat().st_mtime_ns, one.name) for one in files)
        return tuple(name.removesuffix(ENDING) for _, name in found)

    def add(self, lesson_id: str, line: Mapping[str, Any]) -> None:
        """Add one line and wait until it is on the disk. Raises StoreFault when it cannot be written."""
        path = self._path(lesson_id)
        try:
            self.folder.mkdir(parents=True, exist_ok=True, mode=0o700)
            handle = os.open(path, os.O_RDWR | os.O_CREAT | os.O_APPEND, 0o600)
            try:
                size = os.fstat(handle).st_size
                torn = size > 0 and os.pread(handle, 1, size - 1) != b"\n"
                text = json.dumps(dict(line), ensure_ascii=False, separators=(",", ":"))
                os.write(handle, f"{chr(10) if torn else ''}{text}\n".encode())
                os.fsync(handle)
            finally:
                os.close(handle)
        except OSError as error:
            raise StoreFault(f"the lesson could not be kept: {error.strerror or error}") from error

    def lines(self, lesson_id: str) -> list[dict[str, Any]]:
        """Every whole line, in order; what was cut off while it was written is left out. Raises NotFound."""
        try:
            text = self._path(lesson_id).read_text(encoding="utf-8", errors="replace")
        except FileNotFoundError:
            raise NotFound("there is no such lesson") from None
        found = []
        for line in text.splitlines():
            try:
                read = json.loads(line)
            except ValueError:
                continue
            if isinstance(read, dict):
                found.append(read)
        return found

    def remove(self, lesson_id: str) -> None:
        """Take a lesson away; one that is not there is no fault."""
        self._path(lesson_id).unlink(missing_ok=True)

    def _path(self, lesson_id: str) -> Path:
        if not lesson_id or any(sign not in "0123456789abcdef-" for sign in lesson_id):
            raise NotFound("there is no such lesson")
        return self.folder / f"{lesson_id}{ENDING}"
