"""Opening a case file for a command."""

from __future__ import annotations

import sys
from pathlib import Path

from endfeel.cli.terminal import style
from endfeel.evidence.library import Library
from endfeel.vocabulary import CannotRead, Case, Fault


def open_case(path: str, library: Library) -> Case:
    """The case in the file at `path` (`.toml` or plain text). Raises CannotRead with every fault."""
    from endfeel.assessment import read_case

    text, name = case_text_of(path), "standard input" if path == STANDARD_INPUT else Path(path).name
    if not text.strip():
        raise CannotRead([Fault("nothing is written in it", file=name, would_do="a header (age: 40) and findings")])
    return read_case(text, name, library)


MOST_MINUTES = 240
STANDARD_INPUT = "-"


def checked_minutes(minutes: float) -> float:
    """Raises CannotRead for a time no examination takes."""
    if not 0 < minutes <= MOST_MINUTES:
        would = f"more than 0, at most {MOST_MINUTES}; for instance 20"
        raise CannotRead([Fault("no examination takes so many minutes", f"{minutes:g}", would)])
    return minutes


def warn_of_gaps(case: Case) -> None:
    """Say on standard error what a case leaves out that conclusions lean on."""
    missing = [
        word
        for word, there in (
            ("age", case.person.age is not None),
            ("side (unless it is central)", case.complaint.side is not None),
            ("onset", case.complaint.onset is not None),
            ("findings", bool(case.findings)),
        )
        if not there
    ]
    if missing:
        text = f"The case does not say: {', '.join(missing)}. Conclusions without them are a first guess at most."
        print(style(text, "warn", sys.stderr), file=sys.stderr)


def case_text_of(path: str, wanted: str = "a case file (.txt or .toml)") -> str:
    """The file's text, or standard input's for `-`. Raises CannotRead when it is missing, a folder, or not UTF-8."""
    try:
        written = sys.stdin.buffer.read() if path == STANDARD_INPUT else Path(path).read_bytes()
        return written.decode("utf-8-sig")
    except FileNotFoundError:
        fault = Fault("no such file", read=path, would_do=f"the path of {wanted}")
    except (IsADirectoryError, PermissionError) as error:
        fault = Fault(str(error.strerror), read=path, would_do=f"the path of {wanted} that may be read")
    except UnicodeDecodeError as error:
        fault = Fault(f"not UTF-8 text at byte {error.start}", file=path, would_do="the file saved as UTF-8")
    raise CannotRead([fault])
