"""Laws every plan keeps, whatever the tests are worth."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from endfeel.assessment import read_case
from endfeel.evidence.library import Library
from endfeel.planner import plan
from endfeel.planner.candidates import Settings
from endfeel.planner.learning import Learning
from endfeel.planner.relaxation import Relaxation
from endfeel.planner.search import Limits, choose
from endfeel.safety import verdict
from endfeel.vocabulary import Finding, Position

STORY = Path(__file__).resolve().parents[2] / "stories" / "first_visit.txt"


class Worth:
    """A posterior of drawn values: what each test would teach about six contributors."""

    def __init__(self, seed: int) -> None:
        self.seed = seed

    def information(self, keys):  # type: ignore[no-untyped-def]
        rng = np.random.default_rng(self.seed)
        return rng.random((len(keys), 6)) * 0.2, np.ones(6)

    articular = ()

    def prospect(self, _: object) -> None:
        return None

    def information_names(self) -> tuple[str, ...]:
        return tuple("abcdef")


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    seed=st.integers(0, 10_000), minutes=st.floats(1, 60), here=st.sampled_from(Position),
    irritability=st.sampled_from(["low", "moderate", "high"]), data=st.data(),
)  # fmt: skip
def test_a_plan_keeps_to_time_provocation_positions_and_prohibitions(  # type: ignore[no-untyped-def]
    library: Library, seed, minutes, here, irritability, data
) -> None:
    case = read_case(STORY.read_text(encoding="utf-8"), STORY.name, library)
    case = replace(case, complaint=replace(case.complaint, irritability=irritability))
    judged = verdict(case, library)
    ids = [procedure.id for procedure in library.catalogue]
    forbidden = tuple(data.draw(st.lists(st.sampled_from(ids), max_size=30)))
    pinned = tuple(data.draw(st.lists(st.sampled_from(ids), max_size=2, unique=True)))
    made = plan(case, Worth(seed), judged, library, minutes, position=here, pinned=pinned, forbidden=forbidden)  # type: ignore[arg-type]
    rules = Settings.of(library, case)
    names = {step.procedure for step in made.steps}
    assert not names & (set(forbidden) | set(judged.forbidden))
    noted = " ".join(made.notes)
    assert made.seconds <= minutes * 60 + 1e-6 or "more than there are" in noted
    assert made.irritability_load <= made.load_budget + 1e-9 or "still allowed" in noted
    if not pinned:
        assert made.seconds <= minutes * 60 + 1e-6
        assert made.irritability_load <= made.load_budget + 1e-9
    assert all(step.position in library.catalogue[step.procedure].positions for step in made.steps)
    assert made.position_changes <= rules.most_besides_arrival
    spared = {"func_demo", *pinned}
    assert all(s.irritability_load <= rules.strongest_load for s in made.steps if s.procedure not in spared)
    assert made.bound >= made.value - 1e-9
    assert abs(sum(step.information_bits for step in made.steps) - made.information_bits) < 1e-6
    assert all(wanted in names or wanted in noted for wanted in pinned)
    done = {(f.procedure, f.side, f.level) for f in case.findings}
    assert not done & {(s.procedure, s.side, s.level) for s in made.steps}


@settings(max_examples=8, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(seed=st.integers(0, 10_000))
def test_after_following_a_plan_nothing_done_is_proposed_again(library: Library, seed: int) -> None:
    case = read_case(STORY.read_text(encoding="utf-8"), STORY.name, library)
    judged = verdict(case, library)
    first = plan(case, Worth(seed), judged, library, 15)  # type: ignore[arg-type]
    done = {(s.procedure, s.side, s.level) for s in first.steps}
    followed = replace(case, findings=(*case.findings, *(Finding(p, side=s, level=v) for p, s, v in done)))
    again = plan(followed, Worth(seed), judged, library, 15, position=first.positions[-1])  # type: ignore[arg-type]
    assert done
    assert not done & {(s.procedure, s.side, s.level) for s in again.steps}


@settings(max_examples=80, deadline=None)
@given(seed=st.integers(0, 100_000), least_bits=st.sampled_from([1e-9, 0.05]))
def test_no_set_of_tests_teaches_more_than_the_bound(seed: int, least_bits: float) -> None:
    """Against every set of up to four of twelve tests, in three orders, with something required: no set of the same
    kind exceeds the bound, and the choice is one of them."""
    rng = np.random.default_rng(seed)
    n = 12
    told = rng.random((n, 3)) * rng.choice([0.1, 0.5, 1.0])
    learning = Learning(told, np.ones(3), rng.integers(0, 5, n), float(rng.choice([0.4, 0.7, 1.0])))
    seconds, load = rng.uniform(5, 60, n), rng.integers(0, 3, n).astype(float)
    shares = rng.choice([0.0, 0.85, 1.0], (3, n))
    limits = [Limits(float(rng.uniform(60, 140)), float(rng.uniform(1, 6)), 4) for _ in range(3)]
    pinned = tuple(int(i) for i in rng.choice(n, int(rng.integers(0, 3)), replace=False))
    choice = choose(learning, shares, seconds, load, limits, pinned, least_bits)
    held = [_held(pinned, share, seconds, load, limit) for share, limit in zip(shares, limits, strict=True)]
    most = max(len(one) for one in held)
    alone = shares.max(axis=0) * learning.bits.sum(axis=1) >= least_bits
    best = max(
        learning.of(chosen, share)
        for share, limit, required in zip(shares, limits, held, strict=True)
        if len(required) == most
        for count in range(limit.count + 1 - len(required))
        for some in combinations([i for i in np.flatnonzero((share > 0) & alone) if i not in required], count)
        for chosen in [required + list(some)]
        if seconds[chosen].sum() <= limit.seconds and load[chosen].sum() <= limit.load
    )
    assert choice.bits <= best + 1e-9 <= choice.bound_bits + 2e-9
    chosen = list(choice.chosen)
    assert choice.bits == pytest.approx(learning.of(chosen, shares[choice.order]))
    assert set(held[choice.order]) <= set(chosen)
    limit = limits[choice.order]
    assert (shares[choice.order][chosen] > 0).all()
    assert len(chosen) <= limit.count
    assert seconds[chosen].sum() <= limit.seconds + 1e-6
    assert load[chosen].sum() <= limit.load + 1e-6


def _held(pinned, share, seconds, load, limit):  # type: ignore[no-untyped-def]
    """What is required, one after the other, as far as it fits."""
    held: list[int] = []
    for i in pinned:
        more = [*held, i]
        if share[i] > 0 and seconds[more].sum() <= limit.seconds and load[more].sum() <= limit.load:
            held = more
    return held


@settings(max_examples=80, deadline=None)
@given(seed=st.integers(0, 100_000))
def test_every_tangent_of_the_over_estimate_lies_above_what_a_set_teaches(seed: int) -> None:
    """At drawn points, whole or not: no drawn set teaches more than the tangent says."""
    rng = np.random.default_rng(seed)
    n = 9
    told = rng.random((n, 4)) * rng.choice([0.1, 0.5, 1.0])
    learning = Learning(told, np.ones(4), np.sort(rng.integers(0, 4, n)), float(rng.choice([0.4, 0.7, 1.0])))
    share = rng.choice([0.5, 0.85, 1.0], (1, n))
    relaxed = Relaxation(learning, share, np.ones((n, 1)), np.ones((1, 1)), np.zeros((1, n), dtype=bool))
    points = np.concatenate([rng.random((5, n)), rng.integers(0, 2, (5, n))]).astype(float)
    values, slopes = relaxed.tangent(points)
    for _ in range(20):
        whole = rng.integers(0, 2, n).astype(float)
        truth = learning.of(list(relaxed.test[whole > 0]), share[0])
        above = values + (slopes * (whole - points)).sum(axis=1)
        assert (above >= truth - 1e-9).all()
