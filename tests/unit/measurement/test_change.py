"""Within error, changed, changed and matters: verdicts, choice of row, caveats."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from endfeel.evidence.figures import number
from endfeel.evidence.library import Library
from endfeel.evidence.load import load_library
from endfeel.measurement import ChangeVerdict, Direction, compare, compare_findings
from endfeel.vocabulary import CannotRead, Finding, NotFound, Side, Unit


def test_passive_external_rotation_uses_the_patients_of_de_winter_2004(library: Library) -> None:
    inside = compare("gh_er_0", 30, 48, library)
    beyond = compare("gh_er_0", 30, 50, library)
    assert inside.verdict is ChangeVerdict.WITHIN_ERROR
    assert beyond.verdict is ChangeVerdict.CHANGED
    assert beyond.direction is Direction.BETTER
    assert beyond.row == "me020"
    assert beyond.mdc95 is not None
    assert number(beyond.mdc95.value) == pytest.approx(18.8)
    assert "other rater design (inter-rater)" in beyond.caveats


def test_the_row_that_may_be_a_misprint_is_never_chosen(library: Library) -> None:
    assert compare("gh_er_0", 30, 50, library, population="asymptomatic").row != "me028"


def test_a_level_other_than_95_is_rescaled_and_says_so(library: Library) -> None:
    change = compare("pain", 7, 3, library)
    assert change.mdc95 is not None
    assert number(change.mdc95.value) == pytest.approx(2.5 * 1.959964 / 1.644854, abs=0.001)
    assert change.mdc95.printed == "MDC 2.5 points at 90 %, rescaled to 95 %"
    assert change.verdict is ChangeVerdict.CHANGED_AND_MATTERS
    assert "the error figure is memory, not read" in change.caveats


def test_two_points_of_pain_matter_on_average_but_lie_within_error(library: Library) -> None:
    change = compare("pain", 7, 4.5, library)
    assert change.verdict is ChangeVerdict.WITHIN_ERROR
    assert "a change can matter and still lie within the error of one person's score" in change.caveats


def test_the_unscaled_figure_is_never_used_as_detectable_change(library: Library) -> None:
    """Michener 2002: 9.7 is SEM x sqrt 2; the usable figure is 16 at 90 %."""
    change = compare("ases", 40, 58, library)
    assert change.mdc95 is not None
    assert number(change.mdc95.value) == pytest.approx(16 * 1.959964 / 1.644854, abs=0.01)
    assert change.verdict is ChangeVerdict.WITHIN_ERROR


def test_kilograms_become_newtons(library: Library) -> None:
    change = compare("hhd_er", 50, 95, library)
    assert change.row == "me112"
    assert change.mdc95 is not None
    assert number(change.mdc95.value) == pytest.approx(4 * 9.80665)
    assert change.unit == "N"
    assert any("not stated" in caveat for caveat in change.caveats)


def test_one_grade_of_accessory_motion_is_within_examiner_error(library: Library) -> None:
    assert compare("mobility", 1, 2, library).verdict is ChangeVerdict.WITHIN_ERROR
    changed = compare("th_pa_central", 1, 3, library)
    assert (changed.verdict, changed.direction) == (ChangeVerdict.CHANGED, Direction.BETTER)
    assert changed.mdc95 is not None
    assert changed.mdc95.kind == "custom"
    assert changed.mdc95.value.provenance.label == "practice"
    assert compare("mobility", 3, 5, library).direction is Direction.WORSE


def test_healthy_people_give_a_floor_and_the_caveat_says_so(library: Library) -> None:
    change = compare("th_active_rot", 30, 45, library)
    assert any(caveat.startswith("healthy people only") for caveat in change.caveats)


def test_without_an_error_figure_nothing_is_claimed(library: Library) -> None:
    assert compare("grip", 200, 400, library).verdict is ChangeVerdict.UNKNOWN
    assert compare("sane", 20, 90, library).verdict is ChangeVerdict.UNKNOWN


def test_lower_is_better_where_the_measure_says_so(library: Library) -> None:
    assert compare("spadi", 60, 30, library).direction is Direction.BETTER
    assert compare("ases", 60, 30, library).direction is Direction.WORSE


def test_the_other_circulating_total_is_another_measure(library: Library) -> None:
    change = compare("spadi_items", 60, 30, library)
    assert change.measure == "spadi_items"
    assert any("two totals" in caveat for caveat in change.caveats)


def test_figures_after_an_operation_are_not_preferred(library: Library) -> None:
    change = compare("ases", 20, 80, library)
    assert change.mcid is not None
    assert number(change.mcid.value) == pytest.approx(16.92)


def test_values_outside_the_scale_are_both_refused(library: Library) -> None:
    with pytest.raises(CannotRead) as caught:
        compare("pain", 14, -1, library)
    assert [fault.field for fault in caught.value.faults] == ["before", "after"]
    assert caught.value.faults[0].would_do == "0 to 10 points"


def test_an_unknown_measure_offers_near_names(library: Library) -> None:
    with pytest.raises(NotFound, match="gh_er_0"):
        compare("gh_er_o", 1, 2, library)


@given(st.sampled_from(["gh_er_0", "act_flexion", "spadi", "pain", "mobility", "hhd_er"]), st.data())
def test_a_change_and_its_reverse_have_one_verdict_and_opposite_directions(measure: str, data: st.DataObject) -> None:
    library = load_library()
    top = 6 if measure == "mobility" else 10
    first, second = data.draw(st.integers(0, top)), data.draw(st.integers(0, top))
    there, back = compare(measure, first, second, library), compare(measure, second, first, library)
    assert there.verdict == back.verdict
    opposite = {Direction.BETTER: Direction.WORSE, Direction.WORSE: Direction.BETTER, Direction.NONE: Direction.NONE}
    assert back.direction == opposite[there.direction]


def test_a_retest_compares_every_field_recorded_both_times(library: Library) -> None:
    before = Finding("gh_er_0", Side.RIGHT, value=25, unit=Unit.DEGREES, pain=6, familiar=True)
    after = Finding("gh_er_0", Side.RIGHT, value=48, unit=Unit.DEGREES, pain=5, familiar=False)
    found = compare_findings(before, after, library.catalogue["gh_er_0"], library)
    assert [field.field for field in found.fields] == ["value", "pain", "familiar"]
    assert found.verdict is ChangeVerdict.CHANGED
    assert found.direction == "better"
    assert found.fields[1].verdict is ChangeVerdict.WITHIN_ERROR
    assert found.fields[2].verdict is ChangeVerdict.UNKNOWN


def test_a_retest_without_a_finding_before_says_so(library: Library) -> None:
    found = compare_findings(None, Finding("gh_er_0", Side.LEFT, pain=2), library.catalogue["gh_er_0"], library)
    assert found.verdict is ChangeVerdict.UNKNOWN
    assert found.caveats == ("not examined before treatment: nothing to compare with",)


def test_a_retest_in_another_unit_is_not_compared(library: Library) -> None:
    before = Finding("act_hbb", Side.LEFT, value=25, unit=Unit.CENTIMETRES)
    after = Finding("act_hbb", Side.LEFT, value=25, unit=Unit.DEGREES)
    found = compare_findings(before, after, library.catalogue["act_hbb"], library)
    assert found.fields == ()
    assert any("not comparable" in caveat for caveat in found.caveats)


def test_fields_that_change_both_ways_are_mixed(library: Library) -> None:
    before = Finding("gh_er_0", Side.RIGHT, value=20, unit=Unit.DEGREES, pain=1)
    after = Finding("gh_er_0", Side.RIGHT, value=60, unit=Unit.DEGREES, pain=8)
    assert compare_findings(before, after, library.catalogue["gh_er_0"], library).direction == "mixed"


def test_every_row_and_procedure_named_by_the_rules_exists(library: Library) -> None:
    rules = library.documents["measurement_rules"]
    words = {row.text["movement_or_muscle"] for row in library.tables["measurement_error"]}
    for movement in rules["movement"]:
        assert all(procedure in library.catalogue for procedure in movement["procedures"]), movement["id"]
        assert {*movement["same"], *movement["pooled"]} <= words, movement["id"]
    for grade in rules["grade"]:
        assert set(grade["rows"]) <= set(library.tables["accessory_motion"].rows)


@pytest.mark.parametrize("measure", ["spadi", "dash", "quickdash", "oss"])
def test_the_figure_behind_a_verdict_can_be_looked_up_by_its_id(measure: str, library: Library) -> None:
    found = compare(measure, 40, 20, library)
    ids = [figure for error in (found.mdc95, found.mcid) if error for figure in error.value.figures]
    assert ids
    assert all(library.figure(figure).source.id for figure in ids)
