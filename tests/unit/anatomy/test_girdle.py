"""The girdle's pose: hand-worked cases, both sides, degenerate poses, forward and back, the thorax."""

from __future__ import annotations

import numpy as np
import pytest

from endfeel.anatomy import frames
from endfeel.anatomy.girdle import (
    elevation_for_upward_rotation,
    girdle_pose,
    least_turning_roll,
    pose_from_joints,
    upward_of,
)
from endfeel.anatomy.rhythm import Resting, find_rhythm, is_measured, rhythms
from endfeel.anatomy.rotations import angle_of, angles_from_rotation, inverse, rotation_from_angles, turned
from endfeel.anatomy.sizes import default_sizes, drawn_sizes
from endfeel.anatomy.units import deg_from_rad, rad_from_deg
from endfeel.evidence.figures import Provenance
from endfeel.evidence.library import Library
from endfeel.vocabulary import NotFound, Side

NAMES = ("bone_pins", "fluoroscopy", "regression", "coupled", "two_to_one")


def test_every_rhythm_is_cited_and_an_unknown_one_is_named(library: Library) -> None:
    choices = rhythms(library)
    assert tuple(choices) == NAMES
    for choice in choices.values():
        # the angle of the scapular plane, which the bone pins need, is customary; all else was read
        customary = choice.id == "bone_pins"
        assert choice.basis.provenance is (Provenance.PRACTICE if customary else Provenance.READ), choice.id
        assert all(library.figure(figure).source.citation for figure in choice.basis.figures)
    with pytest.raises(NotFound, match="bone_pins"):
        find_rhythm(library, "waltz")


def test_joint_to_joint_chain_by_hand(library: Library) -> None:
    """All joints at zero: bones lie along the axes, so the points add up on paper."""
    sizes = default_sizes(library)
    pose = pose_from_joints(np.zeros(3), np.zeros(3), np.zeros(3), sizes)
    outer_end = sizes.sternoclavicular_m + np.array([0, 0, float(sizes.clavicle_length_m)])
    np.testing.assert_allclose(pose.acromioclavicular_m, outer_end)
    np.testing.assert_allclose(
        pose.glenohumeral_m, outer_end + sizes.glenohumeral_m - sizes.acromioclavicular_m, atol=1e-15
    )
    # clavicle straight backward by 90°: its outer end lies behind the sternal one
    pose = pose_from_joints(rad_from_deg([-90, 0, 0]), np.zeros(3), np.zeros(3), sizes)
    behind = sizes.sternoclavicular_m + np.array([-float(sizes.clavicle_length_m), 0, 0])
    np.testing.assert_allclose(pose.acromioclavicular_m, behind, atol=1e-15)


@pytest.mark.parametrize("name", NAMES)
def test_angles_read_off_a_pose_make_the_pose_again(library: Library, name: str) -> None:
    sizes = default_sizes(library)
    arm = rad_from_deg([[40, 90, 10], [0, 120, -30], [90, 60, 45], [65, 35, 0]])
    pose = girdle_pose(arm, find_rhythm(library, name), sizes)
    again = pose_from_joints(pose.sternoclavicular_rad, pose.acromioclavicular_rad, pose.glenohumeral_rad, sizes)
    np.testing.assert_allclose(again.thorax_from_humerus, pose.thorax_from_humerus, atol=1e-12)
    np.testing.assert_allclose(again.glenohumeral_m, pose.glenohumeral_m, atol=1e-12)
    np.testing.assert_allclose(again.humerothoracic_rad, arm, atol=1e-9)


