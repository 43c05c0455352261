"""Invented people: every red flag is raised by a dangerous story, and ordinary shoulders raise nothing urgent.

The cues of each flag follow the source named beside the flag in `safety.toml`, with its label.
The vignettes are made up.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from endfeel.assessment import read_case
from endfeel.evidence.library import Library
from endfeel.safety import Urgency, questions, verdict
from endfeel.vocabulary import Case, Complaint, EndFeel, Finding, Person, Result, Side, Unit

R = Side.RIGHT


def person(
    age: int = 45,
    *,
    onset: str | None = None,
    weeks: float | None = None,
    story: str = "",
    yes: str = "",
    no: str = "",
    findings: tuple[Finding, ...] = (),
) -> Case:
    screen = dict.fromkeys(yes.split(), True) | dict.fromkeys(no.split(), False)
    complaint = Complaint(side=R, onset=onset, weeks=weeks, story=story)
    return Case(Person(age), complaint, screen=screen, findings=findings)


def found(procedure: str, **fields: Any) -> Finding:
    return Finding(procedure, side=R, **fields)


def degrees(procedure: str, value: float, **fields: Any) -> Finding:
    return found(procedure, value=value, unit=Unit.DEGREES, **fields)


POSITIVE = Result.POSITIVE
DANGEROUS: list[tuple[str, str, Case]] = [
    ("zoster", "same_day", person(71, onset="sudden", weeks=0.5, yes="band_burning zoster_rash")),
    ("repair_failed", "urgent", person(61, onset="sudden", weeks=1, yes="repair_recent lost_lift_at_once")),
    ("leg_dvt", "emergency", person(48, yes="leg_swollen breathless")),
    (
        "fracture",
        "emergency",
        person(
            72,
            onset="trauma",
            weeks=0.2,
            findings=(degrees("act_abduction", 5, pain=9), found("olecranon_percussion", result=POSITIVE)),
        ),
    ),
    (
        "gh_anterior_dislocation",
        "emergency",
        person(22, onset="trauma", weeks=0.1, yes="arm_forced_back squared_contour"),
    ),
    (
        "gh_posterior_dislocation",
        "emergency",
        person(
            40,
            story="Woke after a seizure with a stiff shoulder.",
            findings=(degrees("gh_er_0", -5, end_feel=EndFeel.HARD_BONE),),
        ),
    ),
    (
        "sc_posterior_dislocation",
        "emergency",
        person(19, onset="trauma", weeks=0.1, yes="blow_to_collarbone airway_signs"),
    ),
    ("sc_infection", "same_day", person(50, yes="sc_hot_swollen fever_unwell infection_risk")),
    (
        "septic_gh",
        "emergency",
        person(
            66,
            story="Chills since yesterday, injection last week.",
            findings=(degrees("gh_er_0", 5, end_feel=EndFeel.EMPTY, pain=9),),
        ),
    ),
    ("spinal_infection", "emergency", person(60, yes="spine_pain_constant fever_unwell")),
    ("malignancy", "urgent", person(63, yes="cancer_history night_pain_unremitting")),
    (
        "pancoast",
        "same_day",
        person(58, story="Ex-smoker, he smoked for years.", findings=(found("pupils_lids", result=POSITIVE),)),
    ),
    (
        "acute_cuff_rupture",
        "urgent",
        person(
            58,
            onset="trauma",
            weeks=2,
            findings=(degrees("act_abduction", 40, other=170), degrees("gh_total_elev", 165, other=170)),
        ),
    ),
    ("neuro_acute", "same_day", person(35, onset="trauma", weeks=1, findings=(found("myo_c5_t1", strength=1),))),
    ("myelopathy", "same_day", person(60, findings=(Finding("umn_screen", result=POSITIVE),))),
    ("neuralgic_amyotrophy", "urgent", person(38, yes="sudden_severe_then_weak scapula_or_cuff_wasted")),
    ("cad", "emergency", person(44, yes="neck_head_pain_new", findings=(Finding("cranial_screen", result=POSITIVE),))),
    ("uedvt", "same_day", person(24, findings=(found("girth_veins", result=POSITIVE),))),
    ("arterial", "emergency", person(55, findings=(found("pulse_radial", result=Result.ABSENT),))),
    ("cardiac", "emergency", person(46, yes="effort_pain pain_unmoved")),
    ("aortic", "emergency", person(61, yes="tearing_pain")),
    ("pulmonary", "emergency", person(49, yes="pain_on_breathing breathless")),
    ("diaphragm_abdomen", "emergency", person(29, yes="tip_pain_no_signs pregnancy_possible")),
    ("hepatobiliary", "refer", person(52, yes="meal_pain")),
    ("inflammatory", "urgent", person(34, yes="several_joints morning_stiffness_long")),
    ("pmr", "urgent", person(71, yes="both_girdles_ache morning_stiffness_long")),
    ("gca", "emergency", person(74, yes="new_headache_scalp vision_changed")),
    ("crystal", "same_day", person(48, yes="explosive_pain")),
    ("avn", "refer", person(42, yes="avn_risk deep_ache_grinding")),
    ("vertebral_fracture", "same_day", person(78, yes="sudden_thoracic_pain")),
    ("upper_cervical_instability", "emergency", person(55, yes="rheumatoid heavy_head")),
    ("ac_high_grade", "urgent", person(27, yes="ac_high_step")),
    ("crps", "refer", person(51, yes="out_of_proportion hand_changed")),
    ("psych_risk", "same_day", person(33, yes="suicidal")),
    ("unexplained_stiff", "refer", person(50, yes="course_does_not_fit")),
    (
        "cuff_tear_not_recent",
        "refer",
        person(
            66,
            onset="gradual",
            weeks=40,
            findings=(
                degrees("act_abduction", 80, other=165),
                degrees("gh_abd", 95, other=100),
                found("er_lag", result=POSITIVE),
            ),
        ),
    ),
    ("pressure_crisis", "same_day", person(61, findings=(Finding("bp_pulse", value=240, unit=Unit.MMHG),))),
]

NOTHING_ELSE = "fever_unwell cancer_history trauma_recent weight_loss_fatigue new_mass chest_tight"
BENIGN: dict[str, Case] = {
    "frozen shoulder, stiff and sore": person(
        54,
        onset="gradual",
        weeks=16,
        no=NOTHING_ELSE,
        findings=(
            degrees("gh_er_0", 5, other=65, end_feel=EndFeel.EARLY_CAPSULAR, pain=6),
            degrees("act_abduction", 70, pain=7),
        ),
    ),
    "frozen shoulder that hurts at night": person(
        60,
        onset="gradual",
        weeks=10,
        yes="night_pain_unremitting",
        findings=(degrees("gh_er_0", 0, other=60, end_feel=EndFeel.EARLY_CAPSULAR, pain=7),),
    ),
    "cuff pain": person(
        47,
        onset="overuse",
        weeks=8,
        no=NOTHING_ELSE,
        findings=(found("iso_abd", strength=4, pain=4), degrees("act_abduction", 150, pain=5)),
    ),
    "sore acromioclavicular joint": person(
        31, onset="overuse", weeks=6, findings=(found("ac_cross_body", result=POSITIVE),)
    ),
    "worn glenohumeral joint": person(
        69, onset="gradual", weeks=150, findings=(degrees("gh_er_0", 25, other=40, end_feel=EndFeel.HARD_BONE, pain=3),)
    ),
    "stiff mid-back at a desk": person(
        29, onset="gradual", weeks=12, findings=(Finding("th_pa_central", level="T5", mobility=1, pain=3),)
    ),
    "thrower with a loose shoulder": person(20, onset="overuse", weeks=20, yes="overhead_sport slips_forward"),
    "neck referral, one root, stable": person(
        44,
        onset="gradual",
        weeks=5,
        findings=(found("derm_c4_t2", result=Result.REDUCED), Finding("cx_compression", result=POSITIVE)),
    ),
    "denied cancer, denied fever": person(66, story="No cancer, no fever, never smoked. Mother had breast cancer."),
    "long lost lift in the old, no injury": person(
        76,
        onset="gradual",
        weeks=100,
        findings=(
            degrees("act_abduction", 70, other=150),
            degrees("gh_total_elev", 160, other=165),
            found("er_lag", result=POSITIVE),
        ),
    ),
    "brisk reflexes and nothing else": person(25, findings=(found("reflex_ul", result=Result.INCREASED),)),
    "tendon pain on a blood thinner": person(70, onset="gradual", weeks=9, yes="anticoagulant"),
    "cancer long ago, ordinary shoulder": person(57, onset="overuse", weeks=4, yes="cancer_history"),
}


@pytest.mark.parametrize(("flag", "urgency", "case"), DANGEROUS, ids=[one[0] for one in DANGEROUS])
def test_a_dangerous_story_raises_its_flag(flag: str, urgency: str, case: Case, library: Library) -> None:
    found_ = verdict(case, library)
    raised = {one.id: one for one in found_.raised}
    assert flag in raised
    assert raised[flag].urgency == urgency
    assert found_.urgency.rank >= Urgency(urgency).rank
    assert raised[flag].reasons
    assert raised[flag].source in library.sources
    assert found_.stops_plan == (found_.urgency.rank >= Urgency.URGENT.rank) == found_.withholds_treatment


def test_every_red_flag_has_a_vignette(library: Library) -> None:
    assert {flag for flag, _, _ in DANGEROUS} == {flag["id"] for flag in library.documents["safety"]["red_flag"]}


@pytest.mark.parametrize("case", BENIGN.values(), ids=BENIGN)
def test_an_ordinary_shoulder_raises_nothing_urgent(case: Case, library: Library) -> None:
    found_ = verdict(case, library)
    assert not found_.is_pressing
    assert not found_.stops_handson
    assert not [flag.id for flag in found_.raised if flag.urgency.rank >= Urgency.URGENT.rank]


def test_night_pain_at_sixty_asks_for_more_instead_of_naming_a_tumour(library: Library) -> None:
    found_ = verdict(BENIGN["frozen shoulder that hurts at night"], library)
    assert found_.urgency is Urgency.MONITOR
    (open_,) = (flag for flag in found_.not_excluded if flag.id == "malignancy")
    assert {"cancer_history", "weight_loss_fatigue"} <= set(open_.unanswered)


def test_what_was_denied_in_the_story_is_not_noticed(library: Library) -> None:
    assert {one.cue for one in verdict(BENIGN["denied cancer, denied fever"], library).noticed} == {
        "age_over_50",
        "age_over_55",
        "age_over_65",
    }


@pytest.mark.parametrize(
    ("flag", "more", "urgency"),
    [
        ("uedvt", "arm_swollen_blue breathless", "emergency"),
        ("hepatobiliary", "meal_pain fever_unwell", "same_day"),
        ("vertebral_fracture", "sudden_thoracic_pain bone_fragile bladder_bowel", "emergency"),
        ("pancoast", "horner_pattern", "same_day"),
        ("ac_high_grade", "ac_high_step hand_cold_pale", "emergency"),
    ],
)
def test_a_further_cue_makes_a_flag_more_urgent(flag: str, more: str, urgency: str, library: Library) -> None:
    raised = {one.id: one for one in verdict(person(yes=more), library).raised}
    assert raised[flag].urgency == urgency
    assert raised[flag].urgency_provenance == "practice"
    assert set(more.split()) <= {reason.cue for reason in raised[flag].reasons}


STORIES = sorted(Path(__file__).resolve().parents[3].joinpath("stories").glob("*.txt"))
READABLE = [path for path in STORIES if path.stem != "twenty_faults"]


@pytest.mark.parametrize("path", READABLE, ids=[path.stem for path in READABLE])
def test_a_story_presses_exactly_when_it_is_a_dangerous_one(path: Path, library: Library) -> None:
    said = verdict(read_case(path.read_text(encoding="utf-8"), path.name, library), library)
    assert said.is_pressing == path.stem.startswith("danger_")


DANGEROUS_TOGETHER = [
    ("fracture", "convulsion_or_shock bone_signs", 40),
    ("fracture", "cancer_history bone_signs", 40),
    ("gh_anterior_dislocation", "trauma_hard squared_contour", 20),
    ("gh_posterior_dislocation", "convulsion_or_shock unable_to_move", 40),
    ("sc_posterior_dislocation", "trauma_recent airway_signs", 20),
    ("septic_gh", "fever_unwell infection_risk", 60),
    ("septic_gh", "fever_unwell unable_to_move", 60),
    ("septic_gh", "fever_unwell op_reverse_arthroplasty", 75),
    ("spinal_infection", "fever_unwell percussion_sore", 50),
    ("malignancy", "cancer_history spine_pain_constant", 50),
    ("malignancy", "weight_loss_fatigue first_unexplained_worse", 50),
    ("malignancy", "night_pain_unremitting", 12),
    ("pancoast", "above_collarbone_full smoker_or_asbestos", 50),
    ("neuro_acute", "trauma_hard new_marked_weakness", 30),
    ("myelopathy", "bladder_bowel new_marked_weakness", 50),
    ("myelopathy", "neck_trauma bilateral_tingling", 50),
    ("cad", "brainstem_signs limb_clumsy", 50),
    ("cad", "neck_trauma brainstem_signs", 35),
    ("cad", "neck_head_pain_new vision_changed", 40),
    ("cardiac", "effort_pain breathless", 50),
    ("cardiac", "pain_unmoved collapse", 50),
    ("aortic", "spine_pain_constant collapse", 60),
    ("pulmonary", "breathless collapse", 50),
    ("pulmonary", "breathless fever_unwell", 50),
    ("pulmonary", "trauma_hard pain_on_breathing", 30),
    ("diaphragm_abdomen", "pregnancy_possible collapse", 28),
    ("diaphragm_abdomen", "abdominal_signs fever_unwell", 50),
    ("gca", "both_girdles_ache vision_changed", 70),
    ("vertebral_fracture", "trauma_hard percussion_sore", 40),
    ("upper_cervical_instability", "rheumatoid shock_on_neck_flexion", 55),
    ("unexplained_stiff", "trauma_hard stiff_at_once", 40),
]


def only(yes: str, age: int, library: Library) -> Case:
    """These answered yes, every other question answered no."""
    return Case(Person(age), screen={one.id: one.id in yes.split() for one in questions(library)})


@pytest.mark.parametrize(("flag", "yes", "age"), DANGEROUS_TOGETHER, ids=[one[1] for one in DANGEROUS_TOGETHER])
def test_signs_dangerous_together_press_with_all_else_denied(flag: str, yes: str, age: int, library: Library) -> None:
    said = verdict(only(yes, age, library), library)
    assert said.is_pressing
    assert {one.id: one.urgency for one in said.raised}[flag].rank >= Urgency.URGENT.rank


@pytest.mark.parametrize(
    ("yes", "age"),
    [
        ("night_pain_unremitting", 60),
        ("night_pain_unremitting smoker_or_asbestos", 60),
        ("cancer_history", 60),
        ("fever_unwell", 40),
        ("trauma_recent", 70),
        ("neck_trauma trauma_recent", 30),
        ("vascular_risk breathless", 60),
        ("rheumatoid bilateral_tingling", 50),
        ("new_headache_scalp", 60),
        ("both_girdles_ache", 60),
        ("morning_stiffness_long", 60),
        ("stiff_at_once", 50),
        ("spine_pain_constant", 40),
    ],
)
def test_what_is_common_and_weak_does_not_press(yes: str, age: int, library: Library) -> None:
    assert not verdict(only(yes, age, library), library).is_pressing


@pytest.mark.parametrize(
    ("story", "cue"),
    [
        ("No injury but fever since yesterday.", "fever_unwell"),
        ("No fever although he has lost weight.", "weight_loss_fatigue"),
        ("Did not fall, woke after a seizure.", "convulsion_or_shock"),
    ],
)
def test_a_denial_ends_where_the_story_turns(story: str, cue: str, library: Library) -> None:
    assert cue in {one.cue for one in verdict(person(story=story), library).noticed}


def test_a_denied_list_stays_denied_throughout(library: Library) -> None:
    noticed = verdict(person(30, story="No cancer, fever or weight loss."), library).noticed
    assert noticed == ()
