"""The words of the data file `spoken`, as values."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from endfeel.vocabulary import EvidenceFault, Fault


@dataclass(frozen=True, slots=True)
class Spoken:
    """How procedures, end feels, grades, results and commands are said, and how missing words sound."""

    procedure: Mapping[str, str]
    end_feel: Mapping[str, str]
    grade: Mapping[int, str]
    result: Mapping[str, str]
    command: Mapping[str, tuple[str, ...]]
    sound: Mapping[str, tuple[str, ...]]

    @classmethod
    def of(cls, data: Mapping[str, Any]) -> Spoken:
        """From the parsed data file. Raises EvidenceFault when a table of it is missing."""
        missing = [name for name in cls.__slots__ if name not in data]
        if missing:
            raise EvidenceFault([Fault("no such table in the spoken words", name, "the table") for name in missing])
        return cls(
            dict(data["procedure"]),
            dict(data["end_feel"]),
            {int(grade): words for grade, words in data["grade"].items()},
            dict(data["result"]),
            {name: tuple(forms) for name, forms in data["command"].items()},
            {word: tuple(sounds) for word, sounds in data["sound"].items()},
        )
