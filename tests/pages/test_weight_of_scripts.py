"""What the pages carry: a small style, and little JavaScript besides the viewer of the drawn shoulder."""

from __future__ import annotations

import gzip
from pathlib import Path

import endfeel.web

STATIC = Path(endfeel.web.__file__).parent / "static"
MOST_SCRIPT = 150_000
MOST_STYLE = 30_000
VIEWER = ("shoulder", "three.min.js")
"""A folder and a file: the drawn shoulder has its own weight."""


def compressed(paths: list[Path]) -> int:
    return sum(len(gzip.compress(path.read_bytes())) for path in paths)


def test_scripts_besides_the_viewer_stay_small() -> None:
    scripts = [path for path in STATIC.rglob("*.js") if not set(path.parts) & set(VIEWER)]
    assert len(scripts) >= 5
    assert compressed(scripts) < MOST_SCRIPT, f"{compressed(scripts)} bytes compressed"


def test_the_style_is_one_small_sheet_and_what_single_pages_add() -> None:
    sheets = [path for path in STATIC.rglob("*.css") if "vendor" not in path.parts]
    largest = max(sheets, key=lambda path: path.stat().st_size)
    assert largest.name == "endfeel.css"
    assert compressed(sheets) < MOST_STYLE


def test_the_worker_keeps_only_what_is_there_and_nothing_of_anybody() -> None:
    worker = (STATIC / "offline-worker.js").read_text(encoding="utf-8")
    named = [part for part in worker.split('"') if part.startswith("/static/")]
    assert len(named) >= 7
    for one in named:
        assert (STATIC / one.removeprefix("/static/")).is_file(), one
    pages = worker[worker.index("PARTS = [") : worker.index("];")]
    assert "visits" not in pages
