"""What a simulated person answers, and what of the case is known once it was asked."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from endfeel.body_chart import MeasuredArea, Rule, measured
from endfeel.body_chart.words import chart_words
from endfeel.evidence.library import Library
from endfeel.instruments import setting
from endfeel.safety import ScreenItem, first_screen, notice, questions
from endfeel.simulate.cases import SimulatedCase
from endfeel.simulate.dangers import DOCUMENT, askable_cues
from endfeel.vocabulary import AREAS, Case, Complaint, Irritability, NotFound, Onset, Person

HEALTH = "health:"
SINGLE = "cue:"
STIRRED = {
    Irritability.LOW: "Only hard use stirs it, and it is gone within minutes.",
    Irritability.MODERATE: "Using it stirs it; it takes some hours to settle, and some nights it wakes me.",
    Irritability.HIGH: "Hardly anything stirs it, it stays for a day, and it wakes me every night.",
}
BEGAN = {
    Onset.GRADUAL: "It came on by itself, slowly.",
    Onset.OVERUSE: "It came after more work with the arm than I am used to.",
    Onset.TRAUMA: "It began with an injury.",
    Onset.SUDDEN: "It was suddenly there.",
    Onset.UNKNOWN: "I do not know.",
}


@dataclass(frozen=True, slots=True)
class Askable:
    """A question that can be put, and how long it takes."""

    id: str
    words: str
    seconds: float
    group: str


def askables(library: Library) -> tuple[Askable, ...]:
    """Everything that can be asked: the story, the first questions about health, the single ones behind them."""
    teaching = library.documents[DOCUMENT]
    seconds = teaching["seconds"]
    story = [Askable(one["id"], one["asks"], float(one["seconds"]), "Story") for one in teaching["question"]]
    items = _items(library)
    first = [
        Askable(HEALTH + str(n), one.question, float(seconds["first_question"]), "Health")
        for n, one in enumerate(items)
    ]
    asked = {one.id: one.question for one in questions(library)}
    single = [
        Askable(SINGLE + cue, asked[cue], float(seconds["single_question"]), _title(items, cue))
        for cue in askable_cues(library)
    ]
    return (*story, *first, *single)


def _items(library: Library) -> tuple[ScreenItem, ...]:
    by_hand = library.documents[DOCUMENT]["danger"]["by_hand"]
    return tuple(item for item in first_screen(library) if item.title not in by_hand)


def _title(items: Iterable[ScreenItem], cue: str) -> str:
    return next(item.title for item in items if any(one.id == cue for one in item.follow_up))


def opening(person: SimulatedCase) -> str:
    """The first words of the person."""
    case = person.case
    sex = {"female": "woman", "male": "man"}.get(case.person.sex or "", "person")
    return f"A {sex} of {case.person.age}. “My {person.side} shoulder troubles me.”"


def known_at_first(person: SimulatedCase) -> Case:
    """What is known before anything is asked."""
    case = person.case
    return Case(Person(case.person.age, case.person.sex), Complaint(side=person.side), invented=True)


def answer(
    person: SimulatedCase, question: str, library: Library, sore: float = 0.0, *, curt: bool = False
) -> str:  # fmt: skip
    """What the person says; `sore` is the pain at rest by now, `curt` somebody too sore for particulars.

    Raises NotFound when there is no such question.
    """
    case, complaint = person.case, person.case.complaint
    match question:
        case "story":
            return f"“{complaint.story}”"
        case "where":
            return f"{', '.join(AREAS[one] for one in complaint.areas).capitalize()}."
        case "chart":
            return f"{chart_words(drawn_by(person, library))}."
        case "onset":
            return BEGAN[Onset(complaint.onset or "unknown")]
        case "weeks":
            return f"About {complaint.weeks:g} {'week' if complaint.weeks == 1 else 'weeks'}."
        case "stirring":
            return STIRRED[person.irritability]
        case "hand":
            return f"The {case.person.dominant}."
        case "rest_pain":
            return f"{round(max(sore, float(person.rest_pain)))} of 10."
    if question.startswith(SINGLE) and question.removeprefix(SINGLE) in case.screen:
        return "Yes." if case.screen[question.removeprefix(SINGLE)] else "No."
    item = _item(question, library)
    yes = [one for one in item.follow_up if case.screen.get(one.id)]
    if not yes:
        return "No, nothing of that."
    if curt or not person.volunteers:
        return "Yes, something of that."
    return "Yes. " + " ".join(f"{one.question} Yes." for one in yes)


def drawn_by(person: SimulatedCase, library: Library) -> tuple[MeasuredArea, ...]:
    """The person's body chart, measured."""
    return measured(person.chart, Rule(setting(library, "finger_width"), setting(library, "touched_share")))


def known_after(
    person: SimulatedCase, known: Case, question: str, library: Library, *, curt: bool = False
) -> Case:  # fmt: skip
    """The case with what this answer tells. Raises NotFound when there is no such question."""
    case, complaint = person.case, known.complaint
    match question:
        case "story":
            heard = replace(
                complaint, story=case.complaint.story, onset=case.complaint.onset, weeks=case.complaint.weeks
            )
            noticed = notice(replace(known, complaint=heard), library.release, library.documents["safety_rules"])
            told = {one.cue: True for one in noticed if case.screen.get(one.cue)}
            return replace(known, complaint=heard, screen={**known.screen, **told})
        case "where" | "chart":
            return replace(known, complaint=replace(complaint, areas=case.complaint.areas))
        case "onset":
            return replace(known, complaint=replace(complaint, onset=case.complaint.onset))
        case "weeks":
            return replace(known, complaint=replace(complaint, weeks=case.complaint.weeks))
        case "stirring":
            return replace(known, complaint=replace(complaint, irritability=case.complaint.irritability))
        case "hand":
            return replace(known, person=replace(known.person, dominant=case.person.dominant))
        case "rest_pain":
            return known
    if question.startswith(SINGLE) and question.removeprefix(SINGLE) in case.screen:
        cue = question.removeprefix(SINGLE)
        return replace(known, screen={**known.screen, cue: case.screen[cue]})
    told = {one.id: case.screen[one.id] for one in _item(question, library).follow_up if one.id in case.screen}
    if any(told.values()) and (curt or not person.volunteers):
        return known
    return replace(known, screen={**known.screen, **told})


def _item(question: str, library: Library) -> ScreenItem:
    items, number = _items(library), question.removeprefix(HEALTH)
    if question.startswith(HEALTH) and number.isdecimal() and int(number) < len(items):
        return items[int(number)]
    raise NotFound(f"there is no question {question!r}")
