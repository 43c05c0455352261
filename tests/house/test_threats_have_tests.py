"""docs/security.md: every threat names tests that exist, or says plainly why there is none; no pin without a hash."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
ROWS = [
    line
    for line in (ROOT / "docs" / "security.md").read_text(encoding="utf-8").partition("## Threats\n")[2].splitlines()
    if line.startswith("| ") and not line.startswith("| threat ")
]


def every_test() -> set[str]:
    texts = (path.read_text(encoding="utf-8") for path in (ROOT / "tests").rglob("test_*.py"))
    return {name for text in texts for name in re.findall(r"^\s*(?:async )?def (test_\w+)", text, re.MULTILINE)}


def test_every_threat_names_tests_that_exist_or_says_why_there_is_none() -> None:
    assert len(ROWS) > 25
    known = every_test()
    for row in ROWS:
        threat, stands, tests = (cell.strip() for cell in row.strip("|").split(" | "))
        named = re.findall(r"`(test_\w+)`", tests)
        assert threat, row
        assert stands, row
        assert named or re.match(r"no test: .{20,}", tests), f"no test and no reason: {threat}"
        assert set(named) <= known, f"{threat}: no such test: {set(named) - known}"


@pytest.mark.parametrize("lock", sorted(path.name for path in ROOT.glob("*.lock")))
def test_every_pin_has_a_hash(lock: str) -> None:
    pins = re.split(r"\n(?=\w)", (ROOT / lock).read_text(encoding="utf-8").strip())
    assert len(pins) > 10
    for pin in pins:
        assert re.match(r"[\w.-]+==\S+", pin), pin
        assert re.search(r"--hash=sha256:[0-9a-f]{64}", pin), pin
