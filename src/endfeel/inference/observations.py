"""Findings turned into evidence: which outcomes were seen, which were not, and how sure that is."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from endfeel.inference.contributors import controls
from endfeel.inference.degrees import DEGREES, PAINLESS, WEAK_WITHIN
from endfeel.inference.end_feels import answers
from endfeel.inference.links import Key
from endfeel.inference.model import Model
from endfeel.vocabulary import Case, EndFeel, Finding, OutcomeKind, Result, Side, Unit

_ABNORMAL = (Result.POSITIVE, Result.REDUCED, Result.ABSENT, Result.INCREASED)
_PLAIN = (Result.NEGATIVE, Result.NORMAL)
_STRENGTH_WORDS = (Result.REDUCED, Result.ABSENT, Result.NORMAL, Result.NEGATIVE)
SAME_AS_PLAY = frozenset({"end_feel:loose", "end_feel:early_capsular"})
Evidence = tuple[float, float]
"""Likelihood if the outcome happened, likelihood if it did not."""
SEEN: Evidence = (1.0, 0.0)
NOT_SEEN: Evidence = (0.0, 1.0)


@dataclass(frozen=True, slots=True)
class BinaryObservation:
    """One outcome of one finding."""

    finding: int
    """Index in case.findings."""
    key: Key
    side: Side | None
    level: str | None
    evidence: Evidence
    part: float = 1.0
    """How much of a plain no it counts as: what rather speaks against, by its size, ties no causes to each other."""


@dataclass(frozen=True, slots=True)
class AngleObservation:
    """One lost angle: degrees missing against the other side or against the usual."""

    finding: int
    procedure: str
    side: Side | None
    deficit_deg: float
    sd_deg: float
    against_norm: bool
    limited_by: str
    """What but structure may have ended it: `stopped` (by the person, apprehensive), `pain` (moved
    actively), `guarding` (passive and sore), or empty."""
    limited_share: float = 1.0
    """How far that holds: by the size of the pain recorded; 1 where none was or the word for it is plain."""


@dataclass(frozen=True, slots=True)
class Observations:
    binaries: tuple[BinaryObservation, ...]
    angles: tuple[AngleObservation, ...]
    unused: tuple[int, ...]
    """Indices of findings that carry nothing the model can use."""
    superseded: tuple[int, ...]
    """Findings repeated later at the same procedure, side and level: the last one counts."""


def observe(case: Case, model: Model) -> Observations:
    """The evidence in a case's findings, once each."""
    last = {(f.procedure, f.side, f.level): i for i, f in enumerate(case.findings)}
    default = case.complaint.side
    binaries: list[BinaryObservation] = []
    angles: list[AngleObservation] = []
    unused: list[int] = []
    counted = sorted(last.values())
    compared = {measured: control for control, measured in controls(case).items()}
    only_controls = set(compared.values())
    for index in counted:
        finding = case.findings[index]
        side = finding.side or default
        both = _stiff_on_both_sides(finding, side, [case.findings[i] for i in counted], model)
        found = [
            BinaryObservation(
                index, (finding.procedure, outcome), side, finding.level, *_own_way(outcome, evidence, both, model)
            )
            for outcome, evidence in _outcomes(finding, model)
        ]
        if index in compared and finding.other is None:
            finding = replace(finding, other=case.findings[compared[index]].value)
        angle = None if index in only_controls else _angle(index, finding, side, model)
        binaries += found
        angles += [angle] if angle else []
        if not found and angle is None and finding.procedure != "beighton" and index not in only_controls:
            unused.append(index)
    superseded = tuple(i for i in range(len(case.findings)) if i not in set(counted))
    return Observations(tuple(binaries), tuple(angles), tuple(unused), superseded)


