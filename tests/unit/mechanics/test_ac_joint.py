"""The acromioclavicular joint as a reader meets it."""

from __future__ import annotations

import numpy as np
import pytest

from endfeel.evidence.figures import Provenance
from endfeel.evidence.library import Library
from endfeel.mechanics import acromioclavicular as ac
from endfeel.mechanics.changes import cut, lengthened, stiffened
from endfeel.mechanics.girdle_glides import force_in
from endfeel.mechanics.girdle_ligaments import changed, cite_result, contributor_changes, read_girdle
from endfeel.mechanics.ligament_springs import SpringJoint
from endfeel.vocabulary import NotFound

FORCE_N = 70.0


@pytest.fixture(scope="module")
def joint(library: Library) -> SpringJoint:
    return ac.default_joint(library)


@pytest.mark.parametrize("direction", ac.DIRECTIONS)
def test_forces_balance_and_shares_add_up(joint: SpringJoint, direction: ac.Direction) -> None:
    found = ac.translate(joint, direction, FORCE_N, moving="clavicle")
    assert found.converged
    assert 0.0 < found.along_m < 0.02
    assert sum(found.share.values()) == pytest.approx(1.0, abs=1e-5)
    assert set(found.share) == {*ac.BANDS, "contact", "loose"}
    assert abs(found.share["loose"]) < 0.01
    assert found.stiffness_n_per_m == pytest.approx(FORCE_N / found.along_m)


def test_more_force_goes_farther(joint: SpringJoint) -> None:
    far = [float(ac.translate(joint, "anterior", force).along_m) for force in (10.0, 30.0, 70.0, 150.0)]
    assert far == sorted(far)


def test_several_forces_make_a_curve(library: Library, joint: SpringJoint) -> None:
    forces = np.array([0.0, 20.0, 70.0])
    curve = ac.translate(joint, "anterior", forces)
    assert curve.along_m.shape == (3,)
    assert curve.along_m[0] == 0.0
    assert curve.along_m[2] == pytest.approx(ac.translate(joint, "anterior", 70.0).along_m)
    people = ac.translate(ac.drawn_joints(library, 4), "anterior", forces[:, None])
    assert people.along_m.shape == (3, 4)
    assert (np.diff(people.along_m, axis=0) > 0.0).all()


def test_the_acromion_moved_is_the_clavicle_moved_the_other_way(joint: SpringJoint) -> None:
    acromion = ac.translate(joint, "anterior", FORCE_N)
    clavicle = ac.translate(joint, "posterior", FORCE_N, moving="clavicle")
    assert acromion.along_m == pytest.approx(clavicle.along_m)
    assert acromion.shift_m == pytest.approx(-clavicle.shift_m)
    assert acromion.tension_n["AC_superior"] == pytest.approx(clavicle.tension_n["AC_superior"])


@pytest.mark.parametrize("direction", ac.DIRECTIONS)
def test_cut_and_lax_give_way_and_stiff_holds(joint: SpringJoint, direction: ac.Direction) -> None:
    def far(*changes: object) -> float:
        return float(ac.translate(joint, direction, FORCE_N, changes=changes).along_m)  # type: ignore[arg-type]

    whole = far()
    assert far(cut("AC_capsule")) > whole
    assert far(lengthened("all", by_mm=1.0)) > whole
    assert far(stiffened("all", 3.0)) < whole


def test_a_joint_without_bands_finds_no_rest(joint: SpringJoint) -> None:
    assert not ac.translate(joint, "anterior", FORCE_N, changes=[cut("all")]).converged


def test_a_given_translation_takes_the_force_that_makes_it(joint: SpringJoint) -> None:
    there = ac.translate(joint, "anterior", FORCE_N, moving="clavicle")
    back = ac.resist(joint, "anterior", there.along_m, moving="clavicle")
    assert back.force_n == pytest.approx(FORCE_N, rel=1e-5)
    assert back.shift_m == pytest.approx(there.shift_m, abs=1e-8)


def test_axial_rotation_by_moment_and_by_turn(joint: SpringJoint) -> None:
    by_moment = ac.rotate_clavicle(joint, moment_nm=0.2)
    assert by_moment.converged
    assert by_moment.turn_rad > 0.0
    assert sum(by_moment.share.values()) == pytest.approx(1.0, abs=1e-4)
    by_turn = ac.rotate_clavicle(joint, turn_rad=float(by_moment.turn_rad))
    assert by_turn.tension_n["AC_superior"] == pytest.approx(by_moment.tension_n["AC_superior"], rel=1e-3)
    with pytest.raises(ValueError, match="either"):
        ac.rotate_clavicle(joint)


def test_contributors_act_as_their_names_say(library: Library, joint: SpringJoint) -> None:
    def far(contributor: str) -> float:
        changes = contributor_changes(library, contributor)
        return float(ac.translate(joint, "anterior", FORCE_N, changes=changes).along_m)

    whole = float(ac.translate(joint, "anterior", FORCE_N).along_m)
    assert far("ac_hypomobility") < whole
    assert far("ac_arthropathy") < whole
    assert far("ac_sprain") > whole
    with pytest.raises(NotFound, match="ac_sprain"):
        contributor_changes(library, "migraine")


def test_unknown_names_are_told_what_there_is(joint: SpringJoint) -> None:
    with pytest.raises(NotFound, match="anterior, posterior"):
        ac.translate(joint, "sideways", 10.0)  # type: ignore[arg-type]
    with pytest.raises(NotFound, match="conoid"):
        changed(joint, [cut("deltoid")])
    with pytest.raises(ValueError, match="slack_m"):
        changed(joint, [lengthened("conoid", by_mm=1.0), *[type(cut("conoid"))("conoid", rest_mm=-50.0)]])


def test_a_population_is_its_seed_and_spreads(library: Library) -> None:
    people = ac.drawn_joints(library, 60, seed=3)
    found = ac.translate(people, "anterior", FORCE_N)
    again = ac.translate(ac.drawn_joints(library, 60, seed=3), "anterior", FORCE_N)
    assert found.converged.all()
    assert found.along_m.shape == (60,)
    assert np.array_equal(found.along_m, again.along_m)
    assert 0.0003 < found.along_m.std() < 0.005
    assert force_in(found, ac.CORACOCLAVICULAR).shape == (60,)


def test_a_result_cites_every_figure_of_the_joint(library: Library, joint: SpringJoint) -> None:
    found = cite_result(read_girdle(library), 1.0, joint)
    assert "ligament_geometry.lg089.value" in found.figures
    assert not any("SC_" in figure for figure in found.figures)
    assert found.provenance is Provenance.PRACTICE
