"""The sternoclavicular joint as a reader meets it; the glides of the trade."""

from __future__ import annotations

import numpy as np
import pytest

from endfeel.anatomy.units import rad_from_deg
from endfeel.evidence.library import Library
from endfeel.mechanics import sternoclavicular as sc
from endfeel.mechanics.changes import cut
from endfeel.mechanics.girdle_ligaments import contributor_changes
from endfeel.mechanics.ligament_springs import SpringJoint

FORCE_N = 50.0
TEN_DEG = float(rad_from_deg(10.0))


@pytest.fixture(scope="module")
def joint(library: Library) -> SpringJoint:
    return sc.default_joint(library)


@pytest.mark.parametrize("direction", sc.DIRECTIONS)
def test_forces_balance_and_shares_add_up(joint: SpringJoint, direction: sc.Direction) -> None:
    found = sc.translate(joint, direction, FORCE_N)
    assert found.converged
    assert 0.0 < found.along_m < 0.02
    assert sum(found.share.values()) == pytest.approx(1.0, abs=1e-5)
    assert found.contact_n >= -1e-9


def test_the_saddle_is_hollow_along_the_joint_line_and_domed_across(joint: SpringJoint) -> None:
    """Points of the clavicle lie on the sternal surface: higher at the ends of the line, lower in front and behind."""
    facet = joint.facet
    height = facet.points_m @ facet.axes[:, 2]
    forward, up = facet.points_m @ facet.axes[:, 0], facet.points_m @ facet.axes[:, 1]
    middle = np.abs(forward) < 1e-9
    assert height[middle & (np.abs(up) > 1e-4)].min() > 0.0
    assert height[(np.abs(up) < 1e-9) & ~middle].max() < 0.0
    assert facet.axes[1, 2] == pytest.approx(facet.axes[2, 2])


def test_raised_the_medial_end_glides_down_and_out_lowered_up_and_in(joint: SpringJoint) -> None:
    """A claim of the trade (joint_rules glide_sc_elevation_clavicle and glide_sc_depression_clavicle)."""
    raised = sc.move_clavicle(joint, elevation_rad=TEN_DEG)
    lowered = sc.move_clavicle(joint, elevation_rad=-TEN_DEG)
    assert raised.converged
    assert lowered.converged
    assert raised.shift_m @ sc.JOINT_LINE < -0.001
    assert lowered.shift_m @ sc.JOINT_LINE > 0.0005


def test_what_the_elevation_glide_comes_from(joint: SpringJoint) -> None:
    """Partly from the costoclavicular bands as a pivot (cut, the end glides less), mostly from the hollow surface."""
    whole = sc.move_clavicle(joint, elevation_rad=TEN_DEG).shift_m @ sc.JOINT_LINE
    without = sc.move_clavicle(joint, elevation_rad=TEN_DEG, changes=[cut("costoclavicular")]).shift_m @ sc.JOINT_LINE
    assert whole + 0.0005 < without < -0.001


def test_a_loaded_shaft_drops_and_moments_add_up(joint: SpringJoint) -> None:
    found = sc.load_shaft(joint, 10.0, 0.15)
    assert found.converged
    assert found.turn_rad > 0.0
    assert sum(found.share.values()) == pytest.approx(1.0, abs=1e-4)


def test_contributors_act_as_their_names_say(library: Library, joint: SpringJoint) -> None:
    def far(contributor: str, direction: sc.Direction) -> float:
        changes = contributor_changes(library, contributor) if contributor else ()
        return float(sc.translate(joint, direction, FORCE_N, changes=changes).along_m)

    assert far("sc_hypomobility_elevation", "inferior_lateral") < far("", "inferior_lateral")
    assert far("sc_hypomobility_depression", "superior_medial") < far("", "superior_medial")
    assert far("sc_instability", "anterior") > far("", "anterior")


def test_a_given_translation_takes_the_force_that_makes_it(joint: SpringJoint) -> None:
    there = sc.translate(joint, "anterior", FORCE_N)
    assert sc.resist(joint, "anterior", there.along_m).force_n == pytest.approx(FORCE_N, rel=1e-4)


def test_everybody_of_a_population_comes_to_rest(library: Library) -> None:
    people = sc.drawn_joints(library, 100, seed=5)
    for direction in ("anterior", "posterior", "superior_medial", "inferior_lateral"):
        found = sc.translate(people, direction, FORCE_N)  # type: ignore[arg-type]
        assert found.converged.all()
        assert sum(found.share.values()) == pytest.approx(np.ones(100), abs=1e-4)
