"""`endfeel restraint`: every band at a position, as words, as JSON, as a picture; impossible positions refused."""

from __future__ import annotations

import json
import resource
import subprocess
import sys
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest

from endfeel.cli.main import main
from endfeel.evidence.library import Library
from endfeel.mechanics import arm, default_shoulder
from endfeel.mechanics.cuff import cuff_names
from endfeel.mechanics.parameters import BANDS

POSE = ["restraint", "--elevation", "80", "--plane", "30", "--rotation", "60"]
FEW = [*POSE, "--people", "12"]


def told(capsys: pytest.CaptureFixture[str], *words: str) -> dict[str, Any]:
    assert main([*words, "--json"]) == 0
    answer: dict[str, Any] = json.loads(capsys.readouterr().out)
    return answer


def test_json_has_every_band_as_the_model_has_it(capsys: pytest.CaptureFixture[str], library: Library) -> None:
    answer = told(capsys, *FEW)
    bands = default_shoulder(library).bands_at(arm(80, 30, 60))
    assert [band["id"] for band in answer["bands"]] == [*BANDS, *cuff_names(library)]
    for place, band in enumerate(answer["bands"]):
        assert band["strain_percent"] == pytest.approx(bands.strain_percent[0, place], abs=0.001)
        assert band["elongation_mm"] == pytest.approx(bands.elongation_mm[0, place], abs=0.001)
        assert band["tension_N"] == pytest.approx(bands.tension_n[0, place], abs=0.001)
        assert 0.0 <= band["people"]["taut"] <= 1.0
        assert band["people"]["tension_N"]["low"] <= band["people"]["tension_N"]["high"]
        assert band["taut"] == (band["tension_N"] > answer["taut_above_N"])
    assert sum(band["share"] for band in answer["bands"]) == pytest.approx(1.0, abs=0.001)
    assert answer["release"] == library.release
    assert answer["converged"] is True
    assert answer["people"]["drawn"] == 12
    assert answer["provenance"] == "practice"
    assert {figure["provenance"] for figure in answer["figures"]} == {"read", "memory", "practice"}
    assert "does not diagnose" in answer["caution"]


def test_the_same_question_has_the_same_answer_and_people_can_be_left_out(capsys: pytest.CaptureFixture[str]) -> None:
    assert told(capsys, *FEW) == told(capsys, *FEW)
    alone = told(capsys, *POSE, "--people", "0")
    assert alone["people"] is None
    assert all("people" not in band for band in alone["bands"])


def test_rotation_may_say_in_or_out(capsys: pytest.CaptureFixture[str]) -> None:
    alone = ["restraint", "--elevation", "80", "--people", "0", "--rotation"]
    assert told(capsys, *alone, "60out")["bands"] == told(capsys, *alone, "-60")["bands"]
    assert told(capsys, *alone, "60 inward")["bands"] == told(capsys, *alone, "60,0")["bands"]
    assert told(capsys, *alone, "60in")["bands"] != told(capsys, *alone, "60out")["bands"]


def test_planes_and_turns_may_be_said_in_words(capsys: pytest.CaptureFixture[str]) -> None:
    """A plane of the trunk is counted from the trunk without being told so; one of the blade from the blade."""
    alone = ["restraint", "--people", "0", "--elevation", "70"]
    for word, degrees in (("flexion", "90"), ("Abduction", "0"), ("extension", "-90")):
        said = told(capsys, *alone, "--plane", word)
        assert said["pose"] == told(capsys, *alone, "--frame", "Trunk", "--plane", degrees)["pose"]
    assert told(capsys, *alone, "--plane", "scapular")["pose"] == told(capsys, *alone)["pose"]
    on_trunk = told(capsys, *alone, "--plane", "scaption", "--frame", "thorax")["pose"]
    assert 30.0 <= on_trunk["plane_deg"] <= 45.0
    out = told(capsys, *alone, "--rotation", "30out", "--side", "L")["pose"]
    for word in ("external 30", "30° lateral", "ER30"):
        assert told(capsys, *alone, "--rotation", word)["pose"] == out
    short = told(capsys, *alone, "--change", "axillary pouch=shortened by 10%")["bands"]
    assert short == told(capsys, *alone, "--change", "axillary_pouch=short 10%")["bands"]


