"""Printing to a terminal: colour where there is one, plain words where there is not."""

from __future__ import annotations

import json
import os
import sys
from typing import Any, TextIO

_CODES = {"bold": "1", "dim": "2", "good": "32", "warn": "33", "danger": "1;31", "head": "1;36"}


def wants_colour(stream: TextIO) -> bool:
    """Colour only on a terminal, and never when NO_COLOR is set or TERM is dumb."""
    return stream.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"


def style(text: str, kind: str, stream: TextIO | None = None) -> str:
    """`text` dressed as `kind` (bold, dim, good, warn, danger, head) where the stream shows colour."""
    if not wants_colour(stream or sys.stdout):
        return text
    return f"\x1b[{_CODES[kind]}m{text}\x1b[0m"


def bar(probability: float, width: int = 20) -> str:
    """A bar of `width` cells for a probability, readable without colour."""
    filled = round(max(0.0, min(1.0, probability)) * width)
    return "█" * filled + "·" * (width - filled)


def print_json(value: Any) -> None:
    """One object on standard output."""
    json.dump(value, sys.stdout, ensure_ascii=False, indent=2)
    sys.stdout.write("\n")
