"""A scheduler's real worker processes: the same to the last digit as here; a worker killed mid-run loses nothing."""

from __future__ import annotations

import json
import os
import signal
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from endfeel.cli.calibrate import rank_block
from endfeel.cli.main import main
from endfeel.cli.processes import run_jobs

JOBS = [(seed, 1) for seed in range(1, 4)]
KILLED = 2
"""The job whose worker is killed the first time."""


def test_simulated_people_on_workers_are_those_of_one_process(
    scheduler: str, capsys: pytest.CaptureFixture[str]
) -> None:
    told = []
    for where in (["--scheduler", scheduler], ["--workers", "1"]):
        assert main(["calibrate", "--ranks", "--people", "2", "--json", *where]) == 0
        told.append(json.loads(capsys.readouterr().out))
    assert told[0] == told[1]
    assert told[0]["quantities"]


def test_a_worker_killed_mid_run_loses_nothing(scheduler: str, tmp_path: Path) -> None:
    folder, killed = str(tmp_path), KILLED

    def fragile(seed: int, people: int) -> dict[str, Any]:
        """The job itself, but one worker dies of it once: a nested function goes to the workers by value."""
        mark = Path(folder) / "killed"
        if seed == killed and not mark.exists():
            mark.write_text(str(os.getpid()), encoding="utf-8")
            os.kill(os.getpid(), signal.SIGKILL)
        return rank_block(seed, people)

    there = list(run_jobs(fragile, JOBS, 1, scheduler))
    assert (tmp_path / "killed").read_text(encoding="utf-8") != str(os.getpid())
    here = [rank_block(*one) for one in JOBS]
    assert len(there) == len(here)
    for one, other in zip(there, here, strict=True):
        assert one.keys() == other.keys()
        assert all(np.array_equal(one[name], other[name]) for name in one)
