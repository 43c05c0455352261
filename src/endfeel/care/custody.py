"""Looking after the store itself: opening it, reading all of it, its audit, its backups, the restore drill."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

from sqlalchemy import Engine
from sqlalchemy.exc import SQLAlchemyError

from endfeel.records import backups
from endfeel.records.audit import Verification, Witness, audit, verify
from endfeel.records.backups import Backup, BackupPlan, StoreCheck
from endfeel.records.encryption import FromEnvironment, Keeper, StoreKey, is_encrypted
from endfeel.records.faults import StoreFault
from endfeel.records.migrate import newest_schema, schema_of
from endfeel.records.store import (
    address_of,
    file_of,
    is_postgresql,
    key_of,
    open_engine,
    reading,
    sqlite_engine,
    transaction,
)
from endfeel.vocabulary import NotFound, Refused

NO_BACKUPS = (
    "no backups are made here: ENDFEEL_BACKUPS is 0, or the records lie on a server and ENDFEEL_BACKUP_FOLDER names no "
    "folder for them (docs/records.md)"
)
OVERDUE = timedelta(days=2)
"""A backup a day is made while the program runs; older than this it is said."""
_ONE_AT_A_TIME = 7_306_116
"""Any number of our own: whoever holds this PostgreSQL lock makes the backup."""


def open_store(address: str | None, keeper: Keeper | None = None) -> Engine:
    """A store that is there already, alone, without evidence. Raises StoreFault, NotFound."""
    must_be_there(address)
    return open_engine(address, keeper)


def must_be_there(address: str | None) -> None:
    """Looking after a store never makes one. Raises NotFound where there is no file; a server is asked later."""
    if not is_postgresql(address_of(address)):
        existing_file(address)


def on_a_server(address: str | None) -> bool:
    """Whether the records lie on PostgreSQL. Raises StoreFault for another kind of server."""
    return is_postgresql(address_of(address))


def existing_file(address: str | None) -> Path:
    """The file of a store that is there. Raises Refused for a server, NotFound where nothing is."""
    address = address_of(address)
    if is_postgresql(address):
        raise Refused("this is for a store in a file; a server is backed up with its own programs (docs/records.md)")
    path = Path(address.removeprefix("sqlite:///"))
    if not path.is_file() or not path.stat().st_size:
        raise NotFound(f"there is no store at {path}")
    return path


def _note(engine: Engine, who: str, act: str, detail: str = "") -> None:
    with transaction(engine) as session:
        audit(session, datetime.now(UTC), who, act, None, detail=detail, why="looking after the records")


def verify_audit(engine: Engine, who: str, witnesses: Path | None = None) -> Verification:
    """Read the whole chain; ends written down with each backup, or in a file that is named, must be in it."""
    known = backups.read_witnesses(witnesses) if witnesses else _witnesses(engine)
    with reading(engine) as session:
        found = verify(session, known)
    _note(engine, who, "verify audit", "sound" if found.is_sound else f"{len(found.faults)} faults")
    return found


def _witnesses(engine: Engine) -> Sequence[Witness]:
    plan = backups.plan_for(engine)
    return backups.witnesses_of(plan) if plan else ()


def audit_end(engine: Engine, who: str) -> Witness:
    """Where the audit ends, to be written down elsewhere: what was there then must still be there later."""
    found = backups.audit_end(engine)
    _note(engine, who, "audit end", str(found.place))
    return found


@dataclass(frozen=True, slots=True)
class StoreState:
    """What is known about a store at a glance."""

    place: str
    encrypted: bool
    check: StoreCheck
    plan: BackupPlan | None
    backups: tuple[Backup, ...]


def look_at_store(engine: Engine, who: str) -> StoreState:
    """Read the store from end to end and look at its backups. Raises StoreFault."""
    plan = backups.plan_for(engine)
    found = backups.check_store(engine, _witnesses(engine))
    _note(engine, who, "check store", "sound" if found.is_sound else "faults")
    path = file_of(engine)
    place = str(path) if path else engine.url.render_as_string(hide_password=True)
    made = tuple(backups.backups_of(plan)) if plan else ()
    return StoreState(place, key_of(engine) is not None, found, plan, made)


def back_up(engine: Engine, who: str, now: datetime | None = None) -> Backup:
    """Make a backup now. Raises StoreFault, Refused where there is nothing to copy or no backup is wanted."""
    plan = backups.plan_for(engine)
    if plan is None:
        raise Refused(NO_BACKUPS)
    now = now or datetime.now(UTC)
    _note(engine, who, "back up")
    return backups.make_backup(engine, plan, now)


def back_up_anew(path: Path, key: StoreKey) -> Backup | None:
    """Make a backup under the key a store has now, since those made before open with another one or with none.

    None when no backup is wanted. Raises StoreFault.
    """
    engine = sqlite_engine(str(path), key)
    try:
        return back_up(engine, "program") if backups.plan_for(engine) else None
    finally:
        engine.dispose()


def back_up_when_due(engine: Engine, now: datetime | None = None) -> Backup | None:
    """Make a backup when the last one is a day old; None when it is not, none is wanted, or another worker is at it.

    Raises StoreFault.
    """
    plan, now = backups.plan_for(engine), now or datetime.now(UTC)
    if plan is None or not backups.is_due(plan, now):
        return None
    if engine.dialect.name != "postgresql":
        return back_up(engine, "program", now)
    try:
        with engine.connect() as held, held.begin():
            lock = f"SELECT pg_try_advisory_xact_lock({_ONE_AT_A_TIME})"
            return back_up(engine, "program", now) if held.exec_driver_sql(lock).scalar() else None
    except SQLAlchemyError as error:
        raise StoreFault("the database went away while a backup was made; it is tried again") from error


@dataclass(slots=True)
class BackupWatch:
    """What the last look for a due backup came to: nothing yet, all well, or a fault in plain words."""

    looked: bool = False
    fault: str = ""


def newest_backup(engine: Engine) -> datetime | None:
    """When the newest backup was made; None where there is none."""
    plan = backups.plan_for(engine)
    made = backups.backups_of(plan) if plan else []
    return made[-1].made_at if made else None


def backup_warning(engine: Engine, watch: BackupWatch, now: datetime) -> str:
    """What somebody who works with the records must know about their backups; empty when all is well."""
    if not watch.looked or (not watch.fault and backups.plan_for(engine) is None):
        return ""
    try:
        newest = newest_backup(engine)
    except StoreFault:
        newest = None
    last = f"The newest is of {newest.astimezone():%-d %b %Y, %H:%M}." if newest else "There is none yet."
    if watch.fault:
        return f"The backup failed: {watch.fault.rstrip('.')}. {last}"
    if newest is None or now - newest > OVERDUE:
        return f"The backup is overdue. {last}"
    return ""


@dataclass(frozen=True, slots=True)
class Readiness:
    """Whether the records answer, and at the schema of this program."""

    database: str
    schema: str

    @property
    def is_ready(self) -> bool:
        return (self.database, self.schema) == ("answers", "as this program needs it")


def readiness(engine: Engine) -> Readiness:
    """Ask the database for its schema; nothing about anybody is looked at."""
    try:
        found = schema_of(engine)
    except SQLAlchemyError:
        return Readiness("does not answer", "not known")
    return Readiness("answers", "as this program needs it" if found == newest_schema() else "another one")


@dataclass(frozen=True, slots=True)
class Drill:
    """What a restore drill found, beside what the store holds now."""

    backup: Backup
    check: StoreCheck
    now: StoreCheck


def restore_drill(engine: Engine, who: str, backup: Path | None = None) -> Drill:
    """Restore the newest backup (or the one named) into a scratch place, open it and read all of it.

    Raises NotFound when there is no backup, StoreFault when it cannot be restored.
    """
    chosen = _chosen(engine, backup)
    found = backups.drill(chosen.path, key_of(engine) or _passphrase(chosen.path))
    _note(engine, who, "restore drill", chosen.path.name)
    return Drill(chosen, found, backups.check_store(engine, [found.chain.head] if found.chain.head.place else []))


def _passphrase(backup: Path) -> str | None:
    """A backup of a server opens with the passphrase the environment knew when it was made."""
    return FromEnvironment().passphrase(str(backup), new=False) if is_encrypted(backup) else None


def _chosen(engine: Engine, named: Path | None) -> Backup:
    if named is not None:
        if not named.is_file():
            raise NotFound(f"there is no backup at {named}")
        return Backup(named, 0, datetime.fromtimestamp(named.stat().st_mtime, UTC))
    plan = backups.plan_for(engine)
    if plan is None:
        raise Refused(NO_BACKUPS)
    made = backups.backups_of(plan)
    if not made:
        raise NotFound("there is no backup yet; endfeel records backup makes one")
    return made[-1]


def restore_backup(backup: Path, to: str, keeper: Keeper) -> StoreCheck:
    """Put a backup where no store is yet, a file or an empty database; open it, read all of it.

    Raises StoreFault, NotFound.
    """
    if not backup.is_file():
        raise NotFound(f"there is no backup at {backup}")
    given = keeper.passphrase(str(backup), new=False) if is_encrypted(backup) else None
    if is_postgresql(to):
        engine = backups.restore_to_server(backup, to, given)
    else:
        engine = backups.restore(backup, Path(to.removeprefix("sqlite:///")), given)
    try:
        found = backups.check_store(engine)
        if not found.is_sound:
            raise StoreFault(f"{backup} was restored, but {(*found.damage, *found.chain.faults)[0]}")
        _note(engine, "program", "restored from backup", backup.name)
        return found
    finally:
        engine.dispose()
