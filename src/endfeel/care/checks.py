"""What is checked on the way into the records: ids, free words, findings, screen items."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable

from endfeel.assessment import cue_ids, shorthand_of
from endfeel.care.desk import Desk, new_id
from endfeel.vocabulary import LEVELS, RIBS, CannotRead, Fault, Finding
from endfeel.vocabulary.ranges import faults_of

MAX_NAME = 200
MAX_TITLE = 300
MAX_WORDS = 20_000
_SPACE = "\n\r\t"
_AN_ID = re.compile(r"[A-Za-z0-9-]{1,36}")


def kept_words(given: str, field: str, most: int = MAX_WORDS) -> str:
    """The words without surrounding space, the same on every database.

    Raises CannotRead when they are too long or hold letters no database keeps (control characters, half letters).
    """
    unfit = next((letter for letter in given if unicodedata.category(letter) in ("Cc", "Cs")
                  and letter not in _SPACE), None)  # fmt: skip
    if unfit is not None:
        read = f"character {ord(unfit):#06x}"
        raise CannotRead([Fault("a character that cannot be kept", read, "letters, figures, punctuation", field=field)])
    if len(given) > most:
        raise CannotRead([Fault("too long to be kept", f"{len(given)} letters", f"at most {most}", field=field)])
    return given.strip()


def name_of(given: str, field: str) -> str:
    """A name on one line."""
    return " ".join(kept_words(given, field, MAX_NAME).split())


def entry_id_of(given: str | None) -> str:
    """The id the sender made, or a new one. Raises CannotRead for what cannot be an id."""
    if given and not _AN_ID.fullmatch(given):
        raise CannotRead([Fault("not an id", given[:40], "up to 36 letters, figures and hyphens", field="entry_id")])
    return given or new_id()


def check_findings(desk: Desk, findings: Iterable[Finding]) -> None:
    """Raises CannotRead with every reason why a finding cannot be, NotFound for an unknown procedure."""
    limits = shorthand_of(desk.library).limits
    faults = []
    for finding in findings:
        faults += [fault for _, fault in faults_of(finding, desk.library.catalogue[finding.procedure], limits)]
        if finding.level is not None and finding.level not in LEVELS + RIBS:
            faults.append(Fault("no such level", finding.level, " ".join(LEVELS + RIBS), field="level"))
        kept_words(finding.note or "", "note")
    if faults:
        raise CannotRead(faults)


def check_cues(desk: Desk, cues: Iterable[str]) -> None:
    """Raises CannotRead naming every screen item that does not exist."""
    known = set(cue_ids(desk.library))
    faults = [Fault("no such screen item", cue, "a cue id", field=cue) for cue in cues if cue not in known]
    if faults:
        raise CannotRead(faults)
