"""Contributors to courses of treatment or referral, each with its expected benefit and harm.

A course is needed when at least one contributor of its class and region is there. Its expected gain is
P(needed) * benefit - P(not needed) * harm - effort, in points of 100 against advice and time, less what it costs where
the same joint is the other way (slack where mobilised, stiff where only strengthened). Courses do not exclude each
other, so each is worth starting when its own gain is above nothing. It is proposed when what was found speaks for
its need; a need that the story alone makes probable asks to be examined, and normal tests close it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import partial
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from endfeel.evidence.figures import Figure, number
from endfeel.evidence.library import Library, Row
from endfeel.inference import Posterior
from endfeel.inference.candidates import SAMPLES, SEED
from endfeel.inference.factors import Factor
from endfeel.safety import Verdict
from endfeel.treatment.conflicts import SLACK_CLASSES, STIFF_CLASS, BothOpen, Clash, both_open, clashes, likeliest, lost
from endfeel.treatment.opinion import Asked, opinions
from endfeel.vocabulary import Irritability, Side

POINTS = (
    "Points of 100 on a scale of pain and disability at about twelve weeks, against advice and time: a judgement that "
    "rests on trials of other people. It supports your choice with the person; it does not make it."
)
TABLE = "treatment_courses"
BASELINE = "advice"
OPINION = "opinion"
CLASHING = (STIFF_CLASS, *SLACK_CLASSES)
REGION_WORDS: Mapping[str, str] = {
    "thoracic": "mid-thorax and ribs",
    "cervicothoracic": "lower neck and first rib",
    "scapulothoracic": "shoulder blade",
    "sternoclavicular": "SC joint",
    "acromioclavicular": "AC joint",
    "glenohumeral": "shoulder joint",
}

Number = TypeVar("Number", float, NDArray[np.float64])


@dataclass(frozen=True, slots=True)
class Course:
    """One course of treatment or referral at one region and side."""

    treatment_class: str
    region: str
    side: Side | None
    name: str
    kind: str
    """`treatment` or `referral`."""
    needed_for: tuple[tuple[str, float], ...]
    """Contributors that call for it with their probabilities, the most probable first."""
    needed: float
    needed_low: float
    needed_high: float
    benefit_points: float
    harm_points: float
    """As counted in this person: irritability makes harm weigh more or less."""
    expected_points: float
    expected_low: float
    expected_high: float
    """Range when need, benefit and harm all stand at their ends; wider than a 90 % interval."""
    open_points: float
    """What certainty about the need would add: nothing when the choice stands whatever is true."""
    harm_words: str
    examined: bool
    """Whether anything found can speak about the need; else it rests on the story alone."""
    figures: tuple[str, ...]
    provenance: str
    story_needed: float = 0.0
    """How probable the need was by the story alone."""
    spoken_for: bool = True
    """Whether what was found speaks for the need: only then it is proposed."""
    held_points: float = 0.0
    """Where nothing speaks for it: the gain that the story alone promises; tests count from there."""
    opposed_points: float = 0.0
    """What is lost, expected, because the same joint may be the other way; taken off the gain already."""
    opposed_words: str = ""
    left_open: bool = False
    """Whether nothing speaks for it, and what of it nobody examined would promise a gain by itself."""
    stage: str = ""
    """`sore` where irritability is high and a gentler form of the course stands in its place; else empty."""
    rule: str = ""
    """Rule that asks for it, where it is an opinion asked for by rule."""
    why: str = ""
    """What the rule says."""
    nearness: float = 1.0
    """How much what is to be learned about its need counts: less where it lies far from the complaint and nothing
    speaks for it."""


@dataclass(frozen=True, slots=True)
class Decision:
    """What the contributors call for, the largest expected gain first."""

    courses: tuple[Course, ...]
    effort_points: float
    """What any course costs in time and effort, needed or not."""
    withheld: bool
    """Safety comes first: nothing is to be treated before the action of the verdict is taken."""
    baseline: str
    """What every course is measured against; always open."""
    baseline_figures: tuple[str, ...]
    members: tuple[tuple[int, ...], ...]
    """Instances of the network behind each course."""
    reckoned: dict[object, object] = field(default_factory=dict, compare=False, repr=False)
    """Worths of tests reckoned so far: the plan and the next test ask for the same ones."""
    clashes: tuple[tuple[Clash, ...], ...] = ()
    """What may speak against each course because the joint is the other way."""
    both_open: tuple[BothOpen, ...] = ()
    """Joints of which it is open whether they are slack or stiff."""

    @property
    def worthwhile(self) -> tuple[Course, ...]:
        """Courses that promise a gain and whose need something found speaks for; none while treatment is withheld."""
        return () if self.withheld else tuple(c for c in self._promising if c.examined and c.spoken_for)

    @property
    def unexamined(self) -> tuple[Course, ...]:
        """Courses that promise something by what nobody examined: examine first."""
        return () if self.withheld else tuple(c for c in self._promising if not c.examined or c.left_open)

    @property
    def closed(self) -> tuple[Course, ...]:
        """Courses that would promise something by the story, but that what was found does not speak for."""
        if self.withheld:
            return ()
        return tuple(c for c in self._promising if c.examined and not c.spoken_for and not c.left_open)

    @property
    def _promising(self) -> tuple[Course, ...]:
        return tuple(course for course in self.courses if course.expected_points > 0.0)

    def values(self, needed: NDArray[np.bool_], states: NDArray[np.bool_]) -> NDArray[np.float64]:
        """(draws, courses) points gained by starting each course where it is needed or not; for a course that nothing
        speaks for, counted from what the story alone promises."""
        columns = []
        for k, course in enumerate(self.courses):
            gain = np.where(needed[:, k], course.benefit_points, -course.harm_points) - self.effort_points
            if self.clashes and self.clashes[k]:
                gain = gain - lost(course.treatment_class, list(self.clashes[k]), states)
            columns.append(course.nearness * (gain - course.held_points))
        return np.stack(columns, axis=1) if columns else np.zeros((len(needed), 0))

    @property
    def weights(self) -> NDArray[np.float64]:
        """(instances,) how open the choice is that each contributor bears on, as a share of the most open one."""
        count = 1 + max((i for mine in self.members for i in mine), default=-1)
        found = np.zeros(count)
        most = max((course.open_points for course in self.courses), default=0.0)
        for course, mine in zip(self.courses, self.members, strict=True):
            found[list(mine)] = np.maximum(found[list(mine)], course.open_points / most if most > 0.0 else 1.0)
        return found

    def near(self, count: int) -> NDArray[np.float64]:
        """(count,) 1 for each contributor that lies near the complaint or that something found speaks for, else 0: a
        test that changes nothing and only refines is not worth its minute elsewhere."""
        found = np.zeros(count)
        for course, mine in zip(self.courses, self.members, strict=True):
            found[list(mine)] = np.maximum(found[list(mine)], float(course.nearness >= 1.0))
        return found


SORE = "sore"
_SURE = 1.0 - 1e-9


def decide(posterior: Posterior, library: Library, verdict: Verdict) -> Decision:
    """Every course that some contributor calls for, and opinions that a rule asks for; a gain that differs by less than
    a point is no difference, and the course whose first contributor is the surer stands first."""
    table = library.tables[TABLE].rows
    parameters = posterior.model.parameters
    irritability = posterior.case.complaint.irritability or Irritability.MODERATE
    factor, effort = parameters[f"harm_factor_{irritability.value}"], parameters["course_effort_points"]
    states, _ = posterior.solution.draw(SAMPLES, SEED)
    spoken = _Spoken.of(posterior)
    groups = _groups(posterior)
    against = clashes(posterior, library, groups)
    made: list[Made] = []
    for (kind, region, side), members in groups.items():
        rules = against.get((kind, region, side), [])
        sore = irritability is Irritability.HIGH and f"{kind}_{SORE}" in table
        row = table[f"{kind}_{SORE}" if sore else kind]
        course = _course(row, kind, region, side, members, posterior, states, factor, effort, spoken, rules)
        near = _nearness(region, members, posterior, library, spoken)
        course = replace(course, stage=SORE if sore else "", nearness=near, open_points=near * course.open_points)
        made.append((course, tuple(members), tuple(rules)))
    for asked in opinions(posterior, library):
        there = next((k for k, one in enumerate(made) if _covers(one[0], one[1], asked)), None)
        if there is None:
            opinion = _course(
                table[OPINION],
                OPINION,
                asked.region,
                asked.side,
                asked.members,
                posterior,
                states,
                factor,
                effort,
                spoken,
            )
            made.append((_by_rule(opinion, asked), asked.members, ()))
        else:
            made[there] = (_by_rule(made[there][0], asked), *made[there][1:])
    made = _in_order(made)
    base = table[BASELINE]
    return Decision(
        tuple(course for course, _, _ in made),
        effort,
        verdict.withholds_treatment,
        base.text["name"],
        tuple(base.text["basis"].split()),
        tuple(members for _, members, _ in made),
        clashes=tuple(rules for _, _, rules in made),
        both_open=both_open(
            {
                (course.treatment_class, course.region, course.side): list(rules)
                for course, _, rules in made
                if rules and _weighed(course, [one for one, _, _ in made])
            },
            posterior,
            states,
            REGION_WORDS,
            partial(_is_spoken_for, posterior=posterior, spoken=spoken),
        ),
    )


Made = tuple[Course, tuple[int, ...], tuple[Clash, ...]]
_SAME_POINTS = 1.0
"""Gains that differ by no more are told as alike: their intervals are ten times as wide."""


def _in_order(made: Sequence[Made]) -> list[Made]:
    """Largest gain first; of those alike with the first of them, the one whose leading contributor is the surest."""
    left = sorted(made, key=lambda one: -one[0].expected_points)
    order: list[Made] = []
    while left:
        first = left[0][0].expected_points
        alike = [one for one in left if one[0].expected_points >= first - _SAME_POINTS]
        order += sorted(alike, key=lambda one: (-one[0].needed_for[0][1], -one[0].expected_points))
        left = left[len(alike) :]
    return order


def _weighed(course: Course, courses: Sequence[Course]) -> bool:
    """Whether this course, or another kind of course at the same joint, is one that promises something."""
    return any(
        one.expected_points > 0.0 and one.examined and (one.spoken_for or one is course)
        for one in courses
        if (one.region, one.side) == (course.region, course.side) and one.treatment_class in CLASHING
    )


@dataclass(frozen=True, slots=True)
class _Spoken:
    """What the findings say of each contributor by themselves."""

    touched: frozenset[int]
    """Instances that some finding can speak about."""
    raised: frozenset[int]
    """Instances that some finding, by itself, makes more probable."""

    @classmethod
    def of(cls, posterior: Posterior) -> _Spoken:
        network = posterior.solution.network
        raised: set[int] = set()
        weights = np.exp(network.node_log_weights)
        factors: tuple[Factor, ...] = (*network.binaries, *network.angles)
        for one in factors:
            parents = one.parents.tolist()
            if not one.couples:
                continue
            none = (0,) * len(parents)
            without = float((weights * one.table[none]).sum())
            for k, parent in enumerate(parents):
                alone = one.table[(*none[:k], 1, *none[k + 1 :])]
                if float((weights * alone).sum()) > without:
                    raised.add(parent)
        return cls(network.touched, frozenset(raised))


def _nearness(region: str, members: Sequence[int], posterior: Posterior, library: Library, spoken: _Spoken) -> float:
    """How much it counts what is to be learned about a need in this region."""
    data, areas = library.documents["planning"]["nearness"], posterior.case.complaint.areas
    near = data["areas"].get(region)
    if not areas or near is None or set(near) & set(areas) or _is_spoken_for(members, posterior, spoken):
        return 1.0
    return float(data["far_share"])


def _groups(posterior: Posterior) -> dict[tuple[str, str, Side | None], list[int]]:
    found: dict[tuple[str, str, Side | None], list[int]] = {}
    for i, instance in enumerate(posterior.solution.network.instances):
        contributor = instance.contributor
        found.setdefault((contributor.treatment_class, contributor.region, instance.side), []).append(i)
    return found


def _course(
    row: Row,
    kind: str,
    region: str,
    side: Side | None,
    members: Sequence[int],
    posterior: Posterior,
    states: NDArray[np.bool_],
    factor: float,
    effort: float,
    spoken: _Spoken,
    rules: Sequence[Clash] = (),
) -> Course:
    beliefs = dict(zip(posterior.ranked, posterior.beliefs, strict=True))
    mine = sorted((beliefs[i] for i in members), key=lambda one: -one.probability)
    drawn = states[:, members].any(axis=1)
    needed = mine[0].probability if len(mine) == 1 else float(drawn.mean())
    needed = max(needed, mine[0].probability)
    low = min(needed, max(one.low for one in mine))
    high = max(needed, _any(np.array([one.high for one in mine])))
    benefit, harm = row.figures["benefit_points"], row.figures["harm_points"]
    gain, loss = number(benefit), number(harm) * factor
    opposed, opposed_low, opposed_high = (float(lost(kind, list(rules), states, end).mean()) for end in (0, 1, 2))
    expected = gain_of(needed, gain, loss, effort) - opposed
    place = ", ".join(part for part in (REGION_WORDS.get(region, region), side.value if side else "") if part)
    stake = np.where(drawn, gain, -loss) - effort - lost(kind, list(rules), states)
    story, bar, for_it = _for_need(members, needed, posterior, spoken)
    held = 0.0 if for_it else max(0.0, expected + (gain + loss) * (bar - needed))
    heard = partial(_is_spoken_for, posterior=posterior, spoken=spoken)
    clash = likeliest(rules, posterior.solution.probability, heard) if opposed > 0.0 else None
    unseen = _any(posterior.solution.probability[[i for i in members if i not in spoken.touched]])
    return Course(
        kind,
        region,
        side,
        f"{row.text['name']} ({place})",
        row.text["kind"],
        tuple((f"{one.name} {one.level}" if one.level else one.name, one.probability) for one in mine),
        needed,
        low,
        high,
        gain,
        loss,
        expected,
        gain_of(low, _end(benefit, -1), _end(harm, 1) * factor, effort) - opposed_high,
        gain_of(high, _end(benefit, 1), _end(harm, -1) * factor, effort) - opposed_low,
        max(0.0, float((stake - held).clip(min=0.0).mean()) - max(0.0, expected - held)),
        row.text["harm_words"],
        not spoken.touched.isdisjoint(members),
        (benefit.id, harm.id, *row.text["basis"].split(), *_opposed_figures(kind, rules, opposed)),
        row.provenance.label,
        story,
        for_it,
        held,
        opposed,
        clash.says if clash else "",
        left_open=not for_it and gain_of(unseen, gain, loss, effort) - opposed > 0.0,
    )


def _for_need(
    members: Sequence[int], needed: float, posterior: Posterior, spoken: _Spoken
) -> tuple[float, float, bool]:
    """(need by the story, need from which it is spoken for, whether it is): a finding that by itself speaks for a
    member, and the odds of the need raised clearly above the story's, or a need all but sure."""
    parameters = posterior.model.parameters
    mine = list(members)
    before = _any(posterior.solution.network.prior[mine])
    now = _any(posterior.solution.probability[mine])
    rise = _log_odds(now) - _log_odds(before)
    least = parameters["speaks_for_decibans"] * np.log(10.0) / 10.0
    bar = float(1.0 / (1.0 + np.exp(-(_log_odds(needed) - rise + least))))
    heard = not spoken.raised.isdisjoint(mine)
    for_it = heard and bool(rise >= least or needed >= parameters["sure_need"])
    return before, bar if heard else max(bar, needed), for_it


