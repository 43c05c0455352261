"""What a process does with the machine: freed memory is kept, and no result changes."""

from __future__ import annotations

import subprocess
import sys

import pytest

FAULTS = """
import resource, sys
from endfeel.cli.machine import prepare_machine
if sys.argv[1] == "settled":
    prepare_machine()
import numpy as np
def sums(): return float(sum(np.sqrt(np.arange(100_000.0) * k).sum() for k in range(20)))
total = sums()
before = resource.getrusage(resource.RUSAGE_SELF).ru_minflt
assert sums() == total
print(resource.getrusage(resource.RUSAGE_SELF).ru_minflt - before, total)
"""


def _faults(how: str) -> tuple[int, str]:
    done = subprocess.run([sys.executable, "-c", FAULTS, how], capture_output=True, text=True, check=True)
    faults, total = done.stdout.split()
    return int(faults), total


@pytest.mark.skipif(sys.platform != "linux", reason="the C library of Linux alone is asked")
def test_memory_of_a_sum_is_not_asked_for_again_page_by_page() -> None:
    settled, total = _faults("settled")
    usual, same = _faults("usual")
    assert total == same
    assert settled < 50 < usual
