"""Motions of the scapula and the claims about the clavicle: balances solved, directions worked by hand."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import minimize

from endfeel.anatomy.girdle import girdle_pose
from endfeel.anatomy.rhythm import find_rhythm
from endfeel.anatomy.scapular_motions import MOTIONS, _Balance, breath, in_words, scapular_motion
from endfeel.anatomy.sizes import default_sizes, drawn_sizes
from endfeel.anatomy.sternal_glide import answers, sternal_glide
from endfeel.anatomy.units import deg_from_rad, rad_from_deg
from endfeel.evidence.figures import Provenance
from endfeel.evidence.library import Library
from endfeel.vocabulary import NotFound


@pytest.mark.parametrize("name", MOTIONS)
def test_all_motions_are_solved_on_the_thorax_and_go_where_they_say(library: Library, name: str) -> None:
    motion = scapular_motion(name, find_rhythm(library), default_sizes(library), library)
    assert motion.converged
    assert motion.residual_m < 1e-7
    forward, up, _ = motion.acromion_shift_m
    if "elevation" in name:
        assert up > 0.02
    if "depression" in name:
        assert up < -0.005
    if "protraction" in name:
        assert forward > 0.02
        assert motion.scapula_rad[0] > 0  # the blade turns inward as it comes forward
    if "retraction" in name:
        assert forward < -0.01
        assert motion.scapula_rad[0] < 0
    assert motion.basis.provenance is Provenance.PRACTICE


def test_rolling_the_clavicle_backward_tips_and_raises_the_scapula(library: Library) -> None:
    """By hand: a clavicle that points mostly outward, rolled backward, tips what hangs on it backward; because it
    points backward as well, the scapula's outer side is lifted. Its ends stay where they are."""
    rhythm, sizes = find_rhythm(library), default_sizes(library)
    back, fore = (scapular_motion(f"clavicle rolled {way}", rhythm, sizes, library) for way in ("backward", "forward"))
    assert float(deg_from_rad(back.clavicle_roll_rad)) == pytest.approx(45.0)  # 40 to 50, practice
    assert float(deg_from_rad(fore.clavicle_roll_rad)) == pytest.approx(-7.5)  # 5 to 10, practice
    for motion in (back, fore):
        np.testing.assert_allclose(motion.acromion_shift_m, 0.0, atol=1e-12)
    assert back.scapula_rad[1] < 0 < fore.scapula_rad[1]  # up with backward, down with forward roll
    assert back.scapula_rad[2] > 0 > fore.scapula_rad[2]


def test_no_motion_is_rest_and_half_a_motion_goes_less_far(library: Library) -> None:
    rhythm, sizes = find_rhythm(library), default_sizes(library)
    still, half, whole = (
        scapular_motion("protraction", rhythm, sizes, library, extent=extent) for extent in (0.0, 0.5, 1.0)
    )
    np.testing.assert_allclose(still.joint_rad, 0.0, atol=1e-9)
    np.testing.assert_allclose(still.acromion_shift_m, 0.0, atol=1e-9)
    assert 0 < half.acromion_shift_m[0] < whole.acromion_shift_m[0]


@pytest.mark.parametrize("name", ["elevation", "depression with retraction", "elevation with protraction"])
def test_the_balance_equals_a_general_solver(library: Library, name: str) -> None:
    """Outside check: SciPy's SLSQP on the same turning energy and the same two distances to the thorax."""
    rhythm, sizes = find_rhythm(library), default_sizes(library)
    rest = girdle_pose(np.zeros(3), rhythm, sizes)
    motion = scapular_motion(name, rhythm, sizes, library)
    start = rest.sternoclavicular_rad
    direction = start[:2] + np.array([motion.clavicle_forward_rad, -motion.clavicle_up_rad])
    balance = _Balance(rest, sizes, direction, start[2], 1.0, True)
    ours, _ = balance.solved(np.zeros(4))
    theirs = minimize(
        lambda unknown: 100.0 * float(unknown @ unknown),
        ours + np.array([0.05, -0.03, 0.02, 0.04]),
        method="SLSQP",
        constraints={"type": "eq", "fun": lambda unknown: 100.0 * balance.short(unknown)},
        options={"ftol": 1e-14, "maxiter": 500},
    )
    assert theirs.success
    # a first-order balance: its turning exceeds the true least by less than a tenth of a degree
    assert float(deg_from_rad(np.linalg.norm(ours) - np.linalg.norm(theirs.x))) < 0.1
    assert motion.converged


