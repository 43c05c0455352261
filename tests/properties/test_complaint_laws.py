"""The complaint as a finding: it changes no share by itself, and what is all but sure accounts for it."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from endfeel.evidence.library import Library
from endfeel.inference import Model, build_model, infer
from endfeel.inference.complaint import NO_FINDING, before_complaint
from endfeel.inference.network import build_network
from endfeel.vocabulary import Case, Complaint, Finding, Onset, Person, Side, Unit

shares = st.lists(st.floats(0.001, 0.7), min_size=2, max_size=9).map(np.array)


@pytest.fixture(scope="module")
def model(library: Library) -> Model:
    return build_model(library)


def case(*findings: Finding, side: Side | None = Side.RIGHT) -> Case:
    return Case(
        Person(55), Complaint(side=side, onset=Onset.GRADUAL, weeks=20.0, areas=("lateral",)), findings=findings
    )


@given(shares, st.floats(0.3, 0.99), st.floats(0.01, 0.5))
def test_bayes_gives_the_stated_shares_back(told: np.ndarray, share: float, without: float) -> None:
    """Checked by summing over every combination of the sources."""
    before, chance = before_complaint(told, share, without)
    states = np.indices([2] * len(told)).reshape(len(told), -1).T.astype(float)
    weight = np.prod(np.where(states == 1.0, before, 1.0 - before), axis=1)
    weight *= 1.0 - (1.0 - without) * (1.0 - share) ** states.sum(axis=1)
    assert weight.sum() == pytest.approx(chance, rel=1e-8)
    assert states.T @ weight / weight.sum() == pytest.approx(told, rel=1e-6)
    assert (before <= told + 1e-12).all()


def test_with_nothing_found_everybody_keeps_the_share_of_the_story(model: Model) -> None:
    posterior = infer(case(), model)
    assert all(belief.probability == pytest.approx(belief.prior, abs=1e-9) for belief in posterior.beliefs)
    assert posterior.solution.log_evidence == pytest.approx(0.0, abs=1e-9)


def test_a_sure_frozen_shoulder_accounts_for_the_complaint(model: Model) -> None:
    lost = tuple(
        Finding(procedure, Side.RIGHT, value=here, other=other, unit=Unit.DEGREES)
        for procedure, here, other in (("gh_er_0", 0.0, 65.0), ("gh_ir_90", 5.0, 60.0), ("gh_abd", 40.0, 95.0))
    )
    posterior = infer(case(*lost), model)
    frozen, cuff = posterior.belief("capsule_global"), posterior.belief("cuff_pain")
    assert frozen is not None
    assert cuff is not None
    assert frozen.probability > 0.95
    assert cuff.probability < 0.85 * cuff.prior


def test_the_complaint_is_no_finding_that_can_be_taken_out(model: Model) -> None:
    network = build_network(case(Finding("hawkins", Side.RIGHT, pain=5.0)), model)
    assert NO_FINDING not in network.findings
    assert network.without({0}).complained is network.complained


def test_without_a_side_nobody_knows_who_accounts_for_it(model: Model) -> None:
    assert build_network(case(side=None), model).complaint is None
