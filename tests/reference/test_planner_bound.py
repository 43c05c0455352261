"""The greedy choice and its bound against OR-Tools CP-SAT, a general solver, on the same additive problem."""

from __future__ import annotations

import numpy as np
import pytest

from endfeel.planner.learning import Learning
from endfeel.planner.search import Limits, choose


@pytest.mark.parametrize("seed", range(16))
def test_the_solver_s_optimum_lies_between_the_choice_and_its_bound(seed: int) -> None:
    cp_model = _solver()
    rng = np.random.default_rng(seed)
    n = 14
    seconds, load, value = rng.integers(10, 60, n), rng.integers(0, 3, n), rng.integers(1, 100, n)
    model = cp_model.CpModel()
    take = [model.new_bool_var(f"t{i}") for i in range(n)]
    model.add(sum(int(s) * t for s, t in zip(seconds, take, strict=True)) <= 200)
    model.add(sum(int(w) * t for w, t in zip(load, take, strict=True)) <= 6)
    model.add(sum(take) <= 7)
    model.maximize(sum(int(v) * t for v, t in zip(value, take, strict=True)))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    assert solver.solve(model) == cp_model.OPTIMAL
    best = solver.objective_value / 100
    # One contributor for each test and no overlap: what a set teaches is then the plain sum.
    learning = Learning(np.diag(value / 100), np.ones(n), np.arange(n), 1.0)
    choice = choose(learning, np.ones((1, n)), seconds.astype(float), load.astype(float), [Limits(200, 6, 7)])[0]
    assert choice.bits <= best + 1e-9
    assert choice.bound_bits >= best - 1e-9
    assert choice.bits >= 0.5 * best


def _solver():  # type: ignore[no-untyped-def]
    from ortools.sat.python import cp_model

    return cp_model
