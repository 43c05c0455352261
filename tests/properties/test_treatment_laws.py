"""Laws every choice of techniques keeps, whoever the person is: sources, contraindications, the way out."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from endfeel.assessment import read_case
from endfeel.evidence.library import Library
from endfeel.inference import Model, build_model, infer
from endfeel.safety import verdict
from endfeel.treatment import Choice, Preference, choose, decide, home_programme, techniques
from endfeel.treatment.techniques import HANDS_ON, forbidden_kinds
from endfeel.vocabulary import Case, Irritability, Position, Refused
from endfeel.vocabulary.shorthand import Shorthand
from strategies import cases

LAWS = settings(max_examples=30, deadline=None, suppress_health_check=list(HealthCheck))
SAFETY = "refer_safety"


@pytest.fixture(scope="module")
def model(library: Library) -> Model:
    return build_model(library)


def chosen(case: Case, library: Library, model: Model, where: Position, preference: Preference) -> Choice:
    judged, posterior = verdict(case, library), infer(case, model)
    return choose(posterior, decide(posterior, library, judged), judged, library, position=where, preference=preference)


STORIES = sorted((Path(__file__).resolve().parents[2] / "stories").glob("[!t]*.txt"))


@LAWS
@given(data=st.data(), where=st.sampled_from(Position), told=st.booleans())
def test_every_offer_has_a_source_and_respects_every_contraindication(  # type: ignore[no-untyped-def]
    library: Library, shorthand: Shorthand, cues: tuple[str, ...], model: Model, data, where, told
) -> None:
    case = data.draw(cases(shorthand, cues))
    if told:
        path = data.draw(st.sampled_from(STORIES))
        written = read_case(path.read_text(encoding="utf-8"), path.name, library)
        calm = replace(written.complaint, irritability=case.complaint.irritability, story=case.complaint.story)
        case = replace(written, complaint=calm, screen=case.screen)
    refused = frozenset(data.draw(st.lists(st.sampled_from(["hands_on", "loading", "thrust", "soft_tissue"]))))
    judged = verdict(case, library)
    found = chosen(case, library, model, where, Preference(refused, frozenset(["th_thrust"])))
    words = {mark.id for mark in judged.precautions}
    barred = {kind for one in words for kind in forbidden_kinds(library, one)}
    answered = dict(case.screen) | {one.cue: True for one in judged.noticed}
    for offer in (*found.everything, *(one.offer for one in found.locked)):
        technique = offer.technique
        assert offer.source in library.sources
        assert all(figure in library.figures for figure in offer.figures)
        assert offer.figures
        assert offer.dose.text
        assert offer.expected_low <= offer.expected_points <= offer.expected_high
        if technique.id in ("nothing_different", SAFETY):
            continue
        assert not judged.withholds_treatment
        assert technique.procedure not in judged.forbidden
        assert technique.kind not in barred
        assert not (technique.end_range and "end_range" in barred)
        assert offer.position.value not in judged.forbidden_positions
        assert offer.position in technique.positions
        assert not refused & {technique.kind}
        if technique.kind in HANDS_ON:
            assert judged.mobilisation != "contraindicated"
            assert not judged.stops_handson
            assert "hands_on" not in refused
        if technique.kind == "thrust":
            assert judged.thrust in ("allowed", "modify")
            assert case.complaint.irritability is Irritability.LOW
            assert not any(answered.get(cue) for cue in technique.screen_no)
        for sign in offer.signs:
            assert sign.finding.procedure not in judged.forbidden
    for offer in found.offers:
        assert all(answered.get(cue) is False for cue in offer.technique.screen_no)


@LAWS
@given(data=st.data())
def test_nothing_different_with_its_evidence_is_always_there_and_nothing_is_lost(  # type: ignore[no-untyped-def]
    library: Library, shorthand: Shorthand, cues: tuple[str, ...], model: Model, data
) -> None:
    case = data.draw(cases(shorthand, cues))
    found = chosen(case, library, model, Position.SITTING, Preference(frozenset(["wait", "hands_on"])))
    assert found.unchanged.technique.id == "nothing_different"
    assert found.unchanged.effects
    assert found.everything[-1] is found.unchanged
    offered = [one.technique.id for one in found.everything] + [one.offer.technique.id for one in found.locked]
    out = [one.technique.id for one in found.left_out]
    assert len(set(offered + out)) == len(offered + out)
    assert all(one.reason for one in found.left_out)
    assert set(offered + out) <= {one.id for one in techniques(library)}
    if verdict(case, library).withholds_treatment:
        assert found.offers[0].technique.id == SAFETY
        assert not found.locked


@LAWS
@given(data=st.data(), where=st.sampled_from(Position))
def test_what_needs_no_turn_stands_before_what_does(  # type: ignore[no-untyped-def]
    library: Library, shorthand: Shorthand, cues: tuple[str, ...], model: Model, data, where
) -> None:
    found = chosen(data.draw(cases(shorthand, cues)), library, model, where, Preference())
    turns = [not one.stays for one in found.offers if one.technique.kind not in ("education", "referral")]
    assert turns == sorted(turns)
    for one in found.offers:
        assert one.stays == (one.position is where)


@LAWS
@given(data=st.data())
def test_what_goes_home_has_a_source_and_respects_every_contraindication(  # type: ignore[no-untyped-def]
    library: Library, shorthand: Shorthand, cues: tuple[str, ...], model: Model, data
) -> None:
    case = data.draw(cases(shorthand, cues))
    if data.draw(st.booleans()):
        path = data.draw(st.sampled_from(STORIES))
        case = replace(read_case(path.read_text(encoding="utf-8"), path.name, library), screen=case.screen)
    judged, posterior = verdict(case, library), infer(case, model)
    decision = decide(posterior, library, judged)
    if judged.withholds_treatment:
        with pytest.raises(Refused):
            home_programme(posterior, decision, judged, library)
        return
    found = home_programme(posterior, decision, judged, library)
    barred = {kind for mark in judged.precautions for kind in forbidden_kinds(library, mark.id)}
    likely = {one.contributor for one in posterior.beliefs if one.probability >= 0.3}
    assert len(found.exercises) <= 4
    assert not (found.exercises and judged.stops_handson)
    for one in found.exercises:
        row = library.tables["exercises"].rows[one.id]
        assert one.source in library.sources
        assert one.figures
        assert all(figure in library.figures for figure in one.figures)
        assert row.text["forbidden_as"] not in barred
        assert likely.isdisjoint(row.text["not_with"].split())
        assert one.needed_for
