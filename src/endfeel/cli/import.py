# ruff: noqa: N999 - the module has the name of its command
"""`endfeel import`: Patient and Observation of other programs: shown first, kept on demand, once."""

from __future__ import annotations

import argparse
import sys
from typing import TYPE_CHECKING, Any

from endfeel.cli.passphrase import AtTerminal, add_store
from endfeel.cli.terminal import print_json, say, style

if TYPE_CHECKING:
    from endfeel import care


def configure(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("file", metavar="FILE", help="a FHIR R4 bundle or resource as JSON, or - for standard input")
    parser.add_argument("--keep", action="store_true", help="keep it (without: only show what would become of it)")
    parser.add_argument("--person", metavar="ID", help="the person on record it goes to, by id or label")
    add_store(parser)
    parser.add_argument("--json", action="store_true", help="one JSON object")


def run(options: argparse.Namespace) -> int:
    """Show what each observation becomes, or keep it. The same file twice changes nothing."""
    from endfeel import care
    from endfeel.cli.case_file import case_text_of
    from endfeel.cli.export import find_person

    text = case_text_of(options.file, "a FHIR R4 file as JSON")
    desk = care.open_desk(options.store, keeper=AtTerminal())
    person_id = find_person(desk, options.person).id if options.person else None
    plan = (care.take_over if options.keep else care.look_at)(desk, text, person_id)
    if options.json:
        print_json(as_json(plan, kept=options.keep))
    else:
        _print(plan, kept=options.keep)
    return 0


def as_json(plan: care.TakeOver, *, kept: bool) -> dict[str, Any]:
    """What is told, as plain values."""
    return {
        "kept": kept,
        "people": [{"id": one.id, "label": one.label, "on_record": one.on_record} for one in plan.people],
        "entries": [
            {
                "id": one.id,
                "person": one.person_id,
                "at": one.at.isoformat(),
                "name": one.read.name if one.read else "told of the person",
                "understood": bool(one.read and one.read.understood),
                "status": one.status,
                "becomes": becomes(one),
                "reasons": list(one.reasons),
            }
            for one in plan.entries
        ],
        "unknown_codes": plan.intake.unknown,
        "not_read": dict(plan.intake.others),
        "visits": list(plan.visits),
    }


def becomes(one: care.TakenEntry) -> str:
    """The finding in shorthand, the answered measure in words, or nothing."""
    from endfeel.vocabulary.outcomes import answer_words
    from endfeel.vocabulary.shorthand import finding_text

    if one.answer:
        return answer_words(one.answer)
    return finding_text(one.finding) if one.finding else ""


def _print(plan: care.TakeOver, *, kept: bool) -> None:
    for person in plan.people:
        print(style(f"{person.label}: {'on record' if person.on_record else 'new'} ({person.id})", "head"))
    for one in plan.entries:
        name = one.read.name if one.read else "told of the person"
        say(f"{name}, {one.at:%Y-%m-%d}: {one.status}", "  ", strong=one.status)
        if one.finding or one.answer:
            say(becomes(one), "    becomes: ")
        for reason in one.reasons:
            say(reason, "    ! ", "warn")
    for code, count in plan.intake.unknown.items():
        say(f"{code} ({count})", "  unknown code: ", "warn")
    for kind, count in plan.intake.others.items():
        say(f"{count} {kind}: not read, keep the file", "  ", "dim")
    counts = ", ".join(f"{plan.count(status)} {status}" for status in dict.fromkeys(one.status for one in plan.entries))
    if kept:
        print(f"Kept. {counts}; {len(plan.visits)} visits written to.")
    else:
        print(f"Nothing is kept yet: {counts}. Keep it with --keep.", file=sys.stderr)
