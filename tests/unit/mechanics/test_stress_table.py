"""Stress tests: where the arm is, what the bands of drawn people do there, and claims beside it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from endfeel.anatomy.frames import humerus_from_clinical
from endfeel.evidence.library import Library
from endfeel.mechanics import arm, cut, draw_population
from endfeel.mechanics.claims import ClaimAnswer, StressCell, arc_radius_mm, claim_answers, named_by, stress_cells
from endfeel.mechanics.shoulder import Shoulders
from endfeel.mechanics.stress_table import Stress, stress_of, stress_table, stress_tests, turning


@pytest.fixture(scope="module")
def people(library: Library) -> Shoulders:
    return draw_population(library, 24, seed=3).in_bulk()


@pytest.fixture(scope="module")
def stresses(library: Library, people: Shoulders) -> dict[str, Stress]:
    return dict(stress_table(people, stress_tests(library)))


@pytest.fixture(scope="module")
def cells(library: Library, stresses: dict[str, Stress]) -> tuple[StressCell, ...]:
    return stress_cells(library, stresses)


def test_each_position_is_turned_both_ways(library: Library) -> None:
    names = [test.name for test in stress_tests(library)]
    assert len(names) == len(set(names)) == 10
    assert {name.rpartition(", ")[2] for name in names} == {"medial", "lateral"}


def test_a_test_starts_at_the_pose_of_its_row_turned_as_the_hanging_arm_is(library: Library) -> None:
    """60° up, 30° behind the blade's plane: that pose of the humerus in the blade, less the 32° the blade faces in."""
    test = next(one for one in stress_tests(library) if one.name == "abducted, lateral")
    facing = test.figures[2]
    start = test.motion.humerus(test.motion.start_rad)
    inward = -np.deg2rad(library.figure(facing.id)._value or np.nan)
    assert start == pytest.approx(humerus_from_clinical(np.deg2rad(-30.0), np.deg2rad(60.0), inward + np.deg2rad(30.0)))
    assert start == pytest.approx(arm(60.0, -30.0, float(np.rad2deg(inward))))


def test_only_two_turns_are_known() -> None:
    with pytest.raises(ValueError, match="sideways"):
        turning("any", 0.0, 0.0, "sideways", np.eye(3))


def test_probabilities_and_shares_are_such(stresses: dict[str, Stress]) -> None:
    for stress in stresses.values():
        assert len(stress.tension_n) == len(stress.share) == len(stress.rotation_deg)
        assert len(stress.tension_n) >= stress.people / 2
        assert np.all(stress.tension_n >= 0.0)
        assert stress.share.sum(axis=1) == pytest.approx(1.0)
        assert sum(stress.mean_share(band) for band in stress.bands) == pytest.approx(1.0)
        for band in stress.bands:
            assert 0.0 <= stress.taut_probability(band, 1.0) <= stress.taut_probability(band, 0.0) <= 1.0


def test_a_region_is_taut_at_least_as_often_as_its_bands(stresses: dict[str, Stress]) -> None:
    for stress in stresses.values():
        parts = [stress.taut_probability(f"coracohumeral_{part}", 1.0) for part in ("anterior", "posterior")]
        assert max(parts) <= stress.taut_probability("coracohumeral", 1.0) <= min(1.0, sum(parts))


def test_a_band_that_is_cut_is_never_taut(library: Library, people: Shoulders) -> None:
    test = next(one for one in stress_tests(library) if one.name == "abducted, lateral")
    stress = stress_of(people.changed(cut("anterior_band_IGHL")), test)
    assert stress.taut_probability("anterior_band_IGHL", 0.0) == 0.0
    assert stress_of(people, test).taut_probability("anterior_band_IGHL", 0.0) > 0.5


def test_outward_turn_loads_the_front_and_inward_turn_the_back(cells: tuple[StressCell, ...]) -> None:
    """Anatomy: bands and muscle in front resist outward turn, those behind inward turn, whatever the position."""
    front = {"superior_GHL", "middle_GHL", "anterior_band_IGHL", "rotator_interval", "coracohumeral_anterior"}
    front |= {"cuff_subscapularis"}
    back = {f"posterior_capsule_{part}" for part in ("superior", "middle", "inferior")} | {"posterior_band_IGHL"}
    back |= {"cuff_infraspinatus", "cuff_teres_minor"}
    for position in {cell.position for cell in cells} - {"flexed"}:
        told = {
            (turn, name): sum(
                cell.mean_share
                for cell in cells
                if cell.position == position and cell.turn == turn and cell.structure in bands
            )
            for turn in ("medial", "lateral")
            for name, bands in (("front", front), ("back", back))
        }
        assert told["lateral", "front"] > told["lateral", "back"]
        assert told["medial", "back"] > told["medial", "front"]


