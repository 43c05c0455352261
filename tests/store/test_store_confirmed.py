"""What turned out, in the store: kept once, taken back on record, guarded, gone with its person; counted by consent."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest
from sqlalchemy import text
from sqlalchemy.exc import DBAPIError

from endfeel import care
from endfeel.care import outcomes
from endfeel.vocabulary import CannotRead, Complaint, Finding, NotFound, Person, Refused, Result, Side
from endfeel.vocabulary.confirmed import ConfirmedOutcome, Reference

DAY = date(2026, 3, 9)
TEAR = ConfirmedOutcome(
    "supraspinatus_tear_full", Side.RIGHT, True, Reference.IMAGING, DAY, "report of the scan", "A. T."
)


class Clock:
    """A clock that is moved by hand."""

    def __init__(self) -> None:
        self.now = datetime(2026, 3, 2, 12, 0, tzinfo=UTC)

    def __call__(self) -> datetime:
        return self.now


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def desk(store_address: str, clock: Clock) -> Iterator[care.Desk]:
    opened = care.open_desk(store_address, clock=clock)
    yield opened
    opened.engine.dispose()


def new_episode(
    desk: care.Desk, clock: Clock, result: Result = Result.POSITIVE, agrees: bool = True
) -> tuple[str, str]:
    """A person with one test done; person and episode, a week later."""
    person = care.new_person(desk, "invented", Person(60, "female", Side.RIGHT), invented=True)
    episode = care.open_episode(desk, person, Complaint(side=Side.RIGHT))
    visit = care.open_visit(desk, episode)
    care.record_finding(desk, visit, Finding("empty_can", side=Side.RIGHT, result=result))
    if agrees:
        care.record_consent(desk, person, "shared_counts", True, "a signed form", "A. T.")
    clock.now += timedelta(weeks=1)
    return person, episode


def test_it_is_kept_once_a_later_word_counts_and_taken_back_it_stays_on_record(desk: care.Desk, clock: Clock) -> None:
    person, episode = new_episode(desk, clock)
    first = outcomes.record_outcome(desk, episode, TEAR, "sent-twice")
    assert outcomes.record_outcome(desk, episode, TEAR, "sent-twice") == first
    with pytest.raises(Refused, match="other content"):
        outcomes.record_outcome(desk, episode, replace(TEAR, confirmed=False), "sent-twice")
    assert [one.outcome for one in outcomes.outcomes_of(desk, episode)] == [TEAR]
    second = outcomes.record_outcome(desk, episode, replace(TEAR, confirmed=False))
    assert [one.id for one in outcomes.outcomes_of(desk, episode)] == [second]
    outcomes.take_back_outcome(desk, episode, second, "A. T.")
    assert [one.id for one in outcomes.outcomes_of(desk, episode)] == [first]
    with pytest.raises(NotFound):
        outcomes.take_back_outcome(desk, episode, second, "A. T.")
    kept = care.export_person(desk, person)["rows"]["confirmed_outcome"]
    assert [one["takes_back"] for one in kept] == [None, None, second]


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"contributor": "nothing"}, "what it was about"),
        ({"side": None}, "which side"),
        ({"known_on": date(2027, 1, 1)}, "not come yet"),
        ({"by": " "}, "who recorded it"),
    ],
)
def test_what_cannot_be_is_refused_and_nothing_is_kept(
    desk: care.Desk, clock: Clock, change: dict[str, object], says: str
) -> None:
    _, episode = new_episode(desk, clock)
    with pytest.raises(CannotRead, match=says):
        outcomes.record_outcome(desk, episode, replace(TEAR, **change))
    assert outcomes.outcomes_of(desk, episode) == ()


@pytest.mark.parametrize(
    "change",
    [
        "UPDATE confirmed_outcome SET confirmed = false",
        "DELETE FROM confirmed_outcome",
        "INSERT INTO confirmed_outcome (id, episode_id, at, words, by) SELECT 'x', id, opened_at, '', '' FROM episode",
    ],
)
def test_the_database_itself_refuses_changes_and_rows_of_no_shape(desk: care.Desk, clock: Clock, change: str) -> None:
    _, episode = new_episode(desk, clock)
    outcomes.record_outcome(desk, episode, TEAR)
    with pytest.raises(DBAPIError), desk.engine.begin() as connection:
        connection.execute(text(change))
    assert [one.outcome for one in outcomes.outcomes_of(desk, episode)] == [TEAR]


def test_it_goes_with_its_person(desk: care.Desk, clock: Clock) -> None:
    person, episode = new_episode(desk, clock)
    outcomes.record_outcome(desk, episode, TEAR)
    care.erase_person(desk, person, "wish of the person")
    with desk.engine.connect() as connection:
        assert connection.execute(text("SELECT count(*) FROM confirmed_outcome")).scalar() == 0


def test_counts_are_of_people_who_agree_each_once_and_of_what_was_found_before(desk: care.Desk, clock: Clock) -> None:
    key = (("empty_can", "positive"), "supraspinatus_tear_full", Reference.IMAGING)
    told: list[tuple[Result, bool, bool]] = [
        (Result.POSITIVE, True, True), (Result.NEGATIVE, True, True), (Result.POSITIVE, False, True),
        (Result.NEGATIVE, False, True), (Result.POSITIVE, True, False),
    ]  # fmt: skip
    for result, confirmed, agrees in told:
        _, episode = new_episode(desk, clock, result, agrees)
        outcomes.record_outcome(desk, episode, replace(TEAR, confirmed=confirmed, known_on=clock.now.date()))
    assert outcomes.local_counts(desk)[key].cells == (1, 1, 1, 1)
    person, episode = new_episode(desk, clock)
    outcomes.record_outcome(desk, episode, replace(TEAR, known_on=clock.now.date() - timedelta(days=8)))
    assert outcomes.local_counts(desk)[key].people == 4, "found after it was known"
    outcomes.record_outcome(desk, episode, replace(TEAR, known_on=clock.now.date()))
    assert outcomes.local_counts(desk)[key].cells == (2, 1, 1, 1)
    care.record_consent(desk, person, "shared_counts", False, "on the telephone", "A. T.")
    assert outcomes.local_counts(desk)[key].people == 4
    beside = next(one for one in outcomes.local_evidence(desk) if (one.key, one.contributor) == key[:2])
    assert beside.is_published
    assert beside.published is not None
    assert beside.together is not None
    assert outcomes.counts_to_share(desk, "site-a").document["tables"] == []
