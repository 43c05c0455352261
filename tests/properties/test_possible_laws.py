"""Laws of keeping a belief to what is possible, checked by drawing from the plain belief and throwing away the rest."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from endfeel.anatomy.contributions import Known, share_of_elevation
from endfeel.anatomy.possible import kept_possible
from endfeel.evidence.library import Library

DRAWS = 400_000


def test_one_condition_is_the_truncated_normal_distribution() -> None:
    """Outside check: SciPy's `truncnorm`."""
    from scipy.stats import truncnorm

    for centre in (-2.0, -0.5, 0.0, 1.0, 3.0):
        mean, covariance, against = kept_possible(np.array([centre]), np.array([[4.0]]), np.array([[1.0]]))
        wanted = truncnorm(-centre / 2.0, np.inf, loc=centre, scale=2.0)
        assert mean[0] == pytest.approx(wanted.mean(), abs=1e-7)
        assert covariance[0, 0] == pytest.approx(wanted.var(), abs=1e-7)
        assert against == pytest.approx(max(0.0, -centre / 2.0))


@settings(deadline=None, max_examples=15)
@given(st.integers(0, 10_000))
def test_two_conditions_are_met_as_by_drawing(seed: int) -> None:
    random = np.random.default_rng(seed)
    root = random.normal(size=(3, 3))
    covariance, mean, rows = root @ root.T + 0.2 * np.eye(3), random.normal(size=3), random.normal(size=(2, 3))
    drawn = random.multivariate_normal(mean, covariance, DRAWS)
    kept = drawn[(drawn @ rows.T >= 0.0).all(axis=1)]
    found, spread, _ = kept_possible(mean, covariance, rows)
    if len(kept) < 0.05 * DRAWS:
        return
    scale = np.sqrt(np.diag(covariance))
    assert np.abs((found - kept.mean(axis=0)) / scale).max() < 0.05
    assert np.abs(np.sqrt(np.diag(spread)) - kept.std(axis=0)).max() < 0.08 * scale.max()


def test_a_belief_far_from_the_impossible_stays_as_it_was() -> None:
    mean, covariance = np.array([30.0, 40.0]), np.diag([4.0, 9.0])
    found, spread, against = kept_possible(mean, covariance, np.eye(2))
    assert found == pytest.approx(mean)
    assert spread == pytest.approx(covariance)
    assert against == 0.0


@settings(deadline=None, max_examples=40)
@given(st.integers(0, 180), st.integers(90, 180), st.one_of(st.none(), st.integers(0, 120)), st.integers(0, 90))
def test_no_joint_is_said_to_give_less_than_nothing(
    library: Library, total: int, other: int, glenohumeral: int | None, scapula: int
) -> None:
    told = None if glenohumeral is None else (float(glenohumeral), None)
    known = Known(float(total), normal_deg=float(other), glenohumeral=told, scapula=(float(scapula), None))
    shares = share_of_elevation(library, known, 40.0)
    for part in shares.parts:
        assert part.now_deg >= -0.5
        assert part.now_deg <= 2.0 * part.normal_deg + 0.5
    assert sum(part.lost_deg for part in shares.parts) == pytest.approx(shares.lost_deg, abs=1e-6)
