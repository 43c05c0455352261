"""`endfeel records`: the store itself: state, encryption, backups, the restore drill, what may be erased when."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from endfeel.cli.passphrase import AtTerminal, add_store, print_recovery
from endfeel.cli.terminal import say, style

if TYPE_CHECKING:
    from endfeel.records.backups import Backup, StoreCheck

WHO = "command line"
ACTS = {
    "check": "read the store from end to end: every page, every reference, the whole audit; how old the backups are",
    "backup": "make a backup now and read it back",
    "drill": "restore the newest backup into a scratch place, open it, read all of it, say so",
    "restore": "put a backup where no store is yet",
    "encrypt": "encrypt a store that is not",
    "passphrase": "give an encrypted store another passphrase",
    "recovery-key": "show the recovery key at this terminal",
    "calendar": "until when every record is kept, by the rule that was chosen",
    "erase": "remove everything about one person whose record need not be kept",
}


def configure(parser: argparse.ArgumentParser) -> None:
    acts = parser.add_subparsers(dest="act", metavar="ACT", required=True)
    made = {name: acts.add_parser(name, help=told, description=told) for name, told in ACTS.items()}
    for one in made.values():
        add_store(one)
    made["drill"].add_argument("--backup", type=Path, metavar="FILE", help="another backup than the newest")
    made["restore"].add_argument("backup", type=Path, metavar="BACKUP")
    made["restore"].add_argument("--to", required=True, metavar="PLACE", help="a file or an empty database")
    made["erase"].add_argument("person", metavar="PERSON", help="the label, or the id")
    made["erase"].add_argument("--why", required=True, help="the person's wish, or the end of its time")


def run(options: argparse.Namespace) -> int:
    """0 when done and sound, 1 when something is damaged."""
    acts: dict[str, Callable[[argparse.Namespace], int]] = {
        "check": _check, "backup": _backup, "drill": _drill, "restore": _restore, "encrypt": _encrypt,
        "passphrase": _passphrase, "recovery-key": _recovery_key, "calendar": _calendar, "erase": _erase,
    }  # fmt: skip
    return acts[options.act](options)


# ---- looking -------------------------------------------------------------------------------------------------------


def _check(options: argparse.Namespace) -> int:
    from endfeel.care import custody

    engine = custody.open_store(options.store, AtTerminal())
    state = custody.look_at_store(engine, WHO)
    engine.dispose()
    say(f"Records at {state.place}, {'encrypted' if state.encrypted else 'not encrypted by this program'}.")
    sound = _say_check(state.check)
    if state.plan is None:
        say("No backups are made by this program here.")
    elif not state.backups:
        say(f"There is no backup yet in {state.plan.folder}: endfeel records backup makes one.", kind="warn")
    else:
        last = state.backups[-1].made_at
        say(f"{len(state.backups)} backups in {state.plan.folder} ({state.plan.kept} are kept), "
            f"the last one of {last.astimezone():%Y-%m-%d %H:%M}.")  # fmt: skip
    return 0 if sound else 1


def _say_check(found: StoreCheck) -> bool:
    """What was found, in plain words; whether all of it is sound."""
    say("Every page can be read, nothing refers to what is not there." if not found.damage else "The file is damaged:")
    for one in found.damage[:10]:
        say(one, "  - ")
    if found.chain.is_sound:
        say(f"Audit: {found.chain.rows} rows, each follows the one before it.")
    else:
        say("The audit is not as it was written:")
        for fault in found.chain.faults:
            say(fault, "  - ")
    say("In it: " + ", ".join(f"{count} {name}" for name, count in found.counts.items()) + ".")
    return found.is_sound


# ---- backups -------------------------------------------------------------------------------------------------------


def _backup(options: argparse.Namespace) -> int:
    from endfeel.care import custody

    engine = custody.open_store(options.store, AtTerminal())
    made = custody.back_up(engine, WHO)
    engine.dispose()
    _say_made(made)
    return 0


def _say_made(made: Backup | None) -> None:
    if made:
        say(f"Backup made and read back from end to end: {made.path}")


def _drill(options: argparse.Namespace) -> int:
    from endfeel.care import custody

    engine = custody.open_store(options.store, AtTerminal())
    drill = custody.restore_drill(engine, WHO, options.backup)
    engine.dispose()
    made = drill.backup.made_at.astimezone()
    print(style("Restore drill", "head"))
    say(f"{drill.backup.path.name}, made {made:%Y-%m-%d %H:%M}, was restored into a scratch place and opened.")
    sound = _say_check(drill.check)
    since = {name: drill.now.counts[name] - count for name, count in drill.check.counts.items()}
    more = ", ".join(f"{count} {name}" for name, count in since.items() if count > 0)
    say(f"The store in use has more since then: {more}." if more else "The store in use holds just as much.")
    if not drill.now.is_sound:
        say("The store in use is itself not sound: see endfeel records check.", kind="danger")
    say("The scratch place has been removed. " + ("This backup can be restored." if sound else "Do not rely on it."),
        kind="good" if sound else "danger")  # fmt: skip
    return 0 if sound and drill.now.is_sound else 1


def _restore(options: argparse.Namespace) -> int:
    from endfeel.care import custody

    _say_check(custody.restore_backup(options.backup, options.to, AtTerminal()))
    say(f"Restored to {options.to}. To work with it: endfeel serve --store {options.to}")
    return 0


# ---- encryption ----------------------------------------------------------------------------------------------------


def _encrypt(options: argparse.Namespace) -> int:
    from endfeel.care import custody
    from endfeel.records.rekey import encrypt_store

    path, keeper = custody.existing_file(options.store), AtTerminal()
    key = encrypt_store(path, keeper.passphrase(str(path), new=True))
    keeper.recovery(str(path), key.recovery())
    say(f"{path} is encrypted now, and was read back whole.")
    _say_made(custody.back_up_anew(path, key))
    say("Backups made before are not encrypted: remove them.")
    return 0


def _passphrase(options: argparse.Namespace) -> int:
    from endfeel.care import custody
    from endfeel.records.rekey import change_passphrase

    path, keeper = custody.existing_file(options.store), AtTerminal()
    old = keeper.passphrase(str(path), new=False)
    key = change_passphrase(path, old, keeper.passphrase(str(path), new=True))
    keeper.recovery(str(path), key.recovery())
    say("The passphrase is another one now. Backups made before still open with the old one.")
    _say_made(custody.back_up_anew(path, key))
    return 0


def _recovery_key(options: argparse.Namespace) -> int:
    from endfeel.care import custody
    from endfeel.records.store import key_of
    from endfeel.vocabulary import Refused

    path = custody.existing_file(options.store)
    engine = custody.open_store(options.store, AtTerminal())
    key = key_of(engine)
    engine.dispose()
    if key is None:
        raise Refused(f"the store at {path} is not encrypted and has no recovery key")
    print_recovery(str(path), key.recovery())
    return 0


# ---- keeping and erasing -------------------------------------------------------------------------------------------


def _calendar(options: argparse.Namespace) -> int:
    from endfeel import care
    from endfeel.care import custody
    from endfeel.care.rights import retention_calendar

    custody.must_be_there(options.store)
    desk = care.open_desk(options.store, keeper=AtTerminal())
    found, now = retention_calendar(desk), datetime.now(UTC)
    desk.engine.dispose()
    rule = found[0].rule if found else None
    if rule:
        say(f"Rule: {rule.place}. Source: {rule.source} ({rule.provenance}). The law of the place prevails.")
    for one in found:
        until = f"{one.kept_until:%Y-%m-%d}" if one.kept_until else "no day   "
        mark = "  over" if one.is_over(now) else ""
        say(f"{one.label} ({one.person_id}): {one.says}{mark}", f"  {until}  ")
    if not found:
        say("Nobody is on record.")
    return 0


def _erase(options: argparse.Namespace) -> int:
    from endfeel import care
    from endfeel.care import custody
    from endfeel.care.rights import erase_person

    custody.must_be_there(options.store)
    desk = care.open_desk(options.store, keeper=AtTerminal())
    person_id = care.find_person(desk, options.person)
    erase_person(desk, person_id, options.why)
    desk.engine.dispose()
    say(f"The record {person_id} has been erased; that it was, and why, stays in the audit.")
    say("Backups made before hold it until they are given up.")
    return 0
