"""`endfeel audit`: who looked at or changed what, and whether that list is as it was written."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from pathlib import Path

from endfeel.cli.passphrase import AtTerminal, add_store
from endfeel.cli.terminal import print_json, say, style

WHO = "command line"


def configure(parser: argparse.ArgumentParser) -> None:
    acts = parser.add_subparsers(dest="act", metavar="ACT", required=True)
    verify = acts.add_parser("verify", help="find any row that was edited, removed, put in or moved")
    verify.add_argument(
        "--witness", type=Path, metavar="FILE", help="ends of the audit written down earlier, one a line"
    )
    person = acts.add_parser("person", help="who looked at or changed one person's record, when and why")
    person.add_argument("person", metavar="PERSON", help="the label, or the id")
    end = acts.add_parser("end", help="where the audit ends now: a line to write down elsewhere")
    for one in (verify, person, end):
        add_store(one)
        one.add_argument("--json", action="store_true", help="one object on standard output")


def run(options: argparse.Namespace) -> int:
    """0 when done and sound, 1 when the audit is not as it was written."""
    acts: dict[str, Callable[[argparse.Namespace], int]] = {"verify": _verify, "person": _person, "end": _end}
    return acts[options.act](options)


def _verify(options: argparse.Namespace) -> int:
    from endfeel.care import custody

    engine = custody.open_store(options.store, AtTerminal())
    found = custody.verify_audit(engine, WHO, options.witness)
    engine.dispose()
    if options.json:
        print_json(
            {"sound": found.is_sound, "rows": found.rows, "faults": list(found.faults), "end": found.head.line()}
        )
        return 0 if found.is_sound else 1
    if found.is_sound:
        beside = f"; {found.witnesses} ends written down earlier are in it" if found.witnesses else ""
        say(f"The audit is sound: {found.rows} rows, each follows the one before it{beside}.")
        return 0
    say(f"The audit is not as it was written. {found.rows} rows were read:", kind="danger")
    for fault in found.faults:
        say(f"{fault}.", "  - ")
    say("Do not go on with this store: keep a copy as it is, and look at the last backups (endfeel records drill).")
    return 1


def _person(options: argparse.Namespace) -> int:
    from endfeel import care
    from endfeel.care import custody
    from endfeel.care.rights import access_report

    custody.must_be_there(options.store)
    desk = care.open_desk(options.store, keeper=AtTerminal())
    report = access_report(desk, care.find_person(desk, options.person))
    desk.engine.dispose()
    if options.json:
        rows = [
            {"at": one.at.isoformat(), "who": one.who, "what": one.act, "detail": one.detail, "why": one.why}
            for one in report.rows
        ]
        lists = [{"who": who, "what": what, "times": times} for who, what, times in report.lists]
        print_json({"person": report.person_id, "label": report.label, "rows": rows, "lists": lists})
        return 0
    print(style(f"Who looked at or changed the record of {report.label or report.person_id}", "head"))
    if not report.label:
        say("The record itself has been erased.")
    for row in report.rows:
        detail = f" ({row.detail})" if row.detail else ""
        say(f"{row.who}: {row.act}{detail}; why: {row.why}", f"  {row.at.astimezone():%Y-%m-%d %H:%M}  ")
    for who, what, times in report.lists:
        say(f"Besides, {who}: {what} of everybody, {times} times since the record was opened.", "  ")
    return 0


def _end(options: argparse.Namespace) -> int:
    from endfeel.care import custody

    engine = custody.open_store(options.store, AtTerminal())
    end = custody.audit_end(engine, WHO)
    engine.dispose()
    if options.json:
        print_json({"place": end.place, "hash": end.hash})
    else:
        print(end.line())
    return 0
