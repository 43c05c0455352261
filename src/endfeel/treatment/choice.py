"""Techniques for this person: what may be offered, what waits for screening and consent, what is left out and why.

Safety decides first; then need, dose and position order what is left. Leaving things as they are is always there.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from endfeel.evidence.figures import Figure, number
from endfeel.evidence.library import Library, Row
from endfeel.inference import Belief, Posterior
from endfeel.measurement.signs import Sign, comparable_signs
from endfeel.safety import Urgency, Verdict
from endfeel.treatment.decision import BASELINE, SORE, Course, Decision, gain_of
from endfeel.treatment.decision import TABLE as COURSES
from endfeel.treatment.directions import GlideDirection, glide_directions
from endfeel.treatment.limits import FIRST, Bars, Preference
from endfeel.treatment.techniques import OPEN_TO_ALL, Dose, Technique, dose_of, parameter, techniques
from endfeel.vocabulary import Case, Irritability, Position, Side

UNCHANGED = "nothing_different"
BY_RULE = "refer_opinion"
"""The technique that stands for an opinion which a rule asks for."""
EXPECTED = (
    "Points of 100 at about twelve weeks against advice and time: judgement that rests on trials of other people. "
    "The trials nearest to the technique stand beside it with their own comparator."
)
_LEVELS = {"CT": ("C7", "T1", "T2"), "TX": ("T3", "T4", "T5", "T6", "T7", "T8", "T9")}
"""Segments by the joint that a technique is for."""


@dataclass(frozen=True, slots=True)
class Effect:
    """What one trial or review found, as its row says it."""

    figure: Figure
    tried: str
    outcome: str
    comparator: str
    people: str
    certainty: str

    @property
    def words(self) -> str:
        """`Manual therapy added to exercise, pain: SMD -0.32 (-0.62 to -0.01) against exercise alone, in adults`."""
        against = f" against {self.comparator}" if self.comparator not in ("", "none") else ""
        return f"{self.tried}, {self.outcome}: {self.figure.text}{against}, in {self.people}"


@dataclass(frozen=True, slots=True)
class Offer:
    """One technique for this person."""

    technique: Technique
    side: Side | None
    level: str | None
    position: Position
    stays: bool
    """Whether it can be done where the person is now."""
    needed_for: tuple[tuple[str, float], ...]
    """Contributors it treats with their probabilities, the most probable first."""
    dose: Dose
    dosed_for: Irritability
    expected_points: float
    expected_low: float
    expected_high: float
    """Of the points `EXPECTED` speaks of; nothing for what every course is measured against."""
    harm_words: str
    effects: tuple[Effect, ...]
    against: tuple[str, ...]
    """What speaks against it here."""
    signs: tuple[Sign, ...]
    """What to do again after it."""
    support: int
    """How far rule, publications and model favour its direction here; 0 where no direction is asked for."""
    figures: tuple[str, ...]
    """Everything it rests on."""
    source: str
    provenance: str
    why: str = ""
    """What the rule says that asks for it, where one does."""

    @property
    def name(self) -> str:
        """With side and level, as it is recorded."""
        place = " ".join(part for part in (str(self.side or ""), self.level or "") if part)
        return f"{self.technique.name}, {place}" if place else self.technique.name


@dataclass(frozen=True, slots=True)
class Locked:
    """A technique behind its screening and consent."""

    offer: Offer
    questions: tuple[str, ...]
    """Plain questions of the screen that are not answered."""
    needs_consent: bool


@dataclass(frozen=True, slots=True)
class LeftOutTechnique:
    technique: Technique
    reason: str


@dataclass(frozen=True, slots=True)
class Choice:
    """What may be done now."""

    offers: tuple[Offer, ...]
    """What safety asks for first, then what can be done in this position, then the rest, by expected gain."""
    unchanged: Offer
    """Nothing different: always open."""
    locked: tuple[Locked, ...]
    left_out: tuple[LeftOutTechnique, ...]
    directions: tuple[GlideDirection, ...]
    signs: tuple[Sign, ...]
    """The one or two comparable signs of the visit."""
    stage: str
    """`acute`, `subacute`, `persistent` or `not known`."""
    irritability: Irritability
    position: Position
    withheld: bool
    caveats: tuple[str, ...] = field(default=())

    @property
    def everything(self) -> tuple[Offer, ...]:
        """Every technique on offer, nothing different last."""
        return *self.offers, self.unchanged

    def named(self, technique_id: str) -> Offer | None:
        """The offer of a technique, locked ones included; None when it is not on offer."""
        every = (*self.everything, *(one.offer for one in self.locked))
        return next((one for one in every if one.technique.id == technique_id), None)


def choose(
    posterior: Posterior,
    decision: Decision,
    verdict: Verdict,
    library: Library,
    *,
    position: Position = Position.SITTING,
    preference: Preference | None = None,
    instrument: str | None = None,
    rater: str = "intra",
) -> Choice:
    """Every technique of the evidence, sorted into offered, locked and left out."""
    case = posterior.case
    beliefs = _concerned(posterior.beliefs, case.complaint.side)
    highest: dict[str, float] = {}
    for belief in posterior.beliefs:
        highest[belief.contributor] = max(highest.get(belief.contributor, 0.0), belief.probability)
    names = {belief.contributor: belief.name for belief in posterior.beliefs}
    bars = Bars(case, verdict, highest, names, preference or Preference(), library)
    directions = glide_directions(case, posterior, library)
    stage = _stage(case, library)
    maker = _Maker(posterior, decision, bars, beliefs, directions, position, stage, instrument, rater)
    offers, locked, left_out = [], [], []
    for one in techniques(library):
        if one.id == UNCHANGED or (one.id == FIRST and not _asks_first(verdict)):
            continue
        needing = maker.needing(one)
        if one.treatment_class and not needing:
            continue
        reason = bars.reason_against(one) or maker.idle(one, needing)
        if reason:
            left_out.append(LeftOutTechnique(one, reason))
            continue
        offer = maker.offer(one, needing)
        questions, consent = bars.open_questions(one), one.needs_consent and one.id not in bars.preference.consented
        if questions or consent:
            locked.append(Locked(offer, _plain(questions, library), consent))
        else:
            offers.append(offer)
    unchanged = next(one for one in techniques(library) if one.id == UNCHANGED)
    return Choice(
        tuple(sorted(offers, key=_order)),
        maker.offer(unchanged, ()),
        tuple(locked),
        tuple(left_out),
        () if verdict.withholds_treatment else directions,
        maker.signs(()),
        maker.stage,
        case.complaint.irritability or Irritability.MODERATE,
        position,
        verdict.withholds_treatment,
        (*_caveats(case), *(one.sentence for one in decision.both_open)),
    )


@dataclass(frozen=True, slots=True)
class _Maker:
    posterior: Posterior
    decision: Decision
    bars: Bars
    beliefs: tuple[Belief, ...]
    directions: tuple[GlideDirection, ...]
    position: Position
    stage: str
    instrument: str | None
    rater: str

    @property
    def library(self) -> Library:
        return self.bars.library

    def needing(self, one: Technique) -> tuple[Belief, ...]:
        """What it would treat that is probable enough, the most probable first."""
        least, levels = parameter(self.library, "least_probability"), _LEVELS.get(one.joint)
        mine = [
            belief
            for belief in self.beliefs
            if belief.contributor in one.contributors
            and belief.probability >= least
            and (belief.level is None or levels is None or belief.level in levels)
        ]
        if one.id == BY_RULE:
            named = {name for course in self.asked for name, _ in course.needed_for}
            mine += [belief for belief in self.beliefs if belief.name in named and belief not in mine]
        return tuple(sorted(mine, key=lambda belief: -belief.probability))

    @property
    def asked(self) -> tuple[Course, ...]:
        """Opinions that a rule asks for."""
        return tuple(course for course in self.decision.courses if course.rule)

    def idle(self, one: Technique, needing: tuple[Belief, ...]) -> str:
        """Why it promises nothing here: not examined, or more harm than good."""
        if one.kind in OPEN_TO_ALL or one.id == FIRST or (one.id == BY_RULE and self.asked):
            return ""
        courses = [course for belief in needing if (course := course_for(belief, self.decision)) is not None]
        if not any(course.examined and not course.left_open for course in courses):
            return "rests on the story alone: examine first"
        if not any(course.examined and course.spoken_for for course in courses):
            return "nothing that was found speaks for it"
        points = self._points(one, needing)[0]
        return "expected to cost more than it brings" if points <= 0.0 else ""

    def offer(self, one: Technique, needing: tuple[Belief, ...]) -> Offer:
        dosed_for = self.bars.gentlest(one, self.stage)
        positions = self.bars.positions(one) or one.positions
        stays = self.position in positions
        dose = dose_of(self.library, one.family, dosed_for)
        points = self._points(one, needing)
        effects = tuple(_effect(self.library, row) for row in one.evidence)
        course = course_row(self.library, one.treatment_class or BASELINE, self.posterior.case.complaint.irritability)
        figures = [effect.figure.id for effect in effects] + [dose.words.id, *dose.basis]
        if one.treatment_class:
            figures += [course.figures["benefit_points"].id, course.figures["harm_points"].id]
        first = needing[0] if needing else None
        return Offer(
            one,
            first.side if first else None,
            first.level if first else None,
            self.position if stays else positions[0],
            stays,
            tuple((f"{b.name} {b.level}" if b.level else b.name, b.probability) for b in needing),
            dose,
            dosed_for,
            *points,
            course.text["harm_words"] if one.treatment_class else "",
            effects,
            self.bars.cautions(one),
            () if one.kind in ("wait", "referral", "education") else self.signs(one.retest),
            self._support(one),
            tuple(dict.fromkeys(figures)),
            one.source,
            one.provenance,
            "; ".join(course.why for course in self.asked) if one.id == BY_RULE else "",
        )

    def signs(self, among: Iterable[str]) -> tuple[Sign, ...]:
        case = self.posterior.case
        side = case.complaint.side
        mine = [one for one in case.findings if side is None or one.side in (side, None)]
        return comparable_signs(
            mine, self.library, forbidden=self.bars.verdict.forbidden, among=among, instrument=self.instrument,
            rater=self.rater,
        )  # fmt: skip

    def _points(self, one: Technique, needing: tuple[Belief, ...]) -> tuple[float, float, float]:
        if not one.treatment_class or not needing:
            return 0.0, 0.0, 0.0
        row = course_row(self.library, one.treatment_class, self.posterior.case.complaint.irritability)
        opposed = max((course.opposed_points for course in self.decision.courses
                       if (course.treatment_class, course.region, course.side)
                       == (one.treatment_class, needing[0].region, needing[0].side)), default=0.0)  # fmt: skip
        level = (self.posterior.case.complaint.irritability or Irritability.MODERATE).value
        factor = self.posterior.model.parameters[f"harm_factor_{level}"]
        effort = self.decision.effort_points
        benefit, harm, need = row.figures["benefit_points"], row.figures["harm_points"], needing[0]
        return (
            gain_of(need.probability, number(benefit), number(harm) * factor, effort) - opposed,
            gain_of(need.low, _end(benefit, "low"), _end(harm, "high") * factor, effort) - opposed,
            gain_of(need.high, _end(benefit, "high"), _end(harm, "low") * factor, effort) - opposed,
        )

    def _support(self, one: Technique) -> int:
        if one.joint != "GH" or one.kind != "mobilisation":
            return 0
        return max((asked.support(one.direction) for asked in self.directions), default=0)


def course_for(belief: Belief, decision: Decision) -> Course | None:
    """The course that a contributor calls for, out of those that were decided on."""
    place = belief.treatment_class, belief.region, belief.side
    return next((one for one in decision.courses if (one.treatment_class, one.region, one.side) == place), None)


def course_row(library: Library, treatment_class: str, irritability: Irritability | None) -> Row:
    """The row of a class of treatment: its gentler form where irritability is high and there is one."""
    rows = library.tables[COURSES].rows
    sore = f"{treatment_class}_{SORE}"
    return rows[sore] if irritability is Irritability.HIGH and sore in rows else rows[treatment_class]


def _end(figure: Figure, which: str) -> float:
    end = figure.low if which == "low" else figure.high
    return number(figure) if end is None else end


def _concerned(beliefs: Iterable[Belief], side: Side | None) -> tuple[Belief, ...]:
    """What concerns the side complained of, or the middle."""
    return tuple(one for one in beliefs if side is None or one.side in (side, None))


def _asks_first(verdict: Verdict) -> bool:
    return verdict.withholds_treatment or verdict.urgency.rank >= Urgency.REFER.rank


def _order(offer: Offer) -> tuple[int, bool, float, int]:
    """What safety asks for, and what only another can help, first; then techniques, those of this position before those
    that need a turn, by gain and by support for their direction; then opinions and words."""
    one = offer.technique
    group = 0 if one.id == FIRST else 1 if one.treatment_class == "refer" else 2
    later = {"referral": 3, "education": 4}
    group = later.get(one.kind, group) if group == 2 else group
    return group, not offer.stays, -round(offer.expected_points, 1), -offer.support


def _stage(case: Case, library: Library) -> str:
    weeks = case.complaint.weeks
    if weeks is None:
        return "not known"
    if weeks <= parameter(library, "acute_weeks"):
        return "acute"
    return "persistent" if weeks >= parameter(library, "persistent_weeks") else "subacute"


def _effect(library: Library, row_id: str) -> Effect:
    row = library.tables["treatment_evidence"].rows[row_id]
    text: Mapping[str, str] = row.text
    parts = (text[one] for one in ("intervention", "outcome", "comparator", "target", "certainty"))
    return Effect(row.statements["effect"], *parts)


def _plain(cues: tuple[str, ...], library: Library) -> tuple[str, ...]:
    questions = {cue["id"]: cue["question"] for cue in library.documents["safety_rules"]["cue"]}
    return tuple(questions[cue] for cue in cues)


def _caveats(case: Case) -> tuple[str, ...]:
    said = []
    if case.complaint.irritability is None:
        said.append("Irritability is not recorded: doses are those for moderate irritability.")
    if case.complaint.weeks is None:
        said.append("How long it has lasted is not recorded: the stage is not known.")
    return tuple(said)
