"""The arithmetic of outcome measures: parts, reversed items, missing-item rule, refusal when too few are answered."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from difflib import get_close_matches
from typing import Any

from endfeel.evidence.figures import Provenance
from endfeel.evidence.library import Library
from endfeel.vocabulary import CannotRead, Fault, NotFound, Refused
from endfeel.vocabulary.outcomes import OutcomeAnswer

ARITHMETIC = "outcome_arithmetic"
Answers = Sequence[float | None]


@dataclass(frozen=True, slots=True)
class ScorePart:
    """A subscale: its points and how many of its items were answered."""

    name: str
    score: float
    maximum: float
    answered: int
    items: int
    percent: float
    """The same as a share of its range, 0 to 100."""


@dataclass(frozen=True, slots=True)
class Score:
    """A total with the arithmetic that made it."""

    form: str
    measure: str
    name: str
    total: float
    low: float
    high: float
    direction: str
    parts: tuple[ScorePart, ...]
    answered: int
    items: int
    formula: str
    source: str
    """Where the formula was seen, as the data file says it."""
    provenance: Provenance
    caveats: tuple[str, ...]


def form_of(form_id: str, library: Library) -> Mapping[str, Any] | None:
    """The arithmetic with this id, or None."""
    return next((form for form in library.documents[ARITHMETIC]["form"] if form["id"] == form_id), None)


def score(measure_id: str, answers: Answers, library: Library) -> Score:
    """The score of one filled-in outcome measure; None stands for an item left blank.

    A single number for a measure whose questionnaire is not shipped is taken as a total scored elsewhere.

    Raises NotFound (unknown measure), CannotRead (wrong count, answers outside their range: all at once),
    Refused (too few answered, or the owner's terms do not allow the arithmetic here).
    """
    form = form_of(measure_id, library)
    if form is None:
        return _total_only(measure_id, answers, library)
    _refuse_unreadable(form, answers)
    _refuse_too_few(form, answers)
    entry = _entry(form["measure"], library)
    parts = tuple(_part(part, form, answers) for part in form["parts"])
    answered = sum(answer is not None for answer in answers)
    caveats = [form["note"]] if form.get("note") else []
    if answered < len(answers):
        caveats.append(f"{len(answers) - answered} of {len(answers)} items missing: {entry['missing_item_rule']}")
    if form.get("other_form"):
        caveats.append(f"another total of this measure circulates ({form['other_form']}); do not mix the two")
    return Score(
        form=form["id"],
        measure=form["measure"],
        name=form["name"],
        total=form.get("base", 0) + sum(part.score for part in parts),
        low=entry["score_min"],
        high=entry["score_max"],
        direction=entry["direction"],
        parts=parts,
        answered=answered,
        items=len(answers),
        formula=form["formula"],
        source=_source_words(entry, library),
        provenance=Provenance.from_label(form["provenance"]),
        caveats=tuple(caveats),
    )


def score_of(answer: OutcomeAnswer, library: Library) -> Score:
    """The score of an answered measure as it is kept: its items, or the total that was scored elsewhere.

    Raises what `score` raises, with the same words.
    """
    if answer.total is None:
        return score(answer.measure, answer.answers, library)
    form = form_of(answer.measure, library)
    if form is None:
        return _total_only(answer.measure, [answer.total], library)
    told = _total_only(form["measure"], [answer.total], library)
    return replace(told, form=form["id"], name=form["name"])


def _total_only(measure_id: str, answers: Answers, library: Library) -> Score:
    entry = _entry(measure_id, library)
    total = answers[0] if len(answers) == 1 else None
    if total is None:
        raise Refused(
            f"{entry['name']}: {entry['licence_status']}; the questionnaire and its arithmetic are not part of "
            f"this program. Enter the total that was scored on the owner's form "
            f"({entry['score_min']} to {entry['score_max']})."
        )
    if not entry["score_min"] <= total <= entry["score_max"]:
        wanted = f"a total of {entry['score_min']} to {entry['score_max']}"
        raise CannotRead([Fault("total outside the scale", read=f"{total:g}", would_do=wanted, field="answer 1")])
    return Score(
        form=entry["id"],
        measure=entry["id"],
        name=entry["name"],
        total=total,
        low=entry["score_min"],
        high=entry["score_max"],
        direction=entry["direction"],
        parts=(),
        answered=0,
        items=0,
        formula="total as entered, scored elsewhere",
        source=_cited_words(entry.get("licence_source", ""), library),
        provenance=Provenance.PRACTICE,
        caveats=("entered as a total; its arithmetic was not checked here",),
    )


def _entry(measure_id: str, library: Library) -> Mapping[str, Any]:
    measures = {one["id"]: one for one in library.documents["outcome_measures"]["measure"]}
    if measure_id not in measures:
        forms = [form["id"] for form in library.documents[ARITHMETIC]["form"]]
        near = get_close_matches(measure_id, dict.fromkeys([*measures, *forms]), 3)
        raise NotFound(f"no outcome measure {measure_id!r}{'; did you mean: ' + ' | '.join(near) if near else ''}")
    found: Mapping[str, Any] = measures[measure_id]
    return found


def _refuse_unreadable(form: Mapping[str, Any], answers: Answers) -> None:
    least, most = form.get("items_least", form["items"]), form["items"]
    if not least <= len(answers) <= most:
        wanted = f"{most} answers" if least == most else f"{least} to {most} answers"
        raise CannotRead(
            [Fault(f"{form['id']} has another number of items", str(len(answers)), f"{wanted}, - for a blank")]
        )
    faults = []
    for part in form["parts"]:
        for item in range(part["first"], min(part["last"], len(answers)) + 1):
            answer = answers[item - 1]
            if answer is not None and not part["item_min"] <= answer <= part["item_max"]:
                wanted = f"{part['item_min']} to {part['item_max']}, - for a blank"
                faults.append(
                    Fault(f"answer {item} ({part['id']}) is outside its range", f"{answer:g}", wanted, column=item)
                )
    if faults:
        raise CannotRead(faults)


def _refuse_too_few(form: Mapping[str, Any], answers: Answers) -> None:
    answered = sum(answer is not None for answer in answers)
    if answered < form["min_answered"]:
        raise Refused(
            f"{form['name']}: {answered} of {len(answers)} items answered, "
            f"at least {form['min_answered']} needed; no score"
        )
    for part in form["parts"]:
        own = answers[part["first"] - 1 : part["last"]]
        given = sum(answer is not None for answer in own)
        needed = part.get("min_answered", 1)
        if given < needed:
            raise Refused(
                f"{form['name']}: {given} of {len(own)} {part['id']} items answered, {needed} needed; no score"
            )


def _part(part: Mapping[str, Any], form: Mapping[str, Any], answers: Answers) -> ScorePart:
    least, most = part["item_min"], part["item_max"]
    turned = form.get("reversed_items", ())
    own = [
        least + most - answer if item in turned else answer
        for item, answer in enumerate(answers[part["first"] - 1 : part["last"]], part["first"])
        if answer is not None
    ]
    share = (sum(own) - least * len(own)) / ((most - least) * len(own))
    if part.get("reversed"):
        share = 1 - share
    items = min(part["last"], len(answers)) - part["first"] + 1
    return ScorePart(part["id"], share * part["points"], part["points"], len(own), items, 100 * share)


def _source_words(entry: Mapping[str, Any], library: Library) -> str:
    return _cited_words(entry.get("formula_source", "") or entry.get("source", ""), library)


def _cited_words(source: str | list[str], library: Library) -> str:
    ids = source if isinstance(source, list) else [source]
    return "; ".join(library.sources[one].citation if one in library.sources else one for one in ids if one)
