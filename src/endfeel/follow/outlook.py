"""What else foretells of a person, asked once: questions with few answers, and what each answer moves a forecast by.

All that moves a forecast comes from one published multivariable model, so what goes together is counted once there.
That model holds no score of the start, and a forecast does: only a share of each effect is taken, and the share is as
doubtful as it can be. Points are those of the measure the effects were printed for, upward is worse where it is.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import sqrt
from typing import Any

from endfeel.evidence.figures import Figure, number
from endfeel.evidence.library import Library
from endfeel.follow.courses import DOCUMENT, PARAMETERS
from endfeel.measurement.confidence import CONFIDENCE_PERCENT, normal_multiplier
from endfeel.vocabulary import CannotRead, Fault


@dataclass(frozen=True, slots=True)
class Question:
    """A question with the words of its answers by their id; the first is the one the effects are set against."""

    id: str
    asks: str
    answers: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Pull:
    """What one thing about a person moves a later score by, before a share of it is taken."""

    row: str
    says: str
    here: str
    points: float
    sd: float
    """Its doubt: that of the effect as printed, and that of what is usual in the group it comes from."""
    measure: str
    figures: tuple[Figure, ...]


@dataclass(frozen=True, slots=True)
class Shift:
    """What all pulls together move one forecast by."""

    points: float
    sd: float
    pulls: tuple[Pull, ...]
    figures: tuple[Figure, ...]


def questions(library: Library) -> tuple[Question, ...]:
    """Every question, with its answers in the order of the data file."""
    document = library.documents[DOCUMENT]
    found = []
    for told in document["question"]:
        own = [one for one in document["predictor"] if one.get("question") == told["id"]]
        answers = {told["none"]: told["none_says"]} | {one["answer"]: one["answer_says"] for one in own}
        found.append(Question(told["id"], told["asks"], answers))
    return tuple(found)


def outlook_faults(told: Mapping[str, str], library: Library) -> list[Fault]:
    """A question or an answer that does not exist."""
    known = {one.id: one for one in questions(library)}
    faults = []
    for question, answer in told.items():
        if question not in known:
            faults.append(Fault("no such question", question, ", ".join(known), field="outlook"))
        elif answer not in known[question].answers:
            faults.append(
                Fault(f"{question}: no such answer", answer, ", ".join(known[question].answers), field="outlook")
            )
    return faults


def known_answers(told: Mapping[str, str], library: Library) -> tuple[dict[str, str], tuple[str, ...]]:
    """Answers that exist, and the others in words: what was kept once may have lost its question since."""
    known = {one.id: one.answers for one in questions(library)}
    kept = {question: answer for question, answer in told.items() if answer in known.get(question, ())}
    return kept, tuple(f"{question}={answer}" for question, answer in told.items() if question not in kept)


def outlook_words(told: Mapping[str, str]) -> str:
    """`expectation=slight work=retired`, as it is kept."""
    return " ".join(f"{question}={answer}" for question, answer in told.items())


def read_outlook(words: Iterable[str], library: Library) -> dict[str, str]:
    """Answers from words such as `expectation=slight`. Raises CannotRead with every fault."""
    told, faults = {}, []
    for word in words:
        question, between, answer = word.partition("=")
        if not between:
            faults.append(Fault("not an answer", word, "question=answer, as expectation=slight", field="outlook"))
        else:
            told[question.strip()] = answer.strip()
    faults += outlook_faults(told, library)
    if faults:
        raise CannotRead(faults)
    return told


def pulls(numbers: Mapping[str, float], told: Mapping[str, str], library: Library) -> tuple[Pull, ...]:
    """What is known of a person, as pulls. `numbers` by the `known` of the data file, `told` answers by question."""
    document = library.documents[DOCUMENT]
    asked = {one["id"]: one for one in document["question"]}
    found = []
    for one in document["predictor"]:
        if "usual" in one and one.get("known") in numbers:
            found.append(_measured(one, numbers[one["known"]], library))
        elif "question" in one and told.get(one["question"]) == one["answer"]:
            found.append(_answered(one, asked[one["question"]], library))
    for question, told_so in asked.items():
        if told.get(question) == told_so["none"]:
            found.append(_none(told_so, document["predictor"], library))
    return tuple(found)


def _measured(one: Mapping[str, Any], value: float, library: Library) -> Pull:
    row = library.tables["prognosis"].rows[one["row"]]
    effect, usual = row.figures["estimate"], _parameter(one["usual"], library)
    figures = [effect, usual]
    here = f"{value:g} weeks" if one["known"] == "weeks" else f"{value:g}"
    if one["known"] == "weeks":
        most = _parameter("most_weeks", library)
        value = min(value, number(most))
        figures.append(most)
    off = value - number(usual)
    says = one["more"] if off > 0 else one["less"] if off < 0 else f"{one['says']}: as is usual"
    sd = sqrt((off * _sd(effect)) ** 2 + (number(effect) * _sd(usual)) ** 2)
    return Pull(one["row"], says, here, off * number(effect), sd, row.text["measure"].lower(), tuple(figures))


def _answered(one: Mapping[str, Any], question: Mapping[str, Any], library: Library) -> Pull:
    row = library.tables["prognosis"].rows[one["row"]]
    effect, usual = row.figures["estimate"], _parameter(question["usual"], library)
    sd = sqrt(_sd(effect) ** 2 + _sd(usual) ** 2)
    return Pull(
        one["row"], one["says"], one["answer_says"], number(effect) - number(usual), sd, row.text["measure"].lower(),
        (effect, usual),
    )  # fmt: skip


def _none(question: Mapping[str, Any], predictors: Iterable[Mapping[str, Any]], library: Library) -> Pull:
    first = next(one for one in predictors if one.get("question") == question["id"])
    usual, row = _parameter(question["usual"], library), library.tables["prognosis"].rows[first["row"]]
    says = f"{question['asks'].lower()}: {question['none_says']}"
    figures = (row.figures["estimate"], usual)
    return Pull("", says, question["none_says"], -number(usual), _sd(usual), row.text["measure"].lower(), figures)


def leaning(one: Pull) -> str:
    """Whether it speaks for a worse or a better end on average, or its doubt is larger than itself."""
    if abs(one.points) <= normal_multiplier(CONFIDENCE_PERCENT) * one.sd:
        return "no clear effect"
    return "worse on average" if one.points > 0 else "better on average"


def pull_words(one: Pull) -> str:
    """`more pain at rest than is usual (7): +7.6`: what it is, what the record holds, points before a share."""
    here = f" ({one.here})" if one.here and one.here not in one.says else ""
    return f"{one.says}{here}: {one.points:+.1f}"


def shift_words(one: Shift, unit: str) -> str:
    """`+4.2 points (95 %: give or take 7.9)`: what a forecast was moved by."""
    half = normal_multiplier(CONFIDENCE_PERCENT) * one.sd
    return f"{one.points:+.1f} {unit} ({CONFIDENCE_PERCENT:.0f} %: give or take {half:.1f})"


def shift(found: Sequence[Pull], measure: str, weeks_ahead: float, library: Library) -> Shift | None:
    """What the pulls move a forecast of this measure by, so many weeks after its last score; None
    where none speaks of it.

    A share of the effects is left beside the scores; it grows evenly with the weeks ahead until those of the study.
    Doubts of the effects are added as if they all erred the same way, for their correlations are not printed.
    """
    own = tuple(one for one in found if one.measure == measure)
    if not own:
        return None
    share, weeks = _parameter("predictor_share", library), _parameter("predictor_weeks", library)
    assert share.low is not None  # noqa: S101 - a test of the data file says so
    assert share.high is not None  # noqa: S101
    share_sd = (share.high - share.low) / sqrt(12)
    grown = min(1.0, weeks_ahead / number(weeks))
    points, sd = sum(one.points for one in own), sum(one.sd for one in own)
    spread = sqrt((number(share) * sd) ** 2 + (points * share_sd) ** 2 + (sd * share_sd) ** 2)
    figures = (share, weeks, *(figure for one in own for figure in one.figures))
    return Shift(grown * number(share) * points, grown * spread, own, figures)


def _parameter(quantity: str, library: Library) -> Figure:
    return next(row.figures["value"] for row in library.tables[PARAMETERS] if row.text["quantity"] == quantity)


def _sd(figure: Figure) -> float:
    """Of a figure with a 95 per cent interval."""
    if figure.low is None or figure.high is None:
        return 0.0
    return (figure.high - figure.low) / (2 * normal_multiplier(CONFIDENCE_PERCENT))
