"""`endfeel staff`: the first administrator of a clinic, and the way back in when nobody has one."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING

from endfeel.cli.passphrase import AtTerminal, add_store
from endfeel.cli.terminal import say, style

if TYPE_CHECKING:
    from endfeel import care

WHO = "command line"


def configure(parser: argparse.ArgumentParser) -> None:
    acts = parser.add_subparsers(dest="act", metavar="ACT", required=True)
    add = acts.add_parser("add", help="somebody who works here; the first one makes this store a clinic's")
    add.add_argument("name", help="as it stands below what they sign")
    add.add_argument("--role", default="", help="therapist, assistant, student, lead or administrator (default)")
    add.add_argument("--supervisor", default="", metavar="NAME", help="of a student")
    reset = acts.add_parser("reset", help="make a sign-in anew: password and second factor")
    reset.add_argument("name", help="whose")
    listed = acts.add_parser("list", help="who works here")
    for one in (add, reset, listed):
        add_store(one)


def run(options: argparse.Namespace) -> int:
    """0 when done."""
    from endfeel import care

    desk = replace(care.open_desk(options.store, keeper=AtTerminal()), who=WHO)
    acts: dict[str, Callable[[care.Desk, argparse.Namespace], None]] = {"add": _add, "reset": _reset, "list": _list}
    acts[options.act](desk, options)
    desk.engine.dispose()
    return 0


def _add(desk: care.Desk, options: argparse.Namespace) -> None:
    from endfeel import care

    was_one = care.clinic_is_on(desk)
    supervisor = _id_of(desk, options.supervisor) if options.supervisor else ""
    _, once = care.add_staff(desk, options.name, options.role or "administrator", supervisor)
    _say_once(options.name, once)
    if not was_one:
        say("From now on every page asks who is there. Sign in as this administrator, then add those who treat: the")
        say("administrator sees no record. People who are on record already are seen by a lead, who assigns them.")


def _reset(desk: care.Desk, options: argparse.Namespace) -> None:
    from endfeel import care

    _say_once(options.name, care.reset_sign_in(desk, _id_of(desk, options.name)))


def _list(desk: care.Desk, _: argparse.Namespace) -> None:
    from endfeel import care

    found = care.list_staff(desk)
    if not found:
        say("Nobody: this store is no clinic's, and no page asks who is there. Begin with endfeel staff add NAME.")
    for one in found:
        more = ", left" if one.left else "" if one.has_second else ", no second factor yet"
        say(f"{one.role}{more}", f"{one.name}  ")


def _say_once(name: str, once: str) -> None:
    say(f"Password of {name}, for the first time only: {style(once, 'bold')}")


def _id_of(desk: care.Desk, name: str) -> str:
    from endfeel import care
    from endfeel.vocabulary import NotFound

    found = next((one.id for one in care.list_staff(desk) if one.name.lower() == name.strip().lower()), None)
    if found is None:
        raise NotFound(f"nobody of the name {name!r} works here; endfeel staff list")
    return found
