"""Rotations: laws, agreement with an independent library (SciPy `Rotation`), degenerate poses."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.spatial.transform import Rotation

from endfeel.anatomy import rotations as ours
from endfeel.anatomy.rotations import Sequence

angle = st.floats(-np.pi, np.pi, allow_nan=False)
triples = st.tuples(angle, angle, angle)
sequences: st.SearchStrategy[Sequence] = st.sampled_from(["YXZ", "YXY"])


@given(triples, sequences)
def test_matrix_equals_scipy(angles: tuple[float, float, float], sequence: Sequence) -> None:
    theirs = Rotation.from_euler(sequence, angles).as_matrix()
    np.testing.assert_allclose(ours.rotation_from_angles(angles, sequence), theirs, atol=1e-14)


@given(triples, sequences)
def test_angles_make_the_same_matrix_everywhere(angles: tuple[float, float, float], sequence: Sequence) -> None:
    matrix = ours.rotation_from_angles(angles, sequence)
    again = ours.rotation_from_angles(ours.angles_from_rotation(matrix, sequence), sequence)
    np.testing.assert_allclose(again, matrix, atol=5e-7)


@given(triples)
def test_angles_equal_scipy_away_from_degenerate_poses(angles: tuple[float, float, float]) -> None:
    for sequence in ("YXZ", "YXY"):
        matrix = ours.rotation_from_angles(angles, sequence)
        if ours.is_degenerate(matrix, sequence, within_rad=1e-4):
            continue
        theirs = Rotation.from_matrix(matrix).as_euler(sequence)
        if sequence == "YXY":  # SciPy returns the middle angle in 0..180; the standard's branch is the negative one
            theirs = np.array([theirs[0] + np.pi, -theirs[1], theirs[2] + np.pi])
        gap = ours.wrapped(ours.angles_from_rotation(matrix, sequence) - theirs)
        np.testing.assert_allclose(gap, 0.0, atol=1e-7)


@pytest.mark.parametrize(("sequence", "middles"), [("YXZ", (np.pi / 2, -np.pi / 2)), ("YXY", (0.0, -np.pi, np.pi))])
@given(first=angle, third=angle, held=angle)
def test_degenerate_poses_keep_the_matrix_and_what_is_held(
    sequence: Sequence, middles: tuple[float, ...], first: float, third: float, held: float
) -> None:
    for middle in middles:
        matrix = ours.rotation_from_angles([first, middle, third], sequence)
        assert ours.is_degenerate(matrix, sequence)
        free = ours.angles_from_rotation(matrix, sequence)
        assert free[2] == 0.0
        kept = ours.angles_from_rotation(matrix, sequence, held_first_rad=held)
        assert kept[0] == held
        for angles in (free, kept):
            np.testing.assert_allclose(ours.rotation_from_angles(angles, sequence), matrix, atol=1e-12)


@given(triples)
def test_rotation_vector_there_and_back_and_equal_to_scipy(angles: tuple[float, float, float]) -> None:
    matrix = ours.rotation_from_angles(angles, "YXZ")
    vector = ours.vector_from_rotation(matrix)
    np.testing.assert_allclose(ours.rotation_from_vector(vector), matrix, atol=1e-7)
    assert float(ours.angle_of(matrix)) == pytest.approx(Rotation.from_matrix(matrix).magnitude(), abs=1e-7)


@given(st.tuples(angle, angle, angle).filter(lambda v: np.linalg.norm(v) > 1e-3))
def test_half_turns_keep_their_axis(axis: tuple[float, float, float]) -> None:
    unit = np.array(axis) / np.linalg.norm(axis)
    for turn in (np.pi, np.pi - 1e-9, np.pi - 1e-4, 1e-9, 0.0):
        matrix = ours.rotation_from_vector(turn * unit)
        np.testing.assert_allclose(ours.rotation_from_vector(ours.vector_from_rotation(matrix)), matrix, atol=1e-7)


@given(triples, triples)
def test_inverse_undoes_and_batches_equal_single(
    one: tuple[float, float, float], two: tuple[float, float, float]
) -> None:
    pair = ours.rotation_from_angles(np.array([one, two]), "YXY")
    assert pair.shape == (2, 3, 3)
    np.testing.assert_allclose(pair @ ours.inverse(pair), np.broadcast_to(np.eye(3), (2, 3, 3)), atol=1e-12)
    np.testing.assert_array_equal(ours.angles_from_rotation(pair, "YXY")[1], ours.angles_from_rotation(pair[1], "YXY"))


@given(triples)
def test_nearest_rotation_repairs_rounded_digits(angles: tuple[float, float, float]) -> None:
    matrix = ours.rotation_from_angles(angles, "YXZ")
    repaired = ours.nearest_rotation(np.round(matrix, 3))
    np.testing.assert_allclose(repaired @ repaired.T, np.eye(3), atol=1e-12)
    assert np.linalg.det(repaired) == pytest.approx(1.0)
    assert float(ours.angle_of(repaired.T @ matrix)) < 2e-3