@pytest.mark.parametrize("elevation", [0.0, 180.0])
def test_degenerate_arm_poses_keep_the_bones(library: Library, elevation: float) -> None:
    sizes, rhythm = default_sizes(library), find_rhythm(library)
    pose = girdle_pose(rad_from_deg([[40, elevation, 20]]), rhythm, sizes)
    again = pose_from_joints(pose.sternoclavicular_rad, pose.acromioclavicular_rad, pose.glenohumeral_rad, sizes)
    np.testing.assert_allclose(again.thorax_from_humerus, pose.thorax_from_humerus, atol=1e-9)
    plane, raised, inward = deg_from_rad(pose.humerothoracic_rad)[0]
    assert raised == pytest.approx(elevation, abs=1e-6)
    assert plane == 0.0  # free in this pose: decided
    remade = frames.humerus_from_swing(*rad_from_deg([plane, raised, inward]))
    np.testing.assert_allclose(remade, pose.thorax_from_humerus[0], atol=1e-9)
    if elevation == 0.0:
        assert inward == pytest.approx(20.0)  # the turn of a hanging arm is known whatever the plane


def test_swing_rotation_is_what_a_hand_measures() -> None:
    """Elbow bent 90°: the forearm lies along the humerus' x axis."""
    forearm = frames.FORWARD
    for plane, elevation, inward, expected in (
        (90, 90, 0, frames.UP),  # flexed: forearm up
        (0, 90, 0, frames.FORWARD),  # abducted: forearm forward
        (0, 90, -90, frames.UP),  # abducted and turned outward: forearm up
        (0, 0, 90, -frames.LATERAL),  # hanging and turned inward: forearm across the belly
    ):
        humerus = frames.humerus_from_swing(*rad_from_deg([plane, elevation, inward]))
        np.testing.assert_allclose(turned(humerus, forearm), expected, atol=1e-12)
        np.testing.assert_allclose(
            deg_from_rad(frames.swing_of_humerus(humerus, rad_from_deg(plane))), [plane, elevation, inward], atol=1e-9
        )


def test_the_left_shoulder_is_the_mirror_image_with_the_same_angles(library: Library) -> None:
    sizes, rhythm = default_sizes(library), find_rhythm(library)
    arm = rad_from_deg([[40, 100, -15], [90, 60, 0]])
    right, left = (girdle_pose(arm, rhythm, sizes, side=side) for side in (Side.RIGHT, Side.LEFT))
    for name in ("sternoclavicular_rad", "acromioclavicular_rad", "scapulothoracic_rad", "glenohumeral_rad"):
        np.testing.assert_allclose(getattr(left, name), getattr(right, name), atol=1e-12)
    np.testing.assert_allclose(left.glenohumeral_m, right.glenohumeral_m * [1, 1, -1])
    np.testing.assert_allclose(left.gap_m, right.gap_m)
    assert (left.glenohumeral_m[:, 2] < 0).all()
    np.testing.assert_allclose(left.on(Side.RIGHT).thorax_from_scapula, right.thorax_from_scapula)


def test_a_person_who_rests_differently_moves_differently(library: Library) -> None:
    sizes = default_sizes(library)
    arm = rad_from_deg([[40, 60, 0]])
    droops = Resting(scapula_up_rad=float(rad_from_deg(-5)), clavicle_up_rad=float(rad_from_deg(-3)))
    for name in NAMES:
        usual, drooping = (
            girdle_pose(arm, find_rhythm(library, name), sizes, resting=resting) for resting in (Resting(), droops)
        )
        assert drooping.acromioclavicular_m[0, 1] < usual.acromioclavicular_m[0, 1]
        assert drooping.scapulothoracic_rad[0, 1] > usual.scapulothoracic_rad[0, 1]


