"""Opening a case file for a command."""

from __future__ import annotations

from pathlib import Path

from endfeel.evidence.library import Library
from endfeel.vocabulary import CannotRead, Case, Fault


def open_case(path: str, library: Library) -> Case:
    """The case in the file at `path` (`.toml` or plain text). Raises CannotRead with every fault."""
    from endfeel.assessment import read_case

    return read_case(case_text_of(path), Path(path).name, library)


def case_text_of(path: str) -> str:
    """The file's text. Raises CannotRead when it is missing, a folder, or not UTF-8."""
    try:
        return Path(path).read_bytes().decode("utf-8-sig")
    except FileNotFoundError:
        fault = Fault("no such file", read=path, would_do="the path of a case file (.txt or .toml)")
    except (IsADirectoryError, PermissionError) as error:
        fault = Fault(str(error.strerror), read=path, would_do="a readable case file (.txt or .toml)")
    except UnicodeDecodeError as error:
        fault = Fault(f"not UTF-8 text at byte {error.start}", file=path, would_do="the file saved as UTF-8")
    raise CannotRead([fault])
