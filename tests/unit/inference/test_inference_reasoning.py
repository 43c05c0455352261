"""What the reasoning makes of stories and findings a therapist would write."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from endfeel.assessment import read_case
from endfeel.evidence.library import Library
from endfeel.inference import Model, Posterior, build_model, expected_class_information, expected_information, infer
from endfeel.inference.intervals import intervals
from endfeel.vocabulary import Case, Complaint, EndFeel, Finding, Irritability, Onset, Person, Result, Side, Unit

STORIES = Path(__file__).parents[3] / "stories"
RIGHT = Side.RIGHT


@pytest.fixture(scope="module")
def model(library: Library) -> Model:
    return build_model(library)


def told(model: Model, *findings: Finding, age: int | None = 50, **complaint: object) -> Posterior:
    asked = Complaint(side=RIGHT, **complaint)  # type: ignore[arg-type]
    return infer(Case(Person(age=age), asked, findings=findings), model)


def share(posterior: Posterior, name: str) -> float:
    belief = posterior.belief(name)
    assert belief is not None
    return belief.probability


@pytest.mark.parametrize(
    ("story", "leader"),
    [
        ("frozen", "capsule_global"),
        ("cuff_tear", "supraspinatus_tear_full"),
        ("anterior_laxity", "lax_aighl"),
        ("acromioclavicular", "ac_arthropathy"),
        ("neck_root", "cervical_radiculopathy"),
        ("thoracic", "segment_stiffness.T5"),
        ("sternoclavicular", "sc_hypomobility_elevation"),
    ],
)
def test_each_written_story_is_led_by_what_it_was_written_about(
    story: str, leader: str, library: Library, model: Model
) -> None:
    text = (STORIES / f"{story}.txt").read_text(encoding="utf-8")
    posterior = infer(read_case(text, f"{story}.txt", library), model)
    first = [belief.id for belief in posterior.beliefs[:2]]
    assert leader in first, f"{story}: {first}"


def test_every_figure_named_in_an_explanation_exists(library: Library, model: Model) -> None:
    for path in sorted(STORIES.glob("*.txt")):
        if path.stem == "twenty_faults":
            continue
        posterior = infer(read_case(path.read_text(encoding="utf-8"), path.name, library), model)
        for line in posterior.explanation:
            assert line.provenance in ("read", "memory", "practice")
            for figure in line.figures:
                assert library.figure(figure).id == figure


def test_every_loss_of_passive_motion_with_stiff_glides_is_a_frozen_shoulder(model: Model) -> None:
    posterior = told(
        model,
        Finding("gh_er_0", RIGHT, value=15, other=65, unit=Unit.DEGREES, end_feel=EndFeel.EARLY_CAPSULAR),
        Finding("gh_abd", RIGHT, value=50, other=95, unit=Unit.DEGREES),
        Finding("gh_ir_90", RIGHT, value=10, other=55, unit=Unit.DEGREES),
        Finding("gh_post", RIGHT, mobility=1),
        Finding("gh_inf", RIGHT, mobility=1),
        onset="gradual",
    )
    assert share(posterior, "capsule_global") > 0.9
    assert {one.verdict for one in posterior.articular} == {"articular"}


def test_a_lost_angle_with_a_free_glide_is_called_extra_articular(model: Model) -> None:
    posterior = told(
        model,
        Finding("gh_ir_90", RIGHT, value=25, other=55, unit=Unit.DEGREES, end_feel=EndFeel.FIRM_MUSCULAR),
        Finding("gh_post", RIGHT, mobility=3),
        Finding("gh_post_flex90", RIGHT, mobility=3),
    )
    (judged,) = posterior.articular
    assert judged.verdict == "extra-articular"
    assert share(posterior, "posterior_cuff_short") > share(posterior, "capsule_posterior_middle")


def test_an_untested_glide_is_said_to_be_untested(model: Model) -> None:
    (judged,) = told(model, Finding("gh_ir_90", RIGHT, value=20, other=55, unit=Unit.DEGREES)).articular
    assert judged.verdict == "not tested"
    assert judged.to_test == ("gh_post", "gh_post_flex90")


def test_a_loss_within_error_is_not_judged(model: Model) -> None:
    assert told(model, Finding("gh_ir_90", RIGHT, value=48, other=55, unit=Unit.DEGREES)).articular == ()


def test_a_finding_by_unreliable_hands_hardly_moves_anything(model: Model) -> None:
    """First-rib stiffness: kappa 0.09 between examiners (am008); its pain: 0.66 (am009)."""
    base = share(told(model), "first_rib_hypomobility")
    stiff = share(told(model, Finding("rib1_breath", RIGHT, mobility=1)), "first_rib_hypomobility")
    sore = share(told(model, Finding("rib1_breath", RIGHT, familiar=True)), "first_rib_hypomobility")
    reliable = model.binaries["rib1_breath", "hypo"].causes[0]
    assert base < stiff < base * 2.2
    assert reliable[1] < 0.35
    assert sore > base


def test_a_segment_may_be_felt_one_level_off_but_not_two(model: Model) -> None:
    base = told(model)
    posterior = told(model, Finding("th_pa_central", None, "T5", mobility=1, familiar=True))
    gains = {level: share(posterior, f"segment_stiffness.{level}") - share(base, f"segment_stiffness.{level}")
             for level in ("T3", "T4", "T5", "T6", "T7")}  # fmt: skip
    assert gains["T5"] > gains["T4"] > 0.01
    assert gains["T4"] == pytest.approx(gains["T6"], abs=1e-9)
    assert gains["T3"] == pytest.approx(0.0, abs=1e-9)


def test_high_irritability_takes_weight_from_painful_tests(model: Model) -> None:
    tests = tuple(Finding(name, RIGHT, result=Result.POSITIVE) for name in ("hawkins", "neer", "painful_arc"))
    low = told(model, *tests, irritability=Irritability.LOW)
    high = told(model, *tests, irritability=Irritability.HIGH)
    assert share(high, "cuff_pain") < share(low, "cuff_pain")


def test_general_laxity_takes_weight_from_a_slack_glide(model: Model) -> None:
    slack = Finding("gh_ant", RIGHT, mobility=5)
    loose = Finding("beighton", None, value=8.0)
    stiff = Finding("beighton", None, value=0.0)
    assert share(told(model, slack, loose, age=25), "lax_aighl") < share(told(model, slack, stiff, age=25), "lax_aighl")


def test_tears_become_likelier_with_age_by_the_published_decades(model: Model) -> None:
    shares = [share(told(model, age=age), "supraspinatus_tear_full") for age in (30, 45, 55, 65, 75, 85)]
    assert shares == sorted(shares)
    assert share(told(model, age=None), "supraspinatus_tear_full") == pytest.approx(shares[2])


def test_the_explanation_is_what_taking_the_finding_out_gives(model: Model) -> None:
    findings = (
        Finding("hawkins", RIGHT, result=Result.POSITIVE),
        Finding("gh_er_0", RIGHT, value=40, other=62, unit=Unit.DEGREES),
    )
    posterior = told(model, *findings)
    line = next(one for one in posterior.explanation if one.finding == 1 and one.contributor == "capsule_anterior")
    without = share(told(model, findings[0]), "capsule_anterior")
    both = share(posterior, "capsule_anterior")
    expected = 10 * math.log10(both / (1 - both) / (without / (1 - without)))
    assert line.decibans == pytest.approx(expected, abs=1e-6)


def test_what_would_change_names_findings_whose_removal_swaps_the_order(model: Model) -> None:
    posterior = told(
        model,
        Finding("ac_cross_body", RIGHT, result=Result.POSITIVE),
        Finding("ac_resisted_ext", RIGHT, result=Result.POSITIVE),
        Finding("ac_compression", RIGHT, result=Result.POSITIVE),
        Finding("iso_er", RIGHT, strength=5, pain=0.0),
    )
    first, second = posterior.ranked[:2]
    change = next(one for one in posterior.what_would_change if one.kind == "without")
    left = posterior.solution.without(set(change.findings)).probability
    assert left[second] > left[first]
    assert 1 <= len(change.findings) <= 3


def test_a_test_not_linked_to_anything_tells_nothing(model: Model) -> None:
    posterior = told(model)
    bits = expected_information(
        posterior, [("bp_pulse", None, None), ("hawkins", RIGHT, None), ("hawkins", Side.LEFT, None)]
    )
    assert bits[0] == 0.0
    assert bits[1] > 0.01
    assert bits[2] == pytest.approx(0.0, abs=1e-4), "nothing on the left is in question"
    assert expected_class_information(posterior, [("hawkins", RIGHT, None)])[0] > 0.0
    assert expected_information(posterior, []) == ()


def test_information_agrees_with_the_exact_sum(model: Model) -> None:
    """Two contributors, independent before the test, and one yes-or-no outcome: the sum can be written down."""

    def entropy(p: float) -> float:
        return -(p * math.log2(p) + (1 - p) * math.log2(1 - p))

    posterior = told(model)
    spec = model.binaries["cx_rot_lat", "positive"]
    shares = [share(posterior, model.contributors[i].id) for i, _, _ in spec.causes]
    overall = left = 0.0
    for present in itertools.product((False, True), repeat=len(shares)):
        weight = math.prod(p if on else 1 - p for p, on in zip(shares, present, strict=True))
        fail = math.prod(1 - q for (_, q, _), on in zip(spec.causes, present, strict=True) if on)
        seen = 1 - (1 - spec.leak.mean) * fail
        overall += weight * seen
        left += weight * entropy(seen)
    bits = expected_information(posterior, [("cx_rot_lat", RIGHT, None)])[0]
    assert bits == pytest.approx(entropy(overall) - left, rel=0.15)


def test_findings_the_model_cannot_use_are_named_in_a_caveat(model: Model) -> None:
    posterior = told(model, Finding("bp_pulse", None, value=120.0, unit=Unit.MMHG))
    assert any("not used" in caveat for caveat in posterior.caveats)


def test_a_later_finding_of_the_same_place_replaces_the_earlier(model: Model) -> None:
    first = Finding("hawkins", RIGHT, result=Result.POSITIVE)
    second = replace(first, result=Result.NEGATIVE)
    assert share(told(model, first, second), "cuff_pain") == share(told(model, second), "cuff_pain")


def test_the_same_case_gives_the_same_numbers_twice(library: Library, model: Model) -> None:
    finding = Finding("hawkins", RIGHT, result=Result.POSITIVE)
    again = build_model(library)
    assert told(model, finding).beliefs == told(again, finding).beliefs


def test_every_link_names_a_contributor_a_procedure_and_an_outcome_that_exist(library: Library, model: Model) -> None:
    contributors = {contributor.id for contributor in model.contributors}
    for name in ("links", "published_links"):
        for row in library.tables[name]:
            assert row.text["contributor"] in contributors, row.id
            assert row.text["procedure"] in library.catalogue, row.id
    studied = {(row.text["test_id"], row.text["target"]) for row in library.tables["diagnostic_accuracy"]}
    for row in library.tables["published_links"]:
        assert (row.text["test_id"], row.text["target"]) in studied, row.id
    for modifier in model.modifiers:
        assert modifier.contributors <= contributors
        assert modifier.conditions, f"{modifier.id} would always apply"


def test_a_prospect_is_what_the_outcome_would_do_when_it_came(model: Model) -> None:
    bare = told(model)
    prospect = bare.prospect(("gh_post_flex90", RIGHT, None))
    assert prospect is not None
    assert prospect.if_not < prospect.before < prospect.if_seen
    name = next(b for b in bare.beliefs if prospect.contributor.startswith(b.name))
    came = told(model, Finding("gh_post_flex90", RIGHT, mobility=1))
    assert share(came, name.contributor) == pytest.approx(prospect.if_seen, abs=0.06)


def test_another_number_of_draws_gives_nearly_the_same_interval(library: Library, model: Model) -> None:
    text = (STORIES / "frozen.txt").read_text(encoding="utf-8")
    solution = infer(read_case(text, "frozen.txt", library), model).solution
    few, many = intervals(solution, model), intervals(solution, model, 400)
    for one, other in zip(few, many, strict=True):
        assert np.abs(one - other).mean() < 0.03


def test_what_is_remembered_from_earlier_cases_changes_nothing(library: Library, model: Model) -> None:
    used = build_model(library)
    cases = [
        read_case(path.read_text(encoding="utf-8"), path.name, library) for path in sorted(STORIES.glob("[a-n]*.txt"))
    ]
    first = [infer(case, used) for case in cases]
    again = [infer(case, used) for case in reversed(cases)][::-1]
    for case, one, other in zip(cases, first, again, strict=True):
        assert one.beliefs == other.beliefs == infer(case, build_model(library)).beliefs, case.title


def test_where_pain_is_not_felt_counts_and_silence_about_it_does_not(model: Model) -> None:
    silent = told(model)
    on_top, outer = told(model, areas=("ac_area",)), told(model, areas=("lateral",))
    assert share(on_top, "cuff_pain") < share(silent, "cuff_pain") < share(outer, "cuff_pain")
    assert share(outer, "ac_arthropathy") < share(silent, "ac_arthropathy") < share(on_top, "ac_arthropathy")


def test_a_fresh_fall_onto_the_ac_joint_speaks_for_its_ligaments_and_an_old_ache_for_wear(model: Model) -> None:
    sore = (
        Finding("ac_palpation", RIGHT, pain=6.0, familiar=True),
        Finding("ac_cross_body", RIGHT, result=Result.POSITIVE),
    )
    fall = told(model, *sore, age=29, onset=Onset.TRAUMA, weeks=2.0, areas=("ac_area",))
    ache = told(model, *sore, age=55, onset=Onset.GRADUAL, weeks=40.0, areas=("ac_area",))
    assert fall.beliefs[0].contributor == "ac_sprain"
    assert ache.beliefs[0].contributor == "ac_arthropathy"