def _stiff_on_both_sides(finding: Finding, side: Side | None, others: list[Finding], model: Model) -> bool:
    """Whether the same glide was felt at least as stiff on the person's other side."""
    grade = finding.mobility
    if grade is None or grade > model.parameters["hypo_grade"] or side is None:
        return False
    return any(
        (one.procedure, one.level) == (finding.procedure, finding.level)
        and one.side not in (None, side)
        and one.mobility is not None
        and one.mobility <= model.parameters["hypo_grade"]
        for one in others
    )


def _own_way(outcome: str, evidence: Evidence, both_sides: bool, model: Model) -> tuple[Evidence, float]:
    """Evidence and the part of it that counts. Stiffness that both sides have may be the person's own, or the hand's:
    it says less about either. What rather speaks against an outcome, without excluding it, counts as part of a no."""
    if both_sides and outcome in ("hypo", "very_stiff") and evidence == SEEN:
        return (1.0, model.parameters["symmetric_stiffness_doubt"]), 1.0
    if 0.0 < evidence[0] < evidence[1]:
        return NOT_SEEN, 1.0 - evidence[0] / evidence[1]
    return evidence, 1.0


def _outcomes(finding: Finding, model: Model) -> Iterator[tuple[str, Evidence]]:
    """Outcome and evidence, for the outcomes the model has links for."""
    known = model.outcomes_of(finding.procedure)
    if not known:
        return
    pain = _pain(finding, model)
    main = _result(finding.result)
    weak = _weak(finding, model)
    play = "hyper" in known or "hypo" in known
    if finding.procedure in model.parameters.weakness_or_pain and "positive" in known:
        yield from _weakness_or_pain(finding, known, main, weak, pain, model)
        return
    if "weak" in known and not (main and "positive" in known):
        if weak is None and (finding.result in _STRENGTH_WORDS or not {"pain", "positive"} & set(known)):
            weak, main = main, None
        if weak:
            yield "weak", weak
            yield from _how_weak(finding, known, weak, model)
    graded = play and finding.mobility is not None
    if "positive" in known:
        feared = None if play or finding.apprehension is None else SEEN if finding.apprehension else NOT_SEEN
        sore = None if graded or (play and "pain" in known) or finding.result is Result.UNCLEAR else pain
        evidence = main or feared or sore
        if evidence:
            yield "positive", evidence
    if "pain" in known and (play or "positive" not in known):
        palpated = model.catalogue[finding.procedure].outcomes is OutcomeKind.PALPATION
        evidence = pain or (main if palpated and "positive" not in known else None)
        if evidence:
            yield "pain", evidence
    yield from _mobility(finding, known, model)
    if finding.apprehension is not None and "apprehension" in known and (play or "positive" not in known):
        yield "apprehension", SEEN if finding.apprehension else NOT_SEEN
    if finding.end_feel is not None:
        for outcome, felt in answers(finding.end_feel, known):
            if not _felt_as_play(outcome, finding, model):
                yield outcome, SEEN if felt else NOT_SEEN


def _felt_as_play(outcome: str, finding: Finding, model: Model) -> bool:
    """Whether this end feel is the same sensation as the play already recorded: loose is slack, and the early
    capsular end of a glide is its stiffness."""
    play = finding.mobility is not None or finding.result is not None
    gliding = model.catalogue[finding.procedure].outcomes in (OutcomeKind.GLIDE, OutcomeKind.STRESS)
    return play and gliding and outcome in SAME_AS_PLAY


def counted_once(known: tuple[str, ...]) -> tuple[str, ...]:
    """The outcomes of a procedure that are events of their own. Where there is a result, its slackness, stiffness and
    weakness are that result again; so are pain and apprehension, unless the test also moves a joint."""
    if "positive" not in known:
        return known
    same = {"weak", "hyper", "hypo"} | (set() if {"hyper", "hypo"} & set(known) else {"pain", "apprehension"})
    inside = {inner for outcome, inner in DEGREES.items() if outcome in same and inner != WEAK_WITHIN}
    if WEAK_WITHIN in known:
        inside = set()
    return tuple(one for one in known if one not in same | inside)


