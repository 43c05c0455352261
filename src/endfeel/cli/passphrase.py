"""Who knows the passphrase of a store: a file, the environment, or whoever sits at the terminal."""

from __future__ import annotations

import argparse
import getpass
import os
import sys

from endfeel.cli.terminal import style
from endfeel.records.encryption import PASSPHRASE, PASSPHRASE_FILE, SHORTEST, FromEnvironment
from endfeel.records.faults import StoreFault


def add_store(parser: argparse.ArgumentParser) -> None:
    """Which store a command speaks to."""
    parser.add_argument("--store", help="database address or SQLite file (default: your own store)")


class AtTerminal:
    """Asks at the terminal what neither a file nor the environment says. Nothing that is typed is shown."""

    def passphrase(self, place: str, *, new: bool) -> str:
        """The passphrase, twice when it is new. Raises StoreFault where nobody can be asked."""
        if os.environ.get(PASSPHRASE_FILE) or os.environ.get(PASSPHRASE) or not sys.stdin.isatty():
            return FromEnvironment().passphrase(place, new=new)
        if not new:
            return getpass.getpass(f"Passphrase (or recovery key) of {place}: ")
        print(
            f"{place} is encrypted. Choose a passphrase: several words, at least {SHORTEST} letters.", file=sys.stderr
        )
        first = getpass.getpass("Passphrase: ")
        if getpass.getpass("The same again: ") != first:
            raise StoreFault("the two were not the same; nothing was made")
        return first

    def recovery(self, place: str, key: str) -> None:
        """Print the recovery key once, on a terminal only: no log keeps it."""
        if sys.stderr.isatty():
            print_recovery(place, key)
        else:
            told = "The recovery key goes into no file or log; endfeel records recovery-key shows it at a terminal."
            print(told, file=sys.stderr)


def print_recovery(place: str, key: str) -> None:
    """The recovery key with what it is for."""
    print(f"\nRecovery key of {place}:\n\n    {style(key, 'bold', sys.stderr)}\n", file=sys.stderr)
    print("It opens the records when the passphrase is forgotten. Copy it onto paper and keep that where the records\n"
          "are not. Whoever has it can read everything. Without passphrase and key nobody can, we neither.\n",
          file=sys.stderr)  # fmt: skip
