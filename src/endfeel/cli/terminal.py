"""Printing to a terminal: colour and width where there is one, plain words and whole lines where there is not."""

from __future__ import annotations

import json
import os
import shutil
import sys
import textwrap
from typing import Any, TextIO

from endfeel.vocabulary.cautions import SHORT_CAUTION

_CODES = {"bold": "1", "dim": "2", "good": "32", "warn": "33", "danger": "1;31", "head": "1;36"}
_NARROWEST = 40
_WHOLE = 100_000


def wants_colour(stream: TextIO) -> bool:
    """Colour only on a terminal, and never when NO_COLOR is set or TERM is dumb."""
    return stream.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"


def style(text: str, kind: str, stream: TextIO | None = None) -> str:
    """`text` dressed as `kind` (bold, dim, good, warn, danger, head) where the stream shows colour."""
    if not wants_colour(stream or sys.stdout):
        return text
    return f"\x1b[{_CODES[kind]}m{text}\x1b[0m"


def line_width(piped: int = _WHOLE) -> int:
    """Letters a line may have: the terminal's, or `piped` (whole lines, unless said) where it goes elsewhere."""
    if not sys.stdout.isatty():
        return piped
    return max(_NARROWEST, min(shutil.get_terminal_size().columns, 120))


def say(text: str, lead: str = "", kind: str = "", *, strong: str = "", piped: int = _WHOLE) -> None:
    """One paragraph behind `lead`, wrapped under it; `strong` is a part of it in bold."""
    width = line_width(piped)
    hang = len(lead) if len(lead) <= width // 2 else 4
    said = textwrap.fill(
        text, width, initial_indent=lead, subsequent_indent=" " * hang, break_long_words=False, break_on_hyphens=False
    )
    said = said or lead.rstrip()
    if strong and kind == "":
        said = said.replace(strong, style(strong, "bold"), 1)
    print(style(said, kind) if kind else said)


def footer(release: str) -> None:
    """What stands below every conclusion: the evidence it rests on, the program, the caution."""
    from endfeel import __version__

    say(f"Evidence release {release}, endfeel {__version__}. {SHORT_CAUTION}", kind="dim")


def bar(probability: float, width: int = 20) -> str:
    """A bar of `width` cells for a probability, readable without colour, in signs the stream can write."""
    filled = round(max(0.0, min(1.0, probability)) * width)
    full, empty = ("█", "·") if _can_write("█·") else ("#", ".")
    return full * filled + empty * (width - filled)


def _can_write(signs: str) -> bool:
    try:
        signs.encode(sys.stdout.encoding or "utf-8")
    except (UnicodeEncodeError, LookupError):
        return False
    return True


def print_json(value: Any) -> None:
    """One object on standard output; letters the stream cannot write are escaped, never lost."""
    json.dump(value, sys.stdout, ensure_ascii=not _can_write("–ä°"), indent=2)
    sys.stdout.write("\n")
