"""`endfeel check` and `endfeel vocabulary` from the outside."""

from __future__ import annotations

import io
import json
from pathlib import Path

import pytest

from endfeel.cli.main import main
from endfeel.evidence.library import Library

STORIES = Path(__file__).resolve().parents[3] / "stories"


def test_a_clean_case_is_read_back_in_canonical_text(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", str(STORIES / "first_visit.txt")]) == 0
    shown = capsys.readouterr()
    assert "No faults" in shown.out
    assert "gh_post right mobility 2 firm_capsular pain 4 familiar" in shown.out
    assert shown.err == ""


def test_every_fault_goes_to_standard_error_and_the_exit_code_is_1(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", str(STORIES / "twenty_faults.txt")]) == 1
    shown = capsys.readouterr()
    assert shown.out == ""
    lines = shown.err.strip().split("\n")
    assert len(lines) > 20
    assert all(line.startswith("twenty_faults.txt:") for line in lines[:-1])
    assert lines[-1].startswith(f"{len(lines) - 1} faults; nothing was used or stored")


def test_a_case_converts_to_toml_and_back_to_the_same_text(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", str(STORIES / "thoracic.txt"), "--toml"]) == 0
    twin = tmp_path / "thoracic.toml"
    twin.write_text(capsys.readouterr().out, encoding="utf-8")
    assert main(["check", str(twin), "--canonical"]) == 0
    from_toml = capsys.readouterr().out
    assert main(["check", str(STORIES / "thoracic.txt"), "--canonical"]) == 0
    assert capsys.readouterr().out == from_toml


@pytest.mark.parametrize(
    ("content", "message"), [(None, "no such file"), (b"\xff\xfe\x00", "not UTF-8 text")], ids=["missing", "not text"]
)
def test_a_file_that_cannot_be_opened_is_a_clear_fault(
    content: bytes | None, message: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "case.txt"
    if content is not None:
        path.write_bytes(content)
    assert main(["check", str(path)]) == 1
    assert message in capsys.readouterr().err


def test_the_vocabulary_lists_every_id_with_its_name(library: Library, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["vocabulary", "--json"]) == 0
    lists = json.loads(capsys.readouterr().out)
    assert lists.pop("release") == library.release
    assert set(lists["procedures"]) == set(library.catalogue.by_id)
    assert lists["procedures"]["gh_post"].startswith("Posterior glide in the resting position")
    assert set(lists["cues"]) == {cue["id"] for cue in library.documents["safety_rules"]["cue"]}
    assert {"end_feels", "contributors", "measures", "levels", "areas"} <= set(lists)
    assert all(text for entries in lists.values() for text in entries.values())


def test_a_list_and_words_narrow_the_vocabulary(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["vocabulary", "end-feels", "capsular"]) == 0
    shown = capsys.readouterr().out
    assert "early_capsular" in shown
    assert "hard_bone" not in shown
    assert "procedures" not in shown


def test_words_that_are_nowhere_say_so(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["vocabulary", "procedures", "xyzzy"]) == 1
    assert "nothing found for 'procedures xyzzy'" in capsys.readouterr().err


def test_an_evidence_search_that_finds_nothing_says_so_and_fails(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["evidence", "xyzzy"]) == 1
    out, err = capsys.readouterr()
    assert (out, "nothing found for 'xyzzy'" in err) == ("", True)


def test_opposite_results_of_one_test_are_said_by_check(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    path = tmp_path / "twice.txt"
    path.write_text("age: 40\nside: right\nonset: gradual\n\nhawkins +\nhawkins -\n", encoding="utf-8")
    assert main(["check", str(path)]) == 0
    said = capsys.readouterr().err
    assert "'hawkins right positive' and 'hawkins right negative'" in said
    assert "The later one counts" in said


def test_a_rib_that_is_none_is_named(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    path = tmp_path / "rib.txt"
    path.write_text("age: 40\nside: right\n\nrib 0 pa 2\nrib 12 pa 2\n", encoding="utf-8")
    assert main(["check", str(path)]) == 1
    said = capsys.readouterr().err
    assert said.count("no such rib in this examination") == 2
    assert "R1 to R8" in said


def test_an_empty_file_is_no_case(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    path = tmp_path / "empty.txt"
    path.write_text(" \n\n", encoding="utf-8")
    for command in ("check", "reason", "screen", "plan", "note"):
        assert main([command, str(path)]) == 1
        assert "empty.txt: nothing is written in it; would do: a header" in capsys.readouterr().err


def test_a_case_is_read_from_standard_input(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(b"age: 40 y\r\nside: left\r\n"), encoding="ascii"))
    assert main(["check", "-"]) == 0
    assert "age: 40\nside: left\n" in capsys.readouterr().out
    monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(b"age: forty\n"), encoding="ascii"))
    assert main(["check", "-"]) == 1
    assert "standard input:1:6: age is not a number (read: 'forty')" in capsys.readouterr().err


def test_capitals_and_a_decimal_comma_are_understood(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["change", "QuickDASH", "50,5", "30"]) == 0
    assert "50.5 to 30 points" in capsys.readouterr().out
    assert main(["score", "SPADI", *("1 " * 13).split()]) == 0
