"""A learner's steps played on a simulated person: clock, position, findings, soreness, refusals."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np

from endfeel.evidence.library import Library
from endfeel.inference import Candidate, Model
from endfeel.planner.candidates import Settings, couch_seconds
from endfeel.simulate.cases import SimulatedCase
from endfeel.simulate.examiner import ASSUMED, Hands, find
from endfeel.simulate.signs import usual_finding, with_sign
from endfeel.simulate.soreness import Soreness
from endfeel.simulate.telling import answer, askables, known_after, known_at_first
from endfeel.teaching.steps import ADVICE, EVERY_LEVEL, MOST_NAMED, SEND_ON, Commitment, Step
from endfeel.vocabulary import CannotRead, Case, Fault, Finding, Position, Procedure, Refused

HERE = Position.SITTING
"""The position everybody arrives in."""
MOST_STEPS = 400


@dataclass(frozen=True, slots=True)
class Moment:
    """One step as it went."""

    step: Step
    words: str
    """What was asked or done."""
    said: str
    """The answer, or why it was not let be done; empty for findings."""
    tests: tuple[Candidate, ...]
    findings: tuple[Finding, ...]
    refused: bool
    position: Position
    """Where it was done."""
    turn_seconds: float
    seconds: float
    """Without the turn."""
    load: float
    soreness: Soreness
    """After it."""
    before: Case
    """What was known before it."""
    was_in: Position
    """Where the person was before it."""


@dataclass(frozen=True, slots=True)
class Examination:
    """A learner's examination so far."""

    person: SimulatedCase
    moments: tuple[Moment, ...]
    known: Case
    position: Position
    seconds: float
    turns: int
    soreness: Soreness
    commitment: Commitment | None = None

    @property
    def pain(self) -> float:
        """Pain at rest by now, 0 to 10."""
        return self.soreness.pain(float(self.person.rest_pain))

    @property
    def refusals(self) -> int:
        return sum(one.refused for one in self.moments)

    @property
    def asked(self) -> frozenset[str]:
        """Questions that were put."""
        return frozenset(one.step.about for one in self.moments if one.step.kind == "ask")


def begin(person: SimulatedCase, library: Library) -> Examination:
    """Before anything is asked or done."""
    soreness = Soreness.of(person.irritability, library)
    return Examination(person, (), known_at_first(person), HERE, 0.0, 0, soreness)


def play(person: SimulatedCase, steps: Iterable[Step], library: Library, model: Model) -> Examination:
    """All steps in their order. Raises NotFound, Refused or CannotRead at a step that cannot be."""
    found = begin(person, library)
    for step in steps:
        found = go_on(found, step, library, model)
    return found


def go_on(found: Examination, step: Step, library: Library, model: Model, hands: Hands = ASSUMED) -> Examination:
    """One step more. Raises NotFound for what there is not, Refused for what cannot be done any more or so."""
    if found.commitment is not None:
        raise Refused("this case is closed: what you stood for was told already")
    if len(found.moments) >= MOST_STEPS:
        raise Refused("that is more than one examination holds")
    if step.kind == "commit":
        return replace(found, commitment=_committed(found, step))
    moment, known = _moment(found, step, library, model, hands)
    return replace(
        found,
        moments=(*found.moments, moment),
        known=known,
        position=moment.position,
        seconds=found.seconds + moment.turn_seconds + moment.seconds,
        turns=found.turns + (moment.position is not found.position),
        soreness=moment.soreness,
    )


