"""An emergency that is suspected and not excluded holds the plan until its questions are answered."""

from __future__ import annotations

import pytest

from endfeel.evidence.library import Library
from endfeel.safety import Urgency, Verdict, override, verdict
from endfeel.vocabulary import Case, Complaint, EndFeel, Finding, Person, Side, Unit

BREATH = "Hurts between the ribs when breathing in."


def _said(library: Library, story: str = "", yes: str = "", no: str = "", age: int = 45) -> Verdict:
    screen = dict.fromkeys(yes.split(), True) | dict.fromkeys(no.split(), False)
    return verdict(Case(Person(age), Complaint(side=Side.RIGHT, story=story), screen=screen), library)


@pytest.mark.parametrize(
    ("flag", "story", "age"),
    [
        ("pulmonary", BREATH, 45),
        ("cad", "Neck pain unlike any before.", 45),
        ("cad", "Whiplash three weeks ago.", 45),
        ("cad", "The chiropractor cracked my neck last week and I've been dizzy since.", 45),
        ("cardiac", "The pain is the same whatever position I am in.", 45),
        ("cardiac", "Shoulder pain when walking uphill.", 45),
        ("septic_gh", "Feverish since Sunday.", 45),
        ("spinal_infection", "Constant pain in the mid back, also at rest.", 45),
        ("gca", "My jaw tires when I chew.", 71),
        ("diaphragm_abdomen", "My belly hurts as well.", 45),
        ("fracture", "Came off my motorbike last week.", 45),
        ("upper_cervical_instability", "My head feels too heavy to hold up.", 45),
    ],
)
def test_a_suspected_emergency_holds_the_plan_and_its_questions_lead(
    flag: str, story: str, age: int, library: Library
) -> None:
    said = _said(library, story, age=age)
    assert flag in {one.id for one in said.held}
    assert said.is_held
    assert said.stops_plan
    assert said.withholds_treatment
    assert said.urgency.rank < Urgency.URGENT.rank
    assert said.words == f"{said.urgency.words}, on hold until asked"
    assert said.action.startswith("Ask before hands-on work: ")
    assert said.unanswered[0] in said.ask_now


@pytest.mark.parametrize(
    "story",
    [
        "",
        "Stiff since the autumn, worse at night.",
        "Breast cancer five years ago.",
        "Smokes.",
        "Had a steroid injection three weeks ago.",
        "Acupuncture helped.",
        "Fell on the shoulder three weeks ago, sore since.",
        "Thin bones.",
        "Can't lift it, stiff for months.",
        "It hurts at the tip of my shoulder.",
        "My calf muscle is tight.",
        "Rash on my shoulder from the sling strap.",
    ],
)
def test_an_unanswered_screen_or_a_mere_risk_holds_nothing(story: str, library: Library) -> None:
    assert not _said(library, story).is_held


def test_the_hold_ends_when_every_question_it_asks_is_answered_no(library: Library) -> None:
    held = _said(library, BREATH)
    told = {one.cue for one in held.noticed}
    said = _said(library, BREATH, no=" ".join(cue for cue in held.ask_now if cue not in told))
    assert not said.held
    assert not said.stops_plan


def test_an_answer_that_completes_the_rule_makes_it_an_emergency(library: Library) -> None:
    said = _said(library, BREATH, yes="breathless")
    assert said.urgency is Urgency.EMERGENCY
    assert not said.is_held
    assert said.stops_plan


def test_what_only_hands_can_find_keeps_nothing_on_hold(library: Library) -> None:
    held = _said(library, yes="trauma_hard")
    said = _said(
        library, yes="trauma_hard", no="bone_signs unable_to_move squared_contour arm_held_away shoulder_out_now"
    )
    assert "fracture" in {one.id for one in held.held}
    assert "bone_conduction_changed" in {cue for one in said.not_excluded for cue in one.unanswered}
    assert "fracture" not in {one.id for one in said.held}


def test_a_finding_can_raise_the_suspicion(library: Library) -> None:
    agony = Finding("gh_er_0", side=Side.RIGHT, value=20, unit=Unit.DEGREES, pain=9, end_feel=EndFeel.EMPTY)
    said = verdict(Case(Person(45), Complaint(side=Side.RIGHT), findings=(agony,)), library)
    assert "septic_gh" in {one.id for one in said.held}
    assert "fever_unwell" in said.ask_now


def test_a_hold_is_overridden_with_a_reason_only_and_stays_on_the_verdict(library: Library) -> None:
    said = override(_said(library, BREATH), "Seen in the emergency department this morning, all clear.", "A. Therapist")
    assert not said.stops_plan
    assert said.held
    assert said.is_overridden


def test_every_suspecting_cue_belongs_to_the_rule_of_an_emergency(library: Library) -> None:
    flags = {flag["id"]: flag for flag in library.documents["safety"]["red_flag"]}
    for rule in library.documents["safety_rules"]["rule"]:
        if "suspects" in rule:
            assert flags[rule["red_flag"]]["urgency"] == "emergency"
            assert set(rule["suspects"]) <= set(str(rule["when"]).replace("'", " ").split())


def test_a_pressing_flag_leads_over_a_hold(library: Library) -> None:
    said = _said(library, BREATH, yes="new_mass")
    assert said.urgency is Urgency.URGENT
    assert said.held
    assert not said.is_held
