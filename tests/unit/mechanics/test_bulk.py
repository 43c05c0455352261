"""The compiled loops give the answers of the definition, over many people, poses and forces."""

from __future__ import annotations

import sys

import numpy as np
import pytest

from endfeel.evidence.library import Library
from endfeel.mechanics import Shoulders, arm, draw_population
from endfeel.mechanics.bulk import bulk_lengths_m, kernels
from endfeel.mechanics.glenohumeral import fibre_lengths_m
from endfeel.mechanics.tissue import strain_of
from endfeel.vocabulary import Refused

pytest.importorskip("numba", reason="numba, an optional package, is not installed")


@pytest.fixture(scope="module")
def people(library: Library) -> Shoulders:
    return draw_population(library, 40, seed=9)


def test_lengths_and_strains(people: Shoulders) -> None:
    """Also where the head is moved so far that it touches the ends of fibres."""
    generator = np.random.default_rng(2)
    poses = np.stack([arm(*generator.uniform((0, -90, -90), 90)) for _ in range(300)])
    centres = generator.normal(scale=0.004, size=(300, 3))
    lengths, strains = bulk_lengths_m(people.capsule, 3, poses, centres)
    wanted = fibre_lengths_m(people.capsule, poses[:, None], np.repeat(centres[:, None], len(people), axis=1))[:, 3]
    assert np.abs(lengths - wanted).max() < 1e-13
    assert np.abs(strains - strain_of(wanted, people.capsule.slack_m[3])).max() < 1e-11


@pytest.mark.parametrize(("pose", "force_n"), [((0, 0, 0), 10.0), ((60, 0, -90), 40.0), ((60, 60, 40), 8.0)])
def test_heads_at_rest(people: Shoulders, pose: tuple[float, float, float], force_n: float) -> None:
    plain, fast = (who.translation(arm(*pose), "anterior", force_n) for who in (people, people.in_bulk()))
    sure = plain.converged & plain.seated
    assert sure.sum() > 20
    assert (fast.converged[sure] & fast.seated[sure]).all()
    assert fast.along_mm[sure] == pytest.approx(plain.along_mm[sure], abs=1e-6)
    assert fast.bands.tension_n[sure] == pytest.approx(plain.bands.tension_n[sure], abs=1e-4)


def test_passive_limits(people: Shoulders) -> None:
    plain, fast = (who.passive_limit("external rotation at 90") for who in (people, people.in_bulk()))
    sure = plain.converged
    assert sure.mean() > 0.8
    assert fast.angle_deg[sure] == pytest.approx(plain.angle_deg[sure], abs=1e-3)


def test_without_numba_it_says_what_would_do(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "endfeel.mechanics.bulk_kernels", None)
    monkeypatch.delattr("endfeel.mechanics.bulk_kernels", raising=False)
    with pytest.raises(Refused, match="endfeel\\[bulk\\]"):
        kernels()
