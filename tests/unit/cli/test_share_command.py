"""`endfeel share`: readable words, one JSON object, clear faults, quick and cold."""

from __future__ import annotations

import json
import subprocess
import sys

import pytest

from endfeel.cli.main import main
from endfeel.evidence.library import Library

EXAMPLE = ["share", "--plane", "40", "--total", "120", "--normal-side", "165", "--gh", "70", "--scapula", "35"]


def test_words_carry_sources_caution_and_release(capsys: pytest.CaptureFixture[str], library: Library) -> None:
    assert main(EXAMPLE) == 0
    said = capsys.readouterr().out
    assert "glenohumeral" in said
    assert "Measured 120° of 165° on the other side" in said
    assert "Henninger" in said
    assert "[read]" in said
    assert "[practice]" in said
    assert "does not diagnose" in said
    assert library.release in said


def test_json_is_one_object_and_its_parts_add_up(capsys: pytest.CaptureFixture[str], library: Library) -> None:
    assert main([*EXAMPLE, "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["release"] == library.release
    assert sum(part["lost_deg"] for part in told["parts"]) == pytest.approx(told["lost_deg"], abs=0.05)
    assert sum(part["share"] for part in told["parts"]) == pytest.approx(1.0, abs=0.001)
    for part in told["parts"]:
        assert part["low_deg"] < part["lost_deg"] < part["high_deg"]
        assert part["figures"]
    assert [reading["of"] for reading in told["readings"]] == ["total", "other side", "glenohumeral", "scapula"]
    assert all(reading["error_from"] == "read" and reading["figures"] for reading in told["readings"])
    for figure in told["figures"]:
        assert library.figure(figure["id"]).provenance.label == figure["provenance"]
        assert figure["source"]


def test_a_loss_within_error_gets_no_shares(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["share", "--total", "163", "--other-side", "165", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["beyond_error"] is False
    assert all(part["share"] is None for part in told["parts"])


def test_stated_errors_and_decimal_commas_are_read(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["share", "--total", "120,5±2", "--other-side", "165+-2", "--gh", "70±3"]) == 0
    said = capsys.readouterr().out
    assert "total 120.5 ± 2 (stated); other side 165 ± 2 (stated); glenohumeral 70 ± 3 (stated)" in said


def test_clashing_readings_are_pointed_out(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["share", "--total", "120±2", "--other-side", "165±2", "--gh", "90±2", "--scapula", "80±2"]) == 0
    assert "no shoulder gives these readings together" in capsys.readouterr().out


def test_every_fault_is_named_at_once(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["share", "--total", "lots", "--gh", "700", "--scapula", "35±0"]) == 1
    said = capsys.readouterr().err
    assert said.count("is not an angle") == 3
    assert main(["share", "--total", "120", "--plane", "sideways"]) == 1
    assert "abduction, scapular, flexion" in capsys.readouterr().err
    assert main(["share", "--total", "40", "--movement", "inward"]) == 1
    assert "--other-side" in capsys.readouterr().err
    assert main(["share", "--total", "40", "--movement", "outward", "--thorax", "5"]) == 1
    assert "--thorax says nothing" in capsys.readouterr().err
    assert main(["share", "--total", "120", "--rhythm", "waltz"]) == 3
    assert "there are: bone_pins" in capsys.readouterr().err


def test_the_trades_words_are_read_and_what_says_nothing_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    def told(*words: str) -> object:
        assert main(["share", *words, "--json"]) == 0
        return json.loads(capsys.readouterr().out)

    assert told("--total", "120 deg", "--plane", "Abduction") == told("--total", "120", "--plane", "frontal")
    outward = told("--total", "30", "--movement", "outward")
    assert outward == told("--total", "30°", "--movement", "External rotation", "--arm", "Side")
    for words, said in (
        (["--total", "-20"], "not raised below hanging"),
        (["--total", "120", "--arm", "abducted"], "--arm says nothing"),
        (["--total", "30", "--movement", "outward", "--plane", "flexion"], "--plane says nothing"),
    ):
        assert main(["share", *words]) == 1
        assert said in capsys.readouterr().err


def test_turning_speaks_of_the_scapula(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["share", "--movement", "outward", "--arm", "abducted", "--total", "50"]) == 0
    said = capsys.readouterr().out
    assert "turning the arm outward, arm abducted" in said
    assert "scapula on thorax" in said


@pytest.mark.parametrize("rhythm", ["fluoroscopy", "bone_pins", "regression", "coupled", "two_to_one"])
@pytest.mark.parametrize("plane", ["abduction", "scapular", "flexion"])
def test_the_glenohumeral_joint_is_named_whatever_the_rhythm_and_plane(
    rhythm: str, plane: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """Two thirds of the glenohumeral motion gone: no published rhythm can blame another joint."""
    words = ["share", "--total", "100", "--other-side", "165", "--gh", "42±4", "--plane", plane, "--rhythm", rhythm]
    assert main([*words, "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    parts = {part["joint"]: part for part in told["parts"]}
    assert max(parts, key=lambda name: parts[name]["lost_deg"]) == "glenohumeral"
    assert parts["glenohumeral"]["low_deg"] > 0


def test_a_cold_start_brings_no_heavy_library() -> None:
    script = (
        "import sys; from endfeel.cli.main import main; code = main(sys.argv[1:]);"
        "heavy = {'scipy', 'numba', 'matplotlib', 'sqlalchemy', 'fastapi'} & set(sys.modules);"
        "print('heavy:', sorted(heavy)); sys.exit(code)"
    )
    done = subprocess.run([sys.executable, "-c", script, *EXAMPLE], capture_output=True, text=True, check=True)
    assert "heavy: []" in done.stdout


def test_a_gain_is_no_loss_to_share(capsys: pytest.CaptureFixture[str]) -> None:
    words = ["share", "--total", "165", "--other-side", "120"]
    assert main(words) == 0
    said = capsys.readouterr().out
    assert "Nothing is lost, the arm goes farther: no shares are given." in said
    assert "lost ‡−45°" in said
    assert main([*words, "--json"]) == 0
    assert all(part["share"] is None for part in json.loads(capsys.readouterr().out)["parts"])


def test_what_moves_the_total_is_said_as_it_is(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["share", "--total", "0", "--other-side", "165"]) == 0
    assert "what was measured of the joints" not in capsys.readouterr().out
    assert main(["share", "--total", "120", "--other-side", "165", "--gh", "100", "--scapula", "100"]) == 0
    assert "what was measured of the joints moves it" in capsys.readouterr().out
