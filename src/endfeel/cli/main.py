"""The `endfeel` command: finds the sub-command, runs it, turns faults into clear lines."""

from __future__ import annotations

import argparse
import importlib
import io
import os
import sys
from collections.abc import Sequence

from endfeel.cli.machine import prepare_machine
from endfeel.vocabulary.errors import CannotRead, EndfeelError, EvidenceFault

COMMANDS: dict[str, str] = {
    "demo": "seed the invented example, run the main job on it, say how to open the pages",
    "reason": "safety verdict, ranked contributors with reasons, next test",
    "plan": "an examination plan for the minutes there are",
    "treat": "techniques with dose, expected effect, what speaks against them, and the sign to do again",
    "follow": "an episode over its visits: changed beyond error, what was to be expected, what now",
    "handout": "the home programme with pictures, in plain words: text, HTML or PDF",
    "check": "every fault of a case file",
    "screen": "the safety screen: what is raised, what is unanswered",
    "note": "the note of a case as text, HTML or PDF",
    "letter": "referral letter, follow-up note, discharge or insurer summary: text, HTML or PDF",
    "score": "the arithmetic of an outcome measure",
    "change": "within error, changed, or changed and matters",
    "agree": "agreement between examiners",
    "restraint": "what every band of the shoulder's capsule does in a position of the arm",
    "play": "how far a joint glides under a force, and what holds it back",
    "share": "how much each joint contributes to a lost range of the arm",
    "claims": "what the trade, publications and the model say about stress tests; where they part",
    "caseload": "many episodes counted together: who improves, how long it takes, what decides, waiting",
    "counts": "tests against what turned out: local counts beside the published, told to and merged with other sites",
    "links": "examine a drawn population of shoulders; rebuild the computed links",
    "calibrate": "simulated people: whether probabilities are as right as they say, what a plan saves",
    "learn": "examine a simulated patient, commit, look back",
    "class": "a class on simulated patients: assign cases, see paths and how right they are, export",
    "hear": "how well spoken findings are heard, on synthetic voices",
    "evidence": "list and search the figures",
    "export": "a person's record: tables and JSON in one file, or a FHIR bundle",
    "import": "patients and observations of other programs, shown first, kept once",
    "vocabulary": "every id with its name",
    "audit": "who looked at or changed what; whether that list is as it was written",
    "records": "the store itself: check, backup, restore drill, encryption, what may be erased when",
    "staff": "who works in a clinic: the first administrator, a sign-in made anew",
    "serve": "the pages, on this machine only by default",
}
"""Sub-command to its one-line help; the module of the same name in this room has `configure` and `run`."""


def main(argv: Sequence[str] | None = None) -> int:
    """Entry point. Returns the exit code: 0 done, 1 faults in the input, 2 wrong use, 3 refused."""
    prepare_machine()
    arguments = list(sys.argv[1:] if argv is None else argv)
    parser = argparse.ArgumentParser(
        prog="endfeel",
        description="Examination of the shoulder girdle: plan, record, reason, re-test, write.",
        epilog="Supports licensed clinicians; does not diagnose. Emergency and referral rules come first.",
    )
    parser.add_argument("--version", action="store_true", help="program and evidence release")
    commands = parser.add_subparsers(dest="command", metavar="COMMAND")
    wanted = next((word for word in arguments if word in COMMANDS), None)
    for name, summary in COMMANDS.items():
        sub = commands.add_parser(name, help=summary, description=summary)
        if name == wanted:
            importlib.import_module(f"endfeel.cli.{name}").configure(sub)
    options = parser.parse_args(arguments)
    if options.version:
        return _version()
    if not options.command:
        parser.print_help()
        return 2
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")  # a sign the terminal cannot write becomes a question mark
    try:
        done = int(importlib.import_module(f"endfeel.cli.{options.command}").run(options))
        sys.stdout.flush()
    except (CannotRead, EvidenceFault) as error:
        for fault in error.faults:
            print(fault.sentence(), file=sys.stderr)
        return 1
    except EndfeelError as error:
        print(f"endfeel: {error}", file=sys.stderr)
        return 3
    except BrokenPipeError:
        _close_quietly()
        return 0
    except OSError as error:
        if error.filename is None:
            _close_quietly()
        where = error.filename or "the output"
        print(f"endfeel: cannot use {where}: {error.strerror or error}", file=sys.stderr)
        return 1
    return done


def _close_quietly() -> None:
    """Standard output cannot be written: what is left in it goes nowhere, so that leaving does not fail again."""
    if isinstance(sys.stdout, io.TextIOWrapper):
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _version() -> int:
    from endfeel import __version__
    from endfeel.evidence.load import load_library

    print(f"endfeel {__version__}, evidence release {load_library().release}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