def test_on_the_thorax_the_blade_takes_its_part(capsys: pytest.CaptureFixture[str]) -> None:
    answer = told(capsys, "restraint", "--elevation", "90", "--plane", "40", "--frame", "thorax", "--people", "5")
    assert 45.0 < answer["pose"]["on_scapula"]["elevation_deg"] < 80.0
    assert any(figure["id"].startswith("kinematics.") for figure in answer["figures"])
    assert main(["restraint", "--elevation", "9", "--frame", "thorax", "--rhythm", "waltz"]) == 3
    assert "bone_pins" in capsys.readouterr().err


def test_a_change_does_what_it_says(capsys: pytest.CaptureFixture[str]) -> None:
    alone = [*POSE, "--people", "0"]
    whole = {band["id"]: band for band in told(capsys, *alone)["bands"]}
    cut = {band["id"]: band for band in told(capsys, *alone, "--change", "axillary pouch=cut")["bands"]}
    assert whole["axillary_pouch"]["tension_N"] > 0.0
    assert cut["axillary_pouch"]["tension_N"] == 0.0
    short = told(capsys, *alone, "--change", "Posterior capsule, lower=short 10%", "--change", "middle_GHL=short 2mm")
    tight = {band["id"]: band for band in short["bands"]}
    assert tight["posterior_capsule_inferior"]["strain_percent"] > whole["posterior_capsule_inferior"]["strain_percent"]
    assert tight["middle_GHL"]["elongation_mm"] > whole["middle_GHL"]["elongation_mm"] + 1.0
    assert short["changes"] == ["Posterior capsule, lower=short 10%", "middle_GHL=short 2mm"]
    muscle = told(capsys, *alone, "--change", "latissimus_teres_major=short 20%")
    assert muscle["bands"][-1]["id"] == "latissimus_teres_major"


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        (["--elevation", "400"], 1, "0 to 180 degrees"),
        (["--plane", "flexion"], 1, "--elevation is missing"),
        (["--elevation", "60", "--plane", "sideweys"], 1, "abduction, scapular, flexion"),
        (["--elevation", "60", "--plane", "flexion", "--frame", "scapula"], 1, "--frame thorax"),
        (["--elevation", "60", "--rotation", "ER 60 out"], 1, "such as"),
        (["--elevation", "-5"], 1, "0 to 180 degrees"),
        (["--elevation", "60", "--plane", "200"], 1, "−90 to 180 degrees"),
        (["--elevation", "60", "--rotation", "190"], 1, "−180 to 180 degrees"),
        (["--elevation", "60", "--rotation=-5in"], 1, "--rotation"),
        (["--elevation", "60out"], 1, "--elevation"),
        (["--elevation", "nan"], 1, "--elevation"),
        (["--elevation", "60", "--people", "-1"], 1, "0 to 5000"),
        (["--elevation", "60", "--change", "axillary_pouch"], 1, "STRUCTURE=HOW"),
        (["--elevation", "60", "--change", "axillary_pouch=short 100%"], 1, "by less than 100%"),
        (["--elevation", "60", "--change", "axillary_pouch=cut 5%"], 1, "STRUCTURE=HOW"),
        (["--elevation", "60", "--change", "axillary_pouch=short 900mm"], 1, "smaller change"),
        (["--elevation", "60", "--change", "big toe=cut"], 3, "there are: superior_GHL"),
    ],
)
def test_what_cannot_be_is_refused_with_what_would_do(
    words: list[str], code: int, said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["restraint", *words]) == code
    captured = capsys.readouterr()
    assert said in captured.err
    assert captured.out == ""


def test_every_fault_is_named_at_once(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["restraint", "--elevation", "400", "--plane", "x", "--rotation", "999", "--change", "a"]) == 1
    assert len(capsys.readouterr().err.splitlines()) == 4


