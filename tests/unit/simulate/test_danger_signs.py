"""A danger shows where the trade would see it: found by eye and hand, told in the story, drawn on the body chart."""

from __future__ import annotations

from dataclasses import replace

import pytest

from endfeel.evidence.library import Library
from endfeel.inference import Model, build_model
from endfeel.safety import notice, verdict
from endfeel.simulate import CaseWish, Danger, Difficulty, SimulatedCase, draw_case
from endfeel.simulate.dangers import played_flags
from endfeel.simulate.signs import signs_of, usual_finding, with_sign
from endfeel.teaching import Step, begin, go_on, play
from endfeel.vocabulary import AREAS, Case, Complaint, Finding, Irritability, Onset, Person, Side


@pytest.fixture(scope="module")
def model(library: Library) -> Model:
    return build_model(library)


@pytest.fixture(scope="module")
def with_lid_signs(library: Library, model: Model) -> SimulatedCase:
    """The first person in danger on whom pupils and lids show it."""
    drawn = (draw_case(CaseWish(seed, danger=Danger.ALWAYS), library, model) for seed in range(300))
    return next(one for one in drawn if one.danger and any(f.procedure == "pupils_lids" for f in one.danger.signs))


def noticed(case: Case, library: Library) -> set[str]:
    return {one.cue for one in notice(case, library.release, library.documents["safety_rules"])}


NEUTRAL = Case(Person(40, "female"), Complaint(side=Side.RIGHT, weeks=3.0, onset=Onset.GRADUAL))


def test_every_sentence_a_person_may_say_is_heard_by_the_safety_rules_as_its_cue(library: Library) -> None:
    says = library.documents["teaching"]["danger"]["says"]
    deaf = {
        cue: sentence for cue, sentence in says.items()
        if cue not in noticed(replace(NEUTRAL, complaint=replace(NEUTRAL.complaint, story=sentence)), library)
    }  # fmt: skip
    assert deaf == {}
    assert len(says) > 60


def test_every_sign_is_noticed_by_the_safety_rules_as_its_cue(library: Library) -> None:
    rows = library.documents["teaching"]["danger"]["seen"]
    for row in rows:
        signs = signs_of([row["cue"]], Side.RIGHT, library)
        assert len(signs) == len(row["finding"])
        for sign in signs:
            assert row["cue"] in noticed(replace(NEUTRAL, findings=(sign,)), library), (row["cue"], sign)
    assert row["cue"] not in noticed(NEUTRAL, library)


def test_every_played_flag_says_where_it_is_drawn_and_names_cues_and_areas_there_are(library: Library) -> None:
    rows = {one["flag"]: one for one in library.documents["teaching"]["danger"]["shows"]}
    assert rows.keys() == played_flags(library).keys()
    cues = {one["id"] for one in library.documents["safety_rules"]["cue"]}
    for row in rows.values():
        assert set(row["signs"]) <= cues
        assert set(row["areas"]) <= set(AREAS)
        assert row["areas"]


def test_a_sign_found_raises_the_danger_though_nothing_was_asked(
    with_lid_signs: SimulatedCase, library: Library, model: Model
) -> None:
    found = play(with_lid_signs, [Step("1", "examine", "pupils_lids")], library, model)
    assert found.moments[0].findings[0].result == "reduced"
    assert found.known.screen == {}
    assert "horner_pattern" in noticed(found.known, library)
    assert verdict(found.known, library).unanswered != verdict(begin(with_lid_signs, library).known, library).unanswered


def test_who_is_not_in_danger_has_the_usual_finding_and_who_is_none_but_the_signs(
    library: Library, model: Model
) -> None:  # fmt: skip
    person = draw_case(CaseWish(21, danger=Danger.NEVER), library, model)
    for told in library.documents["teaching"]["usual"]:
        found = go_on(begin(person, library), Step("1", "examine", told["procedure"]), library, model)
        finding = found.moments[0].findings[0]
        assert finding.result is not None or finding.value is not None
        assert not noticed(replace(NEUTRAL, findings=(replace(finding, side=finding.side and Side.RIGHT),)), library)
    assert usual_finding(("gh_post", Side.RIGHT, None), library) is None
    plain = Finding("gh_post", Side.RIGHT, mobility=2)
    assert with_sign(plain, [Finding("gh_er_0", Side.RIGHT, pain=8.0)]) is plain


@pytest.mark.parametrize("seed", range(4))
def test_a_danger_is_told_in_the_story_and_drawn_but_kept_back_by_who_says_little(
    seed: int, library: Library, model: Model
) -> None:
    told = draw_case(CaseWish(seed, danger=Danger.ALWAYS), library, model)
    assert told.danger
    areas = next(one["areas"] for one in library.documents["teaching"]["danger"]["shows"]
                 if one["flag"] == told.danger.flag)  # fmt: skip
    assert told.case.complaint.areas[: len(areas)] == tuple(areas)
    says = library.documents["teaching"]["danger"]["says"]
    assert all(says[cue] in told.case.complaint.story for cue in told.danger.cues if cue in says)
    silent = draw_case(CaseWish(seed, Difficulty.HARD, danger=Danger.ALWAYS), library, model)
    assert not any(sentence in silent.case.complaint.story for sentence in says.values())


def test_stories_differ_and_asking_for_one_tells_onset_weeks_and_what_was_said(
    with_lid_signs: SimulatedCase, library: Library, model: Model
) -> None:
    stories = {draw_case(CaseWish(seed, danger=Danger.NEVER), library, model).case.complaint.story for seed in range(8)}
    assert len(stories) > 6
    found = play(with_lid_signs, [Step("1", "ask", "story")], library, model)
    assert found.known.complaint.onset == with_lid_signs.case.complaint.onset
    assert found.known.complaint.weeks == with_lid_signs.case.complaint.weeks
    says = library.documents["teaching"]["danger"]["says"]
    assert with_lid_signs.danger
    assert {cue for cue in with_lid_signs.danger.cues if cue in says} <= found.known.screen.keys()


def test_a_provoked_person_says_so_answers_shortly_and_refuses(library: Library, model: Model) -> None:
    wish = CaseWish(21, irritability=Irritability.HIGH, danger=Danger.NEVER)
    person = draw_case(wish, library, model)
    remarks = library.documents["teaching"]["remarks"]
    found = begin(person, library)
    for n in range(12):
        found = go_on(found, Step(str(n), "examine", "act_hbb"), library, model)
    said = [one.said for one in found.moments if one.said and not one.refused]
    assert said[0] == remarks["sorer"]
    assert found.refusals
    assert found.pain > person.rest_pain
    yes = replace(person, patient=replace(person.patient, case=replace(
        person.case, screen={**person.case.screen, "diabetes": True, "vascular_risk": True})))  # fmt: skip
    asks = [f"health:{k}" for k in range(14)]
    fresh, sore = begin(yes, library), replace(found, person=yes, known=begin(yes, library).known)
    told = {one: [go_on(at, Step(one, "ask", one), library, model).moments[-1].said for at in (fresh, sore)]
            for one in asks}  # fmt: skip
    assert any("?" in first and second == "Yes, something of that." for first, second in told.values())
