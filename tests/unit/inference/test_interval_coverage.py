"""Do nine of ten answers lie inside, when the shares of contributors and links are other than assumed?"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from endfeel.assessment import read_case
from endfeel.evidence.library import Library
from endfeel.inference import Model, build_model, infer
from endfeel.inference.pooling import Beta
from endfeel.simulate.calibration import drawn_model

STORIES = Path(__file__).resolve().parents[3] / "stories"
TOLD, SETS = ("cuff_tear", "thoracic"), 16


@pytest.fixture(scope="module")
def inside(library: Library) -> tuple[np.ndarray, np.ndarray]:
    """Of answers by drawn shares: whether each lies in the interval, and in one half as wide; contributors that are
    neither all but sure nor all but excluded, one level of each (levels share their drawn share)."""
    model = build_model(library)
    generator = np.random.default_rng(11)
    others = [_other(model, generator) for _ in range(SETS)]
    whole, half = [], []
    for name in TOLD:
        case = read_case((STORIES / f"{name}.txt").read_text(encoding="utf-8"), name, library)
        said = infer(case, model)
        one_level = {belief.contributor: belief for belief in said.beliefs}
        open_ = [b for b in one_level.values() if 0.03 < b.probability < 0.97]
        for other in others:
            found = {(b.id, b.side): b.probability for b in infer(case, other, with_intervals=False).beliefs}
            for belief in open_:
                answer, centre = _logit(found[belief.id, belief.side]), _logit(belief.probability)
                low, high = _logit(belief.low), _logit(belief.high)
                whole.append(low <= answer <= high)
                half.append((low + centre) / 2 <= answer <= (high + centre) / 2)
    return np.array(whole), np.array(half)


def _other(model: Model, generator: np.random.Generator) -> Model:
    """The same model with the share of every contributor and link drawn from what is left open."""
    drawn = drawn_model(model, generator)
    contributors = tuple(
        replace(one, prior=Beta(_share(one.prior, generator), one.prior.weight)) for one in drawn.contributors
    )
    return replace(drawn, contributors=contributors)


def _share(prior: Beta, generator: np.random.Generator) -> float:
    return min(0.99, max(1e-4, float(generator.beta(prior.alpha, prior.beta))))


def _logit(share: float) -> float:
    return float(np.log(share / (1.0 - share)))


def test_nine_of_ten_lie_inside(inside: tuple[np.ndarray, np.ndarray]) -> None:
    whole, _ = inside
    assert len(whole) > 400
    assert 0.85 <= whole.mean() <= 0.95


def test_an_interval_half_as_wide_would_not_do(inside: tuple[np.ndarray, np.ndarray]) -> None:
    _, half = inside
    assert half.mean() < 0.8
