"""`endfeel play`: how far a glide goes at three joints, what holds it back, what a change does to it."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest

from endfeel.anatomy.units import mm_from_m
from endfeel.cli.main import main
from endfeel.cli.play import directions_of, read_direction
from endfeel.evidence.library import Library
from endfeel.mechanics import acromioclavicular, arm, default_shoulder, sternoclavicular
from endfeel.mechanics.girdle_ligaments import TISSUE

POSE = ["play", "--elevation", "80", "--plane", "30", "--rotation", "50in", "--direction", "posterior", "--force", "20"]
FEW = [*POSE, "--people", "10"]
AC = ["play", "--joint", "ac", "--direction", "posterior", "--force", "70", "--people", "10"]


def told(capsys: pytest.CaptureFixture[str], *words: str) -> dict[str, Any]:
    assert main([*words, "--json"]) == 0
    answer: dict[str, Any] = json.loads(capsys.readouterr().out)
    return answer


def test_json_has_the_glide_as_the_model_has_it(capsys: pytest.CaptureFixture[str], library: Library) -> None:
    answer = told(capsys, *FEW)
    glide = default_shoulder(library).translation(arm(80, 30, 50), "posterior", 20.0)
    assert answer["translation_mm"] == pytest.approx(float(glide.along_mm[0]), abs=0.001)
    assert answer["seated"] is True
    assert answer["converged"] is True
    bands = {band["id"]: band for band in answer["bands"]}
    for place, name in enumerate(glide.bands.names):
        assert bands[name]["tension_N"] == pytest.approx(float(glide.bands.tension_n[0, place]), abs=0.001)
    shares = sum(band["share_of_force"] for band in answer["bands"]) + answer["surface_share"]
    assert shares == pytest.approx(1.0, abs=0.002)
    assert set(answer["bands_loaded"]) == {name for name, band in bands.items() if band["tension_N"] > 1.0}
    spread = answer["translation_in_people_mm"]
    assert spread["low"] <= spread["median"] <= spread["high"]
    assert answer["release"] == library.release
    assert answer["figures"]


def test_harder_goes_further(capsys: pytest.CaptureFixture[str]) -> None:
    alone = [*POSE[:-1], "10", "--people", "0"], [*POSE, "--people", "0"]
    softly, hard = (told(capsys, *words)["translation_mm"] for words in alone)
    assert 0.0 < softly < hard


def test_where_the_head_slips_out_the_force_that_it_bears_is_told(capsys: pytest.CaptureFixture[str]) -> None:
    words = ["play", "--elevation", "45", "--direction", "anterior", "--people", "0", "--held", "laboratory", "--force"]
    answer = told(capsys, *words, "200")
    assert answer["seated"] is False
    limit = answer["seated_up_to_N"]
    assert 0.0 < limit < 200.0
    assert told(capsys, *words, f"{limit - 2:.1f}")["seated"] is True
    assert told(capsys, *words, f"{limit + 4:.1f}")["seated"] is False
    assert main([*words, "200"]) == 0
    said = capsys.readouterr().out
    assert "slips over the rim" in said
    assert "share of the force  " not in said


def test_a_change_stands_beside_the_unchanged(capsys: pytest.CaptureFixture[str]) -> None:
    plain = told(capsys, *AC)
    cut = told(capsys, *AC, "--change", "ac_capsule=cut")
    assert cut["without_changes"]["translation_mm"] == plain["translation_mm"]
    assert cut["translation_mm"] > plain["translation_mm"]
    assert main([*AC, "--change", "AC_capsule=cut"]) == 0
    said = capsys.readouterr().out
    assert "without it:" in said
    assert "with it:" in said


@pytest.mark.parametrize(
    ("joint", "module", "direction"),
    [("ac", acromioclavicular, "posterior"), ("sc", sternoclavicular, "inferior_lateral")],
)
def test_the_joints_of_the_clavicle_answer_too(
    joint: str, module: Any, direction: str, capsys: pytest.CaptureFixture[str], library: Library
) -> None:
    words = ["play", "--joint", joint, "--direction", direction, "--force", "50", "--people", "10"]
    answer = told(capsys, *words)
    glide = module.translate(library, direction, 50.0)
    assert answer["translation_mm"] == pytest.approx(float(mm_from_m(glide.along_m)), abs=0.001)
    assert "pose" not in answer
    assert {band["id"] for band in answer["bands"]} == set(module.BANDS)
    for band in answer["bands"]:
        assert (band["elongation_mm"] > 0.0) == (band["tension_N"] > 0.0), band["id"]
        assert band["strain_percent"] == pytest.approx(100.0 * float(glide.strain[band["id"]]), abs=0.001)
    shares = sum(band["share_of_force"] for band in answer["bands"]) + answer["surface_share"]
    assert shares == pytest.approx(1.0, abs=0.01)
    shared = {figure["id"] for figure in answer["figures"] if figure["id"].startswith("mechanics_parameters.")}
    quantities = {row.id: row.text["quantity"] for row in library.tables["mechanics_parameters"]}
    assert {quantities[one.split(".")[1]] for one in shared} == set(TISSUE)  # no labrum, no seal of the shoulder


def test_directions_may_be_joined_in_any_way() -> None:
    for word in ("anteroinferior", "antero-inferior", "anterior inferior", "Anterior-Inferior"):
        assert read_direction(word, "gh") == "anteroinferior"
    assert read_direction("inferior-lateral", "sc") == "inferior_lateral"
    assert [read_direction(word, "gh") for word in ("back", "DOWN", "traction", "ant", "front down")] == [
        "posterior", "inferior", "lateral", "anterior", "anteroinferior"
    ]  # fmt: skip
    assert read_direction("down out", "sc") == "inferior_lateral"
    for joint in ("gh", "ac", "sc"):
        assert [read_direction(name, joint) for name in directions_of(joint)] == list(directions_of(joint))


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        (["--elevation", "60", "--direction", "sideways", "--force", "20"], 1, "anteroinferior"),
        (["--elevation", "60", "--direction", "inferior_lateral", "--force", "20"], 1, "no such direction"),
        (["--elevation", "60", "--direction", "anterior", "--force", "0"], 1, "above 0 to 1000"),
        (["--elevation", "60", "--direction", "anterior", "--force", "hard"], 1, "above 0 to 1000"),
        (["--elevation", "400", "--direction", "anterior", "--force", "20"], 1, "0 to 180 degrees"),
        (["--direction", "anterior", "--force", "20"], 1, "--elevation is missing"),
        (["--joint", "ac", "--elevation", "60", "--direction", "anterior", "--force", "20"], 1, "says nothing"),
        (["--joint", "sc", "--rhythm", "coupled", "--direction", "anterior", "--force", "20"], 1, "--rhythm says"),
        (["--joint", "ac", "--direction", "anterior", "--force", "20", "--change", "conoid=short 900mm"], 1, "smaller"),
        (["--joint", "sc", "--direction", "anterior", "--force", "20", "--change", "conoid=cut"], 3, "SC_anterior"),
    ],
)
def test_what_cannot_be_is_refused_with_what_would_do(
    words: list[str], code: int, said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["play", *words]) == code
    assert said in capsys.readouterr().err


def test_words_carry_marks_caution_and_release(capsys: pytest.CaptureFixture[str], library: Library) -> None:
    assert main(FEW) == 0
    said = capsys.readouterr().out
    assert "head of the humerus on its socket, pushed posterior with 20 N" in said
    assert "‡" in said
    assert "weakest of them practice" in said
    assert "does not diagnose" in said
    assert library.release in said


@pytest.mark.parametrize("word", ["AC", "Acromioclavicular", "ac joint"])
def test_joints_have_more_than_one_name(word: str, capsys: pytest.CaptureFixture[str]) -> None:
    answer = told(capsys, "play", "--joint", word, "--direction", "back", "--force", "70 N", "--people", "0")
    assert answer == told(capsys, *AC, "--people", "0")


def test_a_picture_of_too_much_force_shows_the_positions_under_less(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    drawn = tmp_path / "much.svg"
    much = ["play", "--direction", "inferior", "--force", "300", "--elevation", "20", "--people", "0"]
    assert main([*much, "--svg", str(drawn)]) == 0
    said = drawn.read_text(encoding="utf-8")
    assert "37.5 N by elevation, under 300 N it slips" in said
    with pytest.raises(SystemExit):
        main([*much, "--svg", str(tmp_path / "much.png")])
    assert "much.svg" in capsys.readouterr().err


@pytest.mark.parametrize("words", [[*POSE, "--people", "4"], AC], ids=["head", "acromion"])
def test_the_picture_has_the_curves_in_words(
    words: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    svg = tmp_path / "play.svg"
    assert main([*words, "--svg", str(svg)]) == 0
    assert "picture written" in capsys.readouterr().err
    root = ElementTree.parse(svg).getroot()  # noqa: S314 (our own file)
    told_in_words = "".join(root[1].itertext())
    assert "The force raised step by step" in told_in_words
    assert "of the force" in told_in_words
    names = {"as asked", "hanging"} if words[1] == "--elevation" else {"posterior", "superior"}
    shown = {"".join(one.itertext()) for one in root.iter("{http://www.w3.org/2000/svg}text")}
    assert names <= shown


def test_the_share_command_draws_too(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    svg = tmp_path / "share.svg"
    assert main(["share", "--total", "120", "--other-side", "165", "--gh", "70", "--svg", str(svg), "--json"]) == 0
    parts = json.loads(capsys.readouterr().out)["parts"]
    told_in_words = "".join(ElementTree.parse(svg).getroot()[1].itertext())  # noqa: S314 (our own file)
    for part in parts:
        assert f"{part['joint']}: {part['now_deg']:.0f} of {part['normal_deg']:.0f} degrees remain" in told_in_words


def test_a_bone_that_nothing_holds_finds_no_rest_and_goes_no_way(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    svg = tmp_path / "loose.svg"
    words = [*AC, "--change", "AC_capsule=cut", "--change", "coracoclavicular=cut"]
    assert main([*words, "--svg", str(svg)]) == 0
    said = capsys.readouterr().out
    assert "with it: no rest was found in the mean person" in said
    assert "what holds it back" not in said
    assert "no rest is found" in "".join(ElementTree.parse(svg).getroot().itertext())  # noqa: S314 (our own file)
    assert told(capsys, *words)["converged"] is False


def test_a_push_upward_says_that_no_acromion_stops_it(capsys: pytest.CaptureFixture[str]) -> None:
    push = ["play", "--elevation", "30", "--force", "20", "--people", "0", "--direction"]
    assert any("acromion" in note for note in told(capsys, *push, "up")["notes"])
    assert not any("acromion" in note for note in told(capsys, *push, "down")["notes"])


def test_a_push_where_no_hand_gets_says_so(capsys: pytest.CaptureFixture[str]) -> None:
    push = ["play", "--direction", "anterior", "--force", "15", "--people", "0", "--elevation"]
    far = told(capsys, *push, "180", "--plane", "40", "--frame", "thorax")
    assert far["seated"] is True
    assert any("No hand takes" in note and "Bigliani 1992" in note for note in far["notes"])
    assert not any("No hand takes" in note for note in told(capsys, *push, "60")["notes"])


def test_traction_is_told_once_and_an_opened_joint_has_no_suction(capsys: pytest.CaptureFixture[str]) -> None:
    pull = ["play", "--elevation", "30", "--direction", "traction", "--force", "60", "--people", "0"]
    assert main([*pull, "--held", "vented"]) == 0
    said = capsys.readouterr().out
    assert "away from the joint" not in said
    assert "suction" not in said
    assert main(pull) == 0
    assert "suction" in capsys.readouterr().out


def test_a_range_of_few_people_is_neither_told_nor_drawn(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    svg = tmp_path / "few.svg"
    assert main([*AC[:-1], "3", "--svg", str(svg)]) == 0
    assert "nine in ten" not in capsys.readouterr().out
    assert "nine in ten" not in svg.read_text(encoding="utf-8")
