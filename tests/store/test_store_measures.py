"""Outcome measures and preferences in the store: kept once, replaced and taken back on record, closed with the note."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest
from sqlalchemy import text
from sqlalchemy.exc import DBAPIError

from endfeel import care
from endfeel.vocabulary import CannotRead, Complaint, NotFound, Person, Refused, Side
from endfeel.vocabulary.outcomes import Answering, Occasion, OutcomeAnswer

START = datetime(2026, 3, 2, 12, 0, tzinfo=UTC)
FIRST = date(2026, 3, 2)
SPADI = OutcomeAnswer("spadi", FIRST, tuple([5.0] * 5 + [2.0] * 8))
PAIN = OutcomeAnswer("nprs", FIRST, (6.0,), occasion=Occasion.MOVEMENT)
OWN = OutcomeAnswer("psfs", FIRST, (2.0, 4.0, None), activities=("comb hair", "lift a pan", "sleep on it"))


class Clock:
    """A clock that is moved by hand."""

    def __init__(self) -> None:
        self.now = START

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


def new_episode(desk: care.Desk) -> str:
    person = care.new_person(desk, "invented", Person(40, "female", Side.RIGHT), invented=True)
    return care.open_episode(desk, person, Complaint(side=Side.RIGHT))


def test_what_was_answered_is_read_back_over_the_visits_with_scores(desk: care.Desk, clock: Clock) -> None:
    episode = new_episode(desk)
    first = care.open_visit(desk, episode)
    for answer in (SPADI, PAIN, OWN, OutcomeAnswer("dash", FIRST, total=41.7, answering=Answering.READ_ALOUD)):
        care.record_measure(desk, first, answer)
    clock.now += timedelta(weeks=2)
    second = care.open_visit(desk, episode)
    care.record_measure(desk, second, replace(PAIN, answered_on=date(2026, 3, 16), answers=(3.0,)))
    told = care.measures_of(desk, episode)
    assert [(one.visit_number, one.answer.measure) for one in told] == [
        (1, "spadi"),
        (1, "nprs"),
        (1, "psfs"),
        (1, "dash"),
        (2, "nprs"),
    ]
    assert [round(one.score.total, 2) for one in told if one.score] == [35.0, 6.0, 3.0, 41.7, 3.0]
    assert told[2].answer == OWN
    assert care.measures_of_visit(desk, second) == told[-1:]


def test_sent_twice_is_one_and_an_id_with_other_content_is_refused(desk: care.Desk) -> None:
    visit = care.open_visit(desk, new_episode(desk))
    for _ in range(2):
        care.record_measure(desk, visit, PAIN, "sent-1")
    with pytest.raises(Refused, match="other content"):
        care.record_measure(desk, visit, replace(PAIN, answers=(1.0,)), "sent-1")
    (one,) = care.measures_of_visit(desk, visit)
    assert one.answer == PAIN


def test_answered_again_counts_instead_and_taking_it_back_brings_the_first_back(desk: care.Desk) -> None:
    visit = care.open_visit(desk, new_episode(desk))
    care.record_measure(desk, visit, PAIN, "a")
    care.record_measure(desk, visit, replace(PAIN, answers=(2.0,)), "b")
    care.record_measure(desk, visit, replace(PAIN, occasion=Occasion.NIGHT), "c")
    assert [one.id for one in care.measures_of_visit(desk, visit)] == ["b", "c"]
    assert care.take_back_measure(desk, visit, "b") == "b"
    assert care.take_back_measure(desk, visit, "b") is None
    assert [one.id for one in care.measures_of_visit(desk, visit)] == ["a", "c"]
    with pytest.raises(NotFound):
        care.take_back_measure(desk, visit, "elsewhere")


BAD: list[tuple[OutcomeAnswer, str]] = [
    (replace(SPADI, answers=tuple([11.0] * 13)), "outside its range"),
    (replace(SPADI, answers=(5.0,)), "number of items"),
    (replace(SPADI, answers=()), "nothing was answered"),
    (replace(SPADI, total=30.0), "one of the two"),
    (replace(PAIN, occasion=None), "what the number is about"),
    (replace(PAIN, answers=(float("nan"),)), "not a number"),
    (replace(PAIN, answered_on=date(2026, 3, 3)), "not come yet"),
    (replace(OWN, activities=("comb hair", "Comb  hair", "sleep on it")), "same activity twice"),
    (replace(OWN, activities=("comb hair",)), "for every answer"),
    (OutcomeAnswer("dash", FIRST, tuple([3.0] * 30)), "not part of this program"),
    (OutcomeAnswer("dash", FIRST, total=140), "outside the scale"),
]


@pytest.mark.parametrize(("answer", "said"), BAD)
def test_what_cannot_be_is_told_and_nothing_is_kept(desk: care.Desk, answer: OutcomeAnswer, said: str) -> None:
    visit = care.open_visit(desk, new_episode(desk))
    with pytest.raises(CannotRead, match=said):
        care.record_measure(desk, visit, answer)
    assert care.measures_of_visit(desk, visit) == ()


def test_a_half_finished_one_is_refused_and_kept_without_a_score_when_asked(desk: care.Desk) -> None:
    visit = care.open_visit(desk, new_episode(desk))
    half = replace(SPADI, answers=(*SPADI.answers[:8], *[None] * 5))
    with pytest.raises(Refused, match="8 of 13 items"):
        care.record_measure(desk, visit, half)
    care.record_measure(desk, visit, half, unfinished=True)
    (one,) = care.measures_of_visit(desk, visit)
    assert (one.score, one.answer) == (None, half)
    assert "8 of 13 items" in one.no_score


def test_a_day_of_another_visit_is_told(desk: care.Desk, clock: Clock) -> None:
    episode = new_episode(desk)
    first = care.open_visit(desk, episode)
    clock.now += timedelta(weeks=2)
    second = care.open_visit(desk, episode)
    with pytest.raises(CannotRead, match="visit before this one"):
        care.record_measure(desk, second, replace(PAIN, answered_on=date(2026, 3, 1)))
    clock.now += timedelta(weeks=1)
    with pytest.raises(CannotRead, match="visit after this one"):
        care.record_measure(desk, first, replace(PAIN, answered_on=date(2026, 3, 20)))
    assert care.measures_of(desk, episode) == ()


def test_another_instrument_or_other_activities_begin_a_line_of_their_own_only_when_asked(
    desk: care.Desk, clock: Clock
) -> None:
    episode = new_episode(desk)
    first = care.open_visit(desk, episode)
    care.record_measure(desk, first, replace(SPADI, instrument="0 to 10"))
    care.record_measure(desk, first, OWN)
    clock.now += timedelta(weeks=2)
    second, day = care.open_visit(desk, episode), date(2026, 3, 16)
    other = replace(SPADI, answered_on=day, instrument="100 mm line")
    with pytest.raises(CannotRead, match="another instrument"):
        care.record_measure(desk, second, other)
    with pytest.raises(CannotRead, match="other activities"):
        care.record_measure(desk, second, replace(OWN, answered_on=day, activities=("swim", "sleep on it", "drive")))
    care.record_measure(
        desk, second, replace(OWN, answered_on=day, activities=("Comb hair", "lift a pan", "sleep on it"))
    )
    care.record_measure(desk, second, replace(SPADI, measure="spadi_items", answered_on=day))
    care.record_measure(desk, second, other, own_line=True)
    assert len(care.measures_of_visit(desk, second)) == 3


def test_a_signed_visit_takes_no_more_answers_and_no_preference(desk: care.Desk) -> None:
    visit = care.open_visit(desk, new_episode(desk))
    care.record_measure(desk, visit, PAIN, "a")
    care.sign_note(desk, visit, "A. Therapist")
    acts: tuple[Callable[[], object], ...] = (
        lambda: care.record_measure(desk, visit, SPADI),
        lambda: care.take_back_measure(desk, visit, "a"),
        lambda: care.prefer(desk, visit, refused=frozenset(["loading"])),
    )
    for act in acts:
        with pytest.raises(Refused, match="signed"):
            act()
    for statement in (
        "UPDATE outcome_answer SET total = 1",
        "DELETE FROM outcome_answer",
        "INSERT INTO outcome_answer (id, visit_id, at, measure, answered_on, answers, activities, answering,"
        " instrument, note) SELECT 'b', visit_id, at, measure, answered_on, answers, activities, answering, instrument,"
        " note FROM outcome_answer",
    ):
        with pytest.raises(DBAPIError, match="never changed"), desk.engine.begin() as connection:
            connection.execute(text(statement))
    assert len(care.measures_of_visit(desk, visit)) == 1


def test_answers_are_in_the_export_and_move_the_mark(desk: care.Desk) -> None:
    visit = care.open_visit(desk, new_episode(desk))
    before = care.visit_mark(desk, visit)
    care.record_measure(desk, visit, PAIN)
    assert care.visit_mark(desk, visit) != before
    (person,) = care.list_people(desk)
    (row,) = care.export_person(desk, person.id)["rows"]["outcome_answer"]
    assert (row["measure"], row["answers"], row["answered_on"]) == ("nprs", [6.0], "2026-03-02")


# ---- preferences ---------------------------------------------------------------------------------------------------


def test_what_is_not_wanted_stays_and_goes_on_to_the_next_visit(desk: care.Desk, clock: Clock) -> None:
    episode = new_episode(desk)
    first = care.open_visit(desk, episode)
    assert care.preference_of(desk, first) == care.KeptPreference()
    care.prefer(desk, first, refused=frozenset(["loading", "hands_on"]), instrument="goniometer", rater="inter")
    care.prefer(desk, first, refused=frozenset(["loading"]))
    clock.now += timedelta(weeks=1)
    second = care.open_visit(desk, episode)
    assert care.preference_of(desk, second) == care.KeptPreference(frozenset(["loading"]), "goniometer", "inter", first)
    care.prefer(desk, second, refused=frozenset())
    assert care.preference_of(desk, second) == care.KeptPreference(frozenset(), "goniometer", "inter", second)
    assert care.preference_of(desk, first).refused == {"loading"}


def test_taking_the_only_wish_back_in_a_later_visit_holds(desk: care.Desk, clock: Clock) -> None:
    episode = new_episode(desk)
    first = care.open_visit(desk, episode)
    care.prefer(desk, first, refused=frozenset(["loading"]))
    clock.now += timedelta(weeks=1)
    second = care.open_visit(desk, episode)
    care.prefer(desk, second, refused=frozenset())
    assert care.preference_of(desk, second) == care.KeptPreference(visit_id=second)


def test_an_unknown_wish_is_told(desk: care.Desk) -> None:
    visit = care.open_visit(desk, new_episode(desk))
    with pytest.raises(CannotRead, match="no such kind"):
        care.prefer(desk, visit, refused=frozenset(["needles of gold"]))
    with pytest.raises(CannotRead, match="rater"):
        care.prefer(desk, visit, rater="somebody")