def test_a_heavier_roll_rolls_less(library: Library) -> None:
    rhythm, sizes = find_rhythm(library), default_sizes(library)
    rolls = [
        abs(scapular_motion("depression with retraction", rhythm, sizes, library, roll_weight=weight).clavicle_roll_rad)
        for weight in (0.0, 0.5, 1.0, 4.0)
    ]
    assert rolls == sorted(rolls, reverse=True)


def test_a_motion_that_is_not_solved_says_so(library: Library) -> None:
    """Without any resistance of the clavicle to rolling, the full shrug has no balance that the steps can reach."""
    motion = scapular_motion("elevation", find_rhythm(library), default_sizes(library), library, roll_weight=0.0)
    assert not motion.converged
    assert motion.residual_m > 1e-4


def test_every_person_of_a_population_can_be_moved(library: Library) -> None:
    people = drawn_sizes(library, 6, np.random.default_rng(2))
    for place in range(6):
        assert scapular_motion("retraction", find_rhythm(library), people.one(place), library).converged


def test_sternal_glide_by_hand(library: Library) -> None:
    """Vertical radius 15 mm, surface at 45°: 10° up moves the end by a chord of 2 × 15 × sin 5° = 2.615 mm.

    Its direction is square to the middle radius: 45° below the horizontal, less half the turn.
    """
    glide = sternal_glide(library, 0.0, float(rad_from_deg(10.0)))
    chord = 2 * 15.0 * np.sin(np.radians(5.0))
    expected = chord * np.array([0.0, -np.sin(np.radians(40.0)), np.cos(np.radians(40.0))])
    np.testing.assert_allclose(glide.on_surfaces_m * 1000, expected, atol=1e-9)
    # concave, radius 25 mm: brought forward by 10° the end glides forward 25 × sin 10°, with the bone
    brought = sternal_glide(library, float(rad_from_deg(10.0)), 0.0)
    assert brought.on_surfaces_m[0] * 1000 == pytest.approx(25.0 * np.sin(np.radians(10.0)))
    # about the costoclavicular ligament (20 lateral, 10 below): down, but inward at first
    assert glide.about_ligament_m[1] < 0
    assert glide.about_ligament_m[2] < 0
    np.testing.assert_allclose(sternal_glide(library, 0.0, 0.0).on_surfaces_m, 0.0)


def test_what_the_geometry_says_to_the_claims(library: Library) -> None:
    """Claims of the trade (common practice, no source). Where the geometry contradicts one, that is what stands."""
    said = {
        answer.claim.partition(":")[0]: answer
        for answer in answers(library, find_rhythm(library), default_sizes(library))
    }
    assert said["clavicle up"].agrees
    assert said["clavicle down"].agrees
    assert "up and down only" in said["clavicle up"].holds_on  # another axis would keep half of the claim
    assert not said["scapular depression with retraction"].agrees
    assert not said["scapular protraction"].agrees
    assert said["breathing in"].agrees
    assert said["breathing out"].agrees
    for answer in said.values():
        assert answer.basis.provenance is Provenance.PRACTICE


def test_breathing_in_and_out_are_opposites(library: Library) -> None:
    rhythm, sizes = find_rhythm(library), default_sizes(library)
    breathed_in, breathed_out, still = (breath(rhythm, sizes, library, part) for part in (1.0, -1.0, 0.0))
    assert breathed_in.clavicle_up_rad < 0 < breathed_out.clavicle_up_rad
    assert breathed_in.clavicle_forward_rad < 0 < breathed_out.clavicle_forward_rad
    assert abs(still.clavicle_up_rad) < 1e-12


def test_shifts_are_put_into_words() -> None:
    assert in_words(np.array([-0.0031, 0.0124, 0.0])) == "up 12 mm, backward 3 mm"
    assert in_words(np.zeros(3)) == "no shift"


def test_other_motions_and_breaths_are_refused(library: Library) -> None:
    rhythm, sizes = find_rhythm(library), default_sizes(library)
    with pytest.raises(NotFound, match="there are: elevation, depression"):
        scapular_motion("shrug", rhythm, sizes, library)
    for inspired in (float("nan"), 10.0):
        with pytest.raises(ValueError, match="of a deep one"):
            breath(rhythm, sizes, library, inspired)
