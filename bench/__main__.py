"""`make bench`: every bench module's rows in one table, medians and ratios."""

from __future__ import annotations

import importlib
import os
import platform
import sys

from endfeel.cli.machine import prepare_machine

MODULES = ("shorthand", "inference", "planner", "mechanics", "store", "pages", "drawn_shoulder")


def main() -> int:
    """Run the named benches (all by default) and print a table as Markdown."""
    prepare_machine()  # as the command line does
    os.environ.setdefault("ENDFEEL_UNENCRYPTED", "1")  # stores of a bench hold nobody
    os.environ.setdefault("ENDFEEL_BACKUPS", "0")
    wanted = sys.argv[1:] or MODULES
    print(f"Python {platform.python_version()}, {platform.machine()}, {platform.system()}\n")
    print("| what | measured | aim | note |\n|---|---|---|---|", flush=True)
    for name in wanted:
        print(f"… {name}", file=sys.stderr)
        for row in importlib.import_module(f"bench.{name}").run():
            print(f"| {row['what']} | {row['measured']} | {row.get('aim', '')} | {row.get('note', '')} |", flush=True)
    return 0


if __name__ == "__main__":
    sys.exit(main())
