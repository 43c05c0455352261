"""Axes, signs and the mirror, on poses that can be drawn on paper."""

from __future__ import annotations

import numpy as np
import pytest

from endfeel.anatomy import frames
from endfeel.anatomy.rotations import rotation_from_angles, turned
from endfeel.anatomy.units import deg_from_rad, m_from_mm, mm_from_m, rad_from_deg
from endfeel.vocabulary import Side

ALONG_ARM = -frames.UP
"""From the shoulder to the elbow, seen from the humerus."""


def arm_direction(plane_deg: float, elevation_deg: float) -> np.ndarray:
    rotation = frames.humerus_from_clinical(rad_from_deg(plane_deg), rad_from_deg(elevation_deg))
    return turned(rotation, ALONG_ARM)


@pytest.mark.parametrize(
    ("plane", "elevation", "points_to"),
    [(0, 0, -frames.UP), (0, 90, frames.LATERAL), (90, 90, frames.FORWARD), (0, 180, frames.UP), (180, 45, None)],
)
def test_the_arm_points_where_the_plane_and_elevation_say(
    plane: float, elevation: float, points_to: np.ndarray | None
) -> None:
    expected = np.array([0.0, -np.sqrt(0.5), -np.sqrt(0.5)]) if points_to is None else points_to  # across the body
    np.testing.assert_allclose(arm_direction(plane, elevation), expected, atol=1e-12)


def test_positive_third_angle_turns_the_humerus_inward() -> None:
    turned_in = frames.humerus_from_clinical(0.0, 0.0, rad_from_deg(90))
    np.testing.assert_allclose(turned(turned_in, frames.FORWARD), -frames.LATERAL, atol=1e-12)


def test_signs_of_clavicle_and_scapula() -> None:
    protracted = rotation_from_angles(rad_from_deg([30, 0, 0]), frames.CLAVICLE)
    depressed = rotation_from_angles(rad_from_deg([0, 30, 0]), frames.CLAVICLE)
    backward = rotation_from_angles(rad_from_deg([0, 0, 30]), frames.CLAVICLE)
    assert turned(protracted, frames.LATERAL)[0] == pytest.approx(0.5)  # the outer end moves forward
    assert turned(depressed, frames.LATERAL)[1] == pytest.approx(-0.5)  # and down
    assert turned(backward, frames.UP)[0] == pytest.approx(-0.5)  # the upper surface turns backward


def test_frames_from_landmarks_of_an_upright_person_are_the_axes_themselves() -> None:
    frame = frames.thorax_frame([0.05, 0, 0], [0.1, -0.2, 0], [-0.05, 0.0, 0], [-0.1, -0.2, 0])
    np.testing.assert_allclose(frame, np.eye(3), atol=1e-12)
    np.testing.assert_allclose(frames.clavicle_frame([0, 0, 0], [0, 0, 0.15]), np.eye(3), atol=1e-12)
    np.testing.assert_allclose(frames.scapula_frame([0, 0, 0.1], [0, 0, 0], [0, -0.12, 0]), np.eye(3), atol=1e-12)
    np.testing.assert_allclose(
        frames.humerus_frame([0, 0, 0], [0, -0.3, 0.03], [0, -0.3, -0.03]), np.eye(3), atol=1e-12
    )


def test_frame_from_a_turned_scapula_gives_the_turn_back() -> None:
    turn = rotation_from_angles(rad_from_deg([35, -20, -8]), frames.SCAPULA)
    points = turned(turn, np.array([[0, 0, 0.1], [0, 0, 0], [0.0, -0.12, 0.01]]))
    np.testing.assert_allclose(frames.scapula_frame(*points), turn, atol=1e-12)


def test_landmarks_on_one_point_are_refused() -> None:
    with pytest.raises(ValueError, match="no axis"):
        frames.clavicle_frame([0, 0, 0], [0, 0, 0])


def test_the_left_is_the_mirror_image_and_twice_mirrored_is_itself() -> None:
    right = rotation_from_angles(rad_from_deg([35, -20, -8]), frames.SCAPULA)
    left = frames.rotation_of_side(right, Side.LEFT)
    mirrored_tip = turned(left, frames.mirrored_points([0.01, -0.1, 0.05]))
    np.testing.assert_allclose(mirrored_tip, frames.points_of_side(turned(right, [0.01, -0.1, 0.05]), Side.LEFT))
    np.testing.assert_allclose(frames.mirrored_rotation(left), right)
    np.testing.assert_array_equal(frames.rotation_of_side(right, Side.RIGHT), right)
    assert np.linalg.det(left) == pytest.approx(1.0)


def test_units_there_and_back() -> None:
    np.testing.assert_allclose(deg_from_rad(rad_from_deg([0.0, 57.0, -180.0])), [0.0, 57.0, -180.0])
    np.testing.assert_allclose(mm_from_m(m_from_mm([24.0, -9.55])), [24.0, -9.55])
    assert float(m_from_mm(24.0)) == pytest.approx(0.024)
