"""`endfeel screen` from the outside."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from endfeel.cli.main import main
from endfeel.evidence.library import Library

DANGER = """\
title: Invented, for this test
invented: yes
age: 61
side: right
story: Sudden pain between the shoulder blades.

yes: tearing_pain
no: cord_signs

umn screen pos
"""


@pytest.fixture
def danger(tmp_path: Path) -> str:
    path = tmp_path / "danger.txt"
    path.write_text(DANGER, encoding="utf-8")
    return str(path)


def test_the_verdict_leads_in_words_and_everything_behind_it_follows(
    danger: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["screen", danger]) == 0
    shown = capsys.readouterr().out
    assert shown.startswith("SAFETY: EMERGENCY\n")
    order = [
        "plan stops",
        "STOP HANDS-ON",
        "Aortic dissection",
        "because:",
        "source:",
        "Answered no, but noticed",
        "Must not be done",
        "Stop the examination when",
        "Unanswered (not the same as no)",
        "Sources",
        "Evidence release",
        "does not diagnose",
    ]
    places = [shown.index(part) for part in order]
    assert places == sorted(places)
    assert "urgency memory, cues memory, action practice" in shown


def test_the_whole_verdict_is_one_json_object(
    danger: str, library: Library, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["screen", danger, "--json"]) == 0
    said = json.loads(capsys.readouterr().out)
    assert said["urgency"] == "emergency"
    assert [flag["id"] for flag in said["raised"]] == ["aortic", "myelopathy"]
    assert said["raised"][1]["facts"][0]["provenance"] == "read"
    assert [one["cue"] for one in said["conflicts"]] == ["cord_signs"]
    assert said["release"] == library.release
    shown = {flag["source"] for flag in said["raised"]} | {one["source"] for one in said["precautions"]}
    assert shown <= set(said["sources"])
    assert said["sources"] == {one: library.source(one).citation for one in said["sources"]}
    assert "fever_unwell" in said["unanswered"]
    assert "gh_er_0" in said["forbidden"]


def test_an_unanswered_screen_is_not_called_clean(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "bare.txt"
    path.write_text("age: 40\nside: left\n", encoding="utf-8")
    assert main(["screen", str(path), "--all"]) == 0
    shown = capsys.readouterr().out
    assert shown.startswith("SAFETY: NONE so far (screen incomplete)")
    assert "36 red flags are not excluded" in " ".join(shown.split())
    assert "(fever_unwell)" in shown


def test_a_case_that_cannot_be_read_exits_with_1(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["screen", str(tmp_path / "missing.txt")]) == 1
    assert "no such file" in capsys.readouterr().err
