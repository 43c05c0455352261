"""Where the keys of a TOML text stand, so that a fault can name line and column."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import Any

import tomli

from endfeel.vocabulary.errors import Fault

_TABLE = re.compile(r"\s*(\[\[?)\s*([^\[\]#]*?)\s*\]{1,2}\s*(?:#.*)?$")
_KEY = re.compile(r"""\s*("[^"]*"|'[^']*'|[A-Za-z0-9_-]+)\s*=\s*""")
_AT = re.compile(r"\s*\(at (?:line (\d+), column (\d+)|end of document)\)$")
_MOST_REPAIRS = 60
_ENDLESS = re.compile(r"\d[\d_]{4000}|0[xob][\da-fA-F_]{200}")
"""Digits that Python refuses to turn into a number, or to write."""
NOT_TOML = "not TOML"
"""How the message of a syntax fault begins."""


@dataclass(slots=True)
class Places:
    """Line and column (from 1) of every table and key, by table name, its number, and key."""

    keys: dict[tuple[str, int, str], tuple[int, int]] = field(default_factory=dict)
    tables: dict[tuple[str, int], tuple[int, int]] = field(default_factory=dict)

    def of(self, table: str, number: int = 0, key: str = "") -> tuple[int, int]:
        """The place of a key; of its table where the key was not found; of the top where neither was."""
        inline = self.keys.get(("", 0, table), (1, 1))
        return self.keys.get((table, number, key), self.tables.get((table, number), inline))

    def span(self, table: str, number: int) -> tuple[int, int]:
        """The line of a table's head and the line of the next head (or one far beyond the end)."""
        first = self.of(table, number)[0]
        later = [line for line, _ in self.tables.values() if line > first]
        return first, min(later, default=2**31)


def places_in(text: str) -> Places:
    """Find the keys by reading line by line; the inside of a text of several lines is skipped."""
    places = Places()
    table, counts, within = ("", 0), {"": 1}, ""
    for number, line in enumerate(text.split("\n"), 1):
        if within:
            within = "" if line.count(within) % 2 else within
            continue
        header, key = _TABLE.match(line) if len(line) < 200 else None, _KEY.match(line)
        if header:
            name = header[2]
            table = (name, counts.get(name, 0))
            counts[name] = table[1] + 1
            places.tables[table] = (number, header.start(1) + 1)
        elif key:
            places.keys.setdefault((*table, key[1].strip("\"'")), (number, key.end() + 1))
        within = next((mark for mark in ('"""', "'''") if line.count(mark) % 2), "")
    return places


def read_toml(text: str) -> tuple[dict[str, Any], list[Fault]]:
    """The tables of a TOML text, and its syntax faults.

    A line that cannot be read is left out and the rest is read again, so that one slip does not hide the others.
    """
    lines = text.split("\n")
    faults: list[Fault] = []
    for number, written in enumerate(lines):
        if _ENDLESS.search(written):
            told = Fault(f"{NOT_TOML}: a number with too many digits", written.strip()[:40], "a number", number + 1, 1)
            faults.append(told)
            lines[number] = ""
    for _ in range(_MOST_REPAIRS):
        try:
            return tomli.loads("\n".join(lines)), faults
        except RecursionError:
            line = _deepest(lines)
            fault = Fault(f"{NOT_TOML}: brackets or names nested too deep", lines[line - 1].strip()[:40],
                          "key = value, text in quotes", line, 1)  # fmt: skip
            return {}, [*faults, fault]
        except tomli.TOMLDecodeError as error:
            place = _AT.search(str(error))
            line, column = (int(place[1]), int(place[2])) if place and place[1] else (len(lines), 1)
            line = _line_to_leave_out(lines, line)
            reason = _AT.sub("", str(error))
            faults.append(
                Fault(_plain_reason(reason), lines[line - 1].strip(), "key = value, text in quotes", line, column)
            )
            lines[line - 1] = _repaired(lines[line - 1])
    return {}, faults


def _deepest(lines: list[str]) -> int:
    """The line where the most brackets are open or the most dots stand."""
    open_, worst, found = 0, 0, 1
    for number, line in enumerate(lines, 1):
        open_ += sum(line.count(sign) for sign in "[{") - sum(line.count(sign) for sign in "]}")
        depth = max(open_, line.count("."), line.count("["), line.count("{"))
        if depth > worst:
            worst, found = depth, number
    return found


def _line_to_leave_out(lines: list[str], line: int) -> int:
    """The reported line, or the last one before it that says anything (an error is often seen a line late)."""
    line = min(line, len(lines))
    while line > 1 and not lines[line - 1].strip():
        line -= 1
    return line


def _repaired(line: str) -> str:
    """A table's name with its brackets put right; any other line is emptied."""
    name = re.match(r"\s*\[+\s*([A-Za-z_]+)\s*\]*\s*$", line)
    if name and name[1] in {"finding", "treatment", "retest"} and line.strip() != f"[[{name[1]}]]":
        return f"[[{name[1]}]]"
    if name and name[1] in {"person", "complaint", "screen"} and line.strip() != f"[{name[1]}]":
        return f"[{name[1]}]"
    return ""


def _plain_reason(reason: str) -> str:
    return f"{NOT_TOML}: {reason[:1].lower()}{reason[1:]}"
