"""The rule language, conflicts, what is forbidden, overrides, and the screen as it is asked."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from endfeel.evidence.library import Library
from endfeel.safety import Urgency, cues_of, first_screen, holds, override, questions, verdict
from endfeel.safety.rules import Rule, cues_of_rule
from endfeel.vocabulary import Case, Complaint, EndFeel, Finding, Irritability, Person, Refused, Result, Side, Unit
from endfeel.vocabulary.shorthand import Shorthand, parse_finding

KNOWN = {"yes": True, "no": False}


@pytest.mark.parametrize(
    ("rule", "outcome"),
    [
        ("yes", True),
        ("no", False),
        ("open", None),
        ({"any": ["no", "open"]}, None),
        ({"any": ["yes", "open"]}, True),
        ({"all": ["no", "open"]}, False),
        ({"all": ["yes", "open"]}, None),
        ({"at_least": [2, ["yes", "no", "open"]]}, None),
        ({"at_least": [2, ["yes", "yes", "open"]]}, True),
        ({"at_least": [2, ["no", "no", "open"]]}, False),
        ({"all": ["yes", {"any": ["no", {"at_least": [1, ["yes"]]}]}]}, True),
    ],
)
def test_a_rule_is_yes_no_or_not_known(rule: Rule, outcome: bool | None) -> None:
    assert holds(rule, KNOWN) is outcome


def _all_rules(library: Library) -> Iterator[Rule]:
    rules = library.documents["safety_rules"]
    for entry in (*rules["rule"], *rules["precaution_rule"], *rules["advice_rule"]):
        if {"any", "all", "at_least"} & set(entry["when"]) or isinstance(entry["when"], str):
            yield entry["when"]
        if "sooner" in entry:
            yield entry["sooner"]["when"]
        yield from (one["when"] for one in entry.get("lesser", ()))


def test_every_cue_is_used_and_every_used_cue_exists(library: Library) -> None:
    rules = library.documents["safety_rules"]
    used = set(itertools.chain.from_iterable(cues_of(rule) for rule in _all_rules(library)))
    used |= {cue for entry in rules["skip_phrase"] for cue in entry["cues"]}
    known = [cue["id"] for cue in rules["cue"]]
    assert len(known) == len(set(known))
    assert used == set(known)
    assert {trigger["cue"] for trigger in rules["trigger"]} <= set(known)


def test_every_flag_precaution_and_piece_of_advice_has_a_rule(library: Library) -> None:
    rules, safety = library.documents["safety_rules"], library.documents["safety"]
    assert [one["red_flag"] for one in rules["rule"]] == [flag["id"] for flag in safety["red_flag"]]
    ruled = [one["precaution"] for one in rules["precaution_rule"]]
    assert sorted(ruled) == sorted(one["id"] for one in safety["precaution"])
    about = {(one["kind"], one["about"]) for one in rules["advice_rule"]}
    told = {(kind, one.get("id", one.get("class"))) for kind in ("drug", "population", "post_operative")
            for one in safety[kind]}  # fmt: skip
    assert about == told


def test_every_procedure_named_by_a_rule_exists(library: Library) -> None:
    rules = library.documents["safety_rules"]
    named: list[str] = []
    for trigger in rules["trigger"]:
        named += trigger["when"].get("procedures", []) + trigger["when"].get("with_procedures", [])
    for entry in rules["safe_check"]:
        named += entry["procedures"]
    for entry in rules["precaution_rule"]:
        named += entry.get("forbids", {}).get("procedures", [])
    assert named
    assert [one for one in named if one not in library.catalogue] == []
    techniques = {procedure.technique for procedure in library.catalogue}
    regions = {procedure.region for procedure in library.catalogue}
    for entry in rules["precaution_rule"]:
        assert set(entry.get("forbids", {}).get("techniques", [])) <= techniques
        assert set(entry.get("forbids", {}).get("regions", [])) <= regions
    assert {phrase for procedure in library.catalogue for phrase in procedure.skip_if} == {
        entry["phrase"] for entry in rules["skip_phrase"]
    }


def test_every_threshold_names_its_source(library: Library) -> None:
    for trigger in library.documents["safety_rules"]["trigger"]:
        assert trigger["source"] in library.sources
        assert trigger["provenance"] in {"read", "memory", "practice"}


def test_a_danger_found_wins_over_a_no_and_the_conflict_is_told(library: Library) -> None:
    case = Case(screen={"cord_signs": False}, findings=(Finding("umn_screen", result=Result.POSITIVE),))
    said = verdict(case, library)
    assert [one.cue for one in said.conflicts] == ["cord_signs"]
    assert [flag.id for flag in said.raised] == ["myelopathy"]
    (reason,) = said.raised[0].reasons
    assert reason.known_from.startswith("noticed")


def test_an_empty_case_excludes_nothing(library: Library) -> None:
    said = verdict(Case(), library)
    assert said.urgency is Urgency.NONE
    assert set(said.unscreened) == {flag["id"] for flag in library.documents["safety"]["red_flag"]}
    assert "not excluded" in said.action


def test_the_words_of_a_verdict_say_when_the_screen_is_incomplete(library: Library) -> None:
    denied = {one.id: False for one in questions(library)}
    assert verdict(Case(), library).words == "none so far (screen incomplete)"
    assert verdict(Case(screen={"anticoagulant": True}), library).words == "monitor so far (screen incomplete)"
    assert verdict(Case(Person(40), screen=denied), library).words == "none"
    assert verdict(Case(screen={"tearing_pain": True}), library).words == "emergency"


def test_a_screen_answered_no_throughout_excludes_every_flag(library: Library) -> None:
    said = verdict(Case(Person(40), screen={one.id: False for one in questions(library)}), library)
    assert said.unanswered == ()
    assert not said.raised
    # age is read from the person, never asked: only a missing age can leave a rule open
    assert said.not_excluded == ()
    assert said.unscreened == ()
    assert "not excluded" not in said.action


def test_hands_off_forbids_touching_but_leaves_the_safe_checks(library: Library) -> None:
    said = verdict(Case(Person(72), screen={"trauma_recent": True, "bone_signs": True}), library)
    assert said.stops_handson
    assert {"gh_er_0", "gh_post", "cl_abd_lat", "apprehension", "th_pa_central"} <= set(said.forbidden)
    open_ = {"olecranon_percussion", "pulse_radial", "bp_pulse", "obs_general", "derm_c4_t2", "axillary_sensory_motor"}
    assert not open_ & set(said.forbidden)
    assert said.mobilisation == said.thrust == "contraindicated"


def test_percussion_of_the_bone_is_forbidden_when_the_stopping_flag_does_not_list_it(library: Library) -> None:
    assert "olecranon_percussion" in verdict(Case(screen={"tearing_pain": True}), library).forbidden


def test_a_precaution_takes_procedures_and_positions_off_the_list(library: Library) -> None:
    said = verdict(Case(screen={"osteoporosis_severe": True}), library)
    assert not said.is_pressing
    assert {"th_pa_central", "rib_spring_angle"} <= set(said.forbidden)
    assert "severe osteoporosis" in said.forbidden["rib_spring_angle"]
    assert set(said.forbidden_positions) == {"prone"}
    assert said.thrust == "contraindicated"
    assert verdict(Case(), library).forbidden == {}


def test_high_irritability_forbids_the_strongest_provocation_only(library: Library) -> None:
    said = verdict(Case(complaint=Complaint(irritability=Irritability.HIGH)), library)
    assert said.forbidden
    assert all(library.catalogue[one].irritability_load == 3 for one in said.forbidden)


def test_an_operation_and_a_medicine_bring_their_advice(library: Library) -> None:
    said = verdict(Case(screen={"op_cuff_repair": True, "drug_quinolone": True}), library)
    assert {one.kind for one in said.advice} == {"drug", "post_operative"}
    repair = next(one for one in said.advice if one.kind == "post_operative")
    assert repair.source == "thigpen2016"
    assert len(repair.lines) == 6


def test_an_override_needs_words_and_a_name_and_keeps_what_was_raised(library: Library) -> None:
    said = verdict(Case(screen={"tearing_pain": True}), library)
    for reason, by in (
        ("", "A. N. Other"),
        ("ok", "A. N. Other"),
        ("............", "A"),
        ("Seen and cleared today", " "),
    ):
        with pytest.raises(Refused):
            override(said, reason, by)
    after = override(said, "Seen in the emergency department today, dissection excluded by CT", "A. N. Other")
    assert after.raised == said.raised
    assert after.urgency is Urgency.EMERGENCY
    assert after.is_overridden
    assert not after.stops_plan
    assert said.stops_plan


def test_there_is_nothing_to_override_when_nothing_presses(library: Library) -> None:
    with pytest.raises(Refused):
        override(verdict(Case(), library), "Nothing here is urgent at all", "A. N. Other")


def test_the_first_screen_is_short_and_reaches_every_question_once(library: Library) -> None:
    items = first_screen(library)
    assert 12 <= len(items) <= 15
    covered: list[Any] = [one.id for item in items for one in item.follow_up]
    assert len(covered) == len(set(covered))
    assert set(covered) == {one.id for one in questions(library)}
    assert all(one.question.endswith("?") for one in questions(library))


def test_a_finding_on_the_other_side_raises_nothing(library: Library) -> None:
    left = Finding("girth_veins", side=Side.LEFT, result=Result.POSITIVE)
    assert not verdict(Case(complaint=Complaint(side=Side.RIGHT), findings=(left,)), library).raised


def test_the_page_lists_every_flag_with_its_urgency_source_and_every_cue_of_its_rule(library: Library) -> None:
    page = (Path(__file__).resolve().parents[3] / "docs" / "safety.md").read_text(encoding="utf-8")
    rows = {line.split("`")[1]: line for line in page.splitlines() if line.startswith("| `")}
    rules = {rule["red_flag"]: rule for rule in library.documents["safety_rules"]["rule"]}
    assert list(rows) == [flag["id"] for flag in library.documents["safety"]["red_flag"]]
    for flag in library.documents["safety"]["red_flag"]:
        row = rows[flag["id"]]
        rule = rules[flag["id"]]
        cells = [cell.strip() for cell in row.split(" | ")]
        assert cells[2].startswith(flag["urgency"].replace("_", " "))
        assert cells[3] == ("yes" if flag["stop_handson"] else "no")
        assert f"{flag['source']} (urgency {flag['urgency_provenance']}, cues {flag['cues_provenance']}" in row
        assert {f"`{cue}`" for cue in cues_of_rule(rule)} <= set(row.replace(",", " ").replace("(", " ")
                                                                    .replace(")", " ").split())  # fmt: skip


SUDDEN = Complaint(side=Side.RIGHT, onset="sudden", weeks=2)


def test_weakness_numbness_and_a_lost_reflex_found_together_press_when_sudden(library: Library) -> None:
    found = (
        Finding("myo_c5_t1", side=Side.RIGHT, result=Result.REDUCED),
        Finding("derm_c4_t2", side=Side.RIGHT, result=Result.REDUCED),
        Finding("reflex_ul", side=Side.RIGHT, result=Result.ABSENT),
    )
    sudden = verdict(Case(Person(45), SUDDEN, findings=found), library)
    assert {flag.id: flag.urgency for flag in sudden.raised}["neuro_acute"] is Urgency.URGENT
    slow = verdict(Case(Person(45), Complaint(side=Side.RIGHT, onset="gradual", weeks=20), findings=found), library)
    (flag,) = (one for one in slow.raised if one.id == "neuro_acute")
    assert (flag.urgency, flag.urgency_provenance, flag.stop_handson) == (Urgency.REFER, "practice", False)
    one_root = verdict(Case(Person(45), SUDDEN, findings=found[1:2]), library)
    assert "neuro_acute" not in {flag.id for flag in one_root.raised}


def test_power_found_absent_after_a_sudden_onset_is_for_the_same_day(library: Library) -> None:
    found = Finding("myo_c5_t1", side=Side.RIGHT, result=Result.ABSENT)
    said = verdict(Case(Person(45), SUDDEN, findings=(found,)), library)
    assert {flag.id: flag.urgency for flag in said.raised}["neuro_acute"] is Urgency.SAME_DAY


@pytest.mark.parametrize(
    ("value", "other", "raised"),
    [
        (180.0, 120.0, {"aortic": "urgent", "pressure_crisis": "refer"}),
        (120.0, 150.0, {"aortic": "urgent"}),
        (140.0, 120.0, {}),
        (240.0, 238.0, {"pressure_crisis": "same_day"}),
        (182.0, None, {"pressure_crisis": "refer"}),
        (128.0, None, {}),
    ],
)
def test_a_measured_pressure_speaks(
    value: float, other: float | None, raised: dict[str, str], library: Library
) -> None:
    # Um 2018: above 20 mmHg between the arms; 180 mmHg: a limit its page calls arbitrary; 220 mmHg: common practice
    found = Finding("bp_pulse", value=value, other=other, unit=Unit.MMHG)
    said = verdict(Case(Person(60), findings=(found,)), library)
    assert {flag.id: flag.urgency.value for flag in said.raised} == raised


@pytest.mark.parametrize(
    ("written", "urgency"),
    [("150/108", None), ("150/112", "refer"), ("170/122", "same_day")],
)
def test_the_lower_of_two_pressures_speaks(
    written: str, urgency: str | None, library: Library, shorthand: Shorthand
) -> None:
    # 110 mmHg: definitions page after Am Fam Physician 2017;95:492; 120 mmHg: hypertensive crisis page
    found = parse_finding(f"bp_pulse {written}", shorthand)
    said = verdict(Case(Person(60), findings=(found,)), library)
    assert {flag.urgency.value for flag in said.raised if flag.id == "pressure_crisis"} == (
        {urgency} if urgency else set()
    )


def test_a_pulse_of_180_is_not_taken_for_a_pressure(library: Library) -> None:
    found = Finding("bp_pulse", value=180, unit=Unit.PER_MINUTE)
    cues = {one.cue for one in verdict(Case(Person(60), findings=(found,)), library).noticed}
    assert "breathless" in cues
    assert "pressure_high" not in cues


@pytest.mark.parametrize(
    ("finding", "flag", "urgency"),
    [
        (Finding("sc_palpation", result=Result.POSITIVE, pain=7, end_feel=EndFeel.BOGGY), "sc_infection", "same_day"),
        (Finding("sc_palpation", result=Result.POSITIVE, note="hot, red, swollen"), "sc_infection", "same_day"),
        (Finding("cranial_screen", result=Result.POSITIVE), "cad", "same_day"),
        (Finding("obs_general", result=Result.POSITIVE, note="red and swollen, warm"), "septic_gh", "emergency"),
        (Finding("derm_c4_t2", result=Result.REDUCED, note="deltoid patch"), "neuro_acute", "refer"),
    ],
)
def test_a_finding_that_shows_danger_raises_its_flag(
    finding: Finding, flag: str, urgency: str, library: Library
) -> None:
    said = verdict(Case(Person(45), findings=(finding,)), library)
    assert {one.id: one.urgency.value for one in said.raised}[flag] == urgency


ALONE = [
    ("bladder_bowel", 70, "same_day"),
    ("brainstem_signs", 40, "same_day"),
    ("collapse", 40, "same_day"),
    ("squared_contour", 30, "same_day"),
    ("bone_signs", 30, "same_day"),
    ("effort_pain", 60, "same_day"),
    ("effort_pain", 30, "refer"),
    ("neck_trauma neck_head_pain_new", 35, "same_day"),
    ("new_headache_scalp jaw_or_tongue_pain vision_changed", None, "emergency"),
    ("both_girdles_ache morning_stiffness_long", None, "urgent"),
    ("new_marked_weakness", 40, "urgent"),
    ("lost_lift_at_once", 60, "urgent"),
    ("despair", 40, "same_day"),
    ("not_coping", 40, "refer"),
    ("not_coping sleep_lost", 40, "same_day"),
    ("collarbone_hollow", 20, "same_day"),
    ("breathless_sudden", 40, "same_day"),
]


@pytest.mark.parametrize(("yes", "age", "urgency"), ALONE)
def test_what_is_alarming_alone_is_raised_with_all_else_denied(
    yes: str, age: int | None, urgency: str, library: Library
) -> None:
    screen = {one.id: one.id in yes.split() for one in questions(library)}
    assert verdict(Case(Person(age), screen=screen), library).urgency == urgency


def test_a_lag_sign_with_weakness_and_no_injury_asks_for_a_referral(library: Library) -> None:
    found = (
        Finding("er_lag", side=Side.LEFT, result=Result.POSITIVE),
        Finding("iso_er", side=Side.LEFT, strength=3),
    )
    said = verdict(Case(Person(67), Complaint(side=Side.LEFT, onset="gradual", weeks=60), findings=found), library)
    assert [(flag.id, flag.urgency, flag.urgency_provenance) for flag in said.raised] == [
        ("cuff_tear_not_recent", Urgency.REFER, "practice")
    ]
    assert not said.stops_plan


def test_every_lesser_level_is_below_or_at_the_flag_and_goes_downwards(library: Library) -> None:
    flags = {flag["id"]: Urgency(flag["urgency"]) for flag in library.documents["safety"]["red_flag"]}
    levelled = [rule for rule in library.documents["safety_rules"]["rule"] if "lesser" in rule]
    assert levelled
    for rule in levelled:
        ranks = [flags[rule["red_flag"]].rank, *(Urgency(one["urgency"]).rank for one in rule["lesser"])]
        assert ranks == sorted(ranks, reverse=True)
        assert all(one["provenance"] in {"read", "memory", "practice"} for one in rule["lesser"])


def test_a_known_age_answers_the_questions_about_age(library: Library) -> None:
    assert "pmr" not in verdict(Case(Person(30)), library).unscreened
    assert "pmr" in verdict(Case(Person(60)), library).unscreened
    assert "pmr" in verdict(Case(), library).unscreened
