"""What can go wrong with the place the records lie in, in calm words."""

from __future__ import annotations

from sqlalchemy.exc import DBAPIError

from endfeel.vocabulary import EndfeelError

_PLAIN = (
    ("is full", "the disk is full; make room, then do it again"),
    ("no space left", "the disk is full; make room, then do it again"),
    ("could not extend file", "the disk is full; make room, then do it again"),
    ("readonly", "the place is read-only; make it writable, then do it again"),
    ("read-only", "the place is read-only; make it writable, then do it again"),
    ("is locked", "another program holds the records (locked); close it, or wait and do it again"),
    (
        "malformed",
        "the file is damaged; close the program and restore the last backup (endfeel records restore)",
    ),
    ("hmac check failed", "the file is damaged; close the program and restore the last backup"),
    ("file is not a database", "the passphrase is not that of this file, or the file is damaged or no store at all"),
    ("disk i/o error", "the disk did not answer; look at the disk, then do it again"),
    ("unable to open database", "the place cannot be reached or written; look whether it is there and yours"),
    ("terminating connection", "the database went away; it is reached again as soon as it is back"),
    ("server closed the connection", "the database went away; it is reached again as soon as it is back"),
    ("connection to server", "the database does not answer; it is reached again as soon as it is back"),
    ("connection failed", "the database does not answer; it is reached again as soon as it is back"),
    ("the connection is lost", "the database went away; it is reached again as soon as it is back"),
    ("the database system is", "the database is starting or stopping; do it again in a moment"),
)
"""What a database says (a part of it, small letters) and what that means for whoever sits in front of it."""


class StoreFault(EndfeelError):  # noqa: N818 - named like the other faults
    """The store cannot be opened, read or written; nothing half-done was kept."""


def plain_words(error: DBAPIError) -> str:
    """What the database said, with what to do about it in front where that is known."""
    said = " ".join(str(error.orig).split())
    meant = next((words for part, words in _PLAIN if part in said.lower()), "")
    return f"{meant} ({said})" if meant else said
