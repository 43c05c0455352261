"""A whole case, from either file form and back."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace

from endfeel.vocabulary.case_header import CONTROL, control_fault
from endfeel.vocabulary.case_lines import case_text, parse_case_lines
from endfeel.vocabulary.case_tables import case_toml, parse_case_tables
from endfeel.vocabulary.cases import Case
from endfeel.vocabulary.errors import CannotRead, Fault
from endfeel.vocabulary.shorthand import Shorthand

LONGEST_FILE = 1_000_000
LONGEST_LINE = 25_000
"""Letters. A story or a note of the records may be 20 000 long and must be readable again."""

__all__ = ["case_text", "case_toml", "parse_case"]


def parse_case(text: str, *, name: str, shorthand: Shorthand, cues: Iterable[str] = ()) -> Case:
    """The case written in `text`: TOML when `name` ends in `.toml`, plain text otherwise.

    `name` stands in every fault. `cues` are the ids the screen knows; when there are none, any id is taken.
    Raises CannotRead with every fault of the file, in reading order.
    """
    _refuse_endless(text, name)
    _refuse_control(text, name)
    read = parse_case_tables if name.lower().endswith(".toml") else parse_case_lines
    return read(text.removeprefix("\ufeff"), name, shorthand, tuple(cues))


def _refuse_endless(text: str, name: str) -> None:
    """What no therapist wrote is refused before it is looked at word by word."""
    if len(text) > LONGEST_FILE:
        would = f"a case of at most {LONGEST_FILE} letters"
        raise CannotRead([Fault(f"{len(text)} letters are too long for a case", "", would, 1, 1, name)])
    would = f"lines of at most {LONGEST_LINE} letters"
    faults = [
        Fault(f"a line of {len(line)} letters is too long", line[:40], would, number, 1, name)
        for number, line in enumerate(text.split("\n"), 1)
        if len(line) > LONGEST_LINE
    ]
    if faults:
        raise CannotRead(faults)


def _refuse_control(text: str, name: str) -> None:
    """Characters that would steer a terminal or a printer are no words. Each line is told once."""
    lines = enumerate(re.split(r"\r\n|\r|\n", text), 1)
    found = [(number, CONTROL.search(line)) for number, line in lines]
    faults = [
        replace(control_fault(one), line=number, column=one.start() + 1, file=name) for number, one in found if one
    ]
    if faults:
        raise CannotRead(faults)
