"""The example on the page about mechanics runs as it stands."""

from __future__ import annotations

import doctest
from pathlib import Path

PAGE = Path(__file__).parents[2] / "docs/mechanics.md"


def test_the_ten_lines_run() -> None:
    tried = doctest.testfile(str(PAGE), module_relative=False)
    assert tried.attempted >= 10
    assert tried.failed == 0
