"""`endfeel calibrate`: tables, data, page and picture; the same however many processes."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from endfeel.cli.main import main

PAGE = "# A page\n" + "".join(
    f"<!-- {name} -->\nold\n<!-- end -->\n" for name in ("in short", "scores", "intervals", "by hidden", "curve")
)


def test_the_scores_are_the_same_however_many_processes(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    told = []
    for workers in ("1", "2"):
        assert main(["calibrate", "--people", "6", "--seed", "3", "--workers", workers, "--json"]) == 0
        told.append(json.loads(capsys.readouterr().out))
    assert told[0] == told[1]
    scores = told[0]["scores"]
    assert {one["way"] for one in scores} == {
        "nothing examined",
        "planned",
        "planned again",
        "nuisances ignored",
        "independent ratios",
        "textbook order",
        "textbook without screening",
        "random order",
    }
    assert {one["minutes"] for one in scores if one["condition"] == "as assumed"} == {0, 5, 10, 15, 20, 30}
    assert all(one["people"] in (6, 1) for one in scores)


def test_the_page_is_filled_between_its_marks_and_a_picture_stands_beside_it(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    place = tmp_path / "page.md"
    place.write_text(PAGE, encoding="utf-8")
    assert main(["calibrate", "--people", "3", "--workers", "1", "--write", str(place)]) == 0
    assert "Calibration error of the planned examination" in capsys.readouterr().out
    page = place.read_text(encoding="utf-8")
    assert "old" not in page
    assert "| as assumed | 20 | textbook order |" in page
    picture = place.with_suffix(".svg").read_text(encoding="utf-8")
    assert picture.startswith("<svg")
    assert "Are the probabilities right?" in picture


def test_nobody_and_no_page_are_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["calibrate", "--people", "0"]) == 1
    assert "--people must be at least 1" in capsys.readouterr().err
    place = tmp_path / "empty.md"
    place.write_text("nothing here\n", encoding="utf-8")
    assert main(["calibrate", "--people", "2", "--workers", "1", "--write", str(place)]) == 1
    assert "no place for 'in short'" in capsys.readouterr().err
    assert place.read_text(encoding="utf-8") == "nothing here\n"
