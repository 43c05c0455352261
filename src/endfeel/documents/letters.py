"""The four documents of an episode: follow-up note, referral letter, discharge summary, summary for the insurer.

Nothing is concluded here. Each is a value like the note and goes through the same three renderings.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from endfeel.assessment import compare_visits, suggested_codes
from endfeel.documents.case_sections import facts, listing, table, text, treatment_section
from endfeel.documents.footnotes import Footnotes
from endfeel.documents.frame import Written, framed, origin_section
from endfeel.documents.kinds import TITLES, DocumentKind, EpisodeOfCare, LetterWords
from endfeel.documents.letter_sections import (
    address_section,
    began_words,
    called_for,
    change_section,
    codes_section,
    decided,
    done_table,
    found_section,
    judged_section,
    measures_section,
    person_section,
    raised_section,
    short_safety,
    thought_section,
)
from endfeel.documents.note import Note, Section, Tone
from endfeel.documents.plan_section import STOPPED
from endfeel.documents.referral import asked_section, told_section
from endfeel.documents.words import NOT_RECORDED, clean, found_words, sentence, side_and_level
from endfeel.vocabulary import Refused

if TYPE_CHECKING:
    from endfeel.evidence.library import Library
    from endfeel.vocabulary import Case

NEEDED = (
    "This summary holds what is needed to judge function, course and plan. Left out on purpose: the story in the "
    "person's words, answers to screening questions, measures of mood, fear and confidence, findings of the hands, "
    "probabilities and what may lie behind them. More is sent only when the person agrees."
)
ACTIVE = "active_motion"
AGAIN = (
    "A letter to the family doctor, or an earlier visit, when: pain wakes at night and grows; new weakness, numbness "
    "or pins and needles; fever or feeling ill; a shoulder that is out of place, hot or swollen."
)


def compose_letter(
    kind: DocumentKind, episode: EpisodeOfCare, words: LetterWords, written: Written, library: Library
) -> Note:
    """One document of an episode.

    Parameters
    ----------
    kind : one of `LETTERS`.
    episode : the visits, the oldest first, with what the program concludes on the last.
    words : addressee, request, what the person was told, confirmed codes.
    written : author, day and label, as they shall stand on the paper.
    library : the evidence of the assessment's release.

    Raises Refused for a follow-up note of a first visit, and for a kind that is not a letter.
    """
    notes = Footnotes(library)
    makers = {
        DocumentKind.FOLLOW_UP: _follow_up,
        DocumentKind.REFERRAL: _referral,
        DocumentKind.DISCHARGE: _discharge,
        DocumentKind.INSURER: _insurer,
    }
    if kind not in makers:
        raise Refused(f"{kind} is not composed from an episode; choose one of {', '.join(makers)}")
    sections = [*makers[kind](episode, words, written, notes, library), origin_section(episode.assessment)]
    return framed(kind.value, f"Shoulder girdle: {TITLES[kind].lower()}", sections, episode.assessment, notes, written)


def _follow_up(
    episode: EpisodeOfCare, _: LetterWords, __: Written, notes: Footnotes, library: Library
) -> list[Section]:
    if not episode.is_long:
        raise Refused("a follow-up note needs an earlier visit of the same episode; write the examination note")
    found = episode.assessment
    before, now = episode.visits[-2], episode.visits[-1]
    since = compare_visits(before.case, now.case, library)
    told = [clean(f"{one.technique}, {one.dose}".strip(", ")) for one in before.case.treatments]
    last = [
        text(f"{episode.name_of(-1)}. Before it: {episode.name_of(-2)}."),
        listing(told, "Done then:") if told else text("No treatment was recorded then."),
    ]
    again = clean(now.case.complaint.story)
    if again and before.case.complaint.story != now.case.complaint.story:
        last.append(text(f"Told again since: {again}"))
    safety = short_safety(found.verdict, library, notes)
    first = Section("since", "Since the last visit", tuple(last))
    judged = judged_section((*since.compared, *found.retests), episode.measures, notes)
    pressing = found.verdict.is_pressing or found.verdict.is_held
    return [
        *((safety, first) if pressing else (first, safety)),
        change_section(since, "last visit", "now", library),
        measures_section(episode, notes),
        treatment_section(now.case, found.retests, notes, with_errors=False),
        thought_section(episode, notes),
        _plan(episode, notes),
        *([judged] if judged else []),
    ]


def _plan(episode: EpisodeOfCare, notes: Footnotes) -> Section:
    found = episode.assessment
    if found.verdict.stops_plan:
        wait = "waits" if found.verdict.is_held else "stops"
        blocks = [text(STOPPED.format(wait), Tone.ALERT), text(sentence(found.verdict.action))]
        return Section("plan", "Plan", tuple(blocks), Tone.ALERT)
    blocks = [*decided(episode, notes), *called_for(episode, notes)]
    if episode.exercises:
        blocks.append(listing([clean(one) for one in episode.exercises], "At home:"))
    if found.next_tests:
        blocks.append(text(f"To be examined next: {found.next_tests[0].name}."))
    return Section("plan", "Plan", tuple(blocks))


def _referral(
    episode: EpisodeOfCare, words: LetterWords, written: Written, notes: Footnotes, library: Library
) -> list[Section]:
    found = episode.assessment
    earlier = compare_visits(episode.visits[0].case, found.case, library).not_again if episode.is_long else ()
    sections = [
        address_section(words, written),
        asked_section(found, words, notes, library),
        told_section(words),
        person_section(found.case, episode),
        raised_section(found.verdict, library, notes),
        found_section(found.case, library, earlier, episode.name_of(0)),
    ]
    if not (found.verdict.is_pressing or found.verdict.is_held):
        sections.append(thought_section(episode, notes))
    if any(visit.case.treatments or visit.review for visit in episode.visits):
        sections.append(Section("treatment", "Done so far", (done_table(episode),)))
    if words.codes:
        sections.append(codes_section(words.codes, (), notes))
    return sections


def _discharge(
    episode: EpisodeOfCare, words: LetterWords, written: Written, notes: Footnotes, library: Library
) -> list[Section]:
    found = episode.assessment
    rows = [
        ("Visits", str(len(episode.visits))),
        ("From, to", episode.span or NOT_RECORDED),
        ("Why it ends", clean(words.closing) or "not said yet"),
    ]
    course = Section("course", "Course", (facts(rows), done_table(episode)))
    sections = [address_section(words, written), person_section(episode.visits[0].case, episode), course]
    since = compare_visits(episode.visits[0].case, episode.visits[-1].case, library)
    alone = not episode.is_long
    sections.append(
        found_section(found.case, library) if alone else change_section(since, "first visit", "last visit", library)
    )
    sections += [
        measures_section(episode, notes),
        short_safety(found.verdict, library, notes),
        thought_section(episode, notes),
        _after(episode, words, notes),
    ]
    offered = () if written.signed or words.codes else suggested_codes(episode.thought.posterior, library)
    judged = None if alone else judged_section(since.compared, episode.measures, notes)
    return [*sections, codes_section(words.codes, offered, notes), *([judged] if judged else [])]


def _after(episode: EpisodeOfCare, words: LetterWords, notes: Footnotes) -> Section:
    blocks = decided(episode, notes)
    if episode.exercises:
        blocks.append(listing([clean(one) for one in episode.exercises], "At home:"))
    if words.asked:
        blocks.append(text(f"Asked of the reader: {clean(words.asked)}"))
    blocks.append(text(f"The person was told: {clean(words.told)}" if words.told else "What the person was told: –"))
    return Section("after", "From here on", (*blocks, text(AGAIN)))


def _insurer(
    episode: EpisodeOfCare, words: LetterWords, written: Written, notes: Footnotes, library: Library
) -> list[Section]:
    complaint, hidden = episode.visits[0].case.complaint, _of_the_mind(library)
    episode = replace(episode, measures=tuple(one for one in episode.measures if one.line.measure not in hidden))
    rows = [
        ("Region", f"{side_and_level(complaint.side, None)} shoulder girdle"),
        ("Began", began_words(episode) or NOT_RECORDED),
        ("Visits so far", str(len(episode.visits))),
        ("From, to", episode.span or NOT_RECORDED),
    ]
    offered = () if written.signed or words.codes else suggested_codes(episode.thought.posterior, library)
    function, *judged = _function(episode, notes, library)
    return [
        address_section(words, written),
        Section("scope", "What this holds", (text(NEEDED),)),
        Section("episode", "Episode", (facts(rows),)),
        measures_section(episode, notes, drawn=False),
        function,
        _insured_plan(episode, words, notes),
        codes_section(words.codes, offered, notes),
        *judged,
    ]


def _of_the_mind(library: Library) -> frozenset[str]:
    """Measures of mood, fear and confidence: not needed to judge function."""
    measures = library.documents["outcome_measures"]["measure"]
    return frozenset(one["id"] for one in measures if one["kind"] == "psychosocial screener")


def _function(episode: EpisodeOfCare, notes: Footnotes, library: Library) -> list[Section]:
    """How far the person moves the arm, at the first visit and the last; nothing else that was found."""
    first, last = (_moved(one.case, library) for one in (episode.visits[0], episode.visits[-1]))
    if episode.is_long:
        since = compare_visits(first, last, library)
        changed = change_section(since, "first visit", "last visit", library)
        judged = judged_section(since.compared, episode.measures, notes)
        return [Section("function", "Function", changed.blocks), *([judged] if judged else [])]
    names = [(library.catalogue[one.procedure].name, one) for one in last.findings]
    rows = [(name, side_and_level(one.side, one.level), found_words(one)) for name, one in names]
    said = table(("Motion", "Side", "Now"), rows) if rows else text("Active motion was not measured.")
    return [Section("function", "Function", (said,))]


def _moved(case: Case, library: Library) -> Case:
    """The case with nothing but how far the person moves the arm."""
    moved = [one for one in case.findings if library.catalogue[one.procedure].region == ACTIVE]
    bare = (replace(one, familiar=None, other=None, note=None) for one in moved if one.value is not None)
    return replace(case, findings=tuple(bare))


def _insured_plan(episode: EpisodeOfCare, words: LetterWords, notes: Footnotes) -> Section:
    found = episode.assessment
    if found.verdict.withholds_treatment:
        return Section("plan", "Plan", (text("Treatment waits until a medical question is settled."),))
    blocks = called_for(episode, notes)
    if words.asked:
        blocks.append(text(f"Asked of the insurer: {clean(words.asked)}"))
    return Section("plan", "Plan", tuple(blocks))
