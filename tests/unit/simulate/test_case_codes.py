"""Codes of simulated patients: read back, typed wrongly noticed, another evidence release told."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as some

from endfeel.simulate import CaseWish, Danger, Difficulty, code_of, read_code
from endfeel.simulate.codes import LETTERS, SEEDS
from endfeel.vocabulary import CannotRead, Irritability

WISHES = some.builds(
    CaseWish,
    some.integers(0, SEEDS - 1),
    some.sampled_from(Difficulty),
    some.sampled_from([None, *Irritability]),
    some.sampled_from(Danger),
)
RELEASE = "0123456789ab"
UNHURRIED = settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])
"""A laden machine may take its time."""


@UNHURRIED
@given(WISHES)
def test_a_code_is_read_back_and_knows_its_release(wish: CaseWish) -> None:
    code = code_of(wish, RELEASE)
    assert len(code) == 9
    assert read_code(code, RELEASE) == (wish, True)
    assert read_code(code.lower().replace("-", " "), RELEASE) == (wish, True)


@settings(UNHURRIED, max_examples=25)
@given(WISHES)
def test_every_wrong_letter_and_every_two_letters_changed_with_each_other_are_noticed(wish: CaseWish) -> None:
    letters = code_of(wish, RELEASE).replace("-", "")
    wrong = {letters[:at] + one + letters[at + 1 :] for at in range(8) for one in LETTERS}
    for a in range(8):
        for b in range(a + 1, 8):
            changed = list(letters)
            changed[a], changed[b] = changed[b], changed[a]
            wrong.add("".join(changed))
    for one in wrong - {letters}:
        with pytest.raises(CannotRead):
            read_code(one, RELEASE)


def test_another_release_is_told_and_still_read() -> None:
    """The mark has 9 bits: of 40 other releases none, or hardly one, may look like the same."""
    wish = CaseWish(77, Difficulty.HARD, None, Danger.ALWAYS)
    code = code_of(wish, RELEASE)
    same = 0
    for n in range(40):
        found, as_before = read_code(code, f"other {n}")
        assert found == wish
        same += as_before
    assert same <= 1


def test_codes_give_no_wish_away_by_a_letter_in_its_place() -> None:
    """Of 64 seeds each, codes with and without danger share no telling letter at any place."""
    for at in (0, 1, 2, 3, 5, 6, 7):
        kinds = [{code_of(CaseWish(seed, danger=one), RELEASE)[at] for seed in range(64)} for one in Danger]
        assert all(len(letters) > 10 for letters in kinds)
        assert len(set.intersection(*kinds)) > 5


def test_letters_that_look_alike_are_read_as_meant() -> None:
    wish = next(CaseWish(seed) for seed in range(500) if {"1", "0"} <= set(code_of(CaseWish(seed), RELEASE)))
    code = code_of(wish, RELEASE)
    assert read_code(code.replace("1", "I").replace("0", "O"), RELEASE) == (wish, True)


@pytest.mark.parametrize("text", ["", "K7QM", "K7QM-2TX!", "K7QM-2TXR-9"])
def test_what_is_no_code_is_told(text: str) -> None:
    with pytest.raises(CannotRead, match="code"):
        read_code(text, RELEASE)
