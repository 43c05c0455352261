"""Findings that cannot both be so as recorded: each rule fires on its case, and on nothing that was not recorded."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from endfeel.assessment import read_case
from endfeel.evidence.library import Library
from endfeel.inference import Model, build_model, contradictions, infer
from endfeel.vocabulary import CannotRead, Case, Complaint, Finding, Person, Side
from endfeel.vocabulary.shorthand import Shorthand, parse_finding

STORIES = Path(__file__).resolve().parents[3] / "stories"


@pytest.fixture(scope="module")
def model(library: Library) -> Model:
    return build_model(library)


def case_of(lines: list[str], shorthand: Shorthand) -> Case:
    findings = tuple(parse_finding(line, shorthand, Side.RIGHT) for line in lines)
    return Case(Person(50), Complaint(side=Side.RIGHT), findings=findings)


@pytest.mark.parametrize(
    ("lines", "rule", "how_often"),
    [
        (["act er side 60", "gh er at side 20"], "lateral_rotation_active", "never"),
        (["gh flex 150", "gh total elevation 120"], "flexion_held", "never"),
        (["gh post glide 5 early capsular"], "slack_with_hard_end", "never"),
        (["gh post glide 1 loose"], "stuck_with_loose_end", "never"),
        (["hawkins - fam"], "negative_but_familiar", "seldom"),
        (["gh post glide 3 p0 fam"], "familiar_without_pain", "seldom"),
        (["act abd 120 p@150"], "onset_beyond_end", "never"),
        (["er lag +", "iso er 5/5 p0"], "lag_with_full_strength", "seldom"),
        (["load shift ant m5", "gh ant glide 1"], "front_slack_and_stiff", "never"),
        (["relocation +", "apprehension -"], "relocation_without_apprehension", "seldom"),
        (["gh er 90 90 other 90", "gh ant glide 1"], "full_motion_stuck_glide", "seldom"),
        (["apprehension - apprehensive"], "negative_but_apprehensive", "never"),
        (["sulcus_neutral - m6"], "negative_but_slack", "never"),
        (["iso er 2/5", "hhd_er 180 N other 180"], "weak_by_hand_equal_by_device", "never"),
        (["er lag +", "act er side 70", "gh er at side 70"], "lag_without_lag", "seldom"),
        (["T5 th_pa_central 1", "T5 th_ext_glide_bi 5"], "segment_stiff_and_slack", "never"),
        (["sc_ant 1", "sc_stress_ant m6"], "sc_front_slack_and_stiff", "never"),
        (["rib1_caudal 5", "rib1_breath 1"], "first_rib_slack_and_stiff", "never"),
    ],
)  # fmt: skip
def test_a_rule_fires_on_its_case(
    lines: list[str], rule: str, how_often: str, library: Library, shorthand: Shorthand, model: Model
) -> None:
    case = case_of(lines, shorthand)
    (found,) = contradictions(case, library, model)
    assert found.basis == f"contradictions.{rule}"
    assert found.how_often == how_often
    assert set(found.findings) == set(range(len(lines)))
    assert library.figure(found.basis).provenance.label == found.provenance
    one_less = replace(case, findings=case.findings[1:])
    assert not contradictions(one_less, library, model)


@pytest.mark.parametrize(
    "lines",
    [
        ["act er side 30", "gh er at side 25"],  # within the error of both
        ["L act er side 60", "gh er at side 20"],  # two sides
        ["act er side 60", "gh er at side 20", "gh er at side 70"],  # corrected since: the last counts
        ["gh er at side 20 other 65", "gh ant glide 1"],  # a lost motion and its glide
        ["hawkins - fam; tingling, no pain"],
        ["load shift ant m5", "gh ant glide 3"],
        ["T5 th_pa_central 1", "T6 th_ext_glide_bi 5"],  # two segments
        ["er lag +", "act er side 40", "gh er at side 70"],  # a lag that is there
        ["iso er 2/5", "hhd_er 60 N other 180"],
        ["apprehension + apprehensive"],
    ],
)
def test_what_can_be_is_left_alone(lines: list[str], library: Library, shorthand: Shorthand, model: Model) -> None:
    assert not contradictions(case_of(lines, shorthand), library, model)


def test_the_other_side_told_and_measured_must_be_one(library: Library, shorthand: Shorthand, model: Model) -> None:
    (found,) = contradictions(case_of(["gh er at side 20 other 70", "L gh er at side 40"], shorthand), library, model)
    assert "twice, with two numbers" in found.sentence
    near = case_of(["gh er at side 20 other 70", "L gh er at side 64"], shorthand)
    assert not contradictions(near, library, model)


def test_the_written_stories_do_not_contradict_themselves(library: Library, model: Model) -> None:
    for path in sorted(STORIES.glob("*.txt")):
        try:
            case = read_case(path.read_text(encoding="utf-8"), path.name, library)
        except CannotRead:
            continue
        assert not contradictions(case, library, model), path.name
        assert not infer(case, model).odd_together, path.name


def test_findings_far_rarer_together_than_apart_are_pointed_out(shorthand: Shorthand, model: Model) -> None:
    case = case_of(["gh distraction 1", "gh post glide 5", "hawkins - p0"], shorthand)
    (found,) = infer(case, model).odd_together
    assert found.findings == (0, 1)
    assert "times rarer together" in found.sentence


def test_a_pair_is_as_odd_as_its_definition_says(shorthand: Shorthand, model: Model) -> None:
    """P(both) / (P(one) P(other)) from four posteriors solved apart."""
    case = case_of(["gh distraction 1", "gh post glide 5"], shorthand)

    def log_evidence(*kept: int) -> float:
        findings: tuple[Finding, ...] = tuple(case.findings[i] for i in kept)
        return infer(replace(case, findings=findings), model).solution.log_evidence

    lift = log_evidence(0, 1) - log_evidence(0) - log_evidence(1) + log_evidence()
    (found,) = infer(case, model).odd_together
    assert f"about {2.718281828**-lift:.0f} times" in found.sentence


@pytest.mark.parametrize(
    "lines",
    [["hawkins +", "hawkins -"], ["neer -", "neer p0", "neer +"], ["gh post glide 1", "gh post glide 5"]],
)
def test_opposite_results_of_one_test_on_one_side_are_said(
    lines: list[str], library: Library, shorthand: Shorthand, model: Model
) -> None:
    (found,) = contradictions(case_of(lines, shorthand), library, model)
    assert found.basis == "contradictions.opposite_results"
    assert found.findings == (0, len(lines) - 1)
    assert "the later one counts" in found.sentence


@pytest.mark.parametrize(
    "lines",
    [
        ["hawkins +", "hawkins + p4"],
        ["R hawkins +", "L hawkins -"],
        ["gh post glide 2", "gh post glide 3"],
        ["T4 central pa 1", "T6 central pa 5"],
        ["derm_c4_t2 reduced; C8", "derm_c4_t2 normal; C5"],
    ],
)
def test_the_same_result_or_another_place_is_no_opposite(
    lines: list[str], library: Library, shorthand: Shorthand, model: Model
) -> None:
    assert not contradictions(case_of(lines, shorthand), library, model)
