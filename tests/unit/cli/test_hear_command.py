"""`endfeel hear` prints every aim that was missed, and takes a kept file as it stands."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from endfeel.cli.hear import misses
from endfeel.cli.main import main


def row(condition: str, right: int, wrong: int, phrases: int = 100) -> dict[str, object]:
    return {"condition": condition, "engines": "base", "phrases": phrases, "right": right, "wrong": wrong}


def test_each_missed_aim_is_named_and_a_reached_one_is_not() -> None:
    assert (
        misses([row("clean", 95, 1), row("pink 15 dB", 85, 9), row("unrelated", 0, 0), row("white 10 dB", 3, 50)]) == []
    )
    told = misses([row("clean", 94, 2), row("babble 15 dB", 84, 0), row("unrelated", 0, 1)])
    assert len(told) == 4
    assert told[0] == "clean, base: right 94.0%, aim at least 95%"


def test_a_kept_file_is_summarised_without_a_recogniser(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    trial = {"condition": "clean", "voice": "slt", "said": "grip force pain four", "heard": {"base": ""}}
    trial |= {"outcome": {"base": "refused"}, "seconds": 0.2, "processor_seconds": 0.1}
    kept = tmp_path / "heard.jsonl"
    kept.write_text(json.dumps(trial) + "\n", encoding="utf-8")
    assert main(["hear", "--only-kept", str(kept), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["rows"][0]["refused"] == 1
    assert told["rows"][0]["right_between"] == [0.0, 0.7935]  # Wilson, none of one: 1.96 squared over 1 + that
    assert told["misses"] == ["clean, base: right 0.0%, aim at least 95%"]
    assert main(["hear", "--only-kept", str(kept)]) == 0
    assert "MISSED: clean, base: right 0.0%" in capsys.readouterr().out
