"""The bare curve of the socket holds the head as published: nothing in the model was fitted to this.

Source: Lippitt 1993, J Shoulder Elbow Surg 2:27-35 (abstract read), rows joint_play.jp066 and jp067: capsule not
engaged, 50 N of compression, the tangential force at dislocation up to 60 % of it, greatest upward and downward; about
20 % less without the labrum.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from endfeel.evidence.library import Library
from endfeel.mechanics import Shoulders, arm, cut, default_shoulder

COMPRESSION_N = 50.0
STEPS = np.arange(0.20, 0.96, 0.02)


def hold(bare: Shoulders, direction: str) -> float:
    """The smallest share of the compression under which the head leaves the socket."""
    for share in STEPS:
        glide = bare.translation(arm(0.0), direction, COMPRESSION_N * float(share))
        if not (glide.seated[0] and glide.converged[0]):
            return float(share)
    return float("inf")


@pytest.fixture(scope="module")
def bare(library: Library) -> Shoulders:
    return default_shoulder(library).changed(cut("whole_capsule"), cut("rotator_cuff")).vented().pressed(COMPRESSION_N)


def test_up_to_sixty_per_cent_and_most_upward_and_downward(bare: Shoulders) -> None:
    held = {way: hold(bare, way) for way in ("anterior", "posterior", "inferior", "superior")}
    assert 0.5 < max(held.values()) <= 0.66
    assert min(held["inferior"], held["superior"]) > max(held["anterior"], held["posterior"])


def test_about_a_fifth_less_without_the_labrum(bare: Shoulders) -> None:
    parameters = bare.parameters
    cartilage = round(parameters.mean("cartilage_rings") * parameters.mean("cartilage_springs_a_ring"))
    kept = np.arange(bare.bed.feet_m.shape[1]) < cartilage
    gone = replace(bare, bed=replace(bare.bed, stiffness_n_per_m=bare.bed.stiffness_n_per_m * kept))
    ratios = [hold(gone, way) / hold(bare, way) for way in ("anterior", "posterior", "inferior", "superior")]
    assert 0.7 < np.mean(ratios) < 0.9
