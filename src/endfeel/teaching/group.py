"""A group on the same simulated people: paths side by side, what they stood for against what was so and each other."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

from endfeel.evidence.library import Library
from endfeel.measurement.agreement import FEW_SUBJECTS
from endfeel.measurement.kappa import Coefficient, two_raters
from endfeel.measurement.together import Statistic, of_categories
from endfeel.safety import Urgency
from endfeel.teaching.examination import Moment
from endfeel.teaching.progress import Outcome, Progress, progress
from endfeel.teaching.steps import Commitment

STANDS_FROM = 0.5
"""A contributor counts as stood for from this percentage on; below, it was only thought of."""
YES_NO = ("no", "yes")
Cells = Mapping[str, Mapping[str, str]]
"""Subject to learner to what the learner said; nothing where he or she said nothing."""


@dataclass(frozen=True, slots=True)
class PathStep:
    """One step of a path, with its place on the clock."""

    number: int
    at_seconds: float
    """When it began, its turn included."""
    kind: str
    words: str
    position: str
    turned: bool
    turn_seconds: float
    seconds: float
    """Without the turn."""
    refused: bool

    @property
    def lasts_seconds(self) -> float:
        return self.turn_seconds + self.seconds


@dataclass(frozen=True, slots=True)
class Closed:
    """A learner's closed case: what he or she stood for, and what came of it."""

    learner: str
    code: str
    stands_for: Commitment
    outcome: Outcome


@dataclass(frozen=True, slots=True)
class PairOfLearners:
    first: str
    second: str
    subjects: int
    agreed: Coefficient
    """Share of the subjects both spoke to on which they said the same."""
    kappa: Coefficient


@dataclass(frozen=True, slots=True)
class Comparison:
    """How far learners agree on one thing."""

    about: str
    subjects: int
    """What two or more learners spoke to."""
    learners: int
    statistics: tuple[Statistic, ...]
    """Empty when there are too few subjects, or when everybody said one and the same."""
    pairs: tuple[PairOfLearners, ...]
    caution: str
    """Why to read it with care; empty when there is no reason."""


@dataclass(frozen=True, slots=True)
class AgainstTruth:
    """One learner's contributors against what was there, over all closed cases."""

    learner: str
    cases: int
    hidden: int
    stood_for: int
    """Of the hidden ones."""
    false: int
    """Stood for and not there."""
    kappa: Coefficient
    """Over all contributors that were there or that anybody of the group stood for."""


@dataclass(frozen=True, slots=True)
class GroupResults:
    """What closed cases say about a group."""

    together: Progress
    """All percentages of all learners."""
    by_learner: Mapping[str, Progress]
    truth: tuple[AgainstTruth, ...]
    comparisons: tuple[Comparison, ...]


def path_of(moments: Iterable[Moment]) -> tuple[PathStep, ...]:
    """An examination as a path: what was done in which order, where, and when."""
    made, clock = [], 0.0
    for number, one in enumerate(moments, 1):
        made.append(
            PathStep(number, clock, one.step.kind, one.words, str(one.position), one.position is not one.was_in,
                     one.turn_seconds, one.seconds, one.refused)
        )  # fmt: skip
        clock += one.turn_seconds + one.seconds
    return tuple(made)


def group_results(closed: Sequence[Closed], library: Library) -> GroupResults:
    """Calibration of the group and of each learner, contributors against the truth, agreement among learners."""
    learners = list(dict.fromkeys(one.learner for one in closed))
    names = contributors_of(closed)
    by_learner = {
        who: progress([one.outcome for one in closed if one.learner == who], library) for who in learners
    }  # fmt: skip
    fewest = int(library.documents["teaching"]["judged"]["fewest"])
    urgencies = sorted(Urgency, key=lambda one: one.rank)
    return GroupResults(
        progress([one.outcome for one in closed], library),
        by_learner,
        tuple(_against_truth(who, closed, names) for who in learners),
        (
            compared("contributors", _stood_for(closed, names), learners, fewest, YES_NO),
            compared("safety decision", {code: {one.learner: str(one.stands_for.safety) for one in some}
                                         for code, some in _by_case(closed).items()},
                     learners, fewest, [str(one) for one in urgencies], ordered=True),
            compared("first treatment", {code: {one.learner: one.stands_for.treatment for one in some}
                                         for code, some in _by_case(closed).items()}, learners, fewest),
        ),
    )  # fmt: skip