def _is_spoken_for(members: Sequence[int], posterior: Posterior, spoken: _Spoken) -> bool:
    """Whether something found speaks for one of these."""
    return _for_need(members, _any(posterior.solution.probability[list(members)]), posterior, spoken)[2]


def _any(shares: NDArray[np.float64]) -> float:
    """Chance of at least one, as if independent."""
    return float(1.0 - np.prod(1.0 - shares))


def _log_odds(share: float) -> float:
    inside = min(max(share, 1.0 - _SURE), _SURE)
    return float(np.log(inside) - np.log1p(-inside))


def _opposed_figures(kind: str, rules: Sequence[Clash], opposed: float) -> tuple[str, ...]:
    """Figures of what is taken off, where anything is."""
    which = 0 if kind == STIFF_CLASS else 1
    return tuple(dict.fromkeys(one.figures[which] for one in rules)) if opposed > 0.0 else ()


def _covers(course: Course, members: tuple[int, ...], asked: Asked) -> bool:
    """Whether a course is a referral already for all that an opinion is asked for."""
    return course.kind == "referral" and set(asked.members) <= set(members)


def _by_rule(course: Course, asked: Asked) -> Course:
    """A course that a rule asks for: proposed for what the rule says once anything found can speak about it."""
    return replace(
        course, spoken_for=course.examined, held_points=0.0, rule=asked.rule, why=asked.says,
        figures=(*course.figures, *asked.figures),
    )  # fmt: skip


def gain_of(needed: Number, benefit: Number, harm: Number, effort: float) -> Number:
    """Points gained by starting a course that is needed with this probability; numbers, or arrays of one shape."""
    return needed * benefit - (1.0 - needed) * harm - effort


def _end(figure: Figure, way: int) -> float:
    end = figure.high if way > 0 else figure.low
    return number(figure) if end is None else end