def _moment(found: Examination, step: Step, library: Library, model: Model, hands: Hands) -> tuple[Moment, Case]:
    """The step as it goes, and what is known after it."""
    plain = Moment(step, "", "", (), (), False, found.position, 0.0, 0.0, 0.0, found.soreness, found.known,
                   found.position)  # fmt: skip
    seconds = library.documents["teaching"]["seconds"]
    if step.kind == "ask":
        asked = next((one for one in askables(library) if one.id == step.about), None)
        if asked is None:
            raise CannotRead([Fault("no such question", step.about, "a question of the list", field="about")])
        curt = found.soreness.share >= float(found.soreness.rule["refuses_strong_from"])
        said = answer(found.person, step.about, library, found.pain, curt=curt)
        after = found.soreness.after(asked.seconds, 0.0)
        moment = replace(plain, words=asked.words, said=said, seconds=asked.seconds, soreness=after)
        return moment, known_after(found.person, found.known, step.about, library, curt=curt)
    if step.kind == "rest":
        lasts = float(seconds["rest"])
        return replace(plain, words="Rest", seconds=lasts, soreness=found.soreness.after(lasts, 0.0)), found.known
    settings = Settings.of(library, found.known)
    if step.kind == "turn":
        where = step.position or found.position
        turned = _turned(plain, where, settings, found)
        return replace(turned, words=f"Turn to {_words(where)}"), found.known
    return _examined(plain, library.catalogue[step.about], found, settings, library, model, hands)


def _turned(plain: Moment, where: Position, settings: Settings, found: Examination) -> Moment:
    """The person turned; a turn provokes a little by itself."""
    lasts = settings.change_seconds(found.position, where)
    load = settings_of(found, settings).change_load if where is not found.position else 0.0
    return replace(plain, position=where, turn_seconds=lasts, load=load, soreness=plain.soreness.after(lasts, load))


def settings_of(found: Examination, settings: Settings) -> Settings:
    """What turning costs is the person's, whether the learner asked about irritability or not."""
    return replace(settings, irritability=str(found.person.irritability))


def where_done(procedure: Procedure, wanted: Position | None, here: Position) -> Position:
    """Where a procedure is done: where it is wanted, else where the person is if it can be, else where it usually is.

    Raises Refused when it cannot be done in the wanted position.
    """
    if wanted is not None and wanted not in procedure.positions:
        able = ", ".join(_words(one) for one in procedure.positions)
        raise Refused(f"{procedure.name} cannot be done {_words(wanted)}; it can be done {able}")
    return wanted or (here if here in procedure.positions else procedure.preferred_position)


def tests_of(procedure: Procedure, level: str, found: Examination) -> tuple[Candidate, ...]:
    """What a step examines: one level or every. Raises CannotRead for a level it has not."""
    side = found.person.side if procedure.sided else None
    if not procedure.levels:
        return ((procedure.id, side, None),)
    if level == EVERY_LEVEL:
        return tuple((procedure.id, side, one) for one in procedure.levels)
    if level not in procedure.levels:
        would = f"one of {', '.join(procedure.levels)}, or {EVERY_LEVEL}"
        raise CannotRead([Fault(f"{procedure.name} needs a level", level, would, field="level")])
    return ((procedure.id, side, level),)


def _examined(
    plain: Moment, procedure: Procedure, found: Examination, settings: Settings, library: Library, model: Model,
    hands: Hands,
) -> tuple[Moment, Case]:  # fmt: skip
    tests = tests_of(procedure, plain.step.level, found)
    where = where_done(procedure, plain.step.position, found.position)
    words = " ".join(part for part in (procedure.name, plain.step.level) if part)
    if found.soreness.refuses(float(procedure.irritability_load)):
        lasts = float(library.documents["teaching"]["seconds"]["refusal"])
        said = "“No, please not that. It is too sore now.”"
        after = found.soreness.after(lasts, 0.0)
        return replace(
            plain, words=words, said=said, refused=True, seconds=lasts, soreness=after, tests=tests
        ), found.known
    moment = _turned(plain, where, settings, found)
    findings: list[Finding] = []
    soreness, lasts = moment.soreness, 0.0
    for test in tests:
        if findings and soreness.refuses(float(procedure.irritability_load)):
            break
        seconds = couch_seconds(procedure, settings)
        soreness, lasts = soreness.after(seconds, float(procedure.irritability_load)), lasts + seconds
        findings.append(_found(test, found, soreness, library, model, hands))
    done, left = tests[: len(findings)], [str(level) for _, _, level in tests[len(findings) :]]
    load = moment.load + len(done) * float(procedure.irritability_load)
    said = _remark(found.soreness, soreness, library)
    if left:
        said = f"{said} Not borne any more: {', '.join(left)}.".strip()
    moment = replace(
        moment, words=words, said=said, tests=done, findings=tuple(findings), seconds=lasts, load=load,
        soreness=soreness,
    )  # fmt: skip
    return moment, replace(found.known, findings=(*found.known.findings, *findings))


