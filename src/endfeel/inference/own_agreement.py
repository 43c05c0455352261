"""One examiner's kappa, lean and angle error, estimated from ratings of the same people by several examiners.

Kappa: Cohen 1960, over the pairs of this examiner with each other one, put together. Lean: logarithm of (only this
examiner reported it + 0.5) / (only the other did + 0.5), the odds ratio of discordant pairs (McNemar 1947). Angle:
within-subject standard error of the pairs, root of the mean of half the squared difference (Bland and Altman 1996).
Formulas from memory.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping

from endfeel.inference.examiner import ONLY_KAPPA, OUTCOMES, OwnAgreement, OwnError
from endfeel.inference.parameters import Parameters
from endfeel.measurement.agreement import Ratings
from endfeel.measurement.kappa import two_raters
from endfeel.vocabulary import CannotRead, Fault, OutcomeKind, Procedure

YES = frozenset({"yes", "y", "+", "positive", "pos", "present", "true", "1"})
NO = frozenset({"no", "n", "negative", "neg", "absent", "false", "0"})
_GRADED = (OutcomeKind.GLIDE, OutcomeKind.STRESS)
_MOST_GRADE = 6


def own_rows(
    ratings: Ratings, examiner: str, procedure: Procedure, outcome: str | None, parameters: Parameters,
    *, measured: bool, file: str = "",
) -> tuple[OwnAgreement | OwnError, ...]:  # fmt: skip
    """What the ratings say about one examiner's hands.

    Parameters
    ----------
    examiner : one of the raters' names, in capitals or not.
    outcome : what was rated yes or no; None for mobility grades (stiff and slack) and for degrees.
    measured : whether the procedure is read in degrees and carries weight.

    Raises CannotRead when the examiner is none of the raters, the ratings are of another kind, or nobody ever
    found the outcome (or all always did): then kappa has no value.
    """
    column = _column(ratings, examiner, file)
    if outcome is None and measured:
        return (_error(ratings, column, procedure, file),)
    if outcome is None and procedure.outcomes not in _GRADED:
        would = "--outcome, one of " + ", ".join(_rateable())
        raise CannotRead([Fault("neither graded nor measured in degrees", procedure.id, would, file=file)])
    if outcome is not None and outcome not in _rateable():
        raise CannotRead([Fault("unknown outcome", outcome, f"one of {', '.join(_rateable())}", file=file)])
    readers = _yes_or_no(outcome) if outcome else _grades(parameters)
    made = [_agreement(ratings, column, procedure.id, one, read, file) for one, read in readers.items()]
    rows = tuple(row for row in made if row is not None)
    if not rows:
        would = "people in some of whom it was found and in some not"
        raise CannotRead([Fault("everybody was rated alike, so kappa has no value", " and ".join(readers), would,
                                file=file)])  # fmt: skip
    return rows


def _rateable() -> tuple[str, ...]:
    return tuple(one for one in OUTCOMES if one != ONLY_KAPPA)


def _column(ratings: Ratings, examiner: str, file: str) -> int:
    names = [name.casefold() for name in ratings.raters]
    if examiner.strip().casefold() not in names:
        would = f"one of {', '.join(ratings.raters)}"
        raise CannotRead([Fault("no such examiner in the ratings", examiner, would, file=file)])
    return names.index(examiner.strip().casefold())


Reader = Callable[[str], bool | None]
"""Whether a rating is the outcome; None when it cannot be told."""


def _yes_or_no(outcome: str) -> Mapping[str, Reader]:
    return {outcome: lambda word: True if word.lower() in YES else False if word.lower() in NO else None}


def _grades(parameters: Parameters) -> Mapping[str, Reader]:
    """Stiff and slack by the thresholds of the reasoning."""

    def reader(is_it: Callable[[float], bool]) -> Reader:
        def read(word: str) -> bool | None:
            try:
                grade = float(word)
            except ValueError:
                return None
            return is_it(grade) if grade in range(_MOST_GRADE + 1) else None

        return read

    return {
        "hypo": reader(lambda grade: grade <= parameters["hypo_grade"]),
        "hyper": reader(lambda grade: grade >= parameters["hyper_grade"]),
    }


def _agreement(
    ratings: Ratings, column: int, procedure: str, outcome: str, read: Reader, file: str
) -> OwnAgreement | None:
    """The row, or None when kappa has no value."""
    said = [[read(word) for word in row] for row in ratings.rows]
    odd = sorted({word for row in ratings.rows for word in row if read(word) is None})
    if odd:
        would = f"mobility grades 0 to {_MOST_GRADE}, or yes and no with --outcome"
        raise CannotRead([Fault("cannot be told for yes or no", ", ".join(odd), would, file=file)])
    counts = [[0.0, 0.0], [0.0, 0.0]]
    for row in said:
        for at, other in enumerate(row):
            if at != column:
                counts[bool(row[column])][bool(other)] += 1.0
    kappa = two_raters(counts).kappa.value
    if math.isnan(kappa):
        return None
    lean = math.log((counts[1][0] + 0.5) / (counts[0][1] + 0.5))
    return OwnAgreement(procedure, outcome, kappa, len(said), lean)


def _error(ratings: Ratings, column: int, procedure: Procedure, file: str) -> OwnError:
    try:
        readings = [[float(word) for word in row] for row in ratings.rows]
    except ValueError:
        odd = next(word for row in ratings.rows for word in row if not _is_number(word))
        would = "degrees, or --outcome for ratings of yes and no"
        raise CannotRead([Fault(f"{procedure.name} is read in degrees", odd, would, file=file)]) from None
    squares = [
        (row[column] - other) ** 2 / 2.0 for row in readings for at, other in enumerate(row) if at != column
    ]  # fmt: skip
    return OwnError(procedure.id, math.sqrt(sum(squares) / len(squares)), len(readings))


def _is_number(word: str) -> bool:
    try:
        float(word)
    except ValueError:
        return False
    return True
