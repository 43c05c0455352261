"""Findings that wait while others are kept are kept in the next act; each is told its own answer."""

from __future__ import annotations

import asyncio
import threading
from collections.abc import Callable, Coroutine, Sequence
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import pytest

from endfeel import care
from endfeel.vocabulary import Complaint, Finding, Refused, Side
from endfeel.web import together
from endfeel.web.together import MOST, Together

TOLD = Finding("gh_post", Side.RIGHT, mobility=2, pain=3)


def new(desk: care.Desk) -> care.NewFinding:
    person = care.new_person(desk, "invented", invented=True)
    visit = care.open_visit(desk, care.open_episode(desk, person, Complaint(side=Side.RIGHT)))
    return care.new_finding(desk, visit, "finding", TOLD, care.new_id())


class Acts:
    """How many findings each act kept; the first act waits until `go`."""

    def __init__(self) -> None:
        self.sizes: list[int] = []
        self.go = threading.Event()
        self._keep: Callable[..., list[care.KeptSafely | None]] = care.keep_together

    def keep(self, several: Sequence[care.NewFinding]) -> list[care.KeptSafely | None]:
        if not self.sizes:
            self.go.wait(30)
        self.sizes.append(len(several))
        return self._keep(several)


@pytest.fixture
def acts(monkeypatch: pytest.MonkeyPatch) -> Acts:
    made = Acts()
    monkeypatch.setattr(together.care, "keep_together", made.keep)
    return made


def ask_all(acts: Acts, several: Sequence[Coroutine[Any, Any, Any]], cancelled: int | None = None) -> list[Any]:
    """All at once; the first act begins when the others wait."""

    async def run() -> list[Any]:
        tasks = [asyncio.ensure_future(one) for one in several]
        await asyncio.sleep(0)  # each has asked by then
        if cancelled is not None:
            tasks[cancelled].cancel()
            await asyncio.sleep(0)
        acts.go.set()
        return await asyncio.gather(*tasks, return_exceptions=True)

    with ThreadPoolExecutor(1) as beside:  # a browser test of the same process keeps a loop in this thread
        return beside.submit(asyncio.run, run()).result()


def test_what_waits_is_kept_in_the_next_act_up_to_a_limit_and_each_has_its_answer(desk: care.Desk, acts: Acts) -> None:
    at_once, several = Together(), [new(desk) for _ in range(MOST + 3)]
    told = ask_all(acts, [at_once.keep(one) for one in several])
    assert sum(acts.sizes) == MOST + 3
    assert max(acts.sizes) == MOST
    assert len(acts.sizes) <= 3
    for one, answer in zip(several, told, strict=True):
        assert answer == care.stand_visit(desk, one.visit_id)


def test_one_that_is_refused_says_so_to_whoever_sent_it_alone(desk: care.Desk, acts: Acts) -> None:
    at_once, several = Together(), [new(desk) for _ in range(4)]
    care.record_finding(desk, several[2].visit_id, TOLD)
    care.sign_note(desk, several[2].visit_id, "A. Therapist")
    told = ask_all(acts, [at_once.keep(one) for one in several])
    assert isinstance(told[2], Refused)
    assert [isinstance(one, tuple) for one in told] == [True, True, False, True]


def test_a_bug_is_told_to_all_of_its_act_and_the_next_act_goes_on(
    desk: care.Desk, acts: Acts, monkeypatch: pytest.MonkeyPatch
) -> None:
    at_once = Together()

    def bug(_: object) -> list[care.KeptSafely | None]:
        raise LookupError("a bug")

    monkeypatch.setattr(together.care, "keep_together", bug)
    told = ask_all(acts, [at_once.keep(new(desk)) for _ in range(2)])
    assert [type(one) for one in told] == [LookupError, LookupError]
    monkeypatch.setattr(together.care, "keep_together", acts.keep)
    assert ask_all(acts, [at_once.keep(new(desk))])[0] is not None


def test_one_that_nobody_waits_for_any_longer_before_its_turn_is_not_kept(desk: care.Desk, acts: Acts) -> None:
    at_once, several = Together(), [new(desk) for _ in range(3)]
    told = ask_all(acts, [at_once.keep(one) for one in several], cancelled=2)
    assert isinstance(told[2], asyncio.CancelledError)
    assert [len(care.view_visit(desk, one.visit_id).entries) for one in several] == [1, 1, 0]
