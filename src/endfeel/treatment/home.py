"""The home programme: a few exercises for the contributors, how much, what pain may be borne, when to look again."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from endfeel.evidence.figures import Figure, number
from endfeel.evidence.library import Library, Row
from endfeel.inference import Belief, Posterior
from endfeel.safety import Verdict
from endfeel.treatment.choice import course_for, course_row
from endfeel.treatment.decision import Decision, gain_of
from endfeel.treatment.techniques import forbidden_kinds, parameter, parameter_figure
from endfeel.vocabulary import Irritability, NotFound, Refused, Side

TABLE, DOSES = "exercises", "exercise_doses"


@dataclass(frozen=True, slots=True)
class HomeDose:
    """How much, in whole numbers that any language can say."""

    sets: int
    repetitions: int
    hold_s: int | None
    per_day: int
    days_per_week: int
    figures: tuple[Figure, ...]
    basis: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class HomeExercise:
    """One exercise of the programme."""

    id: str
    kind: str
    needed_for: tuple[tuple[str, float], ...]
    dose: HomeDose
    figures: tuple[str, ...]
    source: str
    provenance: str


@dataclass(frozen=True, slots=True)
class HomeProgramme:
    """What the person does between visits."""

    exercises: tuple[HomeExercise, ...]
    side: Side | None
    irritability: Irritability
    pain_allowed: Figure
    """Of 10, while exercising."""
    settle_hours: Figure
    review_weeks: Figure
    left_out: tuple[tuple[str, str], ...]
    """Exercise id and reason."""

    @property
    def figures(self) -> tuple[str, ...]:
        """Everything it rests on."""
        rules = (self.pain_allowed.id, self.settle_hours.id, self.review_weeks.id)
        return tuple(dict.fromkeys([figure for one in self.exercises for figure in one.figures] + [*rules]))


def home_programme(
    posterior: Posterior,
    decision: Decision,
    verdict: Verdict,
    library: Library,
    wanted: Iterable[str] | None = None,
    *,
    refused: frozenset[str] = frozenset(),
) -> HomeProgramme:
    """A few exercises, the most useful first; `wanted` takes these instead, where nothing forbids them.

    `refused` are kinds of treatment the person does not want: without loading, nothing that loads goes home.

    Raises Refused while treatment is withheld, and for a wanted exercise that must not be done; NotFound for one that
    does not exist.
    """
    if verdict.withholds_treatment:
        raise Refused(f"no home programme while treatment is withheld ({verdict.words}): {verdict.action}")
    case = posterior.case
    irritability = case.complaint.irritability or Irritability.MODERATE
    maker = _Maker(posterior, decision, verdict, library, irritability)
    rows, left_out = [], []
    for row in library.tables[TABLE]:
        reason = maker.reason_against(row) or _wish_against(row, refused)
        if reason:
            left_out.append((row.id, reason))
        else:
            rows.append(row)
    chosen = maker.most_useful(rows) if wanted is None else maker.asked_for(tuple(wanted), dict(left_out))
    return HomeProgramme(
        tuple(maker.exercise(row) for row in chosen),
        case.complaint.side,
        irritability,
        parameter_figure(library, f"pain_allowed_{irritability}"),
        parameter_figure(library, "settle_hours"),
        parameter_figure(library, "review_weeks"),
        tuple(left_out),
    )


def _wish_against(row: Row, refused: frozenset[str]) -> str:
    return "the person does not want loading" if row.text["kind"] == "load" and "loading" in refused else ""


@dataclass(frozen=True, slots=True)
class _Maker:
    posterior: Posterior
    decision: Decision
    verdict: Verdict
    library: Library
    irritability: Irritability

    def reason_against(self, row: Row) -> str:
        """Why it must not be done here; empty when it may."""
        if self.verdict.stops_handson:
            return "nothing is moved or loaded until cleared"
        if not has_dose(self.library, row.text["family"], self.irritability):
            return f"too much at {self.irritability} irritability"
        kind = row.text["forbidden_as"]
        for mark in self.verdict.precautions:
            barred = forbidden_kinds(self.library, mark.id)
            if kind in barred or (mark.mobilisation == "contraindicated" and "motor_control" in barred):
                return f"not with {mark.condition}"
        most = parameter(self.library, "not_with_probability")
        clash = [one for one in self.posterior.beliefs
                 if one.contributor in row.text["not_with"].split() and one.probability >= most]  # fmt: skip
        worst = max(clash, key=lambda one: one.probability, default=None)
        return f"not with {worst.name} ({worst.probability:.0%})" if worst else ""

    def most_useful(self, rows: list[Row]) -> list[Row]:
        """Greedy: the largest gain first, each further exercise for the same contributor counting less."""
        share, most = parameter(self.library, "repeat_share"), int(parameter(self.library, "exercises_most"))
        used: dict[str, int] = {}
        chosen: list[Row] = []
        left = list(rows)
        while left and len(chosen) < most:
            worth = [self._worth(row, used, share) for row in left]
            best = max(range(len(left)), key=worth.__getitem__)
            if worth[best] <= 0.0:
                break
            row = left.pop(best)
            chosen.append(row)
            for belief in self._needing(row):
                used[belief.id] = used.get(belief.id, 0) + 1
        return chosen

    def asked_for(self, wanted: tuple[str, ...], left_out: dict[str, str]) -> list[Row]:
        table = self.library.tables[TABLE].rows
        for name in wanted:
            if name not in table:
                raise NotFound(f"no exercise {name!r}; there are: {', '.join(table)}")
            if name in left_out:
                raise Refused(f"{name.replace('_', ' ')} is not for this person: {left_out[name]}")
        return [table[name] for name in wanted]

    def exercise(self, row: Row) -> HomeExercise:
        dose = home_dose(self.library, row.text["family"], self.irritability)
        evidence = [f"treatment_evidence.{one}.effect" for one in row.text["evidence"].split()]
        return HomeExercise(
            row.id,
            row.text["kind"],
            tuple((one.name, one.probability) for one in self._needing(row)),
            dose,
            tuple(dict.fromkeys([*evidence, *(one.id for one in dose.figures), *dose.basis])),
            row.source.id,
            row.provenance.label,
        )

    def _needing(self, row: Row) -> tuple[Belief, ...]:
        least, side = parameter(self.library, "least_probability"), self.posterior.case.complaint.side
        mine = [
            one
            for one in self.posterior.beliefs
            if one.contributor in row.text["contributors"].split()
            and one.probability >= least
            and (side is None or one.side in (side, None))
            and (course := course_for(one, self.decision)) is not None
            and course.examined
            and course.spoken_for
        ]
        return tuple(sorted(mine, key=lambda one: -one.probability))

    def _worth(self, row: Row, used: dict[str, int], share: float) -> float:
        gains = [self._gain(one) * share ** used.get(one.id, 0) for one in self._needing(row)]
        return max(gains, default=0.0)

    def _gain(self, belief: Belief) -> float:
        course = course_row(self.library, belief.treatment_class, self.irritability)
        factor = self.posterior.model.parameters[f"harm_factor_{self.irritability.value}"]
        benefit, harm = number(course.figures["benefit_points"]), number(course.figures["harm_points"]) * factor
        return gain_of(belief.probability, benefit, harm, self.decision.effort_points)


def has_dose(library: Library, family: str, irritability: Irritability) -> bool:
    """Whether a family of exercises is done at all at this irritability."""
    asked = family, irritability
    return any((row.text["family"], row.text["irritability"]) == asked for row in library.tables[DOSES])


def home_dose(library: Library, family: str, irritability: Irritability) -> HomeDose:
    """How much of a family of exercises at one irritability. Raises NotFound."""
    for row in library.tables[DOSES]:
        if (row.text["family"], row.text["irritability"]) == (family, irritability):
            figure = row.figures
            hold = figure.get("hold_s")
            return HomeDose(
                int(number(figure["sets"])),
                int(number(figure["repetitions"])),
                int(number(hold)) if hold else None,
                int(number(figure["per_day"])),
                int(number(figure["days_per_week"])),
                tuple(figure.values()),
                tuple(row.text["basis"].split()),
            )
    raise NotFound(f"no dose of exercises {family!r} at irritability {irritability}")