def test_a_position_that_no_hand_reaches_is_called_so(capsys: pytest.CaptureFixture[str]) -> None:
    far = told(capsys, "restraint", "--elevation", "175", "--people", "0")
    assert any("No hand takes" in note and "Bigliani 1992" in note for note in far["notes"])
    near = told(capsys, "restraint", "--elevation", "45", "--people", "0")
    assert not any("No hand takes" in note for note in near["notes"])


def test_words_carry_range_sources_caution_and_release(capsys: pytest.CaptureFixture[str], library: Library) -> None:
    assert main(FEW) == 0
    said = capsys.readouterr().out
    assert "arm raised 80°, 30° in front of the plane of the blade, turned 60° inward" in said
    assert "axillary pouch" in said
    assert "nine in ten" in said
    assert "weakest of them practice" in said
    assert "does not diagnose" in said
    assert library.release in said
    assert main([*FEW, "--sources"]) == 0
    assert "Bigliani" in capsys.readouterr().out


def test_pictures_are_written_and_say_so(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    svg, png = tmp_path / "bands.svg", tmp_path / "bands.png"
    assert main([*FEW, "--side", "left", "--svg", str(svg), "--png", str(png), "--json"]) == 0
    captured = capsys.readouterr()
    json.loads(captured.out)
    assert captured.err.count("picture written") == 2
    root = ElementTree.parse(svg).getroot()  # noqa: S314 (our own file)
    assert "Left shoulder" in "".join(root[0].itertext())
    image = png.read_bytes()
    assert image.startswith(b"\x89PNG\r\n\x1a\n")
    assert int.from_bytes(image[16:20], "big") == 2000
    assert main([*POSE, "--people", "0", "--svg", str(tmp_path / "none" / "bands.svg")]) == 1
    assert "cannot use" in capsys.readouterr().err


def test_cold_start_is_quick_and_brings_no_heavy_library() -> None:
    script = (
        "import sys; from endfeel.cli.main import main; code = main(sys.argv[1:]);"
        "heavy = {'scipy', 'numba', 'matplotlib', 'sqlalchemy', 'fastapi', 'typst'} & set(sys.modules);"
        "print('heavy:', sorted(heavy)); sys.exit(code)"
    )
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    done = subprocess.run([sys.executable, "-c", script, *POSE], capture_output=True, text=True, check=True)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    worked = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    assert "heavy: []" in done.stdout
    assert worked < 2.0  # seconds of one core; about 0.7 on an idle machine, more where cores are shared


def test_a_cut_band_is_called_cut_and_not_drawn(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Also where it would be slack, and where it would be taut: a divided band has neither strain nor step."""
    words = ["restraint", "--elevation", "60", "--rotation", "110out", "--people", "0", "--change", "whole_capsule=cut"]
    svg = tmp_path / "bands.svg"
    answer = told(capsys, *words, "--svg", str(svg))
    assert [band["cut"] for band in answer["bands"]] == [True] * len(BANDS) + [False] * 4
    drawn = svg.read_text(encoding="utf-8")
    assert "polyline" not in drawn.partition("</desc>")[2].partition("Strain of a fibre")[0]
    assert drawn.partition("</desc>")[0].count(": cut") == len(BANDS)
    assert not any("plays freely" in note for note in answer["notes"])
    assert main(words) == 0
    lines = {line[2:36].strip(): line for line in capsys.readouterr().out.splitlines() if line.startswith("  ")}
    assert lines["axillary pouch"].endswith("cut")
    assert lines["superior glenohumeral"].endswith("cut")
    assert "%" in lines["subscapularis, at rest"]


def test_muscles_may_be_called_by_their_names(capsys: pytest.CaptureFixture[str]) -> None:
    alone = [*POSE, "--people", "0", "--change"]
    short = told(capsys, *alone, "cuff_subscapularis=short 10%")["bands"]
    for name in ("subscapularis", "Subscapularis, at rest"):
        assert told(capsys, *alone, f"{name}=short 10%")["bands"] == short
    far = told(capsys, *alone, "latissimus with teres major=short 20%")["bands"]
    assert far == told(capsys, *alone, "latissimus_teres_major=short 20%")["bands"]