def _weakness_or_pain(
    finding: Finding,
    known: tuple[str, ...],
    main: Evidence | None,
    weak: Evidence | None,
    pain: Evidence | None,
    model: Model,
) -> Iterator[tuple[str, Evidence]]:
    """A resisted test whose published event is weakness or pain: that event once, and of what was seen, how weak and
    whether without pain."""
    event = main or _either(weak, pain)
    if main is None and (weak is None) is not (pain is None) and SEEN not in (weak, pain):
        share = model.parameters["weak_within_by_chance_share"]
        told, other = (pain, share) if pain else (weak, 1.0 - share)
        event = (told[0] + other * told[1], told[1]) if told else None
    if event is None:
        return
    yield "positive", event
    sure = _share_of(event)
    if sure > 0.0 and weak is not None and WEAK_WITHIN in known:
        yield WEAK_WITHIN, tempered(weak, sure)
        if event == SEEN:
            yield from _how_weak(finding, known, weak, model)
            if weak == SEEN and pain and PAINLESS in known:
                yield PAINLESS, (pain[1], pain[0])


def _either(one: Evidence | None, other: Evidence | None) -> Evidence | None:
    """Evidence that at least one of two signs was there; None unless both were looked at, or one was plainly there."""
    if SEEN in (one, other):
        return SEEN
    if one is None or other is None:
        return None
    neither = (1.0 - _share_of(one)) * (1.0 - _share_of(other))
    return _evidence_of(1.0 - neither)


def _share_of(evidence: Evidence) -> float:
    """How probable the outcome is by this evidence alone, at even odds."""
    return evidence[0] / (evidence[0] + evidence[1])


def _evidence_of(share: float) -> Evidence:
    most = max(share, 1.0 - share)
    return share / most, (1.0 - share) / most


def tempered(evidence: Evidence, sure: float) -> Evidence:
    """What is asked only inside an event that is itself not sure counts by how sure that is."""
    return 1.0 - sure + sure * evidence[0], 1.0 - sure + sure * evidence[1]


def _how_weak(finding: Finding, known: tuple[str, ...], weak: Evidence, model: Model) -> Iterator[tuple[str, Evidence]]:
    """Of what is weak, whether very: by the grade, with one that lies between, or by how much force is left."""
    if "very_weak" not in known:
        return
    of = model.parameters
    if weak == SEEN and finding.strength is not None:
        between = finding.strength == of["middle_strength_grade"]
        plain = SEEN if finding.strength <= of["very_weak_grade"] else NOT_SEEN
        yield "very_weak", (1.0, of["middle_strength_evidence"]) if between else plain
    elif weak[0] > weak[1] and finding.strength is None and _force_ratio(finding) is not None:
        ratio, sd = _force_ratio(finding) or 0.0, of["force_log_sd"] * 2.0
        very, merely = max(0.0, ratio - of["very_weak_log_ratio"]), min(0.0, ratio - of["weak_log_ratio"])
        yield "very_weak", (math.exp(-(very**2) / (2 * sd * sd)), math.exp(-(merely**2) / (2 * sd * sd)))


def _result(result: Result | None) -> Evidence | None:
    if result in _ABNORMAL:
        return SEEN
    return NOT_SEEN if result in _PLAIN else None


def _pain(finding: Finding, model: Model) -> Evidence | None:
    """The familiar symptom counts most; without that word the size of the pain tells how sure it is that the test
    provoked something."""
    if finding.familiar is not None:
        return SEEN if finding.familiar else NOT_SEEN
    return None if finding.pain is None else pain_told(finding.pain, model)


def pain_told(points: float, model: Model) -> Evidence:
    """What a pain of so many points of 10 says of whether it counts as provoked: nothing is a plain no, at the middle
    it says neither, and every point from there multiplies the ratio."""
    if points <= 0.0:
        return NOT_SEEN
    of = model.parameters
    return _evidence_of(1.0 / (1.0 + math.exp(-of["pain_point_log_ratio"] * (points - of["pain_middle"]))))


