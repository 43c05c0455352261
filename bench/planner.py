"""Planning a whole girdle examination, from a written story."""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable, Iterator
from pathlib import Path

from endfeel.assessment import assess, read_case
from endfeel.evidence.load import load_library
from endfeel.planner import next_tests, plan
from endfeel.planner.candidates import Settings, gather

STORY = Path(__file__).resolve().parents[1] / "stories" / "first_visit.txt"


def run() -> Iterator[dict[str, str]]:
    """Medians of 9 runs in one warm process, all procedures and levels as candidates."""
    library = load_library()
    case = read_case(STORY.read_text(encoding="utf-8"), STORY.name, library)
    found = assess(case, library, 30)
    count = len(gather(case, library, found.verdict, Settings.of(library, case))[0])
    for minutes in (20, 30):
        yield _row(
            f"re-plan for {minutes} minutes, {count} candidates",
            lambda m=minutes: plan(case, found.posterior, found.verdict, library, m, decision=found.decision),
            "100 ms",
        )
    yield _row(
        "next test",
        lambda: next_tests(case, found.posterior, found.verdict, library, decision=found.decision),
        "100 ms",
    )


def _row(what: str, act: Callable[[], object], aim: str) -> dict[str, str]:
    taken = []
    for _ in range(9):
        began = time.perf_counter()
        act()
        taken.append((time.perf_counter() - began) * 1000)
    return {"what": what, "measured": f"{statistics.median(taken):.1f} ms", "aim": aim, "note": "median of 9, warm"}
