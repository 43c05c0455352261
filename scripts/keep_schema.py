"""Keep a file of a schema for both databases, with rows; from the root: `PYTHONPATH=. python scripts/keep_schema.py N`.

The newest file kept before it is restored and moved up; rows for new tables are added by hand where they matter.
"""

from __future__ import annotations

import re
import sqlite3
import subprocess
import sys
import tempfile
from pathlib import Path

from bench.server import PrivateServer
from sqlalchemy import create_engine

from endfeel.records.migrate import migrate
from endfeel.records.store import sqlite_engine

KEPT = Path("tests/store/schemas")


def main(revision: str) -> None:
    """Write REVISION.sqlite.sql and REVISION.postgresql.sql."""
    before = max(path.name[:4] for path in KEPT.iterdir() if path.name[:4] < revision)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "kept.sqlite"
        with sqlite3.connect(path) as connection:
            connection.executescript((KEPT / f"{before}.sqlite.sql").read_text(encoding="utf-8"))
        engine = sqlite_engine(str(path), None)
        migrate(engine, revision)
        engine.dispose()
        told = "\n".join(sqlite3.connect(path).iterdump())
        (KEPT / f"{revision}.sqlite.sql").write_text(told + "\n", encoding="utf-8")
    server = PrivateServer()
    try:
        address = server.new_store()
        engine = create_engine(address.replace("postgresql", "postgresql+psycopg", 1))
        with engine.begin() as connection:
            connection.connection.cursor().execute((KEPT / f"{before}.postgresql.sql").read_text(encoding="utf-8"))
        engine.dispose()
        engine = create_engine(address.replace("postgresql", "postgresql+psycopg", 1))
        migrate(engine, revision)
        engine.dispose()
        words = ["pg_dump", "--no-owner", "--no-privileges", "--inserts", address]
        told = subprocess.run(words, check=True, capture_output=True, text=True).stdout  # noqa: S603
    finally:
        server.close()
    lines = (line for line in told.splitlines() if line and not re.match(r"--|\\|SET transaction_timeout", line))
    (KEPT / f"{revision}.postgresql.sql").write_text("\n".join(lines) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main(sys.argv[1])
