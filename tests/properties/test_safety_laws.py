"""Laws of the verdict: danger only adds, unanswered is never no, order does not matter."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from endfeel.evidence.library import Library
from endfeel.evidence.load import load_library
from endfeel.safety import Verdict, cues_of, holds, questions, verdict
from endfeel.safety.noticing import not_met
from endfeel.safety.rules import Rule, cues_of_rule
from endfeel.vocabulary import Case, Complaint, Person
from endfeel.vocabulary.shorthand import Shorthand
from strategies import cases

LIBRARY = load_library()
CUES = tuple(one.id for one in questions(LIBRARY))
SHORTHAND = Shorthand.of(LIBRARY.catalogue, LIBRARY.documents["aliases"], LIBRARY.documents["ranges"])
A_CASE = cases(SHORTHAND, CUES)
CUE = st.sampled_from(CUES)
SOME = settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])


def _answered(case: Case, cue: str, answer: bool) -> Case:
    return replace(case, screen={**case.screen, cue: answer})


def _raised(said: Verdict) -> dict[str, int]:
    return {flag.id: flag.urgency.rank for flag in said.raised}


@given(A_CASE, CUE)
@SOME
def test_one_more_yes_never_lowers_anything(case: Case, cue: str) -> None:
    before, after = verdict(case, LIBRARY), verdict(_answered(case, cue, True), LIBRARY)
    assert after.urgency.rank >= before.urgency.rank
    assert all(_raised(after).get(flag, -1) >= rank for flag, rank in _raised(before).items())
    assert {one.id for one in before.precautions} <= {one.id for one in after.precautions}
    assert set(before.forbidden_positions) <= set(after.forbidden_positions)


@given(A_CASE, CUE)
@SOME
def test_answering_no_what_was_unanswered_never_raises_anything(case: Case, cue: str) -> None:
    if cue in case.screen:
        return
    before, after = verdict(case, LIBRARY), verdict(_answered(case, cue, False), LIBRARY)
    assert after.urgency.rank <= before.urgency.rank
    assert _raised(after) == _raised(before)
    assert set(after.unscreened) <= set(before.unscreened) | {flag.id for flag in before.not_excluded}


@given(A_CASE)
@SOME
def test_every_flag_is_raised_not_excluded_unscreened_or_excluded_by_what_is_known(case: Case) -> None:
    said = verdict(case, LIBRARY)
    rules = LIBRARY.documents["safety_rules"]
    by_age = dict.fromkeys(not_met(case, rules), False)
    known: dict[str, bool] = by_age | dict(case.screen) | {one.cue: True for one in said.noticed}
    raised, open_ = {one.id for one in said.raised}, {one.id for one in said.not_excluded} | set(said.unscreened)
    assert not raised & open_
    for rule in rules["rule"]:
        everything_yes = {cue: known.get(cue, True) for cue in cues_of_rule(rule)}
        levels = [rule["when"], *(one["when"] for one in rule.get("lesser", ()))]
        possible = any(holds(level, everything_yes) for level in levels)
        assert bool(possible) == (rule["red_flag"] in raised | open_)


@given(A_CASE, st.randoms(use_true_random=False))
@SOME
def test_the_order_of_answers_and_findings_does_not_matter(case: Case, chance: Any) -> None:
    answers, findings = list(case.screen.items()), list(case.findings)
    chance.shuffle(answers)
    chance.shuffle(findings)
    shuffled = replace(case, screen=dict(answers), findings=tuple(findings))
    one, two = verdict(case, LIBRARY), verdict(shuffled, LIBRARY)
    assert (one.urgency, one.action, _raised(one)) == (two.urgency, two.action, _raised(two))
    assert set(one.forbidden) == set(two.forbidden)
    assert {cue.cue for cue in one.noticed} == {cue.cue for cue in two.noticed}


@given(A_CASE)
@SOME
def test_a_pressing_verdict_stops_the_plan_and_a_reason_stands_behind_every_flag(case: Case) -> None:
    said = verdict(case, LIBRARY)
    assert said.stops_plan == said.withholds_treatment == (said.is_pressing or said.is_held)
    assert said.is_pressing or bool(said.held) == said.is_held
    assert all(said.ask_now for _ in said.held)
    assert said.urgency.rank >= max(_raised(said).values(), default=0)
    assert all(flag.reasons for flag in (*said.raised, *said.not_excluded))
    assert not {one.cue for one in said.noticed} & set(said.unanswered)
    assert not set(case.screen) & set(said.unanswered)


@st.composite
def _at_least(draw: st.DrawFn, inner: st.SearchStrategy[Rule]) -> Rule:
    parts = draw(st.lists(inner, min_size=1, max_size=4))
    return {"at_least": [draw(st.integers(1, len(parts))), parts]}


RULE: st.SearchStrategy[Rule] = st.recursive(
    st.sampled_from(["a", "b", "c", "d"]),
    lambda inner: st.one_of(
        st.lists(inner, min_size=1, max_size=4).map(lambda parts: {"any": parts}),
        st.lists(inner, min_size=1, max_size=4).map(lambda parts: {"all": parts}),
        _at_least(inner),
    ),
    max_leaves=8,
)


@given(RULE, st.dictionaries(st.sampled_from(["a", "b", "c", "d"]), st.booleans()))
def test_what_a_rule_decides_no_later_answer_can_change(rule: Rule, known: dict[str, bool]) -> None:
    decided = holds(rule, known)
    if decided is None:
        return
    for answer in (True, False):
        later = {cue: known.get(cue, answer) for cue in "abcd"}
        assert holds(rule, later) is decided


TOLD = [
    "Numb between the legs.", "My hand is cold and white.", "Pain when reaching overhead.", "Lost 8 kg.",
    "Fell off a ladder two days ago.", "The eyelid droops, the little finger is numb.",
    "Breathless since a long flight.",
    "No injury, chills since yesterday.", "Mother had cancer.", "Both shoulders ache and the jaw hurts when chewing.",
]  # fmt: skip
DENIED = [
    "No fever.", "Denies chest pain.", "No cancer, fever or weight loss.", "Not breathless, dizzy or faint.",
    "Never had a stroke.", "Without numbness between the legs.", "Chest pain: no.", "Any numbness? No.",
    "Mother had cancer.", "Neither bladder nor bowel trouble.", "The hand is not cold and white.",
    "Does not want to stop playing.", "No thoughts of suicide.", "Numbness between the legs is denied.",
]  # fmt: skip


@given(st.lists(st.sampled_from(TOLD), max_size=4), st.sampled_from(DENIED), st.integers(0, 4))
@SOME
def test_a_denial_in_the_story_never_raises_anything(told: list[str], denied: str, at: int) -> None:
    more = [*told[:at], denied, *told[at:]]
    before = verdict(Case(Person(50), Complaint(story=" ".join(told))), LIBRARY)
    after = verdict(Case(Person(50), Complaint(story=" ".join(more))), LIBRARY)
    assert after.urgency.rank == before.urgency.rank
    assert _raised(after) == _raised(before)
    assert {one.cue for one in after.noticed} == {one.cue for one in before.noticed}


@given(st.text(max_size=120))
@SOME
def test_any_text_at_all_can_be_a_story(text: str) -> None:
    said = verdict(Case(Person(50), Complaint(story=text)), LIBRARY)
    assert all(one.words for one in said.noticed if one.from_story)


def test_every_flag_can_be_reached_by_answers_alone(library: Library) -> None:
    reached: set[str] = set()
    for rule in library.documents["safety_rules"]["rule"]:
        screen = {cue: True for cue in cues_of(rule["when"]) if not cue.startswith("age_")}
        reached |= {flag.id for flag in verdict(Case(Person(70), screen=screen), library).raised}
    assert reached == {flag["id"] for flag in library.documents["safety"]["red_flag"]}
