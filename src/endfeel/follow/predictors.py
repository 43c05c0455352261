"""Published predictors of how it goes: effect and source, what the record tells of them, what each does here."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from endfeel.evidence.figures import Figure
from endfeel.evidence.library import Library
from endfeel.follow.courses import DOCUMENT
from endfeel.follow.outlook import Pull

HOW_ADDED = (
    "What is known moves the forecast of the disability index and widens its interval. All effects are those of one "
    "model of several predictors, so what goes together is counted once. The model held no score of the start: only "
    "half of each effect is taken, anything from none to all being as likely, and it grows with the weeks ahead. What "
    "is usual in its cohort was not at hand and is a judgement. The model explained a third of the differences "
    "between people: single people are foretold poorly, with all of it."
)
WORD_ONLY = "a word only"
NOT_SO = "not so"
"""Of an answer, where another was given to its question."""


@dataclass(frozen=True, slots=True)
class Predictor:
    """One published predictor."""

    id: str
    says: str
    effect: Figure
    kind: str
    """Kind of estimate as the source prints it."""
    per: str
    direction: str
    """`better`, `worse`, or what the source says instead."""
    outcome: str
    here: str
    """What the record says about it; empty when it has to be asked."""
    fit: str
    """How well the source's model explains single people."""
    pull: Pull | None
    """What it moves a later score by, before a share of it is taken; None where it moves nothing."""
    role: str
    """What it does to a forecast: moves it, would if it were so or were known of the start, is in it through something
    else, or is a word only."""


def predictors(
    here: Mapping[str, str], pulls: Sequence[Pull], told: Mapping[str, str], library: Library
) -> tuple[Predictor, ...]:
    """Every published predictor. `here` holds what is known of this person, by the names of the data file, `told` what
    was answered by question, `pulls` what of it moves a forecast."""
    table = library.tables["prognosis"]
    by_row = {one.row: one for one in pulls}
    found = []
    for one in library.documents[DOCUMENT]["predictor"]:
        row, question = table.rows[one["row"]], one.get("question", "")
        pull = by_row.get(one["row"])
        moves = "moves the forecast" if pull else "would move the forecast" if "usual" in one or question else ""
        found.append(
            Predictor(
                id=one["row"],
                says=one["says"],
                effect=row.figures["estimate"] if "estimate" in row.figures else row.statements["factor_or_statement"],
                kind=row.text["estimate_type"],
                per=one.get("per", ""),
                direction=row.text.get("direction_for_patient", ""),
                outcome=_outcome(row.text["measure"], row.text.get("time_weeks", "")),
                here=here.get(one.get("known", ""), "") or _told(told.get(question, ""), one.get("answer", "")),
                fit=row.note,
                pull=pull,
                role=moves or _through(one.get("through", "")),
            )
        )
    return tuple(found)


def _told(given: str, answer: str) -> str:
    return "" if not given else "told" if given == answer else NOT_SO


def _through(what: str) -> str:
    return f"in it through {what}" if what else WORD_ONLY


def _outcome(measure: str, weeks: str) -> str:
    return f"{measure} at {float(weeks):g} weeks" if weeks else measure
