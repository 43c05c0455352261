"""Tests that provoke the same structure in the same way: what makes one of them come up falsely makes the others too.

Beside the contributors a family has a hidden cause of its own, which is nothing one would treat or refer. It takes
over a stated share of every member's leak, so the single test keeps its accuracy *exactly*; only several members
together say less than their ratios multiplied. It makes no test likelier than its usual contributors do: one more
positive would otherwise speak for the hidden cause and against them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from endfeel.evidence.library import Library
from endfeel.inference.contributors import Contributor
from endfeel.inference.end_feels import is_end_feel
from endfeel.inference.links import BinarySpec, Key
from endfeel.inference.nuisances import Array
from endfeel.inference.parameters import Parameters
from endfeel.vocabulary import Side


@dataclass(frozen=True, slots=True)
class SharedCause:
    """The hidden cause of one family at one side and level."""

    family: str
    side: Side | None
    level: str | None
    prior: float


def read_families(library: Library) -> dict[Key, str]:
    """Procedure and outcome to the family it belongs to (`test_families.csv`, custom)."""
    return {(row.text["procedure"], row.text["outcome"]): row.text["family"] for row in library.tables["test_families"]}


def usual_effect(spec: BinarySpec, log_fail: Array, contributors: Sequence[Contributor]) -> Array:
    """(...,) how often a contributor brings the outcome about, the common ones weighing more.

    Parameters
    ----------
    log_fail : (causes, ...) log of no effect of each contributor linked to the outcome.
    """
    weights = np.array([contributors[i].prior.mean for i in spec.contributors])
    return np.asarray(np.tensordot(weights / weights.sum(), -np.expm1(log_fail), axes=1))


def split_leak(log_no_leak: Array, most: Array, parameters: Parameters, outcome: str = "") -> tuple[Array, Array]:
    """(log of no own leak, log of no effect of the family's cause), both shaped like `log_no_leak`.

    (1 - own) (1 - prior * effect) = 1 - leak: averaged over the hidden cause nothing changes. What the cause cannot
    take over stays in the test's own leak.

    Parameters
    ----------
    log_no_leak, most : (...,); most is the largest effect the hidden cause may have.
    outcome : of an end feel, a larger share is one hand's and one joint's way with all its ends.
    """
    prior = parameters["family_prior"]
    share = parameters["end_feel_share" if is_end_feel(outcome) else "family_share"]
    effect = np.minimum(-np.expm1(share * log_no_leak) / prior, most)
    return log_no_leak - np.log1p(-prior * effect), np.log1p(-effect)
