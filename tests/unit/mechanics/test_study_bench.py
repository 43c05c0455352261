"""The bench for studies: frames, positions and judgements by hand, sections that leave nothing to stop a turn."""

from __future__ import annotations

import numpy as np
import pytest

from endfeel.evidence.figures import number
from endfeel.evidence.library import Library
from endfeel.mechanics import arm, cut, draw_population
from endfeel.mechanics.stress_table import BLADE_AT_REST
from endfeel.mechanics.study_bench import At, Bench, first, gain_deg, near, ranked, within
from endfeel.mechanics.study_checks import CHECKS, words_of
from endfeel.mechanics.study_doubts import DOUBTS


@pytest.fixture(scope="module")
def bench(library: Library) -> Bench:
    return Bench(library, draw_population(library, 6, seed=5).in_bulk())


def test_first_is_the_largest_and_above_nothing() -> None:
    rows = np.array([[3.0, 2.0, 1.0], [2.0, 3.0, 1.0], [0.0, -1.0, -2.0], [1.0, 2.0, 3.0]])
    assert first()(rows).tolist() == [True, False, False, False]
    assert first(2)(rows).tolist() == [True, True, False, False]


def test_numbers_are_near_within_a_factor_or_a_spread() -> None:
    rows = np.array([[4.9], [5.0], [20.0], [20.1]])
    assert near(10.0, 2.0)(rows).tolist() == [False, True, True, False]
    assert within(10.0, 5.0)(rows).tolist() == [False, True, False, False]


def test_a_structure_of_several_bands_is_ranked_by_their_sum() -> None:
    names = ("middle_GHL", "coracohumeral_anterior", "coracohumeral_posterior")
    values = np.array([[3.0, 1.0, 2.5]])
    assert ranked(values, names, "coracohumeral", ["middle_GHL"]).tolist() == [[3.5, 3.0]]


def test_neutral_is_the_trunks_neutral_with_the_blade_facing_in(library: Library, bench: Bench) -> None:
    facing = number(library.figure(BLADE_AT_REST))
    hanging = bench.posed(bench.people(), At(0))
    assert hanging.ok.all()
    assert hanging.rotation[0] == pytest.approx(arm(0.0, 0.0, -facing))
    raised = bench.posed(bench.people(), At(60, "scapular", -20.0))
    assert raised.rotation[0] == pytest.approx(arm(60.0, 0.0, -facing - 20.0))
    frontal = bench.posed(bench.people(), At(60, "frontal"))
    assert frontal.rotation[0] == pytest.approx(arm(60.0, -facing, -facing))


def test_behind_is_behind_and_in_front_in_front(library: Library, bench: Bench) -> None:
    """The arm's far end, minus the humerus' up axis, in the axes of the trunk: x forward."""
    facing = np.deg2rad(number(library.figure(BLADE_AT_REST)))
    trunk_from_blade = np.array(
        [[np.cos(facing), 0.0, np.sin(facing)], [0.0, 1.0, 0.0], [-np.sin(facing), 0.0, np.cos(facing)]]
    )
    for elevation, forward in ((30, 0.5), (-30, -0.5)):
        pose = bench.posed(bench.people(), At(elevation, "sagittal")).rotation[0]
        assert (trunk_from_blade @ -pose[:, 1]) == pytest.approx([forward, -np.cos(np.pi / 6.0), 0.0])


def test_on_the_trunk_the_blade_follows_the_arm(bench: Bench) -> None:
    """90° of the arm are fewer in the shoulder, by what the blade turns up."""
    pose = bench.posed(bench.people(), At(90, "frontal", 0.0, "HT")).rotation[0]
    elevation = np.rad2deg(np.arccos(pose[1, 1]))
    assert 45.0 < elevation < 75.0


def test_where_nothing_stops_a_turn_the_gain_goes_to_the_end_of_the_search(bench: Bench) -> None:
    found = gain_deg(bench, "external rotation at 90", cut("whole_capsule"))
    before = bench.limit(bench.people(), "external rotation at 90").angle_deg
    assert found.ok.converged.all()
    assert found.rows[:, 0] == pytest.approx(180.0 - before)


def test_a_head_that_slips_is_told_and_a_section_may_let_it(bench: Bench) -> None:
    """A push that no compression holds takes every head over the rim; a gentle one none."""
    _, hard = bench.glide(bench.people(), At(45), "anterior", 500.0)
    _, soft = bench.glide(bench.people(), At(45), "anterior", 1.0)
    assert not hard.seated.any()
    assert soft.seated.all()
    assert not (hard & soft).seated.any()
    assert hard.wherever.seated.all()
    assert (hard.wherever.converged == hard.converged).all()


def test_what_was_found_is_kept(bench: Bench) -> None:
    people = bench.people()
    assert bench.people() is people
    assert bench.people(cut("middle_GHL")) is not people
    assert bench.limit(people, "flexion") is bench.limit(people, "flexion")
    with pytest.raises(KeyError, match="nothing"):
        bench.set_to("nothing")


def test_a_row_is_told_in_its_own_words(library: Library) -> None:
    told = words_of(library.tables["restraint_studies"].rows["rs096"])
    assert "IGHL_complex" in told
    assert "10.2 deg (SD 4.9)" in told
    assert "20.5" not in words_of(library.tables["joint_play"].rows["jp004"])
    assert "22.1 N/mm (SD 6.9)" in words_of(library.tables["joint_play"].rows["jp004"])
    assert "1.3 mm (SD 0.7)" in words_of(library.tables["joint_play"].rows["jp013"])


def test_doubts_are_about_rows_that_are_asked() -> None:
    assert set(DOUBTS) <= set(CHECKS)
    assert all(DOUBTS.values())
