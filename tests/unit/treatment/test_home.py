"""The home programme: few, for what was found, gentle where it must be, never what is forbidden."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from endfeel.assessment import read_case
from endfeel.evidence.figures import number
from endfeel.evidence.library import Library
from endfeel.inference import Model, build_model, infer
from endfeel.safety import verdict
from endfeel.treatment import HomeProgramme, decide, home_programme
from endfeel.vocabulary import Case, Irritability, NotFound, Refused

STORIES = Path(__file__).resolve().parents[3] / "stories"


@pytest.fixture(scope="module")
def model(library: Library) -> Model:
    return build_model(library)


def story(name: str, library: Library) -> Case:
    return read_case((STORIES / f"{name}.txt").read_text(encoding="utf-8"), name, library)


def made(case: Case, library: Library, model: Model, wanted: list[str] | None = None) -> HomeProgramme:
    judged, posterior = verdict(case, library), infer(case, model)
    return home_programme(posterior, decide(posterior, library, judged), judged, library, wanted)


@pytest.mark.parametrize(
    ("name", "first"), [("first_visit", "pendulum"), ("neck_root", "chin_glide"), ("sternoclavicular", "blade_circles")]
)
def test_the_first_exercise_is_for_what_was_found(name: str, first: str, library: Library, model: Model) -> None:
    found = made(story(name, library), library, model)
    assert found.exercises[0].id == first
    assert 1 <= len(found.exercises) <= 4
    for one in found.exercises:
        assert one.needed_for
        assert one.source in library.sources
        assert one.figures
        assert all(figure in library.figures for figure in one.figures)


def test_high_irritability_asks_for_less_and_bears_less_pain(library: Library, model: Model) -> None:
    case = story("frozen", library)
    sore = made(case, library, model)
    calm = made(replace(case, complaint=replace(case.complaint, irritability=Irritability.LOW)), library, model)
    assert number(sore.pain_allowed) < number(calm.pain_allowed)
    assert {"band_outward", "stick_rotation"} <= {one for one, _ in sore.left_out}
    assert sore.exercises[0].dose.repetitions < calm.exercises[0].dose.repetitions


def test_a_stretch_is_not_given_to_a_shoulder_slack_that_way(library: Library, model: Model) -> None:
    found = made(story("anterior_laxity", library), library, model)
    assert {"stick_rotation", "doorway"} <= {one for one, _ in found.left_out}
    with pytest.raises(Refused, match="not for this person"):
        made(story("anterior_laxity", library), library, model, ["doorway"])


def test_what_is_asked_for_is_given_and_what_does_not_exist_is_told(library: Library, model: Model) -> None:
    case = story("first_visit", library)
    assert [one.id for one in made(case, library, model, ["open_book", "band_row"]).exercises] == [
        "open_book",
        "band_row",
    ]
    with pytest.raises(NotFound):
        made(case, library, model, ["handstand"])


def test_nothing_goes_home_while_treatment_is_withheld(library: Library, model: Model) -> None:
    with pytest.raises(Refused, match="withheld"):
        made(story("danger_heart", library), library, model)


def test_an_operation_lately_takes_loading_and_the_end_of_range_away(library: Library, model: Model) -> None:
    case = story("first_visit", library)
    case = replace(case, screen={**case.screen, "surgery_recent": True})
    barred = dict(made(case, library, model).left_out)
    assert {"band_outward", "stick_rotation", "doorway"} <= set(barred)
