"""`agree --hands` writes own agreement; `reason`, `plan` and `note` read a case with it and say so."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from endfeel.cli.main import main

CASE = str(Path(__file__).resolve().parents[3] / "stories" / "first_visit.txt")
GLIDES = "Anna,Ben\n" + "1,3\n3,1\n2,2\n3,3\n1,3\n3,3\n2,1\n4,3\n3,3\n2,3\n" * 30  # kappa of stiff 0.2
SAID = "read with your own hands' agreement (Anna):"


@pytest.fixture
def hands(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Path:
    ratings, out = tmp_path / "glides.csv", tmp_path / "hands.toml"
    ratings.write_text(GLIDES, encoding="utf-8")
    assert main(["agree", str(ratings), "--hands", str(out), "--examiner", "Anna", "--of", "gh_post"]) == 0
    said = capsys.readouterr().out
    assert re.search(r"gh_post, hypo: kappa -?\d\.\d\d on 300 people; reports it sooner than the others", said)
    return out


def test_reason_says_once_under_the_contributors_what_own_hands_changed(
    hands: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["reason", CASE, "--hands", str(hands)]) == 0
    said = capsys.readouterr().out
    assert said.count(SAID) == 1
    assert said.index("What contributes") < said.index(SAID) < said.index("Joint or soft tissue")
    assert re.search(r"Posterior glide[^\n]*, stiff: counts for less \(kappa 0\.\d\d, usual 0\.30", said)


def test_hands_that_repeat_nothing_tell_nothing_and_it_is_said(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "hands.toml"
    row = '[[agreement]]\nprocedure = "gh_post"\noutcome = "hypo"\nkappa = -0.2\nsubjects = 300\nlean = 1.0\n'
    path.write_text(f'name = "Anna"\n{row}', encoding="utf-8")
    assert main(["reason", CASE, "--hands", str(path)]) == 0
    said = capsys.readouterr().out
    assert re.search(r"Posterior glide[^\n]*, stiff: tells nothing \(kappa 0\.00, usual 0\.30, your own -0\.20", said)


def test_posterior_changes_with_own_hands_and_json_tells(hands: Path, capsys: pytest.CaptureFixture[str]) -> None:
    shares = []
    for extra in ([], ["--hands", str(hands)]):
        assert main(["reason", CASE, "--json", *extra]) == 0
        told = json.loads(capsys.readouterr().out)
        found = next(b for b in told["contributors"] if b["id"].startswith("capsule_posterior_middle"))
        shares.append(found["probability"])
        assert ("own_hands" in told) == bool(extra)
    assert shares[1] < shares[0]


@pytest.mark.parametrize("command", ["plan", "note"])
def test_plan_and_note_say_it_too(command: str, hands: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main([command, CASE, "--hands", str(hands)]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert said.lower().count(SAID.lower()) == 1


def test_hands_that_touch_nothing_here_say_so(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "hands.toml"
    path.write_text('name = "Anna"\n', encoding="utf-8")
    assert main(["reason", CASE, "--hands", str(path)]) == 0
    assert f"{SAID} it changes none of these findings" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("extra", "code", "says"),
    [
        (["--examiner", "Anna"], 1, "needs a file, an examiner and a procedure"),
        (["--hands", "OUT", "--examiner", "Zoe", "--of", "gh_post"], 1, "no such examiner"),
        (["--hands", "OUT", "--examiner", "Anna", "--of", "gh_pots"], 3, "gh_pots"),
    ],
)
def test_what_cannot_be_estimated_writes_no_file(
    extra: list[str], code: int, says: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    ratings, out = tmp_path / "glides.csv", tmp_path / "out.toml"
    ratings.write_text(GLIDES, encoding="utf-8")
    assert main(["agree", str(ratings), *[str(out) if word == "OUT" else word for word in extra]]) == code
    assert says in capsys.readouterr().err
    assert not out.exists()


def test_a_missing_or_faulty_file_is_named(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["reason", CASE, "--hands", str(tmp_path / "none.toml")]) == 1
    assert "no such file" in capsys.readouterr().err
    bad = tmp_path / "bad.toml"
    bad.write_text('name = "A"\n[[angle]]\nprocedure = "gh_er_0"\nsubjects = 3\n', encoding="utf-8")
    assert main(["reason", CASE, "--hands", str(bad)]) == 1
    assert "bad.toml:2:1: row 1 of [[angle]]: sd_deg is missing" in capsys.readouterr().err
