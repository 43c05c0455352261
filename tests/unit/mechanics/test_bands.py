"""The drawn anatomy: sizes, clocks, slack; hand-checked where a picture would check it."""

from __future__ import annotations

import numpy as np
import pytest

from endfeel.evidence.library import Library
from endfeel.mechanics import Shoulders, default_shoulder, draw_population
from endfeel.mechanics.motions import published_limits, reference_rotations
from endfeel.mechanics.parameters import BANDS, read_parameters
from endfeel.mechanics.wrapping import length_round_sphere_m
from endfeel.vocabulary import NotFound


@pytest.fixture(scope="module")
def person(library: Library) -> Shoulders:
    return default_shoulder(library)


def fibres(who: Shoulders, band: str) -> np.ndarray:
    return np.flatnonzero(who.capsule.band_of_fibre == who.band_names.index(band))


def test_insertions_lie_on_the_head_and_rim_ends_outside_it(person: Shoulders) -> None:
    radius = person.bed.head_radius_m[0]
    assert np.linalg.norm(person.capsule.neck_m[0], axis=1) == pytest.approx(radius)
    assert np.linalg.norm(person.capsule.rim_m[0], axis=1).min() > radius


def test_the_clock_on_the_rim(person: Shoulders) -> None:
    """A right shoulder seen from the side: 12 above, 3 in front; 12 to 6 is the height, 3 to 9 the width."""
    points = person.socket.rim_m(np.array([[0.0, 3.0, 6.0, 9.0]]))[0]
    sizes = person.traits.sizes
    assert points[0, 1] > 0 > points[2, 1]
    assert points[1, 0] > 0 > points[3, 0]
    assert np.linalg.norm(points[0] - points[2]) == pytest.approx(float(sizes.glenoid_height_m[0]))
    assert np.linalg.norm(points[1] - points[3]) == pytest.approx(float(sizes.glenoid_width_m[0]))
    assert (points[:, 2] < 0).all()


def test_front_bands_insert_in_front_and_back_bands_behind(person: Shoulders) -> None:
    """With the head turned so that its pole faces the socket: retroversion undone."""
    turn = float(person.traits.sizes.retroversion_rad[0])
    facing = np.array([[np.cos(turn), 0, -np.sin(turn)], [0, 1, 0], [np.sin(turn), 0, np.cos(turn)]])
    ahead = (person.capsule.neck_m[0] @ facing.T)[:, 0]
    assert ahead[fibres(person, "middle_GHL")].min() > 0.015
    assert ahead[fibres(person, "posterior_capsule_middle")].max() < -0.015
    above = person.capsule.neck_m[0, :, 1]
    assert above[fibres(person, "coracohumeral_posterior")].min() > above[fibres(person, "axillary_pouch")].max() + 0.02


def test_no_fibre_is_stretched_beyond_its_ratio_at_a_published_limit(person: Shoulders, library: Library) -> None:
    """Slack is the rest ratio times the greatest length over the published limits, head seated."""
    capsule, parameters = person.capsule, person.parameters
    lengths = [
        length_round_sphere_m(capsule.rim_m, capsule.neck_m @ turn.T, capsule.radius_m)
        for turn in reference_rotations(published_limits(library))
    ]
    longest = np.max(lengths, axis=0)[0]
    for place, band in enumerate(BANDS):
        mine = capsule.band_of_fibre == place
        assert capsule.slack_m[0, mine] / longest[mine] == pytest.approx(parameters.mean(f"{band}.rest_ratio"))


def test_measured_and_computed_stiffness(person: Shoulders) -> None:
    """The superior band carries its measured stiffness; the front inferior band modulus x section / length by hand."""
    stiffness, slack = person.capsule.stiffness_n_per_m[0], person.capsule.slack_m[0]
    assert stiffness[fibres(person, "superior_GHL")].sum() == pytest.approx(17_400)
    modulus_pa = 5.5e6 / (0.27 - 0.074 / 2)
    mine = fibres(person, "anterior_band_IGHL")
    assert stiffness[mine] * slack[mine] == pytest.approx(modulus_pa * 0.013 * 0.00279 / len(mine))


def test_parameters_know_their_figures_and_refuse_unknown_names(library: Library) -> None:
    parameters = read_parameters(library)
    assert parameters.figures["superior_GHL.stiffness_N_per_mm"].id == "ligament_geometry.lg008.value"
    assert parameters.with_values({"clock_sd": 0.0}).mean("clock_sd") == 0.0
    with pytest.raises(NotFound, match="no parameter"):
        parameters.mean("length_of_a_rope_mm")


def test_the_same_seed_gives_the_same_people(library: Library) -> None:
    one, same, other = (draw_population(library, 30, seed) for seed in (4, 4, 5))
    assert (one.capsule.slack_m == same.capsule.slack_m).all()
    assert (one.capsule.slack_m != other.capsule.slack_m).any()


def test_a_population_spreads_as_the_evidence_says(library: Library) -> None:
    people = draw_population(library, 4000, seed=6)
    parameters = people.parameters
    slack = np.log(people.traits.slack_factor)
    assert slack.std() == pytest.approx(parameters.mean("slack_sd_ratio"), rel=0.05)
    together = np.corrcoef(slack.T)[np.triu_indices(len(BANDS), 1)]
    assert together.mean() == pytest.approx(parameters.mean("slack_common_share"), abs=0.04)
    assert people.traits.rim_shift_hours.std() == pytest.approx(parameters.mean("clock_sd"), rel=0.05)
    assert people.traits.stiffness_factor.std() == pytest.approx(parameters.mean("stiffness_sd_ratio"), rel=0.1)
    radius_mm = people.bed.head_radius_m * 1000
    assert (radius_mm.mean(), radius_mm.std()) == (pytest.approx(24.0, abs=0.15), pytest.approx(2.1, rel=0.07))


def test_an_empty_population_is_refused(library: Library) -> None:
    with pytest.raises(ValueError, match="at least one"):
        draw_population(library, 0, seed=1)


def test_sexes_differ_in_size(library: Library) -> None:
    woman, man = (default_shoulder(library, sex).bed.head_radius_m[0] for sex in ("female", "male"))
    assert woman < man
