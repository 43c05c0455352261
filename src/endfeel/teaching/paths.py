"""What would have been the cheapest examination of this very person that leads where it should."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from endfeel.evidence.library import Library
from endfeel.inference import Model, Posterior, infer
from endfeel.planner import plan
from endfeel.safety import Verdict, verdict
from endfeel.simulate.cases import SimulatedCase
from endfeel.simulate.telling import askables, known_after
from endfeel.teaching.examination import HERE, Examination, Moment, begin, course_key, go_on, play
from endfeel.teaching.steps import Step
from endfeel.treatment import Decision, decide
from endfeel.vocabulary import Case


@dataclass(frozen=True, slots=True)
class GoodPath:
    """An examination played on the same person, and where it leads."""

    minutes: float
    """Couch time, asking included."""
    turns: int
    questions: int
    procedures: tuple[str, ...]
    """Names with levels, in order."""
    leads_to: str
    good: bool
    """Whether that is what should be done; false when none of the lengths tried leads there."""
    stirred: float
    """Provocation at its end, in budgets."""
    moments: tuple[Moment, ...] = ()
    """The same step by step, as it went when it was played."""


def needed(person: SimulatedCase) -> frozenset[str]:
    """Keys of the courses that a contributor really there calls for."""
    instances = person.patient.network.instances
    return frozenset(
        course_key(instances[i].contributor.treatment_class, instances[i].contributor.region)
        for i in np.flatnonzero(person.patient.present)
    )


def first_course(decision: Decision) -> tuple[str, str]:
    """Key and name of the course proposed first; empty for advice and time."""
    proposed = [one for one in decision.worthwhile if not one.rule]
    if not proposed:
        return "", decision.baseline
    return course_key(proposed[0].treatment_class, proposed[0].region), proposed[0].name


def true_verdict(person: SimulatedCase, found: Examination, library: Library) -> Verdict:
    """What safety says with everything answered and what was found or was there to be found."""
    signs = person.danger.signs if person.danger else ()
    return verdict(replace(person.case, findings=(*found.known.findings, *signs)), library)


def safety_path(person: SimulatedCase, library: Library, model: Model) -> GoodPath | None:
    """The fewest questions that raise the danger; None when there is none."""
    if person.danger is None:
        return None
    found = begin(person, library)
    asked: list[str] = []
    wanted = set(person.danger.cues)
    all_questions = askables(library)
    for one in (*(q for q in all_questions if q.group == "Health"), *(q for q in all_questions if q.id[:4] == "cue:")):
        before = {cue for cue in wanted if found.known.screen.get(cue)}
        told = known_after(person, found.known, one.id, library)
        if {cue for cue in wanted if told.screen.get(cue)} > before:
            found = go_on(found, Step(f"s{len(asked)}", "ask", one.id), library, model)
            asked.append(one.words)
    return GoodPath(
        found.seconds / 60.0, 0, len(asked), tuple(asked), person.danger.name, True, 0.0, found.moments
    )  # fmt: skip


def cheapest_good_path(person: SimulatedCase, library: Library, model: Model) -> GoodPath:
    """The shortest of the lengths tried after which the course proposed first is one that is needed.

    The story is asked first; a plan is made from it for the length and played on the person, soreness and all.
    """
    story = [Step(f"q{n}", "ask", one["id"]) for n, one in enumerate(library.documents["teaching"]["question"])
             if one["id"] in ("where", "onset", "weeks", "stirring")]  # fmt: skip
    told = play(person, story, library, model)
    posterior = infer(told.known, model, with_intervals=False)
    safe = verdict(told.known, library)
    decision = decide(posterior, library, safe)
    best: GoodPath | None = None
    for minutes in library.documents["teaching"]["judged"]["lengths"]:
        made = plan(
            told.known, posterior, safe, library, float(minutes), position=HERE, decision=decision, tight_bound=False
        )
        found, names = told, []
        for n, one in enumerate(made.steps):
            step = Step(f"p{n}", "examine", one.procedure, one.level or "", one.position)
            found = go_on(found, step, library, model)
            names.append(found.moments[-1].words)
        key, name, _ = _leads_to(found.known, library, model)
        good = key in needed(person) if key else not needed(person)
        best = GoodPath(
            found.seconds / 60.0, found.turns, len(story), tuple(names), name, good, found.soreness.share, found.moments
        )  # fmt: skip
        if good:
            return best
    assert best is not None  # noqa: S101 (the data name at least one length)
    return best


def _leads_to(case: Case, library: Library, model: Model) -> tuple[str, str, Posterior]:
    posterior = infer(case, model, with_intervals=False)
    decision = decide(posterior, library, verdict(case, library))
    return *first_course(decision), posterior
