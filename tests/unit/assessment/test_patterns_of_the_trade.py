"""Invented people on whom a fresh pair of eyes found the answer wrong: patterns of the trade, no publication behind
them except where a source of the evidence is named."""

from __future__ import annotations

import pytest

from endfeel.assessment import Assessment, assess, read_case
from endfeel.evidence.library import Library
from endfeel.inference import Model, build_model

NOTHING_BAD = (
    "screen:\nno: trauma_recent, fever_unwell, cancer_history, night_pain_unremitting, weight_loss_fatigue\n\n"
)
PAINLESS_AND_WEAK = """title: Volleyball player, weak and hardly sore
invented: yes
age: 24
sex: male
side: right
onset: gradual
weeks: 30
irritability: low
areas: back
"""
PAINLESS_FINDINGS = """act er at side 60 other 75 p0
gh er 0 75 other 72 p0
act abd 175 other 175 p0
iso er 3/5 p{pain}
empty can - p0
iso abd 5/5 p0
belly press -
neer - p0
hawkins - p0
dermatomes normal
cx active normal p0
general obs "hollow below the spine of the blade"
"""
OUT_ONCE = """title: Out of joint nine weeks ago, put back
invented: yes
age: 20
sex: male
side: right
onset: trauma
weeks: 9
irritability: low
areas: front, deep
"""
OUT_ONCE_FINDINGS = """act flex 172 other 178 p1
gh er 90 80 other 98 p3 {fear}
apprehension + apprehensive p2
relocation +
load and shift ant m5 p2
iso er 5/5 p0
er lag -
"""
ALL_NORMAL = """title: Sore at the outer side, everything about the joint normal
invented: yes
age: 41
sex: female
side: right
onset: gradual
weeks: 12
irritability: low
areas: lateral
"""
ALL_NORMAL_FINDINGS = """act flex 172 other 172 p0
act abd 175 other 175 p0
gh er 0 70 other 70 p0
gh ir 90 60 other 60 p0
neer - p0
hawkins - p0
empty can - p0
iso er 5/5 p0
T5 central pa 3 p0
"""
OVERNIGHT = """title: Woke with it eight days ago
invented: yes
age: 44
sex: female
side: right
onset: {onset}
weeks: {weeks}
irritability: high
areas: lateral, deep
"""
OVERNIGHT_FINDINGS = """gh er 0 50 other 65 {end} p6
gh abd 60 other 95 {end} p8 fam
palp gt p9 fam
neer + p8
"""


@pytest.fixture(scope="module")
def model(library: Library) -> Model:
    return build_model(library)


@pytest.fixture(scope="module")
def told(library: Library, model: Model):
    def of(head: str, findings: str) -> Assessment:
        return assess(read_case(head + "\n" + NOTHING_BAD + findings, "invented", library), library, model=model)

    return of


def share(found: Assessment, name: str) -> float:
    belief = found.posterior.belief(name)
    assert belief is not None
    return belief.probability


def test_weak_without_pain_is_a_nerve_and_calls_for_a_letter(told) -> None:
    """Practice-custom; a nerve lesion was found in 22 of 66 players (Holzgraefe 1994: pv099, abstract read)."""
    painless, sore = (told(PAINLESS_AND_WEAK, PAINLESS_FINDINGS.format(pain=pain)) for pain in (0, 6))
    assert painless.posterior.beliefs[0].id == "suprascapular_palsy"
    assert painless.decision.worthwhile[0].kind == "referral"
    assert share(sore, "suprascapular_palsy") < share(painless, "suprascapular_palsy") - 0.2
    assert share(painless, "lax_aighl") < share(sore, "lax_aighl")


def test_a_note_is_shown_where_it_is_all_that_was_written(told) -> None:
    said = " ".join(told(PAINLESS_AND_WEAK, PAINLESS_FINDINGS.format(pain=0)).posterior.caveats)
    assert "hollow below the spine of the blade" in said
    assert "nothing recorded;" not in said


def test_what_stopped_for_fear_is_not_stiff(told) -> None:
    afraid, firm = (told(OUT_ONCE, OUT_ONCE_FINDINGS.format(fear=fear)) for fear in ("apprehensive", ""))
    assert share(afraid, "capsule_anterior") < share(firm, "capsule_anterior") / 1.5
    assert [one.verdict for one in afraid.posterior.articular] == ["apprehension"]
    assert [one.verdict for one in firm.posterior.articular] == ["not tested"]
    assert not afraid.decision.both_open
    assert "joint or soft tissue" not in " ".join(one.reason for one in afraid.next_tests)


def test_what_nobody_examined_is_not_called_examined_in_vain(told) -> None:
    decision = told(ALL_NORMAL, ALL_NORMAL_FINDINGS).decision
    lengthen = "lengthen the short muscles (shoulder blade, right)"
    assert lengthen in [course.name for course in decision.unexamined]
    assert lengthen not in [course.name for course in decision.closed]
    seen = told(ALL_NORMAL, ALL_NORMAL_FINDINGS + "pec minor length -\nlevator length -\npalp infraspinatus p0\n")
    assert lengthen not in [course.name for course in seen.decision.unexamined]


def test_what_began_overnight_is_hardly_a_frozen_shoulder(told) -> None:
    def frozen(onset: str, weeks: int, end: str) -> float:
        head = OVERNIGHT.format(onset=onset, weeks=weeks)
        return share(told(head, OVERNIGHT_FINDINGS.format(end=end)), "capsule_global")

    slow, overnight = frozen("gradual", 20, "early capsular"), frozen("sudden", 1, "empty")
    assert frozen("sudden", 20, "early capsular") < slow
    assert overnight < 0.3 < slow - 0.3


def test_a_painful_arc_and_a_painless_abduction_do_not_go_together_and_a_pair_is_told_once(told) -> None:
    found = told(
        ALL_NORMAL, "painful arc +\nact abd 175 other 175 p0\nact er at side 70 other 70 p0\ngh er 0 35 other 70 p4\n"
    )
    assert any("an arc that hurts" in str(one) for one in found.unfit)
    pairs = [frozenset(one.findings) for one in found.unfit]
    assert len(pairs) == len(set(pairs))


def test_the_leading_test_says_which_rule_asks_for_it(told) -> None:
    found = told(OUT_ONCE, OUT_ONCE_FINDINGS.format(fear="apprehensive"))
    first, step = found.next_tests[0], next(one for one in found.plan.steps if not one.refines)
    assert first.procedure == step.procedure
    assert step.reason.startswith("tells about") or step.reason in first.reason
