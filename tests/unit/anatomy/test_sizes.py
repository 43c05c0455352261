"""Sizes: published means and spreads, the two sexes, a drawn population, joint positions that fit together."""

from __future__ import annotations

import numpy as np
import pytest

from endfeel.anatomy.sizes import SIZE_FIGURES, default_sizes, drawn_sizes, frames_rotation, size_spread
from endfeel.anatomy.units import deg_from_rad, mm_from_m
from endfeel.evidence.figures import Provenance
from endfeel.evidence.library import Library


def test_means_are_the_published_ones(library: Library) -> None:
    sizes = default_sizes(library)
    assert float(mm_from_m(sizes.head_radius_m)) == pytest.approx(24.0)  # Iannotti 1992, n 140
    assert float(mm_from_m(sizes.clavicle_length_m)) == pytest.approx(149.4)  # Bernat 2014, end to end
    assert float(deg_from_rad(sizes.retroversion_rad)) == pytest.approx(26.0)  # n 410
    assert sizes.basis.provenance is Provenance.READ
    assert "ligament_geometry.lg123.value" in sizes.basis.figures


def test_every_size_has_a_figure_with_a_published_spread(library: Library) -> None:
    for name in SIZE_FIGURES:
        assert size_spread(library, name) > 0.0, name


def test_men_are_larger_than_women_and_both_lie_about_the_mean(library: Library) -> None:
    both, men, women = (default_sizes(library, sex) for sex in (None, "male", "female"))
    for name in ("head_radius_m", "glenoid_height_m", "clavicle_length_m"):
        assert getattr(women, name) < getattr(both, name) < getattr(men, name)
    assert men.basis.provenance is Provenance.MEMORY  # the ratio of glenoid sizes was recalled
    assert men.basis.caveats


def test_the_joints_lie_where_a_hand_finds_them(library: Library) -> None:
    sizes = default_sizes(library)
    acromioclavicular, centre = mm_from_m(sizes.acromioclavicular_m), mm_from_m(sizes.glenohumeral_m)
    assert acromioclavicular[0] > 0
    assert acromioclavicular[1] > 0
    # independent figure: length of the acromion 44.1 (SD 4.7) mm (lg188) against the angle's distance from the AC joint
    assert np.linalg.norm(acromioclavicular) == pytest.approx(44.1, abs=4.7)
    assert np.linalg.norm(centre - acromioclavicular) == pytest.approx(np.linalg.norm([9.55, 34.0, 9.0]), abs=1e-9)
    assert mm_from_m(sizes.spine_root_m) == pytest.approx([0.0, 0.0, -128.9], abs=1e-9)
    assert abs(mm_from_m(sizes.inferior_angle_m)[0]) < 10.0  # nearly in the plane of the blade


def test_the_rotation_between_the_two_scapular_frames_is_proper(library: Library) -> None:
    rotation = frames_rotation(library)
    np.testing.assert_allclose(rotation @ rotation.T, np.eye(3), atol=1e-12)
    assert np.linalg.det(rotation) == pytest.approx(1.0)


def test_a_drawn_population_has_the_published_spread_and_the_stated_correlation(library: Library) -> None:
    people = drawn_sizes(library, 20_000, np.random.default_rng(3))
    assert people.head_radius_m.shape == (20_000,)
    assert people.glenohumeral_m.shape == (20_000, 3)
    for name in SIZE_FIGURES:
        values = getattr(people, name)
        assert np.std(values) == pytest.approx(size_spread(library, name), rel=0.03), name
    together = np.corrcoef(people.head_radius_m, people.clavicle_length_m)[0, 1]
    assert together == pytest.approx(0.6, abs=0.03)
    apart = np.corrcoef(people.head_radius_m, people.retroversion_rad)[0, 1]
    assert abs(apart) < 0.03
    assert (people.head_radius_m > 0).all()
    assert people.basis.provenance is Provenance.PRACTICE  # the correlation is an assumption


def test_the_same_seed_draws_the_same_people_and_one_can_be_picked(library: Library) -> None:
    first = drawn_sizes(library, 5, np.random.default_rng(11), "female")
    again = drawn_sizes(library, 5, np.random.default_rng(11), "female")
    np.testing.assert_array_equal(first.glenoid_height_m, again.glenoid_height_m)
    third = first.one(2)
    assert third.glenohumeral_m.shape == (3,)
    assert float(third.head_radius_m) == float(first.head_radius_m[2])
