"""The head in its socket without a capsule: what curvature, labrum, compression and suction do alone."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from endfeel.evidence.library import Library
from endfeel.mechanics import Shoulders, arm, cut, default_shoulder
from endfeel.mechanics.contact import contact_slopes


@pytest.fixture(scope="module")
def bare(library: Library) -> Shoulders:
    """The mean person with the whole capsule cut and the joint opened to the air."""
    return default_shoulder(library).changed(cut("whole_capsule")).in_laboratory().vented()


def test_slopes_are_those_of_the_energy(library: Library) -> None:
    bed = default_shoulder(library).bed
    for place in ([0.0, 0.0, -0.0003], [0.004, -0.002, 0.0008], [-0.009, 0.003, 0.004]):
        centre, step = np.array([place]), 1e-7
        _, slope, curvature = contact_slopes(bed, centre)
        for way in range(3):
            move = step * np.eye(3)[way]
            ahead, behind = contact_slopes(bed, centre + move), contact_slopes(bed, centre - move)
            assert slope[0, way] == pytest.approx((ahead[0][0] - behind[0][0]) / (2 * step), abs=1e-5)
            assert curvature[0, way] == pytest.approx((ahead[1][0] - behind[1][0]) / (2 * step), rel=2e-3, abs=50.0)


def test_compression_alone_is_carried_by_the_bed(bare: Shoulders) -> None:
    rest = bare.at_rest(arm(0))
    assert rest.converged.all()
    gap = rest.centre_m[:, None] - bare.bed.feet_m
    far = np.linalg.norm(gap, axis=-1)
    push = bare.bed.stiffness_n_per_m * np.maximum(bare.bed.head_radius_m[:, None] - far, 0.0)
    whole = np.einsum("ns,nsi->ni", push, gap / far[..., None])
    assert whole == pytest.approx(bare.bed.compression_n[:, None] * bare.bed.outward, abs=1e-5)


def test_the_head_rides_up_the_curve(bare: Shoulders) -> None:
    glide = bare.translation(arm(0), "inferior", 6.0)
    assert glide.seated.all()
    assert glide.converged.all()
    assert glide.along_mm[0] > 0.3
    assert 0.0 < glide.out_mm[0] < glide.along_mm[0]
    assert abs(glide.aside_mm[0]) < 0.02


def test_more_compression_holds_better(bare: Shoulders) -> None:
    ways = [bare.pressed(force).translation(arm(0), "anterior", 6.0).along_mm[0] for force in (20.0, 50.0, 111.0)]
    assert ways[0] > ways[1] > ways[2] > 0


def test_opening_the_joint_to_the_air_loosens_it(library: Library) -> None:
    person = default_shoulder(library)
    sealed, open_ = (who.translation(arm(0), "inferior", 10.0).along_mm[0] for who in (person, person.vented()))
    assert sealed < open_


def test_suction_grows_to_its_limit(library: Library) -> None:
    bed = default_shoulder(library).bed
    far_off = bed.outward * 0.2
    _, slope, _ = contact_slopes(bed, far_off)
    assert np.linalg.norm(slope[0]) == pytest.approx(bed.compression_n[0] + bed.suction_limit_n[0], rel=1e-6)


def test_without_a_labrum_it_holds_less(bare: Shoulders) -> None:
    soft = np.arange(bare.bed.feet_m.shape[1]) >= 48
    gone = replace(bare, bed=replace(bare.bed, stiffness_n_per_m=np.where(soft, 0.0, bare.bed.stiffness_n_per_m)))
    kept, lost = (who.translation(arm(0), "anterior", 8.0) for who in (bare, gone))
    assert not lost.seated[0] or lost.along_mm[0] > kept.along_mm[0]
