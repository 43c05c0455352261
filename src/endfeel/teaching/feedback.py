"""One case looked back on: safety, ranking, treatment, path, provocation; first in a minute, then in full."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from endfeel.evidence.library import Library
from endfeel.inference import Model, infer
from endfeel.safety import Urgency, Verdict, notice, questions
from endfeel.simulate.cases import SimulatedCase
from endfeel.simulate.scores import Tally
from endfeel.simulate.telling import HEALTH, askables
from endfeel.teaching.examination import Examination, course_key
from endfeel.teaching.paths import GoodPath, cheapest_good_path, needed, safety_path, true_verdict
from endfeel.teaching.steps import ADVICE, SEND_ON
from endfeel.teaching.worth import Worth, worth_of_step
from endfeel.vocabulary import Refused


@dataclass(frozen=True, slots=True)
class Forecast:
    """One contributor a learner named: what was said, what was so, what the program said on the same findings."""

    contributor: str
    name: str
    region: str
    said: float
    so: bool
    program: float


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the first minute: whether it went well, and why in a sentence."""

    about: str
    good: bool | None
    """None where there is nothing to be judged."""
    words: str


@dataclass(frozen=True)
class Feedback:
    """Everything that is said about one closed case."""

    examination: Examination
    lines: tuple[Line, ...]
    """The first minute."""
    forecasts: tuple[Forecast, ...]
    hidden: tuple[tuple[str, str, float, bool], ...]
    """Name, region, the program's probability on these findings, whether the learner named it."""
    worths: tuple[Worth | None, ...]
    """One for each moment."""
    verdict: Verdict
    """With everything answered."""
    missed: tuple[str, ...]
    """Questions whose answer was yes and that were not put."""
    not_asked: tuple[str, ...]
    """First questions that were never put."""
    against: tuple[tuple[str, str], ...]
    """What was examined although it must not be, with the reason."""
    path: GoodPath
    safety_path: GoodPath | None
    needed: tuple[str, ...]
    """Names of the courses that are called for."""

    @property
    def bits(self) -> float:
        """Expected bits over all steps."""
        return sum(one.bits for one in self.worths if one)

    @property
    def lost_bits(self) -> float:
        return sum(one.loss for one in self.worths if one)


def worths_of(found: Examination, library: Library, model: Model) -> tuple[Worth | None, ...]:
    """The worth of every step in its moment."""
    after = [*(one.before for one in found.moments[1:]), found.known][: len(found.moments)]
    return tuple(worth_of_step(moment, then, library, model) for moment, then in zip(found.moments, after, strict=True))


def feedback(
    found: Examination, library: Library, model: Model, worths: Sequence[Worth | None] | None = None,
    paths: tuple[GoodPath, GoodPath | None] | None = None,
) -> Feedback:  # fmt: skip
    """Look back on a closed case. Raises Refused while it is open: what is so would be given away.

    `paths` are the cheapest good path and the way to the danger where they are known: the person's, not the learner's.
    """
    told, person = found.commitment, found.person
    if told is None:
        raise Refused("say first what you stand for: ranking, safety, first treatment")
    worths = tuple(worths) if worths is not None else worths_of(found, library, model)
    whole = true_verdict(person, found, library)
    forecasts, hidden = _forecasts(found, model)
    known = known_cues(found, library)
    missed = tuple(
        one.question for one in questions(library)
        if person.case.screen.get(one.id) and one.id not in known
    )  # fmt: skip
    first = [one for one in askables(library) if one.id.startswith(HEALTH)]
    not_asked = tuple(one.words for one in first if one.id not in found.asked)
    against = tuple(
        dict.fromkeys(
            (library.catalogue[test[0]].name, whole.forbidden[test[0]])
            for moment in found.moments if not moment.refused
            for test in moment.tests if test[0] in whole.forbidden
        )
    )  # fmt: skip
    path, quick = paths or (cheapest_good_path(person, library, model), safety_path(person, library, model))
    names = course_names(person)
    calls = tuple(names[key] for key in sorted(needed(person)))
    lines = (
        _safety_line(found, whole, missed, len(not_asked), heard=_heard(person, known)),
        _ranking_line(forecasts, hidden),
        _treatment_line(found, whole, names),
        _path_line(found, path, quick),
        _provocation_line(found),
        _information_line(found, worths),
    )
    return Feedback(found, lines, forecasts, hidden, worths, whole, missed, not_asked, against, path, quick, calls)