def _remark(before: Soreness, after: Soreness, library: Library) -> str:
    """What the person says when a bound of soreness was passed; empty when none was."""
    rule, words = after.rule, library.documents["teaching"]["remarks"]
    bounds = (("all", "refuses_all_from"), ("strong", "refuses_strong_from"), ("sorer", "sorer_from"))
    return next((str(words[word]) for word, name in bounds if before.share < rule[name] <= after.share), "")


def _found(
    test: Candidate, found: Examination, soreness: Soreness, library: Library, model: Model, hands: Hands
) -> Finding:  # fmt: skip
    """What the hand reports. The same test on the same person has the same luck; soreness alone changes it."""
    mark = [found.person.wish.seed, *map(ord, f"{test[0]} {test[1] or ''} {test[2] or ''}")]
    made = find(soreness.sorer(found.person.patient), test, model, hands, np.random.default_rng(mark))
    if made is None:
        made = usual_finding(test, library) or Finding(*test)
    if made.pain:
        more = soreness.pain(0.0)
        made = replace(made, pain=float(round(min(10.0, made.pain + more))))
    if made.value is not None and made.other is not None and made.unit is not None and made.unit.value == "deg":
        made = replace(made, value=float(round(made.value)), other=float(round(made.other)))
    return with_sign(made, found.person.danger.signs if found.person.danger else ())


def _committed(found: Examination, step: Step) -> Commitment:
    """The commitment, if it can be one."""
    told = step.commitment
    if told is None:
        raise CannotRead([Fault("nothing was committed to", would_do="ranking, safety and treatment")])
    known = {one.id for one in found.person.patient.network.instances}
    faults = [
        Fault("no such contributor", one.contributor, "one of the list", field="ranking")
        for one in told.ranking
        if one.contributor not in known
    ]
    faults += [
        Fault("a percentage lies between 0 and 100", str(one.percent), "0 to 100", field="ranking")
        for one in told.ranking
        if not 0 <= one.percent <= 100
    ]
    names = [one.contributor for one in told.ranking]
    if len(set(names)) < len(names):
        faults.append(Fault("one contributor named twice", would_do="each once", field="ranking"))
    if not 1 <= len(names) <= MOST_NAMED:
        faults.append(Fault("the ranking names nobody or too many", str(len(names)), f"1 to {MOST_NAMED}",
                            field="ranking"))  # fmt: skip
    if told.treatment not in treatments(found):
        would = f"a course of the list, {ADVICE} or {SEND_ON}"
        faults.append(Fault("no such treatment", told.treatment, would, field="treatment"))
    if faults:
        raise CannotRead(faults)
    return told


def treatments(found: Examination) -> frozenset[str]:
    """Keys of everything that can be committed to as a first treatment."""
    courses = {course_key(one.contributor.treatment_class, one.contributor.region)
               for one in found.person.patient.network.instances}  # fmt: skip
    return frozenset({*courses, ADVICE, SEND_ON})


def course_key(treatment_class: str, region: str) -> str:
    """`mobilise_joint.glenohumeral`."""
    return f"{treatment_class}.{region}"


def _words(position: Position) -> str:
    return "side-lying" if position is Position.SIDE_LYING else str(position).replace("_", " ")
