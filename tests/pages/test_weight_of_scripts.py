"""What the pages carry: one small style sheet, and little JavaScript besides the viewer of the drawn shoulder."""

from __future__ import annotations

import gzip
from pathlib import Path

import endfeel.web

STATIC = Path(endfeel.web.__file__).parent / "static"
MOST_SCRIPT = 150_000
MOST_STYLE = 30_000
VIEWER = ("three", "viewer")


def compressed(paths: list[Path]) -> int:
    return sum(len(gzip.compress(path.read_bytes())) for path in paths)


def test_scripts_besides_the_viewer_stay_small() -> None:
    scripts = [path for path in STATIC.rglob("*.js") if not path.name.startswith(VIEWER)]
    assert len(scripts) >= 5
    assert compressed(scripts) < MOST_SCRIPT, f"{compressed(scripts)} bytes compressed"


def test_there_is_one_small_style_sheet() -> None:
    sheets = [path for path in STATIC.rglob("*.css") if "vendor" not in path.parts]
    assert len(sheets) == 1
    assert compressed(sheets) < MOST_STYLE


def test_the_worker_keeps_only_what_is_there_and_nothing_of_anybody() -> None:
    worker = (STATIC / "offline-worker.js").read_text(encoding="utf-8")
    named = [part for part in worker.split('"') if part.startswith("/static/")]
    assert len(named) >= 7
    for one in named:
        assert (STATIC / one.removeprefix("/static/")).is_file(), one
    pages = worker[worker.index("PARTS = [") : worker.index("];")]
    assert "visits" not in pages
