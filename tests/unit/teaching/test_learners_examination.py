"""A learner's examination: clock and turns, findings, refusals, the commitment, what is said about it afterwards."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as some

from endfeel.evidence.library import Library
from endfeel.inference import Model, build_model, infer
from endfeel.planner.candidates import Settings
from endfeel.safety import Urgency
from endfeel.simulate import CaseWish, Danger, SimulatedCase, draw_case
from endfeel.teaching import (
    ADVICE,
    SEND_ON,
    Commitment,
    Examination,
    Named,
    Outcome,
    Step,
    begin,
    feedback,
    go_on,
    play,
    progress,
    step_from,
    treatments,
)
from endfeel.teaching.feedback import Forecast
from endfeel.teaching.paths import needed
from endfeel.vocabulary import CannotRead, Irritability, NotFound, Position, Refused

STORY = tuple(Step(f"q{n}", "ask", one) for n, one in enumerate(("where", "onset", "weeks", "stirring")))


@pytest.fixture(scope="module")
def model(library: Library) -> Model:
    return build_model(library)


@pytest.fixture(scope="module")
def person(library: Library, model: Model) -> SimulatedCase:
    return draw_case(CaseWish(21, irritability=Irritability.LOW, danger=Danger.NEVER), library, model)


@pytest.fixture(scope="module")
def closed(person: SimulatedCase, library: Library, model: Model) -> Examination:
    steps = [*STORY, *(Step(one, "examine", one) for one in ("hawkins", "gh_post", "gh_er_0", "gh_inf"))]
    return committed(play(person, steps, library, model), library, model, [("cuff_pain", 80), ("capsule_global", 20)])


def committed(
    found: Examination, library: Library, model: Model, ranking: list[tuple[str, int]],
    safety: Urgency = Urgency.NONE, treatment: str = ADVICE,
) -> Examination:  # fmt: skip
    told = Commitment(tuple(Named(*one) for one in ranking), safety, treatment)
    return go_on(found, Step("end", "commit", commitment=told), library, model)


def test_clock_and_turns_run(person: SimulatedCase, library: Library, model: Model) -> None:
    first = play(person, [Step("1", "ask", "where"), Step("2", "examine", "gh_post")], library, model)
    settings = Settings.of(library, first.known)
    moment = first.moments[-1]
    assert moment.position is Position.SIDE_LYING
    assert moment.turn_seconds == settings.change_seconds(Position.SITTING, Position.SIDE_LYING)
    assert first.turns == 1
    assert first.seconds == pytest.approx(20 + moment.turn_seconds + moment.seconds)
    again = go_on(first, Step("3", "examine", "gh_inf"), library, model)
    assert again.turns == 1
    assert again.moments[-1].turn_seconds == 0


def test_the_same_steps_find_the_same(person: SimulatedCase, library: Library, model: Model) -> None:
    steps = [Step("1", "examine", "hawkins"), Step("2", "examine", "th_pa_central", "every")]
    one, other = (play(person, steps, library, model) for _ in range(2))
    assert one.known == other.known
    assert len(one.known.findings) == 1 + len(library.catalogue["th_pa_central"].levels)


def test_a_provoked_person_refuses_and_hurts_more(library: Library, model: Model) -> None:
    """Everything strong, one after the other, on a very irritable person."""
    person = draw_case(CaseWish(2, irritability=Irritability.HIGH, danger=Danger.NEVER), library, model)
    strong = [one.id for one in library.catalogue if one.irritability_load >= 2 and not one.levels][:12]
    found = begin(person, library)
    for n, one in enumerate(strong):
        found = go_on(found, Step(str(n), "examine", one), library, model)
    assert found.refusals > 0
    assert found.pain > person.rest_pain
    refused = next(one for one in found.moments if one.refused)
    assert not refused.findings
    assert "sore" in refused.said
    quiet = next(one.id for one in library.catalogue if one.irritability_load == 0)
    assert not go_on(found, Step("q", "examine", quiet), library, model).moments[-1].refused


def test_a_row_of_levels_ends_where_it_is_borne_no_more(library: Library, model: Model) -> None:
    """Seven levels pressed in one go are seven pressures: who cannot bear the fifth is spared it and the rest."""
    sore = draw_case(CaseWish(21, irritability=Irritability.HIGH, danger=Danger.NEVER), library, model)
    levels = library.catalogue["th_pa_central"].levels
    found = play(sore, [Step("a", "examine", "th_pa_central", "every")], library, model)
    (moment,) = found.moments
    felt = [one.level for one in moment.findings]
    assert 0 < len(felt) < len(levels)
    assert [test[2] for test in moment.tests] == felt == list(levels[: len(felt)])
    assert f"Not borne any more: {', '.join(levels[len(felt) :])}." in moment.said
    assert len(found.known.findings) == len(felt)
    one_by_one = play(sore, [Step(one, "examine", "th_pa_central", one) for one in levels], library, model)
    assert [one.refused for one in one_by_one.moments] == [one not in felt for one in levels]
    assert found.soreness.stirred == pytest.approx(one_by_one.moments[len(felt) - 1].soreness.stirred)
    patient = draw_case(CaseWish(21, irritability=Irritability.LOW, danger=Danger.NEVER), library, model)
    whole = play(patient, [Step("a", "examine", "th_pa_central", "every")], library, model)
    assert len(whole.moments[0].findings) == len(levels)


def test_what_cannot_be_is_told(person: SimulatedCase, library: Library, model: Model) -> None:
    start = begin(person, library)
    with pytest.raises(CannotRead, match="no such question"):
        go_on(start, Step("1", "ask", "the weather"), library, model)
    with pytest.raises(NotFound):
        go_on(start, Step("1", "examine", "no_such_test"), library, model)
    with pytest.raises(CannotRead, match="needs a level"):
        go_on(start, Step("1", "examine", "th_pa_central"), library, model)
    with pytest.raises(Refused, match="cannot be done"):
        go_on(start, Step("1", "examine", "obs_general", position=Position.PRONE), library, model)
    with pytest.raises(CannotRead) as told:
        committed(start, library, model, [("nobody", 50), ("cuff_pain", 120)], treatment="magic")
    assert len(told.value.faults) == 3


def test_what_was_stood_for_cannot_be_taken_back(closed: Examination, library: Library, model: Model) -> None:
    with pytest.raises(Refused, match="closed"):
        go_on(closed, Step("9", "ask", "hand"), library, model)


def test_nothing_is_given_away_while_the_case_is_open(person: SimulatedCase, library: Library, model: Model) -> None:
    with pytest.raises(Refused, match="stand for"):
        feedback(begin(person, library), library, model)


def test_worth_is_the_information_of_the_posterior_at_that_moment(
    closed: Examination, library: Library, model: Model
) -> None:
    told = feedback(closed, library, model)
    moment, worth = closed.moments[5], told.worths[5]
    assert moment.step.about == "gh_post"
    assert worth is not None
    bits = float(infer(moment.before, model, with_intervals=False).information(moment.tests)[0].sum())
    share = Settings.of(library, moment.before).share_in(library.catalogue["gh_post"], moment.position)
    assert worth.bits == pytest.approx(share * bits)
    assert worth.minutes == pytest.approx((moment.seconds + moment.turn_seconds) / 60)
    assert worth.best_bits_per_minute >= worth.bits_per_minute - 1e-9
    assert [one is None for one in told.worths[:4]] == [True] * 4


def test_feedback_says_what_was_there(closed: Examination, library: Library, model: Model) -> None:
    told = feedback(closed, library, model)
    person = closed.person
    assert len(told.hidden) == person.patient.present.sum()
    assert [line.about for line in told.lines] == [
        "Safety", "Ranking", "First treatment", "Path", "Provocation", "Information",
    ]  # fmt: skip
    place = {one.id: i for i, one in enumerate(person.patient.network.instances)}
    assert [one.so for one in told.forecasts] == [
        bool(person.patient.present[place[one]]) for one in ("cuff_pain", "capsule_global")
    ]
    assert len(told.not_asked) == 14
    assert told.path.minutes > 0


def test_a_safety_decision_that_is_right_by_luck_is_not_good(
    person: SimulatedCase, library: Library, model: Model
) -> None:
    everything = [Step(str(n), "ask", f"health:{n}") for n in range(14)]
    for asked, good in ((everything, True), (everything[1:], False), ([], False)):
        found = committed(play(person, asked, library, model), library, model, [("cuff_pain", 50)])
        line = feedback(found, library, model).lines[0]
        assert line.good is good
        assert "is right" in line.words
        assert ("By luck" in line.words) is not good
    ill = draw_case(CaseWish(8, danger=Danger.ALWAYS), library, model)
    assert ill.danger is not None
    guessed = committed(begin(ill, library), library, model, [("cuff_pain", 50)], ill.danger.urgency, SEND_ON)
    assert feedback(guessed, library, model).lines[0].good is False


def test_a_danger_that_was_not_asked_for_is_told_with_the_few_questions_that_show_it(
    library: Library, model: Model
) -> None:
    person = draw_case(CaseWish(8, danger=Danger.ALWAYS), library, model)
    assert person.danger is not None
    missed = feedback(committed(begin(person, library), library, model, [("cuff_pain", 50)]), library, model)
    assert missed.lines[0].good is False
    assert missed.lines[2].good is False
    assert missed.missed
    assert missed.safety_path is not None
    assert 1 <= missed.safety_path.questions <= len(person.danger.cues) + 1
    asked = [Step(str(n), "ask", f"health:{n}") for n in range(14)]
    found = play(person, asked, library, model)
    right = committed(found, library, model, [("cuff_pain", 50)], person.danger.urgency, SEND_ON)
    told = feedback(right, library, model)
    assert told.lines[0].good is True
    assert told.lines[2].good is True


def test_courses_needed_are_those_of_what_is_there(person: SimulatedCase) -> None:
    instances, present = person.patient.network.instances, person.patient.present
    one = next(i for i in range(len(instances)) if present[i])
    contributor = instances[one].contributor
    assert f"{contributor.treatment_class}.{contributor.region}" in needed(person)


def test_treatments_hold_the_needed_ones(closed: Examination) -> None:
    assert needed(closed.person) <= treatments(closed)


STEPS = some.one_of(
    some.builds(Step, some.text(min_size=1, max_size=5), some.sampled_from(["ask", "examine", "turn", "rest"]),
                some.text(max_size=8), some.sampled_from(["", "T5", "every"]),
                some.sampled_from([None, *Position])),
    some.builds(Step, some.text(min_size=1, max_size=5), some.just("commit"), commitment=some.builds(
        Commitment,
        some.lists(some.builds(Named, some.text(min_size=1, max_size=8), some.integers(0, 100)), max_size=4).map(tuple),
        some.sampled_from(Urgency), some.text(min_size=1, max_size=8))),
)  # fmt: skip


@settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(STEPS)
def test_a_step_survives_being_kept(step: Step) -> None:
    assert step_from(step.as_data()) == step


@pytest.mark.parametrize("told", [{}, {"id": "1", "kind": "sing"}, {"id": "1", "kind": "commit", "ranking": 3}])
def test_what_is_no_step_is_told(told: dict[str, object]) -> None:
    with pytest.raises(CannotRead, match="step"):
        step_from(told)


def outcome(*pairs: tuple[float, bool]) -> Outcome:
    forecasts = tuple(Forecast("cuff_pain", "cuff-related pain", "glenohumeral", said, so, 0.5) for said, so in pairs)
    hidden = tuple(("cuff-related pain", "glenohumeral", 0.5, so) for _, so in pairs if so)
    return Outcome(forecasts, hidden, (), 10.0, 1, 0, 1.0, 0.1)


def test_eighty_per_cent_that_come_true_eight_times_of_ten_are_no_sign_of_being_off(library: Library) -> None:
    cases = [outcome((0.8, k % 5 != 0)) for k in range(40)]
    found = progress(cases, library)
    (band,) = found.bands
    assert (band.low, band.high, band.count) == (65, 85, 40)
    assert band.so.value == pytest.approx(0.8)
    assert "no sign" in band.words
    assert found.gap == pytest.approx(0.0)
    assert found.brier == pytest.approx(0.16)


def test_eighty_per_cent_that_come_true_half_of_the_time_are_too_much(library: Library) -> None:
    (band,) = progress([outcome((0.8, k % 2 == 0)) for k in range(40)], library).bands
    assert "too much" in band.words


def test_few_forecasts_say_nothing(library: Library) -> None:
    (band,) = progress([outcome((0.8, False))], library).bands
    assert "too few" in band.words


def test_progress_by_joint_sets_the_later_against_the_earlier_cases(library: Library) -> None:
    missed = replace(outcome((0.8, True)), hidden=(("cuff-related pain", "glenohumeral", 0.5, False),))
    (joint,) = progress([missed, missed, outcome((0.8, True)), outcome((0.8, True))], library).joints
    assert (joint.earlier, joint.later) == (0.0, 1.0)
    assert joint.hidden == 4
