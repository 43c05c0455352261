"""What can go wrong, as a small tree.

EndfeelError
├── CannotRead      text, a form or a file could not be read; carries every fault found
├── NotFound        a named thing does not exist
├── Refused         safety, permission, or a signed note says no
│   └── NotAllowed  this is not for the one who asks
└── EvidenceFault   the data files are inconsistent; the program does not start

Clinical doubt is not an error: it is a caveat on the result.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

LONGEST_READ = 80
"""Letters of what was read that a fault repeats."""


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing that could not be read: where, what was read, what would do.

    `line` and `column` count from 1; 0 means the place is not known (a form field).
    `field` names the field where there is one; `candidates` are the readings on offer
    when the text was ambiguous or nearly right.
    """

    message: str
    read: str = ""
    would_do: str = ""
    line: int = 0
    column: int = 0
    file: str = ""
    field: str = ""
    candidates: tuple[str, ...] = ()

    def sentence(self) -> str:
        """The fault in one line: place, what was read, what would do."""
        column = f"{self.column}" if self.line else f"column {self.column}"
        place = ":".join(str(part) for part in (self.file, self.line or "", self.column and column) if part)
        head = f"{place}: {self.message}" if place else self.message
        shown = self.read if len(self.read) <= LONGEST_READ else f"{self.read[:LONGEST_READ]}…"
        read = f" (read: {shown!r})" if self.read else ""
        would = f"; would do: {self.would_do}" if self.would_do else ""
        offers = f"; did you mean: {' | '.join(self.candidates)}" if self.candidates else ""
        return head + read + would + offers


class EndfeelError(Exception):
    """The root: anything else that escapes is a bug."""


class CannotRead(EndfeelError):  # noqa: N818 (reads as a sentence)
    """Carries every fault found in one reading."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(fault.sentence() for fault in self.faults))


class NotFound(EndfeelError):  # noqa: N818 (reads as a sentence)
    """A named thing does not exist."""


class Refused(EndfeelError):  # noqa: N818 (reads as a sentence)
    """Safety, permission or a signed note says no; the message says why and what would do."""


class NotAllowed(Refused):
    """Not for the one who asks: by their role, or because the person is not assigned to them."""

    def __init__(self, says: str, act: str = "", person_id: str | None = None) -> None:
        super().__init__(says)
        self.act, self.person_id = act, person_id


class EvidenceFault(EndfeelError):  # noqa: N818 (reads as a sentence)
    """The data files are inconsistent: every fault at once, with file, line and column."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(fault.sentence() for fault in self.faults))
