"""One simulated person under one pair of hands, and an examination that is planned again as findings come in."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np

from endfeel.evidence.library import Library
from endfeel.inference import Candidate, Model, Posterior, infer
from endfeel.planner import Plan, Road, Step, plan
from endfeel.planner.candidates import Settings, gather
from endfeel.planner.learning import Learning
from endfeel.planner.plan import (
    Places,
    best_choice,
    compose,
    learning_of,
    least_of,
    paired_glides,
    pins_of,
    required,
    value_of,
)
from endfeel.planner.values import Candidate as Test
from endfeel.safety import Verdict, verdict
from endfeel.simulate.examiner import Hands, find
from endfeel.simulate.people import Patient
from endfeel.treatment import Decision, decide
from endfeel.vocabulary import Case, Finding, Position

HERE = Position.SITTING
"""The position everybody arrives in."""


@dataclass(frozen=True)
class Couch:
    """One person and one pair of hands: a test finds the same whenever, and along whichever road, it is asked.

    `truth` has the links by which the findings come about.
    """

    patient: Patient
    truth: Model
    hands: Hands
    seed: int
    _found: dict[Candidate, Finding | None] = field(default_factory=dict, repr=False)

    def finding(self, test: Candidate) -> Finding | None:
        """What the hand reports; None when no outcome of this test is known."""
        if test not in self._found:
            mark = [self.seed, *(ord(letter) for letter in f"{test[0]}{test[1] or ''}{test[2] or ''}")]
            self._found[test] = find(self.patient, test, self.truth, self.hands, np.random.default_rng(mark))
        return self._found[test]

    def case_after(self, tests: tuple[Candidate, ...]) -> Case:
        """The story with what these tests found; a test without a known outcome is written down as done."""
        return replace(
            self.patient.case, findings=tuple(self.finding(one) or Finding(one[0], one[1], one[2]) for one in tests)
        )


@dataclass(frozen=True)
class Story:
    """A story with everything about it that does not depend on what is found."""

    case: Case
    posterior: Posterior
    safe: Verdict
    tests: tuple[Test, ...]
    """Everything that could be done; asked for together, so that their layout is made once."""

    @classmethod
    def of(cls, case: Case, library: Library, model: Model) -> Story:
        """What is believed and allowed before anything is found."""
        safe = verdict(case, library)
        tests, _ = gather(case, library, safe, Settings.of(library, case), with_waiting=True)
        return cls(case, infer(case, model, with_intervals=False), safe, tuple(tests))

    def first_plan(self, library: Library, minutes: float) -> Plan:
        """The plan made from the story alone."""
        decision = decide(self.posterior, library, self.safe)
        return plan(
            self.case, self.posterior, self.safe, library, minutes, position=HERE, decision=decision, tight_bound=False
        )


def planned_again(
    story: Story, first: Plan, couch: Couch, library: Library, model: Model, minutes: float, batch: int
) -> Road:
    """An examination whose plan is made anew before every turn, and after so many tests in one position.

    It ends when the minutes are over, when nothing left is worth its time, or when a finding calls for referral first.
    """
    here, spent, turns, steps = HERE, 0.0, 0, first.steps
    done: list[Candidate] = []
    while steps:
        for step in _in_one_place(steps, batch):
            spent += step.turn_seconds + step.seconds
            turns += step.position is not here
            here = step.position
            done.append((step.procedure, step.side, step.level))
        steps = _next_steps(story, couch.case_after(tuple(done)), library, model, minutes - spent / 60.0, here)
    return Road("planned", len(done), turns, spent / 60.0, 0.0, tuple(done))


def _in_one_place(steps: tuple[Step, ...], batch: int) -> tuple[Step, ...]:
    """The first steps of a plan, up to its next turn."""
    stay = [step.position is steps[0].position for step in steps[:batch]]
    return steps[: stay.index(False) if False in stay else batch]


def _next_steps(
    story: Story, case: Case, library: Library, model: Model, minutes: float, here: Position
) -> tuple[Step, ...]:
    """What `plan` would say now, without its words, and with the expected information asked in one layout."""
    settings = Settings.of(library, case)
    shortest = min((test.seconds for test in story.tests), default=0.0)
    if minutes * 60.0 < shortest or settings.most_procedures(minutes) == 0:
        return ()
    safe = verdict(case, library)
    if safe.stops_plan:
        return ()
    posterior = infer(case, model, with_intervals=False)
    must = required(case, library, minutes) | paired_glides(posterior)
    spared = {rule["procedure"] for rule in settings.data["required"] if rule.get("as_far_as_it_goes")}
    candidates, _ = gather(case, library, safe, settings, (), spared)
    decision = decide(posterior, library, safe)
    learning, value = _learning(story, candidates, posterior, settings, decision)
    pins = pins_of(candidates, must)
    places = Places.of(candidates, settings, must)
    least = least_of(settings, decision)
    best = best_choice(candidates, value, settings, here, minutes, pins, places, tight_bound=False, least=least)
    made = compose(best, candidates, learning, settings, minutes, [], must, [], lambda *_: "", places)
    return made.steps


def _learning(
    story: Story, candidates: list[Test], posterior: Posterior, settings: Settings, decision: Decision
) -> tuple[Learning, Learning]:
    """Bits, and what a plan is chosen by: rows of the story's tests for those that are still open; what is new is asked
    for by itself."""
    row = {one.key: k for k, one in enumerate(story.tests)}
    new = [one for one in candidates if one.key not in row]
    tests = [*story.tests, *new]
    row |= {one.key: len(story.tests) + k for k, one in enumerate(new)}
    everything = learning_of(posterior, tests, settings)
    rows = np.array([row[one.key] for one in candidates], dtype=np.intp)
    value = value_of(posterior, tests, settings, decision, everything)
    return everything.only(rows), value.only(rows)
