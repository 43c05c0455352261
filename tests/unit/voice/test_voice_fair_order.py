"""The report may be broken off anywhere: what was tried by then is spread over voices, conditions and phrases."""

from __future__ import annotations

from collections import Counter

from endfeel.voice.hearing_report import CLEAN, UNRELATED, Condition, Planned, fair_order

PHRASES = tuple(f"phrase {n}" for n in range(63))
STRANGERS = tuple(f"stranger {n}" for n in range(20))
NOISY = tuple(Condition.noisy(kind, ratio) for kind in ("white", "pink") for ratio in (15, 10, 20))
VOICES = 9


def order(most_noisy: int = len(PHRASES)) -> list[Planned]:
    return list(fair_order(PHRASES, STRANGERS, NOISY, most_noisy, VOICES))


def test_the_whole_order_holds_every_trial_once() -> None:
    found = Counter((one.condition.name, one.said) for one in order())
    wanted = [(name, said) for name in (CLEAN, *(one.name for one in NOISY)) for said in PHRASES]
    wanted += [(UNRELATED, said) for said in STRANGERS]
    assert found == Counter(wanted)


def test_after_the_first_round_each_noise_has_phrases_of_its_own() -> None:
    first = order()[: len(PHRASES) + len(STRANGERS) + len(PHRASES) * len(NOISY) // (len(NOISY) + 1)]
    assert sum(one.condition.name == CLEAN for one in first) == len(PHRASES)
    assert sum(one.condition.name == UNRELATED for one in first) == len(STRANGERS)
    by_phrase = Counter(one.said for one in first if one.condition.noise)
    assert set(by_phrase.values()) == {1}
    assert set(Counter(one.condition.name for one in first if one.condition.noise).values()) == {VOICES}


def test_wherever_it_stops_no_voice_is_ahead_by_more_than_one_in_a_condition() -> None:
    spoken: dict[str, Counter[int]] = {}
    for one in order():
        if one.condition.name == UNRELATED:
            continue
        counts = spoken.setdefault(one.condition.name, Counter())
        counts[one.place % VOICES] += 1
        assert max(counts.values()) - min(counts[voice] for voice in range(VOICES)) <= 1


def test_a_limit_holds_for_each_noise_alone() -> None:
    counts = Counter(one.condition.name for one in order(most_noisy=12))
    assert counts.pop(CLEAN) == len(PHRASES)
    assert counts.pop(UNRELATED) == len(STRANGERS)
    assert set(counts.values()) == {12}


def test_without_phrases_the_unrelated_are_tried_alone() -> None:
    assert [one.said for one in fair_order((), STRANGERS, NOISY, 5, VOICES)] == list(STRANGERS)
