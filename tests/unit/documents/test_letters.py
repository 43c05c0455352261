"""What the letters of an episode say: urgency never lowered, no more than needed, what changed and what did not."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date

import pytest

from endfeel.assessment import assess, compare_visits, confirmed_codes, suggested_codes
from endfeel.documents import (
    DocumentKind,
    EpisodeOfCare,
    LetterWords,
    Note,
    compose_letter,
    note_text,
)
from endfeel.evidence.library import Library
from endfeel.follow import FollowedVisit, follow
from endfeel.inference import Model
from endfeel.safety import override
from endfeel.vocabulary import Case, NotFound, Refused
from endfeel.vocabulary.outcomes import OutcomeAnswer
from written_letters import BETTER, WORDS, WRITTEN, Make, section, story


def test_what_to_mind_is_not_said_twice(library: Library, episode_of: Make) -> None:
    letter = compose_letter(DocumentKind.REFERRAL, episode_of(story(library, "frozen")), WORDS, WRITTEN, library)
    assert "High irritability" in section(letter, "safety")
    assert "irritability high" not in section(letter, "safety")


def test_a_follow_up_says_what_changed_what_did_not_and_what_nobody_looked_at(
    letters: dict[DocumentKind, Note],
) -> None:
    told = section(letters[DocumentKind.FOLLOW_UP], "findings")
    assert "Active arm abduction with arc noted, right | range | 100° | 140° | better, changed beyond error" in told
    assert "Active arm flexion, right | range | 125° | 130° | better, within measurement error" in told
    assert "Lateral rotation lag at the side, right | result | negative | positive | reads otherwise" in told
    assert "Not repeated, so not known: Cervicothoracic posteroanterior pressure, T2." in told
    assert "Found for the first time | Procedure" in told
    same = told[told.index("As before") :]
    assert "Posterior glide in the resting position, right" in same
    assert "abduction with arc noted" not in same
    measured = section(letters[DocumentKind.FOLLOW_UP], "measures")
    assert "64 of 100 | 21 of 100 | better, by an amount that matters" in measured
    assert "7 of 10 | 7 of 10 | no change" in measured
    judged = section(letters[DocumentKind.FOLLOW_UP], "judged")
    assert judged.count("Numeric pain rating") == 1
    assert "SPADI" in judged
    assert "At home: | Table slide" in section(letters[DocumentKind.FOLLOW_UP], "plan")


def test_a_follow_up_of_a_first_visit_is_refused(library: Library, episode_of: Make) -> None:
    with pytest.raises(Refused, match="earlier visit"):
        compose_letter(DocumentKind.FOLLOW_UP, episode_of(story(library)), WORDS, WRITTEN, library)
    with pytest.raises(Refused, match="not composed from an episode"):
        compose_letter(DocumentKind.NOTE, episode_of(story(library)), WORDS, WRITTEN, library)


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("danger_fracture", "Urgency: emergency. Call the emergency service"),
        ("danger_heart", "Urgency: emergency. Call the emergency service"),
        ("danger_apical", "Urgency: same day. Speak to a medical service and arrange assessment today."),
        ("anterior_laxity", "Urgency: routine. No red flag is raised"),
        ("winged_blade", "Urgency: routine. No red flag is raised"),
    ],
)
def test_the_urgency_is_that_of_the_verdict_in_words(name: str, said: str, library: Library, episode_of: Make) -> None:
    episode = episode_of(story(library, name))
    letter = compose_letter(DocumentKind.REFERRAL, episode, LetterWords(), WRITTEN, library)
    told = section(letter, "asked")
    assert said in told
    pressing = episode.assessment.verdict.is_pressing
    assert ("telephone first" in told) is (episode.assessment.verdict.urgency.rank >= 4)
    assert any(one.id == "reasoning" for one in letter.sections) is not pressing
    assert "Not said yet" in section(letter, "told")
    assert [one.id for one in letter.sections][:3] == ["address", "asked", "told"]


@pytest.mark.parametrize(
    ("cue", "said"), [("ac_high_step", "urgent. Refer so that"), ("weight_loss_fatigue", "refer. Routine")]
)
def test_an_answer_on_the_screen_makes_the_letter_urgent(
    cue: str, said: str, library: Library, episode_of: Make
) -> None:
    case = story(library)
    letter = compose_letter(
        DocumentKind.REFERRAL, episode_of(replace(case, screen={**case.screen, cue: True})), WORDS, WRITTEN, library
    )
    assert f"Urgency: {said}" in section(letter, "asked")


def test_what_a_rule_of_opinion_asks_for_is_asked_with_its_source(library: Library, episode_of: Make) -> None:
    letter = compose_letter(
        DocumentKind.REFERRAL, episode_of(story(library, "anterior_laxity")), LetterWords(), WRITTEN, library
    )
    told = section(letter, "asked")
    assert "an opinion on repair" in told
    assert re.search(r"\[\d+", told)


def test_where_nothing_asks_for_a_referral_the_draft_says_so(library: Library, episode_of: Make) -> None:
    episode = episode_of(story(library, "thoracic"))
    bare = compose_letter(DocumentKind.REFERRAL, episode, LetterWords(), WRITTEN, library)
    assert "Nothing is asked yet" in section(bare, "asked")
    asked = compose_letter(DocumentKind.REFERRAL, episode, WORDS, WRITTEN, library)
    assert "Asked: An opinion." in section(asked, "asked")


def test_a_hold_and_an_override_stand_in_the_letter(library: Library, episode_of: Make) -> None:
    fracture = episode_of(story(library, "danger_fracture"))
    reason = "Radiographs this morning show no fracture; surgeon agrees."
    judged = override(fracture.assessment.verdict, reason, "Dr B. Example")
    over = replace(fracture, assessment=replace(fracture.assessment, verdict=judged))
    told = section(compose_letter(DocumentKind.REFERRAL, over, WORDS, WRITTEN, library), "asked")
    assert f"overridden by Dr B. Example: {reason}" in told
    assert "Urgency: emergency" in told
    held = story(library, "first_visit", (("No injury.", "Sudden tearing pain between the blades."),))
    found = episode_of(replace(held, screen={}))
    if found.assessment.verdict.is_held:
        told = section(compose_letter(DocumentKind.REFERRAL, found, WORDS, WRITTEN, library), "asked")
        assert "not settled" in told
    else:
        assert found.assessment.verdict.is_pressing


def test_the_insurer_is_told_no_more_than_is_needed(library: Library, episode_of: Make) -> None:
    case = story(library)
    secret = replace(
        case,
        complaint=replace(case.complaint, story="SECRETSTORY"),
        findings=tuple(replace(one, note="SECRETNOTE") for one in case.findings),
        screen={**case.screen, "cancer_history": False},
    )
    letter = compose_letter(DocumentKind.INSURER, episode_of(secret, secret), WORDS, WRITTEN, library)
    said = " ".join(letter.statements())
    assert "SECRET" not in said
    for word in ("cancer", "Frozen", "end feel", "screening questions are", "glide in the resting", "female"):
        assert word not in said, word
    assert not re.search(r"\d+ % \(", said.replace("(95 %)", ""))
    assert "Left out on purpose" in said
    assert "Your number | 12-345" in section(letter, "address")


def test_an_insurer_learns_that_treatment_waits_and_not_why(library: Library, episode_of: Make) -> None:
    letter = compose_letter(DocumentKind.INSURER, episode_of(story(library, "danger_apical")), WORDS, WRITTEN, library)
    assert "waits until a medical question is settled" in section(letter, "plan")
    assert "tumour" not in " ".join(letter.statements()).lower()


def test_a_published_course_in_a_chart_is_named_with_its_source_and_its_weakness(
    letters: dict[DocumentKind, Note],
) -> None:
    told = section(letters[DocumentKind.DISCHARGE], "measures")
    assert re.search(r"SPADI[^|]*dotted, a published group: [^|]*\((?:read|memory|practice) \[\d", told)
    assert "Ten people of one study" in told


def test_no_decision_to_discharge_stands_while_safety_is_pressing(
    library: Library, episode_of: Make, two: EpisodeOfCare
) -> None:
    days = date(2026, 3, 4), date(2026, 3, 18)
    visits = [
        FollowedVisit(day, (OutcomeAnswer("spadi", day, total=total),))
        for day, total in zip(days, (64.0, 21.0), strict=True)
    ]
    held = follow(visits, days[-1], library).decisions
    assert [one.kind for one in held] == ["discharge"]
    calm = compose_letter(DocumentKind.DISCHARGE, replace(two, decisions=held), WORDS, WRITTEN, library)
    assert "| Discharge: " in section(calm, "after")
    danger = episode_of(story(library), story(library, "danger_apical"), decisions=held)
    told = section(compose_letter(DocumentKind.DISCHARGE, danger, WORDS, WRITTEN, library), "after")
    assert "Refer: safety comes first." in told
    assert "| Discharge: " not in told


def test_a_discharge_of_one_visit_compares_nothing(library: Library, episode_of: Make) -> None:
    letter = compose_letter(DocumentKind.DISCHARGE, episode_of(story(library)), WORDS, WRITTEN, library)
    assert "What was found" in section(letter, "findings")
    assert "judged" not in [one.id for one in letter.sections]
    assert "Why it ends | The aim is reached." in section(letter, "course")


def test_codes_are_offered_in_a_draft_and_kept_only_when_confirmed(two: EpisodeOfCare, library: Library) -> None:
    offered = suggested_codes(two.assessment.posterior, library)
    assert next(one.code for one in offered if one.system == "ICD-10") == "M75.0"
    assert {one.provenance for one in offered if one.system == "ICD-10"} == {"read"}
    draft = compose_letter(DocumentKind.INSURER, two, LetterWords(), WRITTEN, library)
    assert "not coded before you confirm it" in section(draft, "codes")
    signed = compose_letter(DocumentKind.INSURER, two, LetterWords(), replace(WRITTEN, signed=True), library)
    assert section(signed, "codes") == "Codes | No code was confirmed."
    chosen = confirmed_codes(offered, ["M75.0", "b7100"])
    told = section(compose_letter(DocumentKind.INSURER, two, LetterWords(codes=chosen), WRITTEN, library), "codes")
    assert "ICD-10 | M75.0 | Stiff, frozen shoulder | read [" in told
    assert "ICF | b7100 | Range of one joint | read [" in told
    assert "M75.1" not in told
    with pytest.raises(NotFound, match="not among those suggested"):
        confirmed_codes(offered, ["C34"])


def test_every_code_belongs_to_a_contributor_there_is(library: Library, model: Model) -> None:
    known = {one["id"] for one in library.documents["contributors"]["contributor"]} | {"any"}
    for row in library.tables["classification_codes"]:
        assert set(row.text["contributors"].split()) <= known, row.id
        code, system = row.statements["code"].text, row.text["system"]
        assert re.fullmatch(r"[A-Z]\d\d\.\d" if system == "icd10" else r"[bsd]\d{3,5}", code), code
        if system == "icd10":
            assert (row.provenance.label, row.source.id) == ("read", "ukb-icd10"), "each was looked up in this list"


def test_nothing_is_suggested_before_anything_is_found(library: Library, model: Model) -> None:
    assert suggested_codes(assess(Case(), library, model=model).posterior, library) == ()


def test_visits_are_compared_as_found_before_treatment(library: Library) -> None:
    first, second = story(library), story(library, changes=BETTER)
    since = compare_visits(first, second, library)
    assert len(since.compared) + len(since.new) == len({(f.procedure, f.side, f.level) for f in second.findings})
    assert compare_visits(first, first, library).new == ()
    assert all(f.before == f.after for one in compare_visits(first, first, library).compared for f in one.fields)


def test_the_insurer_is_told_nothing_of_mood_and_confidence_and_one_value_is_no_last(
    library: Library, episode_of: Make
) -> None:
    days = date(2026, 3, 4), date(2026, 3, 11)
    told = [
        FollowedVisit(
            days[0], (OutcomeAnswer("spadi", days[0], total=200 / 3), OutcomeAnswer("pseq", days[0], total=31))
        ),
        FollowedVisit(days[1], (OutcomeAnswer("pseq", days[1], total=59),)),
    ]
    long = episode_of(story(library), story(library), measures=follow(told, days[-1], library).trajectories)
    insurer = compose_letter(DocumentKind.INSURER, long, WORDS, WRITTEN, library)
    discharge = compose_letter(DocumentKind.DISCHARGE, long, WORDS, WRITTEN, library)
    assert "Self-Efficacy" not in note_text(insurer)
    assert "Self-Efficacy" in section(discharge, "measures")
    assert "66.7 of 100 | – | first value" in section(discharge, "measures")
    for letter, name in ((insurer, "episode"), (discharge, "story")):
        assert "16 weeks before the first visit" in section(letter, name)


def test_what_may_contribute_comes_from_the_last_visit_in_which_anything_was_found(
    library: Library, episode_of: Make, model: Model
) -> None:
    bare = replace(story(library), findings=(), treatments=(), retests=())
    examined = 1, assess(story(library), library, model=model)
    letter = compose_letter(
        DocumentKind.DISCHARGE, episode_of(story(library), bare, examined=examined), WORDS, WRITTEN, library
    )
    said = section(letter, "reasoning")
    assert "Frozen shoulder" in said
    assert "Reckoned from the findings of visit 1, 2026-03-04 alone; nothing was examined since." in said
    alone = compose_letter(DocumentKind.DISCHARGE, episode_of(story(library), bare), WORDS, WRITTEN, library)
    assert "nothing to reason from" in section(alone, "reasoning")


def test_a_story_that_was_not_told_again_is_not_announced(library: Library, episode_of: Make) -> None:
    silent = replace(story(library), complaint=replace(story(library).complaint, story=""))
    note = compose_letter(DocumentKind.FOLLOW_UP, episode_of(story(library), silent), WORDS, WRITTEN, library)
    assert "Told again" not in note_text(note)
