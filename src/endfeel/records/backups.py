"""Backups: whole, encrypted, proven readable before they count, the oldest given up.

A backup is a file of records whichever database the store lies in: what opens it, reads it and drills it is the same.
"""

from __future__ import annotations

import os
import re
import shutil
import tempfile
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from sqlalchemy import Engine, func, inspect, select, text
from sqlalchemy.exc import DBAPIError

from endfeel.records.audit import Verification, Witness, head_of, verify
from endfeel.records.copying import copy_rows
from endfeel.records.encryption import (
    FromEnvironment,
    StoreKey,
    driver,
    is_encrypted,
    key_for,
    new_key,
    unlock,
    wants_no_encryption,
)
from endfeel.records.faults import StoreFault, plain_words
from endfeel.records.migrate import migrate
from endfeel.records.store import file_of, key_of, open_engine, reading, sqlite_engine
from endfeel.records.tables import AuditRow, EntryRow, EpisodeRow, PersonRow, SignedDocumentRow, SignedNoteRow, VisitRow

KEPT = 14
"""Backups kept unless said otherwise: common practice, no source."""
EVERY = timedelta(hours=24)
_MADE = r"-(\d{6,})-(\d{8}T\d{6}Z)\.sqlite"
"""After the name of the store: number and moment."""
_COUNTED = (
    ("people", PersonRow), ("episodes", EpisodeRow), ("visits", VisitRow), ("entries", EntryRow),
    ("signed notes", SignedNoteRow), ("signed documents", SignedDocumentRow), ("audit rows", AuditRow),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class BackupPlan:
    """Where backups go, how many stay, and of which store they are: several may share a folder."""

    folder: Path
    kept: int = KEPT
    name: str = "records"

    @property
    def witness(self) -> Path:
        """The file of ends of the audit, one written down with each backup."""
        return self.folder / f"{self.name}-witness.txt"


@dataclass(frozen=True, slots=True)
class Backup:
    """One file of a backup. The number orders them: a clock may be set back."""

    path: Path
    number: int
    made_at: datetime


@dataclass(frozen=True, slots=True)
class StoreCheck:
    """What was found when a store was read from end to end."""

    damage: tuple[str, ...]
    """Pages that cannot be read, rows that refer to nothing."""
    chain: Verification
    counts: dict[str, int]

    @property
    def is_sound(self) -> bool:
        return not self.damage and self.chain.is_sound


def plan_for(engine: Engine) -> BackupPlan | None:
    """What the environment says (ENDFEEL_BACKUPS, ENDFEEL_BACKUP_FOLDER), else 14 in `backups` beside the file.

    A server has no folder of its own: its store is backed up where ENDFEEL_BACKUP_FOLDER says. None without one, for a
    store in memory, and where no backup is wanted (ENDFEEL_BACKUPS=0). Raises StoreFault for a number that is none.
    """
    path = file_of(engine)
    told = os.environ.get("ENDFEEL_BACKUPS", str(KEPT))
    if not told.isdecimal():
        raise StoreFault(f"ENDFEEL_BACKUPS is the number of backups kept, not {told!r}")
    named = os.environ.get("ENDFEEL_BACKUP_FOLDER")
    if not int(told):
        return None
    if path is not None:
        return BackupPlan(Path(named or path.parent / "backups"), int(told), path.stem)
    if named and engine.dialect.name == "postgresql":
        return BackupPlan(Path(named), int(told), engine.url.database or "records")
    return None


def backups_of(plan: BackupPlan) -> list[Backup]:
    """The backups of a store, the oldest first."""
    named = re.compile(re.escape(plan.name) + _MADE)
    found = [(name, path) for path in plan.folder.glob("*.sqlite") if (name := named.fullmatch(path.name))]
    made = (
        Backup(path, int(name[1]), datetime.strptime(name[2], "%Y%m%dT%H%M%SZ").replace(tzinfo=UTC))
        for name, path in found
    )
    return sorted(made, key=lambda one: one.number)


def is_due(plan: BackupPlan, now: datetime) -> bool:
    """Whether the newest backup is a day old, lies in the future (the clock was set back), or does not exist."""
    made = backups_of(plan)
    return not made or not timedelta(0) <= now - made[-1].made_at < EVERY


def make_backup(engine: Engine, plan: BackupPlan, now: datetime) -> Backup:
    """Copy the store while it is in use, read the copy from end to end, then let it count and give up the oldest.

    Raises StoreFault when it cannot be written or read back; then the earlier ones stand as they were.
    """
    try:
        plan.folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        earlier = backups_of(plan)
        number = earlier[-1].number + 1 if earlier else 1
        path = plan.folder / f"{plan.name}-{number:06d}-{now.astimezone(UTC):%Y%m%dT%H%M%SZ}.sqlite"
        beside = path.with_suffix(f".{os.getpid()}.part")
        try:
            key = _copy_server(engine, beside) if file_of(engine) is None else _copy(engine, beside)
            found = check_file(beside, key)
            if not found.is_sound:
                raise StoreFault(f"the backup could not be read back: {_first(found)}; the earlier ones stand")
            beside.replace(path)
            _sync(plan.folder)
        finally:
            for left in (beside, *beside.parent.glob(f"{beside.name}-*")):
                left.unlink(missing_ok=True)
        with plan.witness.open("a", encoding="utf-8") as witness:
            witness.write(f"{found.chain.head.line()} {now.astimezone(UTC):%Y-%m-%dT%H:%M:%SZ}\n")
        made = [*earlier, Backup(path, number, now)]
        for old in made[: -plan.kept]:
            old.path.unlink(missing_ok=True)
        oldest = made[-plan.kept :][0].path.stat().st_mtime
        for before in plan.folder.glob(f"{plan.name}-schema-*.sqlite"):
            if before.stat().st_mtime < oldest and len(made) > plan.kept:
                before.unlink(missing_ok=True)
    except OSError as error:
        raise StoreFault(f"no backup could be made in {plan.folder}: {error.strerror or error}") from error
    return Backup(path, number, now)


def keep_as_it_was(engine: Engine, schema: str) -> Path | None:
    """A copy of a file before its schema changes: with it the program before this one can go on.

    It goes when all backups are younger. None for a server, and where no backup is wanted. Raises StoreFault.
    """
    plan = plan_for(engine)
    if plan is None or file_of(engine) is None:
        return None
    kept = plan.folder / f"{plan.name}-schema-{schema}.sqlite"
    beside = kept.with_suffix(f".{os.getpid()}.part")
    try:
        plan.folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        beside.unlink(missing_ok=True)
        try:
            _copy(engine, beside)
            beside.replace(kept)
        finally:
            beside.unlink(missing_ok=True)
    except OSError as error:
        raise StoreFault(f"no copy could be made in {plan.folder}: {error.strerror or error}") from error
    return kept


def _copy_server(engine: Engine, to: Path) -> StoreKey | None:
    """One state of the store on a server, row by row, into a new file under the passphrase the environment knows."""
    key = None if wants_no_encryption() else new_key(FromEnvironment().passphrase(str(to.parent), new=True))
    os.close(os.open(to, os.O_RDWR | os.O_CREAT | os.O_EXCL, 0o600))
    copy = sqlite_engine(str(to), key)
    try:
        migrate(copy)
        copy_rows(engine, copy)
        with copy.connect() as connection:
            connection.connection.driver_connection.execute("PRAGMA journal_mode=DELETE")  # type: ignore[union-attr]
    finally:
        copy.dispose()
    with to.open("rb") as file:
        os.fsync(file.fileno())
    return key


def _copy(engine: Engine, to: Path) -> StoreKey | None:
    """One state of the store, page by page, under the same key."""
    key = key_of(engine)
    os.close(os.open(to, os.O_RDWR | os.O_CREAT | os.O_EXCL, 0o600))
    module: Any = driver() if key else engine.dialect.dbapi
    pooled = engine.raw_connection()
    try:
        copy: Any = module.connect(str(to), isolation_level=None)
        try:
            unlock(copy, key)
            source: Any = pooled.driver_connection
            source.backup(copy)
            copy.execute("PRAGMA journal_mode=DELETE")
        finally:
            copy.close()
    except module.Error as error:
        raise StoreFault(f"no backup could be made: {error}; the earlier ones stand") from error
    finally:
        pooled.close()
    with to.open("rb") as file:
        os.fsync(file.fileno())
    return key


def _sync(folder: Path) -> None:
    """The new name is on the disk too, where the system can be asked for that."""
    if os.name != "posix":
        return
    place = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(place)
    finally:
        os.close(place)


def witnesses_of(plan: BackupPlan) -> list[Witness]:
    """Ends of the audit as they were written down with each backup."""
    return read_witnesses(plan.witness) if plan.witness.is_file() else []


def read_witnesses(path: Path) -> list[Witness]:
    """The ends a file holds, one a line: place and hash. Raises StoreFault when it holds something else."""
    found = []
    try:
        lines = path.read_text(encoding="utf-8").splitlines()
    except (OSError, UnicodeDecodeError) as error:
        raise StoreFault(f"cannot read the ends of the audit in {path}") from error
    for number, line in enumerate(lines, 1):
        words = line.split()
        if not words:
            continue
        if len(words) < 2 or not words[0].isdecimal() or not re.fullmatch("[0-9a-f]{64}", words[1]):
            raise StoreFault(f"{path}:{number} is not the end of an audit: a place and 64 signs were expected")
        found.append(Witness(int(words[0]), words[1]))
    return found


# ---- looking -------------------------------------------------------------------------------------------------------


def check_file(path: Path, key: StoreKey | None) -> StoreCheck:
    """Read a file from end to end without changing it. Raises StoreFault when it cannot be read at all."""
    engine = sqlite_engine(str(path), key, keep=False)
    try:
        return check_store(engine)
    finally:
        engine.dispose()


def check_store(engine: Engine, witnesses: Sequence[Witness] = ()) -> StoreCheck:
    """Every page, every reference, the whole audit, and what there is of everything. Raises StoreFault."""
    with reading(engine) as session:
        damage: list[str] = []
        if engine.dialect.name == "sqlite":
            if key_of(engine):
                damage += [str(row[0]) for row in session.execute(text("PRAGMA cipher_integrity_check"))]
            damage += [str(row[0]) for row in session.execute(text("PRAGMA integrity_check")) if row[0] != "ok"]
            broken = session.execute(text("PRAGMA foreign_key_check")).all()
            damage += [f"a row of {row[0]} refers to one of {row[2]} that is not there" for row in broken[:20]]
        chain = verify(session, witnesses)
        counts = {name: session.scalar(select(func.count()).select_from(table)) or 0 for name, table in _COUNTED}
        return StoreCheck(tuple(damage), chain, counts)


def audit_end(engine: Engine) -> Witness:
    """Where the audit ends now, to be written down elsewhere."""
    with reading(engine) as session:
        return head_of(session)


def _first(found: StoreCheck) -> str:
    return (*found.damage, *found.chain.faults)[0]


# ---- restoring -----------------------------------------------------------------------------------------------------


def drill(backup: Path, passphrase_or_key: StoreKey | str | None) -> StoreCheck:
    """Restore a backup into a scratch place, open it with this program, read all of it; the scratch place goes.

    Raises StoreFault when it cannot be opened or read.
    """
    with tempfile.TemporaryDirectory(prefix="endfeel-drill-") as folder:
        scratch = Path(folder) / "records.sqlite"
        engine = restore(backup, scratch, passphrase_or_key)
        try:
            return check_store(engine)
        finally:
            engine.dispose()


def restore_to_server(backup: Path, address: str, passphrase_or_key: StoreKey | str | None) -> Engine:
    """Put a backup into an empty database and open it. Raises StoreFault when it cannot be, or something is there."""
    with tempfile.TemporaryDirectory(prefix="endfeel-restore-") as folder:
        scratch = restore(backup, Path(folder) / "records.sqlite", passphrase_or_key)
        engine = None
        try:
            engine = open_engine(address)
            copy_rows(scratch, engine)
        except BaseException:
            if engine:
                engine.dispose()
            raise
        finally:
            scratch.dispose()
    return engine


def restore(backup: Path, to: Path, passphrase_or_key: StoreKey | str | None) -> Engine:
    """Put a backup where there is no store yet and open it. Raises StoreFault when it cannot be, or one is there."""
    if to.exists() and to.stat().st_size:
        raise StoreFault(
            f"there is a store at {to} already; nothing was changed. Move it away first, or name another place"
        )
    try:
        to.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        key = _key(backup, passphrase_or_key)
        shutil.copyfile(backup, to)
        to.chmod(0o600)
    except OSError as error:
        raise StoreFault(f"cannot restore {backup}: {error.strerror or error}") from error
    engine = sqlite_engine(str(to), key)
    try:
        with engine.connect() as connection:
            damaged = connection.exec_driver_sql("PRAGMA quick_check").scalar() != "ok"
            damaged = damaged or not inspect(connection).has_table(PersonRow.__tablename__)
    except DBAPIError as error:
        engine.dispose()
        to.unlink(missing_ok=True)
        raise StoreFault(f"{backup} cannot be restored: {plain_words(error)}") from error
    engine.dispose()
    if damaged:
        to.unlink(missing_ok=True)
        raise StoreFault(f"{backup} is damaged or empty and was not restored; take the backup before it")
    return open_engine(str(to), _Known(key))


def _key(backup: Path, given: StoreKey | str | None) -> StoreKey | None:
    if not is_encrypted(backup):
        return None
    if isinstance(given, str):
        return key_for(backup, given)
    if given is None:
        raise StoreFault(f"{backup} is encrypted or damaged, and no passphrase was given")
    return given


class _Known:
    """A keeper that holds the key already: the recovery key opens as the passphrase does."""

    def __init__(self, key: StoreKey | None) -> None:
        self._key = key

    def passphrase(self, place: str, *, new: bool) -> str:  # noqa: ARG002
        return self._key.recovery() if self._key else ""

    def recovery(self, place: str, key: str) -> None:
        """Nothing is made."""
