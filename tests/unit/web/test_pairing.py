"""Pairing: once, briefly, one visit, angles only; what a phone sends becomes an angle, a hold, a zero."""

from __future__ import annotations

import pytest

from endfeel.instruments import Turn
from endfeel.vocabulary import CannotRead, Refused
from endfeel.web.pairing import IDLE_SECONDS, MOST_SAMPLES, TOKEN_SECONDS, HoldRule, Pairings, Stage, Tilt


class Watch:
    now = 1000.0

    def __call__(self) -> float:
        return self.now


@pytest.fixture
def watch() -> Watch:
    return Watch()


@pytest.fixture
def pairings(watch: Watch) -> Pairings:
    return Pairings(HoldRule(1.0, 2.0, 60.0), watch)


def still(beta: float, start: float = 0.0, seconds: float = 1.2) -> list[Tilt]:
    return [Tilt(start + 0.1 * n, beta, 0.0) for n in range(round(seconds * 10) + 1)]


def test_a_token_is_good_once(pairings: Pairings) -> None:
    token = pairings.open("v1")
    assert pairings.live("v1").stage is Stage.WAITING
    key = pairings.claim(token)
    assert key not in ("", token)
    with pytest.raises(Refused, match="used already"):
        pairings.claim(token)
    assert pairings.waiting_token("v1") == ""


@pytest.mark.parametrize("token", ["", "x", "Ünicode"])
def test_a_guess_is_refused(pairings: Pairings, token: str) -> None:
    pairings.open("v1")
    pairings.claim(pairings.waiting_token("v1"))
    with pytest.raises(Refused):
        pairings.claim(token)
    with pytest.raises(Refused):
        pairings.push(token, [])


def test_a_token_lapses(pairings: Pairings, watch: Watch) -> None:
    token = pairings.open("v1")
    watch.now += TOKEN_SECONDS + 0.1
    assert pairings.live("v1").stage is Stage.NONE
    with pytest.raises(Refused, match="too old"):
        pairings.claim(token)


def test_a_new_code_cuts_the_old_phone_off_and_other_visits_keep_theirs(pairings: Pairings) -> None:
    old, other = pairings.claim(pairings.open("v1")), pairings.claim(pairings.open("v2"))
    pairings.open("v1")
    with pytest.raises(Refused, match="not paired"):
        pairings.push(old, still(0))
    assert pairings.push(other, still(0)).stage is Stage.READING


def test_a_key_reads_its_own_visit_only(pairings: Pairings) -> None:
    key = pairings.claim(pairings.open("v1"))
    pairings.claim(pairings.open("v2"))
    pairings.push(key, still(0))
    pairings.zero_by_phone(key)
    assert pairings.live("v1").zeroed
    assert not pairings.live("v2").zeroed


def test_zero_then_a_held_angle(pairings: Pairings) -> None:
    key = pairings.claim(pairings.open("v1"))
    with pytest.raises(Refused, match="sends nothing"):
        pairings.zero("v1")
    pairings.push(key, still(-90))
    live = pairings.zero("v1")
    assert live.angle is not None
    assert live.angle.degrees == pytest.approx(0)
    at_zero = pairings.push(key, still(-90, 2))
    assert at_zero.hold is not None
    assert at_zero.at_zero
    moving = pairings.push(key, [Tilt(4 + 0.1 * n, -90 + 10 * n, 0) for n in range(13)])
    assert moving.hold is None
    there = pairings.push(key, still(30, 6))
    assert there.hold is not None
    assert there.hold.degrees == pytest.approx(120)
    assert not there.at_zero


def test_an_upright_axis_gives_no_angle_and_no_hold(pairings: Pairings) -> None:
    key = pairings.claim(pairings.open("v1"))
    pairings.push(key, still(0))
    pairings.zero("v1")
    pairings.turn("v1", Turn.SCREEN)
    live = pairings.push(key, still(0, 2))
    assert live.angle is not None
    assert live.angle.degrees is None
    assert live.hold is None


def test_silence_is_told_and_long_silence_ends_it(pairings: Pairings, watch: Watch) -> None:
    key = pairings.claim(pairings.open("v1"))
    pairings.push(key, still(0))
    watch.now += 3
    assert pairings.live("v1").stage is Stage.SILENT
    assert pairings.push(key, still(0, 5)).stage is Stage.READING
    watch.now += IDLE_SECONDS
    with pytest.raises(Refused, match="not paired"):
        pairings.push(key, still(0, 9))


def test_what_cannot_be_a_reading_is_refused_whole(pairings: Pairings) -> None:
    key = pairings.claim(pairings.open("v1"))
    with pytest.raises(CannotRead):
        pairings.push(key, [Tilt(0, 1, 2), Tilt(0.1, float("nan"), 0)])
    with pytest.raises(CannotRead):
        pairings.push(key, [Tilt(0.1 * n, 0, 0) for n in range(MOST_SAMPLES + 1)])
    assert pairings.live("v1").stage is Stage.SILENT


def test_readings_that_come_twice_or_late_are_dropped(pairings: Pairings) -> None:
    key = pairings.claim(pairings.open("v1"))
    pairings.push(key, still(0))
    pairings.zero("v1")
    pairings.push(key, still(40, 2))
    again = pairings.push(key, still(0, 1))
    assert again.angle is not None
    assert again.angle.degrees == pytest.approx(40)
