"""What every command owes: release and caution below a conclusion, clear lines for what cannot be, width."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from endfeel.cli.main import main
from endfeel.evidence.library import Library

CASE = str(Path(__file__).resolve().parents[3] / "stories" / "first_visit.txt")
SPADI = ["3", "4", "5", "6", "7", "1", "2", "3", "4", "5", "6", "7", "8"]
RATINGS = "a,b\n1,2\n2,2\n3,3\n1,1\n"


@pytest.fixture
def commands(tmp_path: Path) -> dict[str, list[str]]:
    """Commands that conclude something, with input of their own."""
    ratings, emergency = tmp_path / "ratings.csv", tmp_path / "emergency.txt"
    ratings.write_text(RATINGS, encoding="utf-8")
    emergency.write_text("age: 61\nside: right\nonset: sudden\nyes: tearing_pain\nhawkins +\n", encoding="utf-8")
    return {
        "reason": ["reason", CASE],
        "why": ["reason", CASE, "--why", "radiculopathy"],
        "plan": ["plan", CASE],
        "withheld plan": ["plan", str(emergency)],
        "treat": ["treat", CASE],
        "withheld treatment": ["treat", str(emergency)],
        "screen": ["screen", CASE],
        "change": ["change", "spadi", "60", "40"],
        "score": ["score", "spadi", *SPADI],
        "agree": ["agree", str(ratings)],
        "note": ["note", CASE],
        "letter": ["letter", CASE],
        "follow": ["follow", "--visit", f"2026-03-02={CASE}", "--today", "2026-12-01"],
    }


CONCLUDING = (
    "reason",
    "why",
    "plan",
    "withheld plan",
    "treat",
    "withheld treatment",
    "screen",
    "change",
    "score",
    "agree",
    "note",
    "letter",
    "follow",
)


@pytest.mark.parametrize("name", CONCLUDING)
def test_release_and_caution_stand_below_every_conclusion(
    name: str, commands: dict[str, list[str]], library: Library, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(commands[name]) == 0
    shown = " ".join(capsys.readouterr().out.split())
    assert library.release in shown
    assert "does not diagnose" in shown


@pytest.mark.parametrize(
    "name", ["reason", "plan", "withheld plan", "treat", "withheld treatment", "screen", "change", "score", "agree"]
)
def test_release_and_cautions_are_in_every_conclusion_as_json(
    name: str, commands: dict[str, list[str]], library: Library, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main([*commands[name], "--json"]) == 0
    said = json.loads(capsys.readouterr().out)
    assert said["release"] == library.release
    assert any("does not diagnose" in caution for caution in said["cautions"])


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (["plan", CASE, "--minutes", "1e9"], "at most 240"),
        (["plan", CASE, "--minutes", "nan"], "at most 240"),
        (["note", CASE, "--minutes", "0"], "at most 240"),
        (["demo", "--minutes", "-3"], "at most 240"),
        (["evidence", "spadi", "--limit", "-1"], "--limit must be at least 1"),
        (["reason", CASE, "--why", "capsule"], "capsule_global | "),
        (["reason", CASE, "--why", "xyzzy"], "no such contributor"),
        (["note", CASE, "--pdf", "/no/such/folder/x.pdf"], "/no/such/folder/x.pdf: No such file"),
    ],
)
def test_what_cannot_be_is_one_clear_line(
    arguments: list[str], message: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(arguments) == 1
    told = capsys.readouterr().err
    assert message in told
    assert len(told.strip().split("\n")) == 1


def test_a_case_without_findings_is_read_with_a_warning(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    empty = tmp_path / "empty.txt"
    empty.write_text("title: nothing yet\n", encoding="utf-8")
    for command in ("check", "reason"):
        assert main([command, str(empty)]) == 0
        assert "does not say: age, side (unless it is central), onset, findings" in capsys.readouterr().err


@pytest.mark.parametrize("command", ["reason", "plan", "screen"])
def test_lines_keep_to_the_width_of_the_terminal(
    command: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("COLUMNS", "60")
    monkeypatch.setenv("NO_COLOR", "1")
    monkeypatch.setattr(sys.stdout, "isatty", lambda: True)
    assert main([command, CASE]) == 0
    assert max(len(line) for line in capsys.readouterr().out.split("\n")) <= 60


def test_one_wording_of_the_verdict(capsys: pytest.CaptureFixture[str]) -> None:
    for command in ("reason", "screen", "note"):
        assert main([command, CASE]) == 0
        assert "none so far (screen incomplete)" in capsys.readouterr().out.replace("NONE", "none"), command


def test_names_stand_where_people_read(capsys: pytest.CaptureFixture[str], library: Library) -> None:
    assert main(["plan", CASE]) == 0
    told = [line for line in capsys.readouterr().out.split("\n") if "left out" in line or "required" in line]
    assert told
    assert not [one for one in library.catalogue.by_id if "_" in one and any(one in line.split() for line in told)]
    assert (
        library.catalogue.with_names("func_demo was required") == f"{library.catalogue['func_demo'].name} was required"
    )


def _run(arguments: list[str], **options: object) -> subprocess.CompletedProcess[bytes]:
    return subprocess.run([sys.executable, "-m", "endfeel.cli.main", *arguments], check=False, **options)  # type: ignore[call-overload,no-any-return]


@pytest.mark.parametrize("encoding", ["ascii", "latin1"])
def test_a_terminal_without_our_letters_gets_what_it_can_show(encoding: str) -> None:
    done = _run(["reason", CASE], capture_output=True, env={**os.environ, "PYTHONIOENCODING": encoding})
    assert done.returncode == 0, done.stderr
    assert b"####" in done.stdout


def test_an_output_that_is_full_is_told_and_not_traced() -> None:
    if not Path("/dev/full").exists():
        pytest.skip("this system has no /dev/full")
    with Path("/dev/full").open("wb") as full:
        done = _run(["reason", CASE], stdout=full, stderr=subprocess.PIPE)
    assert done.returncode == 1
    assert b"No space left" in done.stderr
    assert b"Traceback" not in done.stderr
    assert b"Exception ignored" not in done.stderr


def test_how_high_a_hand_reaches_is_compared_by_place_and_not_judged(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["change", "act_hbb", "L3", "T10"]) == 0
    shown = capsys.readouterr().out
    assert "L3 to T10: +5 levels (better)" in shown
    assert "cannot be judged" in shown
    for asked, would in (("act_hbb 5 10", "such as T7"), ("gh_er_0 30 T10", "a number of deg")):
        assert main(["change", *asked.split()]) == 1
        assert would in capsys.readouterr().err
