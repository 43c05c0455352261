"""Which courses the findings speak for, in the direction a therapist expects."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from endfeel.assessment import Assessment, assess, read_case
from endfeel.evidence.library import Library
from endfeel.inference import Model, build_model
from endfeel.treatment.conflicts import Clash, lost

STORIES = Path(__file__).resolve().parents[3] / "stories"
HEAD = """age: {age}
sex: female
side: right
onset: {onset}
weeks: {weeks}
irritability: {irritability}
areas: {areas}

screen:
no: trauma_recent, fever_unwell, cancer_history, night_pain_unremitting, weight_loss_fatigue, joint_hot_swollen

"""


@pytest.fixture(scope="module")
def model(library: Library) -> Model:
    return build_model(library)


def told(
    findings: str, library: Library, model: Model, *, age: int = 50, onset: str = "gradual", weeks: int = 20,
    irritability: str = "low", areas: str = "lateral",
) -> Assessment:  # fmt: skip
    head = HEAD.format(age=age, onset=onset, weeks=weeks, irritability=irritability, areas=areas)
    return assess(read_case(head + findings, "told.txt", library), library, model=model)


def proposed(assessment: Assessment) -> list[tuple[str, str]]:
    return [(one.treatment_class, one.region) for one in assessment.decision.worthwhile]


def test_normal_tests_propose_nothing(library: Library, model: Model) -> None:
    """A normal thorax and a muscle of normal length open no course there."""
    thorax = told("th rot global 50 other 50 p0\nT4 th pa central 3 p0\nT6 th pa central 3 p0", library, model)
    assert proposed(thorax) == []
    assert ("mobilise_joint", "thoracic") in [(c.treatment_class, c.region) for c in thorax.decision.closed]
    pectoral = told("pec minor length normal", library, model)
    assert ("lengthen", "scapulothoracic") not in proposed(pectoral)
    stiff = told("th rot global 28 other 50 p3 fam\nT5 th pa central 1 p4 fam", library, model)
    assert ("mobilise_joint", "thoracic") in proposed(stiff)


def test_a_lax_joint_is_not_mobilised_and_what_is_open_is_said(library: Library, model: Model) -> None:
    slack = told(
        "beighton 6/9\nsc stress ant m5 loose p2 fam\nsc post 5 p3 fam", library, model, age=21, areas="sc_area"
    )
    assert ("stabilise", "sternoclavicular") in proposed(slack)
    assert ("mobilise_joint", "sternoclavicular") not in proposed(slack)
    assert not slack.decision.both_open, "nothing found speaks for stiff"
    both = told("sc ant 5 p4 fam\nsc inf lat glide 0 p3 fam\nact girdle elev reduced", library, model, areas="sc_area")
    (said,) = both.decision.both_open
    assert (said.region, "cannot both be treated" in said.sentence) == ("sternoclavicular", True)
    mobilise = next(
        c for c in slack.decision.courses if (c.treatment_class, c.region) == ("mobilise_joint", "sternoclavicular")
    )
    assert mobilise.opposed_points > 1.0
    assert mobilise.opposed_words
    stiff = told("sc inf lat glide 1 p3 fam\nsc post 1 p2", library, model, areas="sc_area")
    assert ("mobilise_joint", "sternoclavicular") in proposed(stiff)


def test_a_thrower_short_behind_is_told_one_thing(library: Library, model: Model) -> None:
    """What nobody examined is no conflict, and a worn AC joint is not a stiff one."""
    thrower = told(
        "gh ir 90 30 other 55 p3\ngh hadd 28 other 45 p3\ngh post glide 2 firm p3 fam\n"
        "apprehension -\nsulcus neutral -",
        library, model, age=23, onset="overuse", weeks=10, areas="back, deep",
    )  # fmt: skip
    assert ("mobilise_joint", "glenohumeral") in proposed(thrower)
    assert not thrower.decision.both_open
    worn = told("ac palpation p6 fam\nac cross body + p6 fam\nac post glide 4 p4 fam", library, model, areas="ac_area")
    assert not worn.decision.both_open


def test_what_a_clash_costs_by_hand() -> None:
    """Slack is instance 0, stiff 1 (elsewhere) and 2: mobilising costs 6 where slack stands without the one elsewhere,
    strengthening 2 where something stiff stands without the slack."""
    rule = Clash((0,), (1,), (1, 2), (6.0, 2.0, 12.0), (2.0, 0.5, 5.0), "", ("", ""))
    states = np.array([[1, 0, 0], [1, 1, 0], [0, 0, 1], [0, 0, 0], [1, 0, 1]], dtype=bool)
    assert lost("mobilise_joint", [rule], states).tolist() == [6.0, 0.0, 0.0, 0.0, 6.0]
    assert lost("stabilise", [rule], states).tolist() == [0.0, 0.0, 2.0, 0.0, 0.0]
    assert lost("mobilise_joint", [rule], states, 2)[0] == 12.0


FROZEN = """act flex 110 other 170 p{pain}
gh er 0 20 other 68 early capsular p{pain}
gh abd 50 other 95 early capsular p{pain}
gh ant 1 p{pain}
gh inf 1 p{pain}
iso er 5/5 p0
"""


def test_a_sore_stiff_shoulder_gets_another_course_than_a_calm_one(library: Library, model: Model) -> None:
    early = told(FROZEN.format(pain=8), library, model, weeks=7, irritability="high").decision.worthwhile[0]
    late = told(FROZEN.format(pain=2), library, model, weeks=20).decision.worthwhile[0]
    assert early.treatment_class == late.treatment_class == "mobilise_joint"
    assert (early.stage, late.stage) == ("sore", "")
    assert early.name.startswith("explain")
    assert late.name.startswith("mobilise")


def test_an_opinion_is_asked_for_where_practice_would(library: Library, model: Model) -> None:
    unstable = "apprehension + apprehensive p2\nrelocation +\nload shift ant m5"
    worn = "act flex 115 other 150 p4\ngh er 0 15 other 50 hard p5 fam\ngh abd 50 other 90 hard p4\ngh post 1 hard p4"

    def rules(assessment: Assessment) -> set[str]:
        return {one.rule for one in assessment.decision.worthwhile if one.rule}

    assert "op001" in rules(told(unstable, library, model, age=19, onset="trauma"))
    assert "op001" not in rules(told(unstable, library, model, age=45, onset="trauma"))
    assert "op001" not in rules(told(unstable, library, model, age=19))
    assert "op002" in rules(told(worn, library, model, age=74, weeks=150))
    assert "op002" not in rules(told(worn, library, model, age=74, weeks=8))
    assert "op004" in rules(told(FROZEN.format(pain=2), library, model, age=55, weeks=44))
    assert "op004" not in rules(told(FROZEN.format(pain=2), library, model, age=55, weeks=12))
    torn = assess(
        read_case((STORIES / "torn_in_front.txt").read_text(encoding="utf-8"), "torn.txt", library),
        library,
        model=model,
    )
    asked = [one for one in torn.decision.worthwhile if one.rule == "op003"]
    assert len(asked) == 1
    assert asked[0].kind == "referral"
    assert asked[0].why
    assert all(one in library.figures for one in asked[0].figures)


def test_no_opinion_is_proposed_before_an_urgent_action(library: Library, model: Model) -> None:
    case = read_case((STORIES / "danger_apical.txt").read_text(encoding="utf-8"), "danger.txt", library)
    assert assess(case, library, model=model).decision.worthwhile == ()
