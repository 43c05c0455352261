"""Encryption at rest: the key from a passphrase, the recovery key, and whoever knows the passphrase.

The file is an ordinary SQLCipher 4 file: any program of that format opens it with the passphrase. The recovery key is
the derived key itself, written so that it can be copied from paper; it opens the file without the passphrase.
"""

from __future__ import annotations

import base64
import hashlib
import os
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Protocol

from endfeel.records.faults import StoreFault

ROUNDS = 256_000
"""Rounds of PBKDF2 with SHA-512 by which SQLCipher 4 derives a key; changing it would make another format."""
KEY_BYTES, SALT_BYTES, SUM_BYTES = 32, 16, 3
SHORTEST = 12
"""Letters a new passphrase has at least: common practice, no source."""
_PLAIN_FILE = b"SQLite format 3\0"
PASSPHRASE, PASSPHRASE_FILE, UNENCRYPTED = "ENDFEEL_PASSPHRASE", "ENDFEEL_PASSPHRASE_FILE", "ENDFEEL_UNENCRYPTED"


@dataclass(frozen=True, slots=True)
class StoreKey:
    """The key of one file and the salt at its beginning. Never shown by accident."""

    key: bytes = field(repr=False)
    salt: bytes = field(repr=False)

    def sql(self) -> str:
        """As the first statement of a connection names it."""
        return f"\"x'{self.key.hex()}{self.salt.hex()}'\""

    def recovery(self) -> str:
        """Fourteen groups of four signs, the last ones a check on the others."""
        letters = base64.b32encode(self.key + _check(self.key)).decode()
        return "-".join(letters[at : at + 4] for at in range(0, len(letters), 4))


class Keeper(Protocol):
    """Whoever knows the passphrase: a person at a terminal, or the environment."""

    def passphrase(self, place: str, *, new: bool) -> str:
        """The passphrase, or the recovery key. `new` when a store is being made or given another one."""

    def recovery(self, place: str, key: str) -> None:
        """Told once when a store is made or given another passphrase."""


class FromEnvironment:
    """A passphrase that a file or a variable holds; the recovery key is shown to nobody."""

    def passphrase(self, place: str, *, new: bool) -> str:  # noqa: ARG002 (it knows one for both)
        """Raises StoreFault where there is none."""
        named = os.environ.get(PASSPHRASE_FILE)
        if named:
            try:
                return Path(named).read_text(encoding="utf-8").rstrip("\r\n")
            except (OSError, UnicodeDecodeError) as error:
                raise StoreFault(f"cannot read the passphrase from {named} ({PASSPHRASE_FILE})") from error
        given = os.environ.get(PASSPHRASE)
        if given:
            return given
        raise StoreFault(
            f"cannot open the records at {place} without a passphrase: type it at a terminal, or name a file that "
            f"holds it ({PASSPHRASE_FILE}). A store that is not to be encrypted is made by saying so ({UNENCRYPTED}=1)"
        )

    def recovery(self, place: str, key: str) -> None:
        """Nobody is there to copy it; `endfeel records recovery-key` prints it at a terminal."""


def is_encrypted(path: Path) -> bool:
    """Whether a file is not an ordinary SQLite file: then it is encrypted, or damaged."""
    with path.open("rb") as file:
        return file.read(len(_PLAIN_FILE)) != _PLAIN_FILE


def wants_no_encryption() -> bool:
    """Whether the environment says that new stores are not encrypted."""
    return os.environ.get(UNENCRYPTED, "").lower() in ("1", "yes", "true", "on")


def new_key(passphrase: str) -> StoreKey:
    """A key with a salt of its own. Raises StoreFault for a passphrase that is too short."""
    check_length(passphrase)
    return derive(passphrase, os.urandom(SALT_BYTES))


def check_length(passphrase: str) -> None:
    """Raises StoreFault for a passphrase that is too short."""
    if len(passphrase) < SHORTEST:
        raise StoreFault(f"a passphrase has at least {SHORTEST} letters; several words make a good one")


def key_for(path: Path, passphrase: str) -> StoreKey:
    """The key of an existing file, from its passphrase or its recovery key."""
    with path.open("rb") as file:
        salt = file.read(SALT_BYTES)
    recovered = from_recovery(passphrase)
    return StoreKey(recovered, salt) if recovered else derive(passphrase, salt)


def derive(passphrase: str, salt: bytes) -> StoreKey:
    """The key SQLCipher itself would derive; derived here so that it is done once and not for every connection."""
    return StoreKey(hashlib.pbkdf2_hmac("sha512", passphrase.encode(), salt, ROUNDS, KEY_BYTES), salt)


def from_recovery(words: str) -> bytes | None:
    """The key that a recovery key writes; None when it is not one, or was copied wrongly."""
    letters = "".join(words.split()).replace("-", "").upper()
    try:
        read = base64.b32decode(letters)
    except ValueError:
        return None
    key, check = read[:KEY_BYTES], read[KEY_BYTES:]
    return key if len(read) == KEY_BYTES + SUM_BYTES and check == _check(key) else None


def _check(key: bytes) -> bytes:
    return hashlib.sha256(key).digest()[:SUM_BYTES]


def driver() -> Any:
    """The database module that reads encrypted files. Raises StoreFault where it is not installed."""
    try:
        from sqlcipher3 import dbapi2
    except ImportError as error:
        raise StoreFault("an encrypted store needs the package sqlcipher3: pip install sqlcipher3") from error
    return dbapi2


def unlock(connection: Any, key: StoreKey | None) -> None:
    """The first statements of a connection: nothing can be read before. They show nothing in any log."""
    if key is not None:
        connection.execute(f"PRAGMA key = {key.sql()}")
        connection.execute("PRAGMA cipher_log_level = NONE")
        connection.execute("PRAGMA temp_store = MEMORY")
