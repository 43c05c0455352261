"""What could tell of one person is hidden, and cannot be reckoned back."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from endfeel.caseload.small_numbers import known_range, protected, protected_row, safe_pair

FEWEST = 5
tables = st.integers(2, 4).flatmap(
    lambda wide: st.lists(st.lists(st.integers(0, 30), min_size=wide, max_size=wide), min_size=2, max_size=4)
)


@settings(max_examples=25, deadline=None)
@given(tables)
def test_whoever_knows_every_shown_count_and_total_cannot_reckon_a_hidden_one(cells: list[list[int]]) -> None:
    counts = np.array(cells)
    told = protected(
        [str(k) for k in range(len(cells))], [str(k) for k in range(len(cells[0]))], counts, counts, FEWEST
    )
    shown = [*told.cells, told.totals]
    whole = np.block([[counts, counts.sum(1, keepdims=True)], [counts.sum(0, keepdims=True), counts.sum()]])
    hidden = np.array([[one is None for one in row] for row in shown])
    assert all(one is None or one == 0 or one >= FEWEST for row in told.cells for one in row[:-1])
    for row, column in np.argwhere(hidden & (whole > 0) & (whole < FEWEST)):
        low, high = known_range(whole, hidden, (int(row), int(column)))
        assert high - low >= FEWEST or hidden.all()


@settings(max_examples=200, deadline=None)
@given(st.lists(st.integers(0, 40), min_size=2, max_size=6))
def test_in_one_row_what_is_hidden_is_at_least_two_counts_or_the_total_too(counts: list[int]) -> None:
    told = protected_row(counts, counts, FEWEST)
    gone = [n for n, one in zip(counts, told[:-1], strict=True) if one is None]
    assert all(one is None or one == 0 or one >= FEWEST for one in told[:-1])
    if told[-1] is not None:
        assert not gone or (len(gone) >= 2 and sum(gone) >= FEWEST)
    assert bool(gone) == any(0 < n < FEWEST for n in counts)


def test_a_small_count_takes_the_next_smallest_with_it() -> None:
    assert protected_row([40, 3, 17], [40, 3, 17], FEWEST) == (40, None, None, 60)


def test_many_counts_of_one_person_are_small() -> None:
    assert protected_row([12, 30, 40], [1, 20, 30], FEWEST)[0] is None


def test_totals_that_stand_elsewhere_already_are_not_changed() -> None:
    counts = np.array([[2, 20], [30, 25]])
    told = protected(["a", "b"], ["x", "y"], counts, counts, FEWEST, (32, 45, 77))
    assert told.totals == (32, 45, 77)
    assert told.cells[0][0] is None
    assert sum(one is None for one in told.cells[0]) >= 2


@pytest.mark.parametrize(("groups", "safe"), [((10, 20, 30, 100), True), ((10, 13, 30, 100), False),
                                              ((3, 20, 30, 100), False), ((10, 10, 30, 100), True)])  # fmt: skip
def test_two_together_are_told_only_when_none_of_the_four_groups_is_small(
    groups: tuple[int, int, int, int], safe: bool
) -> None:
    assert safe_pair(*groups, FEWEST) is safe
