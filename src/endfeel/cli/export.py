"""`endfeel export`: everything on record about one person, for the person or for another program."""

from __future__ import annotations

import argparse
import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from endfeel.cli.passphrase import AtTerminal, add_store
from endfeel.cli.terminal import say

if TYPE_CHECKING:
    from endfeel import care

_FORMS = (".zip", ".json")


def configure(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("person", nargs="?", help="id or label of a person; without it everybody is listed")
    parser.add_argument("--out", metavar="FILE", help="where to write it: .zip (tables, JSON) or .json; - prints JSON")
    parser.add_argument("--fhir", action="store_true", help="a FHIR R4 bundle instead, as .json")
    parser.add_argument("--episode", metavar="ID", help="with --fhir: one episode alone")
    parser.add_argument("--codes", type=Path, metavar="PAGE", help="write the tables of codes into a page instead")
    parser.add_argument(
        "--for", dest="purpose", choices=("teaching",), help="visits without label and free words, of who agreed alone"
    )
    add_store(parser)


def run(options: argparse.Namespace) -> int:
    """List the people, or write one person's record."""
    from endfeel import care

    if options.codes:
        return _write_codes(options.codes)
    if options.purpose:
        return _share(options)
    form = Path(options.out).suffix.lower() if options.out not in (None, "-") else ".json"
    check_form(options.out, form, _FORMS[1:] if options.fhir else _FORMS)
    desk = care.open_desk(options.store, keeper=AtTerminal())
    if not options.person:
        return _list(desk)
    person = find_person(desk, options.person)
    if options.fhir:
        bundle = care.fhir_bundle(desk, person.id, options.episode)
        content = (json.dumps(bundle, ensure_ascii=False, indent=1) + "\n").encode()
        return write_out(options.out, content, f"FHIR R4 bundle of {person.label}, {len(bundle['entry'])} entries")
    make = care.person_archive if form == ".zip" else care.person_json
    return write_out(options.out, make(desk, person.id), f"everything on record about {person.label}")


def _share(options: argparse.Namespace) -> int:
    """What leaves for others to learn from; refused without the person's yes to it."""
    from endfeel import care
    from endfeel.vocabulary import CannotRead, Fault

    desk = care.open_desk(options.store, keeper=AtTerminal())
    if not options.person:
        raise CannotRead([Fault("nobody is named", would_do="the id or label of a person", field="person")])
    case = care.teaching_case(desk, find_person(desk, options.person).id)
    return write_out(options.out, case.encode(), "a case for teaching, without the label")


def check_form(out: str | None, form: str, forms: tuple[str, ...] = _FORMS) -> None:
    """Raises CannotRead for a file name that says no form we write."""
    from endfeel.vocabulary import CannotRead, Fault

    if form not in forms:
        raise CannotRead([Fault("no such kind of file", out or "", f"a name that ends in {' or '.join(forms)}")])


def find_person(desk: care.Desk, wanted: str) -> care.PersonSummary:
    """The person of this id, or the only one of this label. Raises NotFound, CannotRead when several have the label."""
    from endfeel import care
    from endfeel.vocabulary import CannotRead, Fault, NotFound

    everybody = care.list_people(desk)
    found = [one for one in everybody if one.id == wanted] or [one for one in everybody if one.label == wanted]
    if not found:
        raise NotFound(f"nobody on record has the id or label {wanted!r}; `endfeel export` lists everybody")
    if len(found) > 1:
        raise CannotRead(
            [Fault("several people have this label", wanted, "one of their ids", candidates=tuple(p.id for p in found))]
        )
    return found[0]


def write_out(out: str | None, content: bytes, what: str) -> int:
    """To the file, or to standard output."""
    if out in (None, "-"):
        sys.stdout.buffer.write(content)
        return 0
    target = Path(str(out))
    target.touch(mode=0o600)
    target.write_bytes(content)
    print(f"{out}: {what}, {len(content) / 1000:.0f} kB", file=sys.stderr)
    return 0


def _write_codes(target: Path) -> int:
    from endfeel.evidence.load import load_library
    from endfeel.exchange.code_lists import END, START, exchange_tables
    from endfeel.vocabulary import CannotRead, Fault

    page = target.read_text(encoding="utf-8")
    if START not in page or END not in page:
        raise CannotRead([Fault("no place for the tables of codes", str(target), f"a page with {START} and {END}")])
    before, after = page.split(START)[0], page.split(END)[-1]
    target.write_text(before + exchange_tables(load_library()) + after, encoding="utf-8")
    print(f"{target}: tables of codes written", file=sys.stderr)
    return 0


def _list(desk: care.Desk) -> int:
    from endfeel import care

    for person in care.list_people(desk):
        say(f"{person.label}{', invented' if person.invented else ''}, {len(person.visits)} visits", f"{person.id}  ")
    return 0
