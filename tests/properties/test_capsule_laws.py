"""Laws of the head at rest: no near place has less energy, people do not disturb each other, pulls never push."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from endfeel.evidence.load import load_library
from endfeel.mechanics import Shoulders, arm, draw_population
from endfeel.mechanics.glenohumeral import head_at_rest, only, only_bed, total_energy_j

ELEVATION = st.floats(0.0, 90.0)
PLANE = st.floats(-40.0, 90.0)
TURN = st.floats(-80.0, 40.0)
PUSH = st.tuples(*[st.floats(-10.0, 10.0)] * 3)

PEOPLE: Shoulders = draw_population(load_library(), 6, seed=31)


@given(ELEVATION, PLANE, TURN, PUSH, st.integers(0, 1000))
@settings(max_examples=40, deadline=None)
def test_no_near_place_has_less_energy(
    elevation: float, plane: float, turn: float, push: tuple[float, float, float], seed: int
) -> None:
    pose, force = np.broadcast_to(arm(elevation, plane, turn), (6, 3, 3)), np.broadcast_to(np.array(push), (6, 3))
    rest = PEOPLE.at_rest(pose, force)
    aside = np.random.default_rng(seed).normal(scale=1e-5, size=(6, 3))
    beside = total_energy_j(PEOPLE.capsule, PEOPLE.bed, pose, rest.centre_m + aside, force)
    assert (beside >= rest.energy_j - 1e-12)[rest.converged].all()


@given(ELEVATION, PLANE, TURN, st.integers(0, 5))
@settings(max_examples=25, deadline=None)
def test_one_person_alone_rests_where_he_rests_among_others(
    elevation: float, plane: float, turn: float, who: int
) -> None:
    pose = np.broadcast_to(arm(elevation, plane, turn), (6, 3, 3))
    together = PEOPLE.at_rest(pose)
    row = np.array([who])
    alone = head_at_rest(only(PEOPLE.capsule, row), only_bed(PEOPLE.bed, row), pose[:1])
    assert together.converged[who] == alone.converged[0]
    if alone.converged[0]:
        assert alone.centre_m[0] == pytest.approx(together.centre_m[who], abs=1e-9)


@given(ELEVATION, PLANE, st.floats(-120.0, 90.0))
@settings(max_examples=40, deadline=None)
def test_bands_only_pull_and_their_shares_are_a_whole_or_nothing(elevation: float, plane: float, turn: float) -> None:
    bands = PEOPLE.bands_at(arm(elevation, plane, turn))
    assert (bands.tension_n >= 0.0).all()
    assert ((bands.tension_n > 0.0) == (bands.strain_percent > 0.0)).all()
    whole = bands.share.sum(axis=1)
    assert np.isclose(whole, 1.0).sum() + np.isclose(whole, 0.0).sum() == 6
