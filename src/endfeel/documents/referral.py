"""How urgent a referral is and what it asks: from the safety verdict first, else from what the findings favour."""

from __future__ import annotations

from typing import TYPE_CHECKING

from endfeel.documents.case_sections import listing, text
from endfeel.documents.footnotes import Footnotes
from endfeel.documents.kinds import LetterWords
from endfeel.documents.note import Block, Section, Tone
from endfeel.documents.words import clean, sentence, weakest
from endfeel.safety import RaisedFlag, Urgency, questions

if TYPE_CHECKING:
    from endfeel.assessment import Assessment
    from endfeel.evidence.library import Library

BY_VOICE = "Say it by telephone first; this paper goes with the person and does not take the place of the call."
UNSETTLED = "not settled: an emergency is suspected and not excluded. It is settled by asking or by telephone first"
NOTHING_ASKED = "Nothing is asked yet: say what you want of the reader."
NOT_TOLD = "Not said yet: write what the person was told about this letter, and what to do meanwhile."


def urgency_words(assessment: Assessment, library: Library) -> str:
    """How soon, in words a reader acts on; the urgency of the verdict is never lowered here."""
    verdict = assessment.verdict
    if verdict.is_held:
        return f"{UNSETTLED}."
    if verdict.urgency.rank >= Urgency.REFER.rank:
        how = library.documents["safety"]["urgency"][verdict.urgency.value]
        return f"{verdict.urgency.words}. {how}"
    asked = len(questions(library))
    open_ = f"{len(verdict.unanswered)} of {asked} screening questions are unanswered"
    return f"routine. No red flag is raised by what was asked and found; {open_}."


def asked_section(assessment: Assessment, words: LetterWords, notes: Footnotes, library: Library) -> Section:
    """Urgency, the request, and why: flags that are raised, or courses of referral the findings favour."""
    verdict = assessment.verdict
    pressing = verdict.is_pressing or verdict.is_held
    tone = Tone.ALERT if pressing else Tone.PLAIN
    blocks: list[Block] = [text(f"Urgency: {urgency_words(assessment, library)}", tone)]
    if verdict.urgency.rank >= Urgency.SAME_DAY.rank:
        blocks.append(text(BY_VOICE, Tone.ALERT))
    if verdict.is_overridden:
        by = f" by {clean(verdict.override_by)}" if verdict.override_by else ""
        blocks.append(text(f"The verdict was overridden{by}: {clean(verdict.override_reason)}", Tone.ALERT))
    reasons = _reasons(assessment, notes)
    if reasons:
        blocks.append(listing(reasons, "Because:"))
    if words.asked:
        blocks.append(text(f"Asked: {clean(words.asked)}"))
    elif not reasons:
        blocks.append(text(NOTHING_ASKED, Tone.ALERT))
    return Section("asked", "How urgent, and what is asked", tuple(blocks), tone)


def _reasons(assessment: Assessment, notes: Footnotes) -> list[str]:
    verdict = assessment.verdict
    flags = [one for one in (*verdict.raised, *verdict.held) if one.urgency.rank >= Urgency.REFER.rank]
    told = {
        f"{sentence(one.name)}: {one.action} ({_label(one)} {notes.of_source_id(one.source)})": None for one in flags
    }
    for course in assessment.decision.worthwhile:
        if course.kind == "referral":
            why = f": {course.why}" if course.why else f", for {course.needed_for[0][0]}" if course.needed_for else ""
            told[f"{sentence(course.name)}{why} ({course.provenance} {notes.of_figures(course.figures)})"] = None
    return list(told)


def _label(flag: RaisedFlag) -> str:
    return weakest((flag.urgency_provenance, flag.cues_provenance, flag.action_provenance))


def told_section(words: LetterWords) -> Section:
    """What the person was told."""
    said = text(clean(words.told)) if words.told else text(NOT_TOLD, Tone.ALERT)
    return Section("told", "What the person was told", (said,))
