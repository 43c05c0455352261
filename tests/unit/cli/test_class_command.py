"""`endfeel class`: a class made, cases assigned, results read and written, the class removed."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from endfeel import care
from endfeel.cli.main import main
from endfeel.safety import Urgency
from endfeel.simulate import CaseWish, Danger, code_of
from endfeel.teaching import ADVICE, Commitment, Named, Step


def test_a_class_by_command(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    store = str(tmp_path / "records.sqlite")
    desk = care.open_desk(store)
    code = code_of(CaseWish(21, danger=Danger.NEVER), desk.library.release)
    assert main(["class", "--new", "Monday group", "--assign", code.lower(), "--draw", "1", "--store", store]) == 0
    assert "Nobody has closed a case yet" in capsys.readouterr().out
    (record,) = care.list_classes(desk)
    join_code = record.join_code
    member = care.join_class(desk, join_code, "Wren")
    lesson = care.open_class_case(desk, member, code)
    care.take_step(desk, lesson, Step("1", "examine", "gh_post"))
    stands_for = Commitment((Named("cuff_pain", 80),), Urgency.NONE, ADVICE)
    care.take_step(desk, lesson, Step("2", "commit", commitment=stands_for))
    assert main(["class", join_code.lower(), "--store", store]) == 0
    told = capsys.readouterr().out
    for words in ("Wren: 1 steps, closed", "not begun", "too few to say anything"):
        assert words in told
    assert main(["class", join_code, "--case", code.lower(), "--store", store]) == 0
    told = capsys.readouterr().out
    assert "Cheapest good path" in told
    assert "Posterior glide in the resting position (turned to side lying)" in told
    files = {"all.json": [], "steps.csv": ["--table", "steps"], "results.csv": []}
    for name, more in files.items():
        assert main(["class", join_code, "--out", str(tmp_path / name), *more, "--store", store]) == 0
    assert json.loads((tmp_path / "all.json").read_text())["percentages"][0]["said"] == 0.8
    assert (tmp_path / "steps.csv").read_text().splitlines()[0].startswith("learner,case,step,minute")
    assert "Wren" in (tmp_path / "results.csv").read_text()
    capsys.readouterr()
    assert main(["class", "--json", "--store", store]) == 0
    assert json.loads(capsys.readouterr().out)[0]["learners"] == 1
    for wrong in (["--out", "x.txt"], ["--new", "another"], ["--out", "x.csv", "--table", "nothing"]):
        assert main(["class", join_code, *wrong, "--store", store]) == 3, wrong
    assert main(["class", "000000", "--store", store]) == 3
    assert main(["class", join_code, "--remove", "--store", store]) == 0
    assert not care.list_classes(desk)
    desk.engine.dispose()
