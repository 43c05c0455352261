"""One contributor in full: its lines, its rivals and the smallest reversal, against solving without the findings."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace
from pathlib import Path

import pytest

from endfeel.assessment import read_case
from endfeel.evidence.library import Library
from endfeel.inference import Model, Posterior, build_model, infer
from endfeel.vocabulary import Case, Complaint, Person, Side

STORIES = Path(__file__).resolve().parents[3] / "stories"


@pytest.fixture(scope="module")
def model(library: Library) -> Model:
    return build_model(library)


@pytest.fixture(scope="module")
def posterior(library: Library, model: Model) -> Posterior:
    text = (STORIES / "acromioclavicular.txt").read_text(encoding="utf-8")
    return infer(read_case(text, "acromioclavicular.txt", library), model)


def test_lines_stand_by_weight_and_on_their_side(posterior: Posterior) -> None:
    found = posterior.account_of(posterior.beliefs[0])
    assert found.supporting
    for lines, sign in ((found.supporting, 1), (found.opposing, -1)):
        weights = [sign * line.decibans for line in lines]
        assert all(weight > 0 for weight in weights)
        assert weights == sorted(weights, reverse=True)


def test_rivals_share_a_finding_and_what_tells_them_apart_is_what_removal_does(
    posterior: Posterior, model: Model
) -> None:
    belief = posterior.beliefs[0]
    rival = posterior.account_of(belief).rivals[0]
    apart = rival.apart[0]
    left = tuple(f for i, f in enumerate(posterior.case.findings) if i != apart.finding)
    without = infer(replace(posterior.case, findings=left), model)
    for instance, said in ((posterior.ranked[0], apart.decibans), (rival.instance, apart.rival_decibans)):
        odds = [p / (1 - p) for p in (float(one.solution.probability[instance]) for one in (posterior, without))]
        assert said == pytest.approx(10 * math.log10(odds[0] / odds[1]), abs=1e-6)


@pytest.mark.parametrize("story", ["acromioclavicular", "anterior_laxity", "neck_root", "cuff_tear"])
def test_a_reversal_reverses_and_nothing_smaller_does(story: str, library: Library, model: Model) -> None:
    case = read_case((STORIES / f"{story}.txt").read_text(encoding="utf-8"), story, library)
    whole = infer(case, model)
    upper, lower = whole.ranked[0], whole.ranked[1]
    reversal = whole.account_of(whole.beliefs[0]).reversal
    assert reversal is not None

    def reversed_without(chosen: tuple[int, ...]) -> bool:
        found = whole.solution.without(chosen).probability
        return bool(found[lower] > found[upper])

    observed = sorted(whole.solution.network.findings)
    size = len(reversal.findings)
    if size:
        assert reversed_without(reversal.findings)
        assert whole.solution.network.instances[lower].name in reversal.sentence
    for smaller in range(1, min(size or 3, 3)):
        assert not any(reversed_without(chosen) for chosen in itertools.combinations(observed, smaller))


def test_without_findings_there_is_a_story_and_no_reversal(model: Model) -> None:
    whole = infer(Case(Person(60), Complaint(side=Side.RIGHT)), model)
    found = whole.account_of(whole.beliefs[0])
    assert found.reversal is None
    assert not found.rivals or all(not rival.apart for rival in found.rivals)


def test_every_line_says_where_its_link_comes_from(posterior: Posterior) -> None:
    words = {word for line in posterior.explanation for word in line.links}
    assert words == {"published", "custom", "model"}
    for line in posterior.explanation:
        assert bool(line.links) is any(
            figure.split(".")[0] in ("links", "computed_links", "diagnostic_accuracy") for figure in line.figures
        )
