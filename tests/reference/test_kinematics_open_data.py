"""The girdle against open data of people raising the arm, read where they lie.

Moissenet et al. 2025, J Biomech, https://doi.org/10.1016/j.jbiomech.2025.112642, under GPL-3.0: not part of this
project. Looked for in the folder ENDFEEL_KINEMATICS, else beside the repository; where absent these tests say so and
the published means (test_kinematics_published) still run.
"""

from __future__ import annotations

import csv
import os
from pathlib import Path

import numpy as np
import pytest

from endfeel.anatomy.agreement import Agreement, compared, open_data
from endfeel.anatomy.rhythm import find_rhythm
from endfeel.anatomy.sizes import default_sizes
from endfeel.evidence.library import Library

BESIDE = Path(__file__).resolve().parents[3] / "shared" / "data" / "kinematics"
FILE = Path(os.environ.get("ENDFEEL_KINEMATICS", str(BESIDE))) / "girdle_elevation_rotations.csv"


@pytest.fixture(scope="module")
def rows() -> list[dict[str, str]]:
    if not FILE.is_file():
        pytest.skip(f"open kinematics data absent: {FILE} (set ENDFEEL_KINEMATICS)")
    with FILE.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def found(rows: list[dict[str, str]], library: Library, rhythm: str) -> dict[tuple[str, str], Agreement]:
    cells = open_data(rows, library)
    result = compared(cells, find_rhythm(library, rhythm), default_sizes(library), library)
    return {(one.study, one.quantity): one for one in result}


def test_twenty_people_step_by_step(rows: list[dict[str, str]], library: Library) -> None:
    """Henninger 2020, per person, every 10 from 30 to 120, three planes: spread between those 20 people."""
    agreement = {
        quantity: one
        for (study, quantity), one in found(rows, library, "bone_pins").items()
        if study == "Henninger2020"
    }
    assert len(agreement) == 6
    assert all(one.judged == 30 for one in agreement.values())
    for quantity in ("ST upward rotation", "ST tilt", "GH elevation", "GH axial rotation"):
        assert agreement[quantity].within == 30, quantity
    assert agreement["GH plane of elevation"].within >= 29
    # internal rotation is the weakest: five cells below 60 in the scapular and sagittal planes lie outside
    assert {(plane, at) for plane, at in agreement["ST internal rotation"].outside} == {
        ("scapular", 30.0), ("scapular", 40.0), ("sagittal", 30.0), ("sagittal", 40.0), ("sagittal", 50.0),
    }  # fmt: skip


def test_all_independent_studies_together(rows: list[dict[str, str]], library: Library) -> None:
    """Six studies that the default was not made from: three quarters of all cells within one SD between people."""
    others = [one for one in found(rows, library, "bone_pins").values() if not one.is_own and one.judged]
    assert {one.study for one in others} >= {"Henninger2020", "Chu2012", "Bourne2003", "Begon2014", "Karduna2000"}
    within, judged = sum(one.within for one in others), sum(one.judged for one in others)
    assert judged > 300
    assert within / judged > 0.74


def test_the_table_of_the_evidence_is_that_of_the_data(rows: list[dict[str, str]], library: Library) -> None:
    """The means in the evidence (computed from these curves) against the mean of the rows, 0.1 rounding."""
    cells = {
        (cell.quantity, cell.plane, cell.elevation_deg): cell.mean_deg
        for cell in open_data(rows, library)
        if cell.study == "Henninger2020"
    }
    for row in library.tables["kinematics"]:
        elevation = row.figures.get("elevation_deg")
        if row.text["study"] != "henninger2020" or elevation is None or not row.text.get("plane"):
            continue
        key = (row.text["quantity"], row.text["plane"], float(elevation.text))
        if key in cells:
            assert cells[key] == pytest.approx(float(row.figures["value"].text), abs=0.3), row.id


def test_what_one_joint_gives_less_the_other_gives_more(rows: list[dict[str, str]]) -> None:
    """The assumption of sharing: at one elevation scapula and glenohumeral joint run against each other."""
    curves: dict[tuple[str, float], dict[str, dict[str, float]]] = {}
    for row in rows:
        if row["study"] == "Henninger2020" and row["rot2_deg"]:
            at = (row["motion"], float(row["humerothoracic_angle_deg"]))
            curves.setdefault(at, {}).setdefault(row["shoulder_id"], {})[row["joint"]] = float(row["rot2_deg"])
    checked = 0
    for (_, elevation), people in curves.items():
        pairs = [(one["scapulothoracic"], one["glenohumeral"]) for one in people.values() if len(one) == 2]
        if 30.0 <= elevation <= 120.0:
            correlation = np.corrcoef(np.array(pairs).T)[0, 1]
            assert -1.0 <= correlation < -0.66
            checked += 1
    assert checked == 30