def compared(
    about: str, cells: Cells, learners: Sequence[str], fewest: int, categories: Sequence[str] = (), *,
    ordered: bool = False,
) -> Comparison:  # fmt: skip
    """Agreement of learners over subjects; gaps where a learner said nothing. Categories as found where not given.

    Below `fewest` subjects no coefficient is said.
    """
    words = list(categories) or sorted({said for told in cells.values() for said in told.values()})
    place = {word: at for at, word in enumerate(words)}
    rows = [[place[told[who]] if who in told else None for who in learners] for told in cells.values()]
    rows = [row for row in rows if sum(one is not None for one in row) > 1]
    speakers = [k for k in range(len(learners)) if any(row[k] is not None for row in rows)]
    varies = len({one for row in rows for one in row if one is not None}) > 1
    statistics = of_categories([[row[k] for k in speakers] for row in rows], len(words), ordered=ordered) if (
        len(rows) >= fewest and varies) else ()  # fmt: skip
    pairs = []
    for a, b in combinations(speakers, 2):
        both = [(row[a], row[b]) for row in rows if row[a] is not None and row[b] is not None]
        if both:
            counts = [[float(sum(one == (i, j) for one in both)) for j in range(len(words))] for i in range(len(words))]
            told = two_raters(counts)
            pairs.append(PairOfLearners(learners[a], learners[b], len(both), told.agreement, told.kappa))
    return Comparison(
        about, len(rows), len(speakers), statistics, tuple(pairs), _caution(len(rows), fewest, varies=varies)
    )  # fmt: skip


def _caution(subjects: int, fewest: int, *, varies: bool) -> str:
    if subjects < fewest:
        return f"{subjects} judged by two or more: below {fewest} no coefficient is said"
    if not varies:
        return "everybody said one and the same: no coefficient is defined"
    return f"only {subjects} were judged: intervals are rough, read them as too narrow" if (
        subjects < FEW_SUBJECTS) else ""  # fmt: skip


def contributors_of(closed: Iterable[Closed]) -> dict[str, dict[str, bool]]:
    """Case to the names of contributors that were there or that anybody stood for, each with whether it was there."""
    found: dict[str, dict[str, bool]] = {}
    for one in closed:
        names = found.setdefault(one.code, {})
        names |= {name: True for name, *_ in one.outcome.hidden}
        for told in one.outcome.forecasts:
            if told.said >= STANDS_FROM:
                names.setdefault(told.name, told.so)
    return found


def _stands(one: Closed) -> frozenset[str]:
    return frozenset(told.name for told in one.outcome.forecasts if told.said >= STANDS_FROM)


def _stood_for(closed: Sequence[Closed], names: Mapping[str, Mapping[str, bool]]) -> Cells:
    return {
        f"{code} {name}": {one.learner: YES_NO[name in _stands(one)] for one in closed if one.code == code}
        for code, some in names.items()
        for name in some
    }


def _by_case(closed: Iterable[Closed]) -> dict[str, list[Closed]]:
    found: dict[str, list[Closed]] = {}
    for one in closed:
        found.setdefault(one.code, []).append(one)
    return found


def _against_truth(who: str, closed: Sequence[Closed], names: Mapping[str, Mapping[str, bool]]) -> AgainstTruth:
    mine = [one for one in closed if one.learner == who]
    both = [(so, name in _stands(one)) for one in mine for name, so in names[one.code].items()]
    counts = [[float(both.count((so, said))) for said in (False, True)] for so in (False, True)]
    kappa = two_raters(counts).kappa if both else Coefficient(float("nan"), float("nan"), float("nan"))
    return AgainstTruth(
        who, len(mine), sum(so for so, _ in both), both.count((True, True)), both.count((False, True)), kappa
    )  # fmt: skip
