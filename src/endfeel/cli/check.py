"""`endfeel check CASE`: every fault of a case file, or its read-back."""

from __future__ import annotations

import argparse
import sys
from typing import TYPE_CHECKING

from endfeel.cli.terminal import style

if TYPE_CHECKING:
    from endfeel.vocabulary import Case


def configure(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("case", metavar="CASE", help="a case file (.txt or .toml), or - for standard input")
    parser.add_argument("--toml", action="store_true", help="print the case as TOML")
    parser.add_argument("--canonical", "--text", action="store_true", help="print the case as canonical text only")


def _warn_of_repeats(case: Case) -> None:
    """Say on standard error which test stands twice with opposite results."""
    from endfeel.vocabulary import opposite_repeats
    from endfeel.vocabulary.shorthand import finding_text

    for earlier, later in opposite_repeats(case.findings):
        one, other = (finding_text(case.findings[at]) for at in (earlier, later))
        text = (
            f"Recorded twice with opposite results: '{one}' and '{other}'. The later one counts; delete the wrong line."
        )
        print(style(text, "warn", sys.stderr), file=sys.stderr)


def run(options: argparse.Namespace) -> int:
    """Exit 1 with every fault (line, column, what was read, what would do), exit 0 with the read-back."""
    from endfeel.cli.case_file import open_case, warn_of_gaps
    from endfeel.evidence.load import load_library
    from endfeel.vocabulary import CannotRead
    from endfeel.vocabulary.case_files import case_text, case_toml

    try:
        case = open_case(options.case, load_library())
    except CannotRead as error:
        for fault in error.faults:
            print(fault.sentence(), file=sys.stderr)
        count = len(error.faults)
        tally = f"{count} fault{'s' if count > 1 else ''}; nothing was used or stored."
        print(style(tally, "warn", sys.stderr), file=sys.stderr)
        return 1
    warn_of_gaps(case)
    _warn_of_repeats(case)
    if options.toml or options.canonical:
        print((case_toml if options.toml else case_text)(case), end="")
        return 0
    print(style("No faults. Read as:", "good"))
    print(case_text(case), end="")
    return 0