def known_cues(found: Examination, library: Library) -> frozenset[str]:
    """Cues of safety that were answered, or that story or findings showed."""
    noticed = notice(found.known, library.release, library.documents["safety_rules"])
    return frozenset({*found.known.screen, *(one.cue for one in noticed)})


def course_names(person: SimulatedCase) -> dict[str, str]:
    """Names of the courses by key: what is done, and where."""
    from endfeel.treatment.decision import REGION_WORDS

    found = {}
    for one in person.patient.network.instances:
        kind, region = one.contributor.treatment_class, one.contributor.region
        found[course_key(kind, region)] = f"{kind.replace('_', ' ')}: {REGION_WORDS.get(region, region)}"
    return found


def _forecasts(
    found: Examination, model: Model
) -> tuple[tuple[Forecast, ...], tuple[tuple[str, str, float, bool], ...]]:
    """What was named, and what was there."""
    person, told = found.person, found.commitment
    assert told is not None  # noqa: S101
    instances = person.patient.network.instances
    place = {one.id: i for i, one in enumerate(instances)}
    program = {one.id: one.probability for one in infer(found.known, model, with_intervals=False).beliefs}
    forecasts = tuple(
        Forecast(
            one.contributor,
            instances[place[one.contributor]].name,
            region_of(instances[place[one.contributor]].contributor.region, instances[place[one.contributor]].level),
            one.percent / 100.0,
            bool(person.patient.present[place[one.contributor]]),
            program.get(one.contributor, 0.0),
        )
        for one in told.ranking
    )
    named = {one.contributor for one in told.ranking}
    there = [instances[i] for i in np.flatnonzero(person.patient.present)]
    hidden = tuple(
        (one.name, region_of(one.contributor.region, one.level), program.get(one.id, 0.0), one.id in named)
        for one in there
    )
    return forecasts, tuple(sorted(hidden, key=lambda one: -one[2]))


def region_of(region: str, level: str | None) -> str:
    """The region in which it is treated: the upper levels belong to the neck."""
    return "cervicothoracic" if region == "thoracic" and level in ("C7", "T1", "T2") else region


def _heard(person: SimulatedCase, known: frozenset[str]) -> bool:
    return person.danger is None or known >= set(person.danger.cues)


def _safety_line(
    found: Examination, whole: Verdict, missed: Sequence[str], not_asked: int, *, heard: bool
) -> Line:  # fmt: skip
    """Right and known: what is right by luck alone is not good."""
    told, danger = found.commitment, found.person.danger
    assert told is not None  # noqa: S101
    right = whole.urgency if whole.is_pressing or whole.urgency is Urgency.REFER else Urgency.NONE
    said = told.safety
    of = f" ({danger.name})" if danger else f" ({whole.raised[0].name})" if whole.raised else ""
    if said.rank == right.rank or (right is Urgency.NONE and said is Urgency.MONITOR):
        words = f"“{_said(said)}” is right{of}."
        if missed:
            words += f" {len(missed)} {_many(len(missed), 'answer')} of yes {_was(len(missed))} not asked for."
        if whole.is_pressing and not heard:
            return Line("Safety", False, f"{words} By luck: what shows the danger was not asked for.")
        if not whole.is_pressing and not_asked:
            many = _many(not_asked, "first question")
            return Line("Safety", False, f"{words} By luck: {not_asked} {many} {_was(not_asked)} never put.")
        return Line("Safety", True, words)
    if said.rank < right.rank:
        unheard = "" if heard else "; its answers were not asked for"
        return Line("Safety", False, f"It was {right.words}{of}; you said “{_said(said)}”{unheard}.")
    return Line("Safety", False, f"You said “{_said(said)}”; by the rules it is {_said(right)}{of}.")


