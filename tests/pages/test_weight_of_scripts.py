"""What the pages carry: a small style, and little JavaScript besides the viewer of the drawn shoulder."""

from __future__ import annotations

import gzip
import re
from pathlib import Path

import endfeel.web

STATIC = Path(endfeel.web.__file__).parent / "static"
MOST_SCRIPT = 150_000
MOST_STYLE = 30_000
VIEWER = ("shoulder", "three.min.js")
"""A folder and a file: the drawn shoulder has its own weight."""


SWATCHES = ("ink", "clay", "sand", "moss")
"""On the elements page these names come from a list."""
_WHERE = (
    "away charted column drawn-canvas drawn-names figure-tabs figure-view figures line measured narrow no-print phone"
)
_WHILE = "feeling foremost has-draft htmx-request is-shown keys level pedal-only plain readings screen scripted sheet"
_DRAWN = "code diagram drawing figure learn-chart rail-line reach renewing right-line sheet-sign spot"
FRAMES_AND_STATES = {*_WHERE.split(), *_WHILE.split(), *_DRAWN.split(), "always", "chooser", "letter"}
"""Where things stand on a page, and how they look while something goes on: no pieces of their own."""


def quoted(path: Path) -> set[str]:
    """Every word that stands in quotes in a file, where names of classes stand."""
    text = path.read_text(encoding="utf-8")
    parts = re.findall(r"\"([^\"\n]*)\"|'([^'\n]*)'|`([^`]*)`", text)
    return set(re.findall(r"[\w-]+", " ".join(" ".join(part) for part in parts)))


def compressed(paths: list[Path]) -> int:
    return sum(len(gzip.compress(path.read_bytes())) for path in paths)


def test_scripts_besides_the_viewer_stay_small() -> None:
    scripts = [path for path in STATIC.rglob("*.js") if not set(path.parts) & set(VIEWER)]
    assert len(scripts) >= 5
    assert compressed(scripts) < MOST_SCRIPT, f"{compressed(scripts)} bytes compressed"


def test_the_style_is_one_small_sheet() -> None:
    sheets = list(STATIC.rglob("*.css"))
    assert [path.name for path in sheets] == ["endfeel.css"]
    assert compressed(sheets) < MOST_STYLE


def test_the_sheet_holds_nothing_that_no_page_uses_and_the_elements_page_shows_every_piece() -> None:
    rules = re.sub(r"/\*.*?\*/|\{[^{}]*\}", " ", (STATIC / "endfeel.css").read_text(encoding="utf-8"), flags=re.S)
    names = set(re.findall(r"\.([a-z][\w-]*)", rules))
    assert len(names) > 150
    web = STATIC.parent
    used, shown = set(), set()
    for path in (*web.rglob("*.html"), *STATIC.rglob("*.js"), *web.parent.rglob("*.py")):
        if "vendor" not in path.parts:
            used |= quoted(path)
    assert names - used <= set(SWATCHES)
    for name in ("base.html", "elements.html", "_controls.html"):
        shown |= quoted(web / "templates" / name)
    assert names - shown == FRAMES_AND_STATES


def test_the_worker_keeps_only_what_is_there_and_nothing_of_anybody() -> None:
    worker = (STATIC / "offline-worker.js").read_text(encoding="utf-8")
    named = [part for part in worker.split('"') if part.startswith("/static/")]
    assert len(named) >= 7
    for one in named:
        assert (STATIC / one.removeprefix("/static/")).is_file(), one
    pages = worker[worker.index("PARTS = [") : worker.index("];")]
    assert "visits" not in pages
