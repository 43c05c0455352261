"""Building the shorthand and reading with it."""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable, Iterator
from pathlib import Path

from endfeel.evidence.load import load_library
from endfeel.vocabulary import Side
from endfeel.vocabulary.case_files import parse_case
from endfeel.vocabulary.shorthand import Shorthand, complete, parse_finding

STORY = Path(__file__).resolve().parents[1] / "stories" / "first_visit.txt"


def run() -> Iterator[dict[str, str]]:
    """Medians of 30 runs in one warm process."""
    library = load_library()
    documents = library.documents
    cues = tuple(cue["id"] for cue in documents["safety_rules"]["cue"])
    text = STORY.read_text(encoding="utf-8")

    def build() -> Shorthand:
        return Shorthand.of(library.catalogue, documents["aliases"], documents["ranges"])

    shorthand = build()
    yield _row(f"shorthand built for {len(library.catalogue)} procedures", build, "30 ms")
    lines = len(text.splitlines())
    yield _row(
        f"case of {lines} lines read", lambda: parse_case(text, name="a.txt", shorthand=shorthand, cues=cues), "20 ms"
    )
    yield _row("one line read", lambda: parse_finding("GH post glide 2 firm p4 fam", shorthand, Side.RIGHT), "1 ms")
    yield _row("completion of a half-typed line", lambda: complete("gh post", shorthand), "10 ms")


def _row(what: str, act: Callable[[], object], aim: str) -> dict[str, str]:
    taken = []
    for _ in range(30):
        began = time.perf_counter()
        act()
        taken.append((time.perf_counter() - began) * 1000)
    return {"what": what, "measured": f"{statistics.median(taken):.2f} ms", "aim": aim, "note": "median of 30, warm"}
