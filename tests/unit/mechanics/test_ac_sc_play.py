"""What contributors do to the glides of the AC and SC joints, person by person."""

from __future__ import annotations

import numpy as np
import pytest

from endfeel.evidence.library import Library
from endfeel.mechanics.girdle_ligaments import Drawn, read_girdle
from endfeel.mechanics.girdle_play import Paired, examine_girdle, girdle_contributors, girdle_tests, ratios


@pytest.fixture(scope="module")
def found(library: Library) -> dict[tuple[str, str], Paired]:
    return examine_girdle(library, 200, seed=2)


def test_tests_are_procedures_of_the_catalogue_and_contributors_those_of_the_inference(library: Library) -> None:
    for test in girdle_tests(library):
        assert test.procedure in library.catalogue
    known = {one["id"] for one in library.documents["contributors"]["contributor"]}
    assert set(girdle_contributors(library)) <= known


def test_a_contributor_is_examined_at_its_joint_alone(found: dict[tuple[str, str], Paired]) -> None:
    for contributor, procedure in found:
        assert contributor[:3] == procedure[:3]
    assert ("ac_sprain", "ac_post") in found
    assert ("sc_hypomobility_elevation", "sc_inf_lat") in found


def test_lax_goes_farther_and_stiff_less_far_in_nearly_everybody(found: dict[tuple[str, str], Paired]) -> None:
    """Nearly: a band short at rest holds the bone off centre, and lax it lets the bone start elsewhere."""
    by_place = ratios(found)
    assert all(pair.converged.all() for pair in found.values())
    for (contributor, _), ratio in by_place.items():
        if contributor in ("ac_sprain", "sc_instability"):
            assert (ratio >= 1.0 - 1e-6).mean() > 0.9
        if contributor == "ac_arthropathy":
            assert (ratio <= 1.0 + 1e-6).mean() > 0.9
    assert np.median(by_place["ac_sprain", "ac_post"]) > 1.3
    assert np.median(by_place["sc_hypomobility_elevation", "sc_inf_lat"]) < 0.95
    assert np.median(by_place["sc_hypomobility_depression", "sc_sup_med"]) < 0.95


def test_lengths_of_one_person_go_together(library: Library) -> None:
    """Correlation of bone sizes: figure kinematics.ki542."""
    drawn = Drawn(read_girdle(library), 4000, seed=1)
    conoid, trapezoid = drawn.length_mm("conoid.length_mm"), drawn.length_mm("trapezoid.length_mm")
    assert np.corrcoef(conoid, trapezoid)[0, 1] == pytest.approx(drawn.of.mean("body.size_correlation"), abs=0.05)
    assert conoid.std() == pytest.approx(4.1, rel=0.1)
