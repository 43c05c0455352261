"""Laws of the reasoning."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from endfeel.evidence.library import Library
from endfeel.inference import Model, Posterior, build_model, contradictions, expected_information, infer
from endfeel.vocabulary import Case, Complaint, EndFeel, Finding, Irritability, OutcomeKind, Person, Result, Side, Unit

FEW = settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])


@pytest.fixture(scope="module")
def model(library: Library) -> Model:
    return build_model(library)


def findings_of(model: Model) -> st.SearchStrategy[Finding]:
    """Findings of any procedure the model knows, with whatever it lets one record."""
    known = sorted({procedure for procedure, _ in model.binaries} | set(model.angles))

    @st.composite
    def build(draw: st.DrawFn) -> Finding:
        procedure = model.catalogue[draw(st.sampled_from(known))]
        side = draw(st.sampled_from([Side.RIGHT, Side.LEFT])) if procedure.sided else None
        level = draw(st.sampled_from(procedure.levels)) if procedure.levels else None
        made = Finding(procedure.id, side, level)
        if procedure.outcomes in (OutcomeKind.GLIDE, OutcomeKind.STRESS):
            made = replace(made, mobility=draw(st.one_of(st.none(), st.integers(0, 6))))
        if procedure.outcomes in (OutcomeKind.GLIDE, OutcomeKind.ANGULAR):
            made = replace(made, end_feel=draw(st.one_of(st.none(), st.sampled_from(EndFeel))))
        if procedure.id in model.angles:
            value = draw(st.one_of(st.none(), st.integers(0, 180)))
            other = draw(st.one_of(st.none(), st.integers(0, 180)))
            if value is not None:
                made = replace(made, value=float(value), other=other, unit=Unit.DEGREES)
        if procedure.outcomes is OutcomeKind.RESISTED:
            made = replace(made, strength=draw(st.one_of(st.none(), st.integers(0, 5))))
        if procedure.outcomes in (OutcomeKind.TEST, OutcomeKind.OBSERVATION, OutcomeKind.NEURO):
            made = replace(made, result=draw(st.sampled_from(Result)))
        return replace(made, pain=draw(st.one_of(st.none(), st.integers(0, 10))))

    return build()


def cases_of(model: Model) -> st.SearchStrategy[Case]:
    one_each = st.lists(findings_of(model), max_size=12, unique_by=lambda f: (f.procedure, f.side, f.level))
    return st.builds(
        Case,
        person=st.builds(Person, age=st.one_of(st.none(), st.integers(16, 95))),
        complaint=st.builds(
            Complaint,
            side=st.sampled_from([None, Side.RIGHT, Side.LEFT]),
            onset=st.sampled_from([None, "trauma", "gradual", "sudden", "overuse"]),
            irritability=st.sampled_from([None, *Irritability]),
        ),
        findings=one_each.map(tuple),
    )


def table(posterior: Posterior) -> dict[tuple[str, Side | None], float]:
    return {(b.id, b.side): b.probability for b in posterior.beliefs}


@FEW
@given(data=st.data())
def test_probabilities_lie_in_their_interval_inside_0_and_1(model: Model, data: st.DataObject) -> None:
    posterior = infer(data.draw(cases_of(model)), model)
    for belief in posterior.beliefs:
        assert 0.0 <= belief.low <= belief.probability + 1e-12
        assert belief.probability <= belief.high + 1e-12 <= 1.0 + 1e-11
    ranked = [belief.probability for belief in posterior.beliefs]
    assert ranked == sorted(ranked, reverse=True)


@FEW
@given(data=st.data())
def test_the_order_of_findings_does_not_matter(model: Model, data: st.DataObject) -> None:
    case = data.draw(cases_of(model))
    shuffled = replace(case, findings=tuple(data.draw(st.permutations(case.findings))))
    assert table(infer(shuffled, model)) == pytest.approx(table(infer(case, model)), abs=1e-9)


@FEW
@given(data=st.data())
def test_a_repeated_finding_counts_once(model: Model, data: st.DataObject) -> None:
    case = data.draw(cases_of(model))
    doubled = replace(case, findings=(*case.findings, *case.findings))
    assert table(infer(doubled, model)) == pytest.approx(table(infer(case, model)), abs=1e-12)


@FEW
@given(data=st.data())
def test_an_empty_finding_moves_nothing(model: Model, data: st.DataObject) -> None:
    case = data.draw(cases_of(model))
    done = {f.procedure for f in case.findings}
    blank = next(name for name in ("gh_er_0", "hawkins", "gh_post", "iso_er", "gh_ant") if name not in done)
    side = case.complaint.side or next((f.side for f in case.findings if f.side), None)
    more = replace(case, findings=(*case.findings, Finding(blank, side)))
    assert table(infer(more, model)) == pytest.approx(table(infer(case, model)), abs=1e-12)


@FEW
@given(data=st.data())
def test_the_mirror_image_of_a_case_has_the_mirror_image_of_its_posterior(model: Model, data: st.DataObject) -> None:
    case = data.draw(cases_of(model))
    mirrored = replace(
        case,
        complaint=replace(case.complaint, side=case.complaint.side.other if case.complaint.side else None),
        findings=tuple(replace(f, side=f.side.other if f.side else None) for f in case.findings),
    )
    there = {(name, side.other if side else None): p for (name, side), p in table(infer(mirrored, model)).items()}
    assert there == pytest.approx(table(infer(case, model)), abs=1e-9)


@FEW
@given(data=st.data())
def test_information_is_never_negative_and_never_more_than_is_open(model: Model, data: st.DataObject) -> None:
    posterior = infer(data.draw(cases_of(model)), model)
    side = posterior.case.complaint.side or Side.RIGHT
    candidates = [
        ("hawkins", side, None),
        ("gh_post", side, None),
        ("gh_er_0", side, None),
        ("th_pa_central", None, "T5"),
    ]
    assert all(bits >= 0.0 for bits in expected_information(posterior, candidates))
    bits, uncertain = posterior.information(candidates)
    assert (bits >= 0.0).all()
    assert (bits <= uncertain[None, :] + 1e-12).all()


def test_a_finding_whose_ratio_is_one_moves_nothing(model: Model) -> None:
    """Result "unclear", and a test nobody has linked, both carry a likelihood ratio of one."""
    base = Case(complaint=Complaint(side=Side.RIGHT))
    before = table(infer(base, model))
    for finding in (
        Finding("hawkins", Side.RIGHT, result=Result.UNCLEAR),
        Finding("hawkins", Side.RIGHT, result=Result.NOT_DONE),
        Finding("bp_pulse", None, value=130.0, unit=Unit.MMHG),
    ):
        assert table(infer(replace(base, findings=(finding,)), model)) == pytest.approx(before, abs=1e-12)


def test_an_outcome_with_equal_chances_moves_nothing(model: Model) -> None:
    from endfeel.inference.links import BinarySpec
    from endfeel.inference.model import compile_model

    spec = model.binaries["hawkins", "positive"]
    flat = BinarySpec(spec.key, spec.leak, tuple((i, 0.0, link) for i, _, link in spec.causes), spec.loading)
    changed = compile_model(
        "flat", model.catalogue, model.parameters, model.contributors, model.modifiers,
        {**model.binaries, spec.key: flat}, model.angles, model.pairs, model.families,
    )  # fmt: skip
    base = Case(complaint=Complaint(side=Side.RIGHT))
    seen = replace(base, findings=(Finding("hawkins", Side.RIGHT, result=Result.POSITIVE),))
    assert table(infer(seen, changed)) == pytest.approx(table(infer(base, changed)), abs=1e-12)


@FEW
@given(data=st.data())
def test_what_was_not_recorded_contradicts_nothing(library: Library, model: Model, data: st.DataObject) -> None:
    """With fewer findings, of those that stay, no rule fires that did not fire before; none alone with nothing told."""
    case = data.draw(cases_of(model))
    kept = data.draw(st.sets(st.sampled_from(range(len(case.findings))))) if case.findings else set()
    whole = {(one.findings, one.sentence) for one in contradictions(case, library, model)}
    places = sorted(kept)
    fewer = contradictions(replace(case, findings=tuple(case.findings[i] for i in places)), library, model)
    assert {(tuple(places[i] for i in one.findings), one.sentence) for one in fewer} <= whole
    silent = replace(case, findings=tuple(Finding(f.procedure, f.side, f.level) for f in case.findings))
    assert not contradictions(silent, library, model)


@FEW
@given(data=st.data())
def test_the_mirror_image_contradicts_itself_as_often(library: Library, model: Model, data: st.DataObject) -> None:
    case = data.draw(cases_of(model))
    turned = {Side.RIGHT: Side.LEFT, Side.LEFT: Side.RIGHT, None: None}
    mirror = replace(case, findings=tuple(replace(f, side=turned[f.side]) for f in case.findings))
    here, there = contradictions(case, library, model), contradictions(mirror, library, model)
    assert [(one.findings, one.basis) for one in here] == [(one.findings, one.basis) for one in there]
