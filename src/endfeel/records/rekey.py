"""Encrypting a store that is not, and giving an encrypted one another passphrase. Nobody else may have it open."""

from __future__ import annotations

import os
import sqlite3
from pathlib import Path
from typing import Any

from endfeel.records.backups import check_file
from endfeel.records.encryption import StoreKey, check_length, derive, driver, is_encrypted, key_for, new_key, unlock
from endfeel.records.faults import StoreFault

IN_USE = "another program has these records open; close it (the pages too), then do it again"


def encrypt_store(path: Path, passphrase: str) -> StoreKey:
    """Encrypt an unencrypted store in its place: copied beside, read back whole, then put in its place at once.

    The old file is removed; what a disk keeps of removed files is beyond this program. Raises StoreFault; then the
    store is as it was.
    """
    if not path.is_file() or not path.stat().st_size:
        raise StoreFault(f"there is no store at {path}")
    if is_encrypted(path):
        raise StoreFault(f"the store at {path} is encrypted already")
    key = new_key(passphrase)
    beside = path.with_name(f".{path.name}.{os.getpid()}.new")
    module = driver()
    _fold_in(sqlite3, path, None)
    os.close(os.open(beside, os.O_RDWR | os.O_CREAT | os.O_TRUNC, 0o600))
    try:
        connection: Any = module.connect(str(path), isolation_level=None)
        try:
            connection.execute("BEGIN EXCLUSIVE")
            connection.execute("COMMIT")
            connection.execute(f"ATTACH DATABASE ? AS sealed KEY {key.sql()}", (str(beside),))
            connection.execute("SELECT sqlcipher_export('sealed')")
            connection.execute("DETACH DATABASE sealed")
        finally:
            connection.close()
        before, after = check_file(path, None), check_file(beside, key)
        if not after.is_sound or after.counts != before.counts:
            raise StoreFault("the encrypted copy is not what the store is; the store is left as it was")
        beside.replace(path)
    except module.Error as error:
        raise StoreFault(f"the store could not be encrypted: {error}; it is as it was") from error
    finally:
        for left in (beside, *beside.parent.glob(f"{beside.name}-*")):
            left.unlink(missing_ok=True)
    return key


def change_passphrase(path: Path, old: str, new: str) -> StoreKey:
    """Encrypt a store anew under another passphrase; the old one and its recovery key no longer open it.

    Backups made before keep the old ones. Raises StoreFault; then the store is as it was.
    """
    if not path.is_file() or not is_encrypted(path):
        raise StoreFault(f"there is no encrypted store at {path}")
    was = key_for(path, old)
    check_length(new)
    fresh = derive(new, was.salt)  # the file keeps its salt
    module = driver()
    _fold_in(module, path, was)
    connection: Any = module.connect(str(path), isolation_level=None)
    try:
        unlock(connection, was)
        connection.execute("BEGIN EXCLUSIVE")
        connection.execute("COMMIT")
        connection.execute(f"PRAGMA rekey = \"x'{fresh.key.hex()}'\"")
    except module.Error as error:
        raise StoreFault(f"the passphrase could not be changed: {error}; the old one still opens the store") from error
    finally:
        connection.close()
    return fresh


def _fold_in(module: Any, path: Path, key: StoreKey | None) -> None:
    """Put the write-ahead file back into the store; refused while anybody else has it open."""
    connection: Any = module.connect(str(path), timeout=1, isolation_level=None)
    try:
        unlock(connection, key)
        (mode,) = connection.execute("PRAGMA journal_mode=DELETE").fetchone()
        if mode != "delete":
            raise StoreFault(IN_USE)
    except module.Error as error:
        told = IN_USE if "locked" in str(error) else f"the store cannot be read: {error}"
        raise StoreFault(told) from error
    finally:
        connection.close()
