"""The examples of the documentation run."""

from __future__ import annotations

import re
from pathlib import Path

import pytest


def test_the_python_page_runs_from_top_to_bottom(capsys: pytest.CaptureFixture[str]) -> None:
    page = (Path(__file__).resolve().parents[2] / "docs" / "python.md").read_text(encoding="utf-8")
    blocks = re.findall(r"```python\n(.*?)```", page, re.DOTALL)
    assert len(blocks) == 11
    told: dict[str, object] = {}
    for block in blocks:
        exec(compile(block, "docs/python.md", "exec"), told)  # noqa: S102
    said = capsys.readouterr().out
    assert "unanswered:" in said
    assert re.search(r"points \[[-+]", said)
    assert re.search(r"\d\.\d\d \[\d\.\d\d to \d\.\d\d\]", said)
