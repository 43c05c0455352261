"""The AC and SC joints against a general solver, against published restraint, and against claims of the trade.

Solver: SciPy `minimize` (BFGS) on the same stored energy, 200 random cases. Publications and claims:
the rows named in each case, judged by `girdle_checks`; what disagrees is expected to disagree and is written in
docs/girdle_joints.md, so that a change of the model in either direction shows here.
"""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from endfeel.evidence.library import Library
from endfeel.mechanics import acromioclavicular as ac
from endfeel.mechanics import sternoclavicular as sc
from endfeel.mechanics.girdle_checks import CHECKS, SILENT, Verdict, girdle_verdicts
from endfeel.mechanics.ligament_springs import (
    LEVER_M,
    SLIDING,
    SLIDING_AND_TURNING,
    Facet,
    Fibres,
    SpringJoint,
    energy_and_slopes,
    load_of,
    settle,
)

ROOT = Path(__file__).resolve().parents[2]


def one_of(joint: SpringJoint, place: int) -> SpringJoint:
    """One person out of a population."""
    fibres, facet = joint.fibres, joint.facet
    return replace(
        joint,
        fibres=Fibres(
            fibres.bands,
            *(
                value[place]
                for value in (
                    fibres.fixed_m,
                    fibres.moving_m,
                    fibres.slack_m,
                    fibres.stiffness_n_per_m,
                    fibres.toe_strain,
                )
            ),
        ),
        facet=Facet(
            *(
                value[place]
                for value in (
                    facet.points_m,
                    facet.centre_m,
                    facet.axes,
                    facet.curvature_per_m,
                    facet.stiffness_n_per_m,
                )
            )
        ),
    )


def by_general_solver(
    joint: SpringJoint, force: np.ndarray, moment: float, axis: np.ndarray, turning: bool
) -> np.ndarray:
    """The rest place by SciPy, in millimetres inside so that its tolerances fit."""
    from scipy.optimize import minimize

    pushed = np.append(force, moment / LEVER_M)
    free = SLIDING_AND_TURNING if turning else SLIDING

    def energy(place_mm: np.ndarray) -> tuple[float, np.ndarray]:
        place = free @ place_mm / 1000.0
        stored, slope, _ = energy_and_slopes(joint, place, axis)
        return float(stored - pushed @ place) * 1000.0, (slope - pushed) @ free

    start = np.zeros(free.shape[1])
    found = minimize(energy, start, jac=True, method="BFGS", options={"gtol": 1e-7, "maxiter": 2000})
    return free @ found.x / 1000.0


@pytest.mark.parametrize(("module", "turning"), [(ac, False), (ac, True), (sc, False), (sc, True)])
def test_the_solver_finds_what_a_general_one_finds(library: Library, module: object, turning: bool) -> None:
    """50 random people, forces and moments each: 200 cases in all, to a hundredth of a millimetre."""
    chance = np.random.default_rng(11 + turning)
    people = module.drawn_joints(library, 50, seed=17)  # type: ignore[attr-defined]
    for place in range(50):
        joint = one_of(people, place)
        force = chance.normal(scale=40.0, size=3)
        axis = chance.normal(size=3)
        axis /= np.linalg.norm(axis)
        moment = float(chance.normal(scale=0.2)) if turning else 0.0
        free = SLIDING_AND_TURNING if turning else SLIDING
        ours = settle(joint, load_of(force, moment_nm=moment, axis=axis, free=free))
        theirs = by_general_solver(joint, force, moment, axis, turning)
        assert ours.converged
        assert ours.place == pytest.approx(theirs, abs=1e-5), f"case {place}"


@pytest.fixture(scope="module")
def verdicts(library: Library) -> dict[str, Verdict]:
    return {verdict.row: verdict for verdict in girdle_verdicts(library, people=0)}


DISAGREES = {
    # publications (source of each row in the evidence)
    "accessory_motion.am088.value",
    "accessory_motion.am093.value",
    "joint_play.jp049.translation_mm",
    "joint_play.jp050.finding",
    "joint_play.jp051.finding",
    "restraint_studies.rs110.value",
    "restraint_studies.rs111.value",
    "restraint_studies.rs117.value",
    "restraint_studies.rs129.value",
    "restraint_studies.rs130.value",
    "restraint_studies.rs131.value",
    "restraint_studies.rs133.value",
    "restraint_studies.rs141.value",
    "restraint_studies.rs144.value",
    "restraint_studies.rs148.value",
    "restraint_studies.rs150.value",
    "restraint_studies.rs151.value",
    # claim of the trade
    "joint_rules.glide_ac_scapular_medial_rotation_protraction_acromion.glide",
}
"""Where the model is known to contradict its source; every other row that it can speak to has to agree."""


