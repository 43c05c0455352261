"""`endfeel staff` and `endfeel export --for`: a clinic begun at the terminal, and what leaves to learn from."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from endfeel import care
from endfeel.cli.main import main
from endfeel.vocabulary import Complaint, Person, Side


@pytest.fixture
def store(tmp_path: Path) -> str:
    return str(tmp_path / "records.sqlite")


def test_the_first_administrator_makes_a_clinic_and_a_sign_in_is_made_anew(
    store: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["staff", "list", "--store", store]) == 0
    assert "Nobody: this store is no clinic's" in capsys.readouterr().out
    assert main(["staff", "add", "Tom Example", "--role", "therapist", "--store", store]) == 1
    assert "the first one keeps the list of staff" in capsys.readouterr().err
    assert main(["staff", "add", "Ada Example", "--store", store]) == 0
    told = capsys.readouterr().out
    assert re.search(r"Password of Ada Example, for the first time only: [a-z0-9-]{19}\n", told)
    assert "every page asks who is there" in told
    assert main(["staff", "add", "Tom Example", "--role", "therapist", "--store", store]) == 0
    assert "every page asks" not in capsys.readouterr().out
    student = ["staff", "add", "Stu Example", "--role", "student", "--store", store]
    assert main(student) == 1
    assert main([*student, "--supervisor", "tom example"]) == 0
    assert main(["staff", "reset", "ADA EXAMPLE", "--store", store]) == 0
    assert main(["staff", "reset", "Nobody", "--store", store]) == 3
    assert "endfeel staff list" in capsys.readouterr().err
    assert main(["staff", "list", "--store", store]) == 0
    assert "Stu Example  student, no second factor yet" in capsys.readouterr().out
    assert main(["audit", "verify", "--store", store]) == 0
    desk = care.open_desk(store)
    assert desk.who == "at the terminal"
    desk.engine.dispose()


def test_a_case_for_teaching_leaves_only_with_a_yes(store: str, capsys: pytest.CaptureFixture[str]) -> None:
    desk = care.open_desk(store)
    person = care.new_person(desk, "Zora Label", Person(40, "female", Side.RIGHT), invented=True)
    visit = care.open_visit(desk, care.open_episode(desk, person, Complaint(side=Side.RIGHT, story="told by Zora")))
    care.record_line(desk, visit, "gh post glide 2")
    assert main(["export", "Zora Label", "--for", "teaching", "--store", store]) == 3
    assert "has not agreed to teaching" in capsys.readouterr().err
    care.record_consent(desk, person, "teaching", True, "form", "A. Therapist")
    desk.engine.dispose()
    assert main(["export", "Zora Label", "--for", "teaching", "--store", store]) == 0
    told = capsys.readouterr().out
    assert "For teaching, visit 1" in told
    assert "Zora" not in told
    assert main(["export", "--for", "teaching", "--store", store]) == 1
    assert capsys.readouterr().out.strip() == ""
