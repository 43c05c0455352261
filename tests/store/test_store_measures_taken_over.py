"""Outcome measures handed over and taken over into another store: the same answers, once, on both databases."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest

from endfeel import care
from endfeel.exchange.systems import LOINC
from endfeel.vocabulary import Complaint, Person, Refused, Side
from endfeel.vocabulary.outcomes import Answering, Occasion, OutcomeAnswer


@pytest.fixture
def elsewhere(tmp_path: Path) -> Iterator[care.Desk]:
    """Somebody else's store."""
    opened = care.open_desk(str(tmp_path / "elsewhere.sqlite"))
    yield opened
    opened.engine.dispose()


def answers(desk: care.Desk, weeks_ago: int) -> list[OutcomeAnswer]:
    """One of every kind that is entered in its own way."""
    day = (desk.clock() - timedelta(weeks=weeks_ago)).astimezone().date()
    return [
        OutcomeAnswer("spadi", day, (4.0, 3.0, 5.0, None, 2.0, *[1.0] * 8), note="two lines\nof words"),
        OutcomeAnswer("spadi_items", day, tuple([6.0] * 13), answering=Answering.READ_ALOUD, instrument="100 mm line"),
        OutcomeAnswer("nprs", day, (7.0,), occasion=Occasion.NIGHT),
        OutcomeAnswer("nprs", day, (3.0,), occasion=Occasion.REST, answering=Answering.PROXY),
        OutcomeAnswer("groc_11", day, (-2.0,), occasion=Occasion.SINCE_START),
        OutcomeAnswer("psfs", day, (2.0, 3.5, 4.0), activities=("Haare kämmen", "Mantel anziehen", "ein Regal")),
        OutcomeAnswer("ucla", day, (2.0, 4.0, 3.0, 4.0, 0.0)),
        OutcomeAnswer("dash", day, total=41.5),
    ]


@pytest.fixture
def episode(desk: care.Desk) -> str:
    """An invented episode of two visits with everything answered twice, one form left unfinished."""
    then = replace(desk, clock=lambda: desk.clock() - timedelta(weeks=5))
    person = care.new_person(then, "Invented", Person(50, "female", Side.RIGHT), invented=True)
    episode = care.open_episode(then, person, Complaint(side=Side.RIGHT))
    for weeks in (4, 1):
        at = replace(desk, clock=lambda weeks=weeks: desk.clock() - timedelta(weeks=weeks))  # type: ignore[misc]
        visit = care.open_visit(at, episode)
        for one in answers(desk, weeks):
            care.record_measure(at, visit, one)
        unfinished = OutcomeAnswer("ases", answers(desk, weeks)[0].answered_on, (5.0, *[None] * 10))
        care.record_measure(at, visit, unfinished, unfinished=True)
    return episode


def person_of(desk: care.Desk) -> str:
    (person,) = care.list_people(desk)
    return person.id


def kept(desk: care.Desk) -> list[OutcomeAnswer]:
    (person,) = care.list_people(desk)
    told = [one.answer for visit in {v.episode_id for v in person.visits} for one in care.measures_of(desk, visit)]
    return sorted(told, key=lambda one: (one.answered_on, one.measure, str(one.occasion)))


def test_every_answer_arrives_as_it_was_and_only_once(desk: care.Desk, elsewhere: care.Desk, episode: str) -> None:
    text = json.dumps(care.fhir_bundle(desk, person_of(desk)))
    looked = care.look_at(elsewhere, text)
    assert "QuestionnaireResponse" not in looked.intake.others, "their items are in the answers"
    assert [one.reasons for one in looked.entries if one.reasons and one.answer] == []
    care.take_over(elsewhere, text)
    assert kept(elsewhere) == kept(desk)
    assert len(kept(elsewhere)) == 18
    for home in (elsewhere, desk):
        again = [one for one in care.take_over(home, text).entries if one.answer]
        assert [one.status for one in again] == ["kept before"] * 18
    (there,) = {visit.episode_id for visit in care.list_people(elsewhere)[0].visits}
    verdicts = [(one.line.name, one.verdict) for one in care.follow_episode(elsewhere, there).followed.trajectories]
    assert verdicts == [
        (one.line.name, one.verdict) for one in care.follow_episode(desk, episode).followed.trajectories
    ]


def surveys(bundle: dict[str, Any], form: str) -> dict[str, Any]:
    return next(
        one["resource"]
        for one in bundle["entry"]
        if any(c["code"] == form for c in one["resource"].get("code", {}).get("coding", []))
    )


def test_what_cannot_be_is_kept_in_words_with_its_items_and_the_reason(
    desk: care.Desk, elsewhere: care.Desk, episode: str
) -> None:
    bundle = care.fhir_bundle(desk, person_of(desk))
    surveys(bundle, "spadi_items")["valueQuantity"]["value"] = 12
    surveys(bundle, "dash")["valueQuantity"]["value"] = 400
    surveys(bundle, "groc_11")["component"] = []
    pain = surveys(bundle, "nprs")
    pain["code"] = {"coding": [{"system": LOINC, "code": "72514-3"}]}
    entries = care.look_at(elsewhere, json.dumps(bundle)).entries
    told = {one.read.name: one for one in entries if one.read and one.finding}
    reasons = " ".join(reason for one in told.values() for reason in one.reasons)
    assert "its items make 60, its total says 12" in reasons
    assert "total outside the scale" in reasons
    assert "what the number is about is not said" in reasons
    assert len(told) == 3, "a public code with its occasion is understood"
    notes = " ".join(one.finding.note or "" for one in told.values() if one.finding)
    assert "valueDecimal 6" in notes, "items are not lost"


def test_a_review_is_kept_once_taken_back_by_undo_and_refused_once_signed(desk: care.Desk, episode: str) -> None:
    (person,) = care.list_people(desk)
    visit = max(person.visits, key=lambda one: one.opened_at).id
    name = "11111111-1111-4111-8111-111111111111"
    for _ in range(2):
        care.record_review(desk, visit, "change", name)
    followed = care.follow_episode(desk, episode).followed
    assert [one.review for one in followed.visits] == ["", "change course"]
    assert followed.standing.reviewed == 2
    assert care.view_visit(desk, visit).assessment.case.treatments == (), "a review is no treatment"
    told = [one["code"]["text"] for one in care.fhir_resources(desk, person.id) if one["resourceType"] == "Procedure"]
    assert told == ["formal review"]
    care.undo(desk, visit)
    assert care.follow_episode(desk, episode).followed.standing.reviewed == 0
    care.sign_note(desk, visit, "A. Therapist")
    with pytest.raises(Refused, match="the note was signed"):
        care.record_review(desk, visit, "change")