@pytest.mark.parametrize("row", CHECKS)
def test_the_verdict_on_each_row_is_the_one_written_down(verdicts: dict[str, Verdict], row: str) -> None:
    verdict = verdicts[row]
    assert verdict.agrees is (row not in DISAGREES), f"{verdict.says}: {verdict.model}"
    assert verdict.model
    assert bool(verdict.reason) is (row in DISAGREES)


@pytest.mark.parametrize("row", SILENT)
def test_a_row_without_verdict_has_a_reason(verdicts: dict[str, Verdict], row: str) -> None:
    assert verdicts[row].agrees is None
    assert verdicts[row].reason
    assert not verdicts[row].model


def test_every_row_about_these_joints_is_judged(library: Library) -> None:
    wanted = {f"restraint_studies.rs{number}.value" for number in (*range(110, 121), *range(128, 154))}
    wanted |= {
        row
        for row in library.tables["joint_play"].rows
        if library.tables["joint_play"].rows[row].text["joint"] in ("AC", "SC")
    }
    wanted |= {
        f"joint_rules.{rule['id']}.glide"
        for rule in library.documents["joint_rules"]["glide_rule"]
        if rule["joint"] in ("AC", "SC")
    }
    judged = {*CHECKS, *SILENT} | {row.split(".")[1] for row in (*CHECKS, *SILENT) if row.startswith("joint_play")}
    assert wanted <= judged


def test_the_page_says_what_the_model_says(verdicts: dict[str, Verdict]) -> None:
    page = (ROOT / "docs" / "girdle_joints.md").read_text(encoding="utf-8")
    rows = {line.split(" | ")[0].removeprefix("| "): line for line in page.splitlines() if line.startswith("| ")}
    for row, verdict in verdicts.items():
        assert row in rows
        assert f"| {verdict.model} |" in rows[row], "docs/girdle_joints.md is behind the model"


def test_how_much_of_the_verdicts_holds_in_a_population(library: Library) -> None:
    """Claims that hold for the mean person by a wide margin hold for most people too."""
    found = {verdict.row: verdict.people_ratio for verdict in girdle_verdicts(library, people=12)}
    for row in ("rs113", "rs114", "rs115", "rs136", "rs142"):
        ratio = found[f"restraint_studies.{row}.value"]
        assert ratio is not None
        assert ratio > 0.8


def test_the_example_of_the_page_runs(capsys: pytest.CaptureFixture[str]) -> None:
    page = (ROOT / "docs" / "girdle_joints.md").read_text(encoding="utf-8")
    (block,) = re.findall(r"```python\n(.*?)```", page, re.DOTALL)
    exec(compile(block, "docs/girdle_joints.md", "exec"), {})  # noqa: S102
    assert len(capsys.readouterr().out.splitlines()) == 2


OVERHANG = {"SC_anterior.direction_x": 0.3, "SC_posterior.direction_x": -0.3}
NO_OVERHANG = dict.fromkeys(OVERHANG, 0.0)


def agreeing(library: Library, assuming: dict[str, float]) -> set[str]:
    return {verdict.row for verdict in girdle_verdicts(library, people=0, assuming=assuming) if verdict.agrees}


@pytest.mark.parametrize(
    ("assuming", "gained", "lost"),
    [
        ({"AC_joint.normal_backward_deg": 0.0}, {"rs150"}, {"am087"}),
        ({"AC_joint.normal_backward_deg": 39.0}, {"rs117", "jp049"}, {"am087"}),
        ({"SC_joint.normal_backward_deg": 0.0}, {"jp051"}, set()),
        (NO_OVERHANG, {"rs144"}, {"am094", "rs134", "rs145", "rs146", "rs147"}),
        ({one: value / 3.0 for one, value in OVERHANG.items()}, set(), {"rs147"}),
        ({one: value * 2.3 for one, value in OVERHANG.items()}, set(), {"am094"}),
    ],
)
def test_what_turns_on_the_facing_of_the_surfaces(
    library: Library, verdicts: dict[str, Verdict], assuming: dict[str, float], gained: set[str], lost: set[str]
) -> None:
    """The sentences of docs/girdle_joints.md about other readings of the anatomy."""
    before = {row for row, verdict in verdicts.items() if verdict.agrees}
    after = agreeing(library, assuming)
    assert {row.split(".")[1] for row in after - before} == gained
    assert {row.split(".")[1] for row in before - after} == lost