@pytest.mark.parametrize("name", NAMES)
def test_the_scapula_can_be_kept_on_the_thorax_and_the_residual_is_stated(library: Library, name: str) -> None:
    sizes, rhythm = default_sizes(library), find_rhythm(library, name)
    arm = rad_from_deg([[40, elevation, 0] for elevation in (0, 30, 60, 90, 120)])
    published, kept = (girdle_pose(arm, rhythm, sizes, on_thorax=keep) for keep in (False, True))
    assert np.abs(published.gap_change_m[1:]).max() > 2e-3  # the published course does leave the ellipsoid
    assert np.abs(kept.gap_change_m).max() < 1e-5
    assert (kept.turned_onto_thorax_rad[1:] > 0).all()
    np.testing.assert_allclose(kept.acromioclavicular_m, published.acromioclavicular_m, atol=1e-12)
    moved = angle_of(inverse(published.thorax_from_scapula) @ kept.thorax_from_scapula)
    np.testing.assert_allclose(moved, kept.turned_onto_thorax_rad, atol=1e-9)
    assert float(deg_from_rad(kept.turned_onto_thorax_rad).max()) < 15.0


def test_a_drawn_population_in_one_call(library: Library) -> None:
    people = drawn_sizes(library, 50, np.random.default_rng(5))
    pose = girdle_pose(
        np.broadcast_to(rad_from_deg([40, 90, 0]), (50, 3)), find_rhythm(library), people, on_thorax=True
    )
    assert pose.glenohumeral_m.shape == (50, 3)
    assert np.std(pose.glenohumeral_m[:, 2]) > 1e-3
    one = girdle_pose(rad_from_deg([40, 90, 0]), find_rhythm(library), people.one(7), on_thorax=True)
    np.testing.assert_allclose(one.glenohumeral_m, pose.glenohumeral_m[7], atol=1e-6)


def test_least_turning_roll_beats_every_other_roll() -> None:
    pointing = rotation_from_angles(rad_from_deg([-30, -15, 0]), "YXZ")
    scapula = rotation_from_angles(rad_from_deg([25, -28, 3]), "YXZ")
    resting = rotation_from_angles(rad_from_deg([45, 5, -8]), "YXZ")
    best = float(least_turning_roll(pointing, scapula, resting))
    rolls = np.linspace(-np.pi, np.pi, 721)
    clavicles = pointing @ rotation_from_angles(np.stack([0 * rolls, 0 * rolls, rolls], -1), "YXZ")
    away = angle_of(inverse(clavicles) @ scapula @ resting.T)
    assert rolls[np.argmin(away)] == pytest.approx(best, abs=np.pi / 360)


@pytest.mark.parametrize("name", NAMES)
def test_the_arm_elevation_that_goes_with_a_scapula_is_found_back(library: Library, name: str) -> None:
    rhythm, plane = find_rhythm(library, name), float(rad_from_deg(40))
    for elevation in rad_from_deg([20, 75, 120]):
        upward = upward_of(float(elevation), plane, rhythm)
        assert elevation_for_upward_rotation(upward, plane, rhythm) == pytest.approx(float(elevation), abs=1e-9)
    assert elevation_for_upward_rotation(3.0, plane, rhythm) is None


def test_outside_the_measured_elevations_it_says_so(library: Library) -> None:
    rhythm, sizes = find_rhythm(library), default_sizes(library)
    inside, outside = (girdle_pose(rad_from_deg([40, elevation, 0]), rhythm, sizes) for elevation in (90, 160))
    assert not any("carried on" in caveat for caveat in inside.basis.caveats)
    assert any("carried on" in caveat for caveat in outside.basis.caveats)
    assert is_measured(rhythm, [10, 30, 120, 121]).tolist() == [False, True, True, False]


def test_planes_outside_flexion_and_abduction_are_held(library: Library) -> None:
    rhythm = find_rhythm(library)
    behind, frontal = (rhythm.follow(rad_from_deg(plane), rad_from_deg(60)) for plane in (-30, 0))
    np.testing.assert_allclose(behind.thorax_from_scapula, frontal.thorax_from_scapula)
    np.testing.assert_allclose(
        angles_from_rotation(frontal.thorax_from_scapula, "YXZ"),
        angles_from_rotation(rhythm.follow(0.0, rad_from_deg(60)).thorax_from_scapula, "YXZ"),
    )