def _ranking_line(forecasts: Sequence[Forecast], hidden: Sequence[tuple[str, str, float, bool]]) -> Line:
    right = [one for one in forecasts if one.so]
    score = Tally.of(
        np.array([one.said for one in forecasts]), np.array([one.so for one in forecasts], dtype=np.bool_)
    ).brier  # fmt: skip
    first = forecasts[0]
    words = f"{len(right)} of the {len(forecasts)} you named {_are(len(right))} there"
    words += f", {len(hidden)} were hidden in all; first named: {first.name}, {'there' if first.so else 'not there'}."
    words += f" Squared error of your percentages {score:.2f} (0.25 is what saying 50 % always gives)."
    return Line("Ranking", first.so, words)


def _treatment_line(found: Examination, whole: Verdict, names: dict[str, str]) -> Line:
    told = found.commitment
    assert told is not None  # noqa: S101
    wanted = needed(found.person)
    if whole.withholds_treatment:
        good = told.treatment == SEND_ON
        return Line("First treatment", good, "Sending on first is right." if good else
                    "Nothing should be treated before the person was sent on.")  # fmt: skip
    if told.treatment == SEND_ON:
        return Line("First treatment", False, "Nothing called for sending on before treating.")
    if told.treatment == ADVICE:
        good = not wanted
        return Line("First treatment", good, "Advice and time are all that is called for." if good else
                    "Advice alone leaves a contributor that can be treated.")  # fmt: skip
    good = told.treatment in wanted
    name = names[told.treatment].capitalize()
    return Line(
        "First treatment", good, f"{name}: {'called for by what is there' if good else 'nothing there calls for it'}."
    )


def _path_line(found: Examination, path: GoodPath, quick: GoodPath | None) -> Line:
    used = found.seconds / 60.0
    words = f"{used:.0f} min with {found.turns} {_many(found.turns, 'turn')}."
    if quick is not None:
        words += (
            f" The danger shows after {quick.questions} {_many(quick.questions, 'question')}, {quick.minutes:.1f} min."
        )
        return Line("Path", None, words)
    if path.good:
        words += (
            f" A good path to a treatment that is called for: {path.minutes:.0f} min, {len(path.procedures)} "
            f"{_many(len(path.procedures), 'test')}, {path.turns} {_many(path.turns, 'turn')}."
        )
        return Line("Path", used <= 1.5 * path.minutes, words)
    return Line("Path", None, f"{words} No planned examination of the lengths tried leads to what is called for here.")


def _provocation_line(found: Examination) -> Line:
    sore = found.soreness
    most = max((one.soreness.share for one in found.moments), default=0.0)
    words = f"At most {most:.0%} of what this person bears was stirred up"
    words += f" ({sore.borne:g} of load in all, {sore.budget:g} bearable)."
    if found.refusals:
        words += f" {found.refusals} {_many(found.refusals, 'time')} something was refused."
    return Line("Provocation", most < 1.0 and not found.refusals, words)


def _information_line(found: Examination, worths: Sequence[Worth | None]) -> Line:
    done = [(moment, one) for moment, one in zip(found.moments, worths, strict=True) if one]
    if not done:
        return Line("Information", None, "Nothing was examined.")
    bits, lost = sum(one.bits for _, one in done), sum(one.loss for _, one in done)
    best = max(done, key=lambda pair: pair[1].bits)
    worst = max(done, key=lambda pair: pair[1].loss)
    words = f"{len(done)} {_many(len(done), 'step')}, {bits:.1f} bits expected; "
    words += f"most by {best[0].words} ({best[1].bits:.2f})."
    if worst[1].loss > 0.05:
        words += f" Dearest for what it told: {worst[0].words}; {worst[1].best} promised more in that time."
    return Line("Information", lost <= bits, words)


def _many(count: int, noun: str) -> str:
    return noun if count == 1 else f"{noun}s"


def _said(urgency: Urgency) -> str:
    return "nothing pressing" if urgency in (Urgency.NONE, Urgency.MONITOR) else urgency.words


def _was(count: int) -> str:
    return "was" if count == 1 else "were"


def _are(count: int) -> str:
    return "is" if count == 1 else "are"
