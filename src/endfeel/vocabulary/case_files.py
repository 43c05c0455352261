"""A whole case, from either file form and back."""

from __future__ import annotations

from collections.abc import Iterable

from endfeel.vocabulary.case_lines import case_text, parse_case_lines
from endfeel.vocabulary.case_tables import case_toml, parse_case_tables
from endfeel.vocabulary.cases import Case
from endfeel.vocabulary.shorthand import Shorthand

__all__ = ["case_text", "case_toml", "parse_case"]


def parse_case(text: str, *, name: str, shorthand: Shorthand, cues: Iterable[str] = ()) -> Case:
    """The case written in `text`: TOML when `name` ends in `.toml`, plain text otherwise.

    `name` stands in every fault. `cues` are the ids the screen knows; when there are none, any id is taken.
    Raises CannotRead with every fault of the file, in reading order.
    """
    read = parse_case_tables if name.lower().endswith(".toml") else parse_case_lines
    return read(text.removeprefix("\ufeff"), name, shorthand, tuple(cues))
