"""Questions about a caseload, from ten thousand to ten million invented findings, on DuckDB and on PostgreSQL.

ENDFEEL_FINDINGS=1000000 for a smaller largest size; ENDFEEL_ENGINES=duckdb,postgresql=1000000,spark=10000 for which
engines, and up to how many findings each.
The points are drawn to docs/caseload_growth.svg with ENDFEEL_DRAW=1.
"""

from __future__ import annotations

import os
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

import numpy as np

from bench.server import PrivateServer
from endfeel.care.caseload import invented
from endfeel.caseload.engines import opened, write_parquet
from endfeel.caseload.questions import Counts, ask_all
from endfeel.pictures.line_chart import Axes, Curve
from endfeel.pictures.play_sheet import play_picture
from endfeel.pictures.restraint_sheet import Words

LEAST, MOST = 10_000, 10_000_000
PICTURE = Path(__file__).resolve().parents[1] / "docs" / "caseload_growth.svg"


def run() -> Iterator[dict[str, str]]:
    """One row a size and engine: loading, and all questions; whether the answers are the same."""
    most = int(os.environ.get("ENDFEEL_FINDINGS", str(MOST)))
    asked = (one.partition("=") for one in os.environ.get("ENDFEEL_ENGINES", "duckdb,postgresql").split(","))
    engines = {name: int(end or most) for name, _, end in asked}
    seconds: dict[str, dict[int, float]] = {name: {} for name in engines}
    findings = LEAST
    while findings <= most:
        with tempfile.TemporaryDirectory() as folder:
            began = time.perf_counter()
            write_parquet(invented(findings, 1), Path(folder))
            made = time.perf_counter() - began
            first: Counts | None = None
            for name in (one for one, end in engines.items() if findings <= end):
                loaded, asked, answers = _measure(name, Path(folder))
                first = first or answers
                seconds[name][findings] = asked
                yield {
                    "what": f"all questions, {findings:,} findings, {name}",
                    "measured": f"{asked:.2f} s after {loaded:.1f} s of loading",
                    "note": f"answers {'the same' if answers == first else 'DIFFERENT'}; made in {made:.0f} s",
                }
        findings *= 10
    if os.environ.get("ENDFEEL_DRAW"):
        PICTURE.write_text(_picture(seconds), encoding="utf-8")


def _measure(name: str, folder: Path) -> tuple[float, float, Counts]:
    """Seconds of loading, seconds of every question, the answers."""
    server = PrivateServer() if name == "postgresql" else None
    try:
        address = server.new_store() if server else "spark://local[2]" if name == "spark" else name
        began = time.perf_counter()
        with opened(address, folder) as tables:
            loaded = time.perf_counter()
            answers = ask_all(tables)
            return loaded - began, time.perf_counter() - loaded, answers
    finally:
        if server:
            server.close()


def _picture(seconds: dict[str, dict[int, float]]) -> str:
    """Seconds by findings, both by powers of ten."""
    curves = [
        Curve(name, np.log10(np.array(list(told), float)), np.log10(np.array(list(told.values()), float)))
        for name, told in seconds.items()
        if len(told) > 1
    ]
    axes = Axes("All questions, by findings", "findings, as a power of ten", "seconds, as a power of ten", (0, 0, 0, 0))
    words = Words(
        "How counting a caseload grows", "on a shared, laden machine; the numbers stand in docs/performance.md", ()
    )
    told = "Seconds by findings for each engine; the numbers stand in docs/performance.md."
    return play_picture([(curves, axes)], (), words, told)
