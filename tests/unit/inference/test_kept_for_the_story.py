"""What is kept for a story is what would be made anew, whatever was asked before."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from endfeel.evidence.library import Library
from endfeel.inference import Model, build_model, infer
from endfeel.inference.contributors import instances_of
from endfeel.inference.leaving_out import leave_out
from endfeel.inference.network import build_network
from endfeel.vocabulary import Case, Complaint, Finding, Onset, Person, Result, Side

RIGHT = Side.RIGHT
BASE = Case(Person(48), Complaint(side=RIGHT, onset=Onset.GRADUAL, weeks=10.0, areas=("lateral",)), screen={})
OTHERS = [
    replace(BASE, person=Person(24)),
    replace(BASE, complaint=replace(BASE.complaint, side=Side.LEFT)),
    replace(BASE, complaint=replace(BASE.complaint, onset=Onset.TRAUMA)),
    replace(BASE, complaint=replace(BASE.complaint, weeks=120.0)),
    replace(BASE, complaint=replace(BASE.complaint, areas=("neck", "hand"))),
    replace(BASE, screen={"diabetes": True}),
    replace(BASE, screen={"diabetes": False}),
    replace(BASE, findings=(Finding("beighton", value=6.0),)),
    replace(BASE, findings=(Finding("gh_post", Side.LEFT, mobility=1),)),
]


@pytest.fixture(scope="module")
def model(library: Library) -> Model:
    return build_model(library)


def test_contributors_kept_for_one_story_are_not_given_to_another(model: Model) -> None:
    fresh = [instances_of(one, model.contributors, model.modifiers, model.parameters) for one in (BASE, *OTHERS)]
    for _ in range(2):
        for case, expected in zip((BASE, *OTHERS), fresh, strict=True):
            assert build_network(case, model).instances == expected
    assert len(set(fresh)) == len(fresh)


def test_a_model_with_other_contributors_does_not_take_over_what_the_first_kept(model: Model) -> None:
    doubled = tuple(replace(one, prior=replace(one.prior, mean=0.3)) for one in model.contributors)
    other = replace(model, contributors=doubled)
    assert build_network(BASE, model).instances != build_network(BASE, other).instances


def test_every_condition_of_a_modifier_is_part_of_what_is_kept(model: Model) -> None:
    told = {"age", "onset", "weeks", "areas", "cue", "beighton"}
    assert {name.split("_")[0] for modifier in model.modifiers for name in modifier.conditions} <= told


def test_a_set_left_out_is_the_same_asked_alone_again_or_among_others(model: Model) -> None:
    findings = (
        Finding("hawkins", RIGHT, result=Result.POSITIVE),
        Finding("neer", RIGHT, result=Result.POSITIVE),
        Finding("iso_er", RIGHT, strength=4, pain=3.0),
    )
    solution = infer(replace(BASE, findings=findings), model, with_intervals=False).solution
    together = leave_out(solution, [set(), {0}, {1, 2}, {0}])
    assert np.array_equal(together.probability[1], together.probability[3])
    for left, probability, evidence in zip(
        [set(), {0}, {1, 2}], together.probability, together.log_evidence, strict=False
    ):
        anew = solution.without(left)
        assert probability == pytest.approx(anew.probability, abs=1e-12)
        assert evidence == pytest.approx(anew.log_evidence, abs=1e-9)
    assert np.array_equal(leave_out(solution, [{1, 2}]).probability[0], together.probability[2])
    assert leave_out(solution, []).probability.shape == (0, len(solution.network.instances))
