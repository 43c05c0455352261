"""Paths to draw: the points make up the length that the wrapping law gives, end where they should, stay outside."""

from __future__ import annotations

import numpy as np
import pytest

from endfeel.evidence.library import Library
from endfeel.mechanics import arm, default_shoulder
from endfeel.mechanics.band_names import NAMES, band_name
from endfeel.mechanics.fibre_paths import fibre_paths, points_round_sphere
from endfeel.mechanics.parameters import BANDS
from endfeel.mechanics.wrapping import length_round_sphere_m


def test_points_make_up_the_length_and_stay_outside_the_sphere() -> None:
    generator = np.random.default_rng(3)
    ways = generator.normal(size=(2, 400, 3))
    ways /= np.linalg.norm(ways, axis=-1, keepdims=True)
    radius = np.full(400, 0.024)
    far = ways[0] * (radius * generator.uniform(1.03, 2.0, 400))[:, None]
    near = ways[1] * (radius * generator.uniform(1.0, 1.5, 400))[:, None]
    points = points_round_sphere(far, near, radius, 300)
    walked = np.linalg.norm(np.diff(points, axis=1), axis=-1).sum(axis=1)
    assert walked == pytest.approx(length_round_sphere_m(far, near, radius), abs=1e-6)
    assert np.linalg.norm(points, axis=-1).min() > 0.024 * (1.0 - 1e-9)
    assert points[:, 0] == pytest.approx(far, abs=1e-12)
    assert points[:, -1] == pytest.approx(near, abs=1e-12)


def test_an_end_inside_is_drawn_out_to_the_surface_and_opposite_ends_have_a_path() -> None:
    radius = np.array(0.024)
    points = points_round_sphere(np.array([0.0, 0.03, 0.0]), np.array([0.0, -0.02, 0.0]), radius)
    assert points[-1] == pytest.approx([0.0, -0.024, 0.0], abs=1e-12)
    assert np.linalg.norm(points, axis=-1).min() > 0.0239
    assert np.isfinite(points).all()


def test_the_tightest_fibre_drawn_has_the_strain_of_its_band(library: Library) -> None:
    person, pose = default_shoulder(library), arm(80, 30, 60)
    paths, bands = fibre_paths(person, pose), person.bands_at(pose)
    assert paths.bands == BANDS
    for place in range(len(BANDS)):
        drawn = paths.strain_percent[0, paths.band_of_fibre == place].max()
        assert drawn == pytest.approx(bands.strain_percent[0, place], abs=1e-9)


def test_every_band_has_a_name_that_people_read() -> None:
    assert all("_" not in band_name(band) for band in BANDS)
    assert len({band_name(band) for band in (*BANDS, *NAMES)}) == len({*BANDS, *NAMES})
    assert band_name("interclavicular") == "interclavicular"
