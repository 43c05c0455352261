"""`endfeel follow`: CSV, JSON and case files over several visits; every fault named with its place."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from endfeel.cli.main import main

CSV = """date,measure,answers,total,occasion,activities,instrument
2026-03-02,spadi,8 7 7 6 8 5 6 6 7 5 4 6 5,,,,
2026-03-02,nprs,,6,movement,,
2026-03-02,psfs,2 3 4,,,comb hair;lift a pan;sleep on it,
2026-04-27,spadi,3 3 2 2 3 2 2 - 2 1 1 2 2,,,,
2026-04-27,nprs,,2,movement,,
2026-04-27,psfs,8 7 -,,,comb hair;lift a pan;sleep on it,
"""
JSON = {
    "visits": [
        {"date": "2026-03-02", "measures": [{"measure": "dash", "total": 60}], "instrument": "goniometer",
         "findings": ["act abd right 90"]},
        {"date": "2026-05-02", "measures": [{"measure": "dash", "total": 30}], "instrument": "goniometer",
         "findings": ["act abd right 160"]},
    ]
}  # fmt: skip


def write(folder: Path, name: str, text: str) -> str:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return str(path)


def followed(capsys: pytest.CaptureFixture[str], *words: str) -> dict[str, object]:
    assert main(["follow", *words, "--json", "--today", "2026-12-01"]) == 0
    told: dict[str, object] = json.loads(capsys.readouterr().out)
    return told


def test_a_csv_of_two_visits_is_followed(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    told = followed(capsys, write(tmp_path, "course.csv", CSV), "--svg", str(tmp_path))
    measures = told["measures"]
    assert isinstance(measures, list)
    assert [(one["id"], one["verdict"]) for one in measures] == [
        ("spadi", "better"), ("nprs-movement", "better"), ("psfs", "better"),
    ]  # fmt: skip
    assert measures[2]["readings"][1]["value"] == 7.5
    assert all(one["figures"][0]["provenance"] in ("read", "memory", "practice") for one in measures)
    assert sorted(path.name for path in tmp_path.glob("*.svg")) == ["nprs-movement.svg", "psfs.svg", "spadi.svg"]
    drawn = (tmp_path / "spadi.svg").read_text(encoding="utf-8")
    assert "verdict: better" in drawn
    assert "style=" not in drawn


def test_json_holds_findings_beside_totals(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    told = followed(capsys, write(tmp_path, "course.json", json.dumps(JSON)))
    assert isinstance(told["measures"], list)
    assert [one["id"] for one in told["measures"]] == ["dash", "act_abduction-right-goniometer"]


def test_in_words_every_line_says_its_verdict_and_source(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["follow", write(tmp_path, "course.csv", CSV), "--today", "2026-12-01"]) == 0
    said = capsys.readouterr().out
    assert said.count(" - better, and it matters") == 3
    assert "DISCHARGE" in said
    assert "[practice; " in said


BAD = [
    ("nothing.csv", "", "nothing is written"),
    ("a.csv", "day,measure\n", "not the columns of a course"),
    ("b.csv", "date,measure,total\n2026-03-02,spadi,x\n", "b.csv:2: total: not a number"),
    ("c.csv", "date,measure,total\n2026-03-02,spadi,20\n2026-02-02,spadi,10\n", "c.csv:3: date: before the line above"),
    ("d.csv", "date,measure,total\n2027-03-02,spadi,20\n", "has not come yet"),
    ("e.csv", "date,measure,total\n2026-03-02,spadi,120\n", "outside the scale"),
    ("f.csv", "date,measure,total\n2026-03-02,spodi,20\n", "f.csv:2: spodi: no outcome measure"),
    ("g.csv", "date,measure,total\n2026-03-02,nprs,20\n", "what the number is about"),
    (
        "h.csv",
        "date,measure,total,instrument\n2026-03-02,spadi,20,paper\n2026-04-02,spadi,20,100 mm line\n",
        "another instrument than before",
    ),
    (
        "m.csv",
        "date,measure,answers,activities\n2026-03-02,psfs,1 2 3,a;b;c\n2026-04-02,psfs,1 2 3,a;b;d\n",
        "other activities than before",
    ),
    ("i.json", "{", "not JSON"),
    ("j.json", '{"visits": []}', "no visits in it"),
    ("k.json", '{"visits": [{"date": "soon"}]}', "not a day"),
    ("l.csv", "date,measure,occasion,total\n2026-03-02,nprs,noon,3\n", "no such word"),
    ("n.json", '[{"date": "2026-03-02", "measures": {}}]', "n.json:1: measures: not a list"),
    ("o.json", '[{"date": "2026-03-02", "findings": "gh er 0 30"}]', "o.json:1: findings: not a list"),
    ("p.json", '[{"date": "2026-03-02", "review": "maybe"}]', "p.json:1: review: no such word"),
    ("q.csv", "date,measure,total\n2026-03-02,spadi,120\n", "q.csv:2: spadi: total outside the scale"),
]


def test_a_review_in_a_file_is_not_due_again(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = '[{"date": "2026-03-02"}, {"date": "2026-04-02", "measures": null, "review": "carry_on"}]'
    assert main(["follow", write(tmp_path, "r.json", text), "--today", "2026-12-01"]) == 0
    assert "REVIEW" not in capsys.readouterr().out
    assert main(["follow", write(tmp_path, "s.json", text.replace("carry_on", "")), "--today", "2026-12-01"]) == 0
    assert "REVIEW" in capsys.readouterr().out


@pytest.mark.parametrize(("name", "text", "said"), BAD)
def test_what_cannot_be_read_is_told_with_its_place(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], name: str, text: str, said: str
) -> None:
    assert main(["follow", write(tmp_path, name, text), "--today", "2026-12-01"]) == 1
    assert said in capsys.readouterr().err


def test_safety_of_the_last_case_comes_before_every_rule(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    case = write(tmp_path, "case.txt", "age: 61\nside: right\nonset: sudden\nyes: tearing_pain\nact abd 90\n")
    assert main(["follow", "--visit", f"2026-03-02={case}", "--today", "2026-12-01"]) == 0
    assert "Safety comes before every rule" in capsys.readouterr().out
    assert main(["follow", "--visit", f"2026-03-02={case}", "--today", "2026-12-01", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["urgency"] == "emergency"
    assert main(["follow", "--visit", f"soon={case}"]) == 1
    assert "not a day" in capsys.readouterr().err


def test_without_a_visit_it_says_what_would_do(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["follow"]) == 1
    assert "a CSV or JSON file" in capsys.readouterr().err


def test_the_words_a_fault_offers_can_be_written_and_outlook_is_told_both_ways(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    rest = write(tmp_path, "rest.csv", "date,measure,total,occasion\n2026-03-02,nprs,7,at rest\n2026-03-02,spadi,60,\n")
    told = followed(capsys, rest, "--outlook", "expectation=slight", "--outlook", "work=retired")
    assert told["outlook"] == {"expectation": "slight", "work": "retired"}
    visit = {"date": "2026-03-02", "measures": [{"measure": "spadi", "total": 60}], "outlook": {"work": "retired"}}
    file = write(tmp_path, "o.json", json.dumps({"visits": [visit]}))
    assert followed(capsys, file)["outlook"] == {"work": "retired"}
    later = {"date": "2026-03-16", "measures": [{"measure": "spadi", "total": 52}]}
    for first, second in ((visit, later), (later, visit)):
        days = [first | {"date": "2026-03-02"}, second | {"date": "2026-03-16"}]
        both = write(tmp_path, "both.json", json.dumps({"visits": days}))
        told = followed(capsys, both, "--outlook", "expectation=slight")
        assert told["outlook"] == {"work": "retired", "expectation": "slight"}
        assert followed(capsys, both, "--outlook", "work=without")["outlook"] == {"work": "without"}
    assert main(["follow", file, "--outlook", "work=often"]) == 1
    assert "employed, retired, without" in capsys.readouterr().err
    assert main(["follow", rest, "--outlook", "work=retired", "--today", "2026-12-01"]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "by what else foretells: more pain at rest than is usual (7): +7.6" in said
    assert re.search(r"moved \+\d+\.\d \S+ \(95 %: give or take \d+\.\d\) by what else", said)


def test_a_case_file_with_one_sign_alone_does_not_change_the_group(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    first = Path(__file__).parents[3] / "stories" / "first_visit.txt"
    text = "invented: yes\nage: 54\nsex: female\nside: right\nonset: gradual\nweeks: 16\nfinding: act flex right 150\n"
    second = write(tmp_path, "second.txt", text)
    course = write(tmp_path, "spadi.csv", "date,measure,total\n2026-03-02,spadi,60\n")
    told = followed(capsys, course, "--visit", f"2026-03-02={first}", "--visit", f"2026-03-09={second}")
    assert isinstance(told["measures"], list)
    assert told["measures"][0]["forecasts"][0]["course"] == "frozen_spadi"
