"""Laws of the girdle's pose: bones stay rigid, joints stay joined, forward and back agree, sides mirror each other."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from endfeel.anatomy.girdle import girdle_pose, pose_from_joints
from endfeel.anatomy.rhythm import Resting, find_rhythm
from endfeel.anatomy.rotations import inverse, turned
from endfeel.anatomy.sizes import default_sizes, drawn_sizes
from endfeel.evidence.library import Library
from endfeel.vocabulary import Side

NAMES = ("bone_pins", "fluoroscopy", "regression", "coupled", "two_to_one")
arms = st.tuples(st.floats(-30, 120), st.floats(0, 180), st.floats(-90, 90)).map(np.radians)
small = st.floats(-0.15, 0.15)
restings = st.builds(Resting, small, small, small, small, small)


@settings(max_examples=40, deadline=None)
@given(arm=arms, name=st.sampled_from(NAMES), resting=restings, on_thorax=st.booleans())
def test_bones_are_rigid_and_joints_joined(
    library: Library, arm: np.ndarray, name: str, resting: Resting, on_thorax: bool
) -> None:
    sizes = default_sizes(library)
    pose = girdle_pose(arm, find_rhythm(library, name), sizes, resting=resting, on_thorax=on_thorax)
    for bone in (pose.thorax_from_clavicle, pose.thorax_from_scapula, pose.thorax_from_humerus):
        np.testing.assert_allclose(bone @ inverse(bone), np.eye(3), atol=1e-9)
        assert np.linalg.det(bone) == pytest.approx(1.0)
    clavicle = pose.acromioclavicular_m - pose.sternoclavicular_m
    assert np.linalg.norm(clavicle) == pytest.approx(float(sizes.clavicle_length_m))
    for point, local in (
        (pose.acromioclavicular_m, sizes.acromioclavicular_m),
        (pose.glenohumeral_m, sizes.glenohumeral_m),
        (pose.spine_root_m, sizes.spine_root_m),
        (pose.inferior_angle_m, sizes.inferior_angle_m),
    ):
        placed = pose.acromial_angle_m + turned(pose.thorax_from_scapula, local)
        np.testing.assert_allclose(point, placed, atol=1e-12)


@settings(max_examples=40, deadline=None)
@given(arm=arms, name=st.sampled_from(NAMES), side=st.sampled_from(Side))
def test_forward_and_back(library: Library, arm: np.ndarray, name: str, side: Side) -> None:
    sizes = default_sizes(library)
    pose = girdle_pose(arm, find_rhythm(library, name), sizes, side=side)
    again = pose_from_joints(
        pose.sternoclavicular_rad, pose.acromioclavicular_rad, pose.glenohumeral_rad, sizes, side=side
    )
    np.testing.assert_allclose(again.thorax_from_humerus, pose.thorax_from_humerus, atol=1e-6)
    np.testing.assert_allclose(again.glenohumeral_m, pose.glenohumeral_m, atol=1e-9)
    np.testing.assert_allclose(again.gap_m, pose.gap_m, atol=1e-9)


@settings(max_examples=25, deadline=None)
@given(arm=arms, name=st.sampled_from(NAMES))
def test_the_left_mirrors_the_right(library: Library, arm: np.ndarray, name: str) -> None:
    right, left = (girdle_pose(arm, find_rhythm(library, name), default_sizes(library), side=side) for side in Side)
    np.testing.assert_allclose(left.inferior_angle_m * [1, 1, -1], right.inferior_angle_m)
    np.testing.assert_allclose(left.glenohumeral_rad, right.glenohumeral_rad, atol=1e-9)


@settings(max_examples=15, deadline=None)
@given(seed=st.integers(0, 10_000), plane=st.floats(0, 90), name=st.sampled_from(NAMES))
def test_anybody_can_be_kept_on_the_thorax_up_to_120(library: Library, seed: int, plane: float, name: str) -> None:
    people = drawn_sizes(library, 8, np.random.default_rng(seed))
    for elevation in (30.0, 120.0):
        arm = np.broadcast_to(np.radians([plane, elevation, 0.0]), (8, 3))
        pose = girdle_pose(arm, find_rhythm(library, name), people)
        assert np.abs(pose.gap_change_m).max() < 1e-4


def test_a_step_of_the_arm_is_a_step_of_the_girdle(library: Library) -> None:
    """No jumps between the measured elevations and planes."""
    elevations = np.radians(np.arange(0.0, 150.25, 0.25))
    for name in NAMES:
        for plane in (0.0, 40.0, 90.0):
            arm = np.stack([np.full_like(elevations, np.radians(plane)), elevations, 0 * elevations], axis=-1)
            pose = girdle_pose(arm, find_rhythm(library, name), default_sizes(library))
            step = np.linalg.norm(np.diff(pose.glenohumeral_m, axis=0), axis=-1)
            assert step.max() < 5e-4, name