def test_every_claim_of_the_trade_stands_beside_the_model(library: Library, cells: tuple[StressCell, ...]) -> None:
    claimed = {row.id for row in library.tables["claims"] if row.text.get("rotation")}
    assert {cell.claim for cell in cells if cell.claim} == claimed
    assert claimed <= {cell.claim for cell in named_by(cells)}
    spoken = {row.text["study_row"] for row in library.tables["stress_publications"]}
    assert {row for cell in cells for row, _ in cell.studies} == spoken
    assert spoken <= set(library.tables["restraint_studies"].rows)


def test_nobody_with_an_end_makes_no_cell(library: Library, stresses: dict[str, Stress]) -> None:
    stress = stresses["flexed, lateral"]
    nobody = replace(
        stress, tension_n=stress.tension_n[:0], share=stress.share[:0], rotation_deg=stress.rotation_deg[:0]
    )
    assert np.isnan(nobody.taut_probability("middle_GHL", 1.0))
    assert stress_cells(library, {"flexed, lateral": nobody}) == ()


def test_agreement_follows_from_who_says_what() -> None:
    def cell(claim: str, model: str, published: str | None) -> StressCell:
        return StressCell("neutral", "medial", "middle_GHL", claim, 0.0, 0.0, 0.0, model, published, (), 1)  # type: ignore[arg-type]

    assert cell("tc1", "taut", "slack").model_agrees_with_trade is True
    assert cell("tc1", "taut", "slack").publications_agree_with_trade is False
    assert cell("tc1", "taut", "slack").model_agrees_with_publications is False
    assert cell("", "slack", "slack").model_agrees_with_trade is None
    assert cell("", "slack", "slack").model_agrees_with_publications is True
    assert cell("tc1", "taut", "both").publications_agree_with_trade is None
    assert cell("tc1", "taut", None).model_agrees_with_publications is None


def test_claims_about_clavicle_and_glides_are_answered(library: Library, people: Shoulders) -> None:
    answers: dict[str, ClaimAnswer] = {one.claim: one for one in claim_answers(library, people)}
    asked = {row.id for row in library.tables["claims"] if not row.text.get("rotation")}
    assert set(answers) == asked
    assert all(one.computed and one.rests_on for one in answers.values())
    arcs = [one for one in answers.values() if "follows an arc" in one.says]
    assert len(arcs) == 2
    assert all(one.agrees for one in arcs)


def test_the_radius_of_an_arc_by_hand() -> None:
    """Places on a circle of 8 mm, one path from its lowest point, one across it; a level path and one that bends in."""
    turns = np.radians([[10.0, 25.0], [-20.0, 5.0]])  # where the path is at half the push and at all of it
    starts = np.radians([0.0, -30.0])
    along, out = (8.0 * (f(turns) - f(starts)[:, None]) * sign for f, sign in ((np.sin, 1.0), (np.cos, -1.0)))
    assert arc_radius_mm((along[:, 0], out[:, 0]), (along[:, 1], out[:, 1])) == pytest.approx([8.0, 8.0])
    level, bends_in = np.array([1.0, 1.0]), np.array([2.0, 2.0])
    assert np.isinf(arc_radius_mm((level, np.array([0.1, 0.2])), (bends_in, np.array([0.2, 0.3])))).all()


def test_arcs_do_not_hang_on_who_is_drawn(library: Library) -> None:
    """The head rests beside the middle of the socket: a push backward carries it across, and it hardly rises at all."""
    for seed in (0, 1, 2):
        found = claim_answers(library, draw_population(library, 24, seed).in_bulk())
        arcs = [one for one in found if "follows an arc" in one.says]
        assert [one.agrees for one in arcs] == [True, True]


def test_a_flat_socket_would_not_give_an_arc(library: Library, people: Shoulders) -> None:
    """The rise that answers the claim comes from the curve: small pushes rise with the square of the way, where no
    cuff pulls the head out of the middle beforehand."""
    bare = people.in_laboratory()
    near, far = (bare.translation(arm(0.0), "anterior", force) for force in (5.0, 10.0))
    ok = near.converged & far.converged & far.seated
    ratio = np.median(far.out_mm[ok] / near.out_mm[ok])
    assert ratio > 1.5 * np.median(far.along_mm[ok] / near.along_mm[ok])