def _weak(finding: Finding, model: Model) -> Evidence | None:
    """From a manual grade, or from force against the other side (graded, with its measurement error)."""
    if finding.strength is not None:
        return SEEN if finding.strength < model.parameters["full_strength"] else NOT_SEEN
    ratio, sd = _force_ratio(finding), model.parameters["force_log_sd"]
    if ratio is not None:
        weak = math.exp(-((ratio - model.parameters["weak_log_ratio"]) ** 2) / (2 * sd * sd))
        full = math.exp(-((min(ratio, 0.0)) ** 2) / (2 * sd * sd))
        weak = 1.0 if ratio < model.parameters["weak_log_ratio"] else weak
        most = max(weak, full)
        return weak / most, full / most
    return None


def _force_ratio(finding: Finding) -> float | None:
    """Log of the force against the other side's."""
    if finding.unit in (Unit.NEWTONS, Unit.KILOGRAMS) and finding.value and finding.other:
        return math.log(finding.value / finding.other)
    return None


def _mobility(finding: Finding, known: tuple[str, ...], model: Model) -> Iterator[tuple[str, Evidence]]:
    grade = finding.mobility
    told = "positive" in known and _result(finding.result)
    if grade is None and finding.result is not None and ("hypo" in known or "hyper" in known):
        if "positive" in known or "weak" in known:
            return
        stiff, slack = finding.result in (Result.REDUCED, Result.ABSENT), finding.result is Result.INCREASED
        if not stiff and not slack and finding.result is not Result.NORMAL:
            return
    elif grade is None:
        return
    else:
        stiff, slack = grade <= model.parameters["hypo_grade"], grade >= model.parameters["hyper_grade"]
    if "hypo" in known and not told:
        yield "hypo", SEEN if stiff else NOT_SEEN
    if "hyper" in known and not stiff and not told:
        yield "hyper", SEEN if slack else NOT_SEEN
    if grade is not None and stiff and "very_stiff" in known:
        yield "very_stiff", SEEN if grade <= model.parameters["very_stiff_grade"] else NOT_SEEN
    if grade is not None and slack and "very_slack" in known:
        yield "very_slack", SEEN if grade >= model.parameters["very_slack_grade"] else NOT_SEEN


def _angle(index: int, finding: Finding, side: Side | None, model: Model) -> AngleObservation | None:
    spec = model.angles.get(finding.procedure)
    if spec is None or finding.value is None or not spec.measures(finding.unit):
        return None
    limit, share = limited_by(finding, model)
    step = spec.step_deg or 1.0
    if finding.other is not None:
        sd = math.sqrt(2 * spec.error_sd_deg**2 + spec.side_sd_deg**2)
        deficit = step * (finding.other - finding.value)
        return AngleObservation(index, finding.procedure, side, deficit, sd, False, limit, share)
    sd = math.hypot(spec.error_sd_deg, spec.normal_sd_deg)
    deficit = spec.normal_deg - step * finding.value
    return AngleObservation(index, finding.procedure, side, deficit, sd, True, limit, share)


def limited_by(finding: Finding, model: Model) -> tuple[str, float]:
    """An apprehensive motion was stopped for that; else an active motion may stop for pain unless none was felt, a
    passive one for guarding when pain or spasm was. How far, by the size of the pain."""
    if finding.apprehension:
        return "stopped", 1.0
    told = None if finding.pain is None else _share_of(pain_told(finding.pain, model))
    if model.catalogue[finding.procedure].outcomes is OutcomeKind.ACTIVE:
        share = 1.0 if told is None or finding.familiar else told
        return ("pain", share) if share > 0.0 else ("", 1.0)
    guarded = finding.familiar is True or finding.end_feel in (EndFeel.SPASM, EndFeel.EMPTY)
    share = 1.0 if guarded else told or 0.0
    return ("guarding", share) if share > 0.0 else ("", 1.0)
