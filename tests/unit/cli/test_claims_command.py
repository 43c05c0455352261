"""`endfeel claims`: words with sources, one JSON object, tables, clear faults."""

from __future__ import annotations

import json

import pytest

from endfeel.cli.main import main
from endfeel.evidence.library import Library

FEW = ["claims", "--people", "12"]


def test_words_carry_labels_caution_and_release(capsys: pytest.CaptureFixture[str], library: Library) -> None:
    assert main([*FEW, "--position", "abducted"]) == 0
    said = capsys.readouterr().out
    assert "abducted, turned outward" in said
    assert "neutral" not in said.partition("Taut:")[0]
    assert "trade ‡taut" in said
    assert "Massimini 2012 (rs026, read)" in said
    assert "(rs107, memory)" in said
    assert "does not diagnose" in said
    assert library.release in said


def test_json_is_one_object_with_all_three_voices(capsys: pytest.CaptureFixture[str], library: Library) -> None:
    assert main([*FEW, "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["release"] == library.release
    assert (told["people"], told["seed"]) == (12, 0)
    claimed = [cell for cell in told["stress_tests"] if cell["trade"]]
    assert len(claimed) == sum(1 for row in library.tables["claims"] if row.text.get("rotation"))
    for cell in told["stress_tests"]:
        assert 0.0 <= cell["taut_probability"] <= 1.0
        assert cell["provenance"] == "practice"
        assert all(study["source"] and study["provenance"] for study in cell["studies"])
    assert any(claim["agrees"] for claim in told["claims"])
    assert not all(claim["agrees"] for claim in told["claims"])
    assert any("does not diagnose" in caution for caution in told["cautions"])


def test_one_band_in_every_position(capsys: pytest.CaptureFixture[str]) -> None:
    assert main([*FEW, "--band", "middle_GHL", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert {cell["band"] for cell in told["stress_tests"]} == {"middle_GHL"}
    assert len(told["stress_tests"]) == 10


def test_tables_for_a_document(capsys: pytest.CaptureFixture[str]) -> None:
    assert main([*FEW, "--table"]) == 0
    said = capsys.readouterr().out
    assert "| position, turn | band | trade |" in said
    assert "humeral head follows an arc" in said


@pytest.mark.parametrize(
    ("words", "fault"),
    [(["--position", "upside"], "upside"), (["--band", "nothing"], "nothing"), (["--people", "0"], "at least 1")],
)
def test_what_cannot_be_is_told_with_what_would_do(
    words: list[str], fault: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main([*FEW, *words]) == 1
    assert fault in capsys.readouterr().err
