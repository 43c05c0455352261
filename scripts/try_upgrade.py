"""Upgrade and way back, tried with a real earlier program, from the root: `python scripts/try_upgrade.py COMMIT`.

On a file and on a private PostgreSQL server: the earlier program makes a store with a signed visit; this program opens
it and writes; then the way back is taken, and the earlier program opens what it left and writes on. Needs the
repository's history, PostgreSQL's programs, and PYTHONPATH=. for the private server.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from pathlib import Path

from bench.server import PrivateServer, _program

ROOT = Path(__file__).resolve().parents[1]
MADE = """
import sys
from endfeel import care
from endfeel.assessment import read_case
desk = care.open_desk(sys.argv[1])
for label in sys.argv[2:]:
    text = open("stories/frozen.txt", encoding="utf-8").read()
    visit = care.import_case(desk, read_case(text, "frozen.txt", desk.library), label)
print(",".join(sorted(one.label for one in care.list_people(desk))))
"""


def main(commit: str) -> int:
    """0 when both ways back were open."""
    with tempfile.TemporaryDirectory(prefix="endfeel-upgrade-") as folder:
        earlier = Path(folder) / "earlier"
        run("git", "worktree", "add", "--detach", str(earlier), commit)
        server = PrivateServer()
        try:
            on_file(earlier, Path(folder))
            on_server(earlier, server, Path(folder))
        finally:
            server.close()
            run("git", "worktree", "remove", "--force", str(earlier))
    return 0


def on_file(earlier: Path, folder: Path) -> None:
    """A copy is kept by itself before the schema changes; the way back is to put it where the store was."""
    store, backups = folder / "records.sqlite", folder / "backups"
    expect(program(earlier, store, "before"), "before")
    expect(program(ROOT, store, "after"), "after,before")
    (kept,) = backups.glob("records-schema-*.sqlite")
    for left in folder.glob("records.sqlite*"):
        left.rename(folder / f"newer-{left.name}")
    kept.rename(store)
    expect(program(earlier, store, "went back"), "before,went back")
    print(f"file: upgraded, {kept.name} put back, the earlier program goes on")


def on_server(earlier: Path, server: PrivateServer, folder: Path) -> None:
    """A dump before the upgrade; the way back is an empty database that takes it."""
    address, dump = server.new_store(), folder / "before.dump"
    expect(program(earlier, address, "before"), "before")
    run(_program("pg_dump"), "--format=custom", f"--file={dump}", address)
    expect(program(ROOT, address, "after"), "after,before")
    back = server.new_store()
    run(_program("pg_restore"), "--exit-on-error", f"--dbname={back}", str(dump))
    expect(program(earlier, back, "went back"), "before,went back")
    print("server: dumped, upgraded, dump restored into an empty database, the earlier program goes on")


def program(source: Path, store: Path | str, label: str) -> str:
    """One run of a program against a store: a person more, and who is there."""
    kept = {name: value for name, value in os.environ.items() if not name.startswith("ENDFEEL_")}
    told = {"PYTHONPATH": str(source / "src"), "ENDFEEL_UNENCRYPTED": "1"}
    done = subprocess.run(  # noqa: S603
        [sys.executable, "-c", MADE, str(store), label],
        env={**kept, **told}, cwd=source, check=True, capture_output=True, text=True,
    )  # fmt: skip
    return done.stdout.strip()


def expect(found: str, wanted: str) -> None:
    """What stands there is what was expected."""
    if found != wanted:
        raise SystemExit(f"found {found!r}, expected {wanted!r}")


def run(*words: str) -> None:
    """A command that must succeed."""
    subprocess.run(words, check=True, cwd=ROOT, capture_output=True)  # noqa: S603


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))
