"""Contributors to courses of treatment or referral, each with its expected benefit and harm.

A course is needed when at least one contributor of its class and region is there. Its expected gain is
P(needed) * benefit - P(not needed) * harm - effort, in points of 100 against advice and time; courses do not exclude
each other, so each is worth starting when its own gain is above nothing.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from endfeel.evidence.figures import Figure, number
from endfeel.evidence.library import Library, Row
from endfeel.inference import Posterior
from endfeel.inference.candidates import SAMPLES, SEED
from endfeel.inference.factors import Factor
from endfeel.safety import Verdict
from endfeel.vocabulary import Irritability, Side

POINTS = (
    "Points of 100 on a scale of pain and disability at about twelve weeks, against advice and time: a judgement that "
    "rests on trials of other people. It supports your choice with the person; it does not make it."
)
TABLE = "treatment_courses"
BASELINE = "advice"
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

    @property
    def worthwhile(self) -> tuple[Course, ...]:
        """Courses that promise a gain and whose need was examined; none while treatment is withheld."""
        promising = (c for c in self.courses if c.examined and c.expected_points > 0.0)
        return () if self.withheld else tuple(promising)

    @property
    def unexamined(self) -> tuple[Course, ...]:
        """Courses that would promise as much by the story alone: examine first."""
        promising = (c for c in self.courses if not c.examined and c.expected_points > 0.0)
        return () if self.withheld else tuple(promising)

    @property
    def weights(self) -> NDArray[np.float64]:
        """(instances,) how open the choice is that each contributor bears on, as a share of the most open one."""
        count = 1 + max((i for mine in self.members for i in mine), default=-1)
        found = np.zeros(count)
        most = max((course.open_points for course in self.courses), default=0.0)
        for course, mine in zip(self.courses, self.members, strict=True):
            found[list(mine)] = course.open_points / most if most > 0.0 else 1.0
        return found


def decide(posterior: Posterior, library: Library, verdict: Verdict) -> Decision:
    """Every course that some contributor calls for."""
    table = library.tables[TABLE].rows
    parameters = posterior.model.parameters
    irritability = posterior.case.complaint.irritability or Irritability.MODERATE
    factor, effort = parameters[f"harm_factor_{irritability.value}"], parameters["course_effort_points"]
    states, _ = posterior.solution.draw(SAMPLES, SEED)
    factors: tuple[Factor, ...] = (*posterior.solution.network.binaries, *posterior.solution.network.angles)
    spoken_of = {int(i) for one in factors for i in one.parents}
    made = []
    for (kind, region, side), members in _groups(posterior).items():
        examined = not spoken_of.isdisjoint(members)
        course = _course(table[kind], region, side, members, posterior, states, factor, effort, examined=examined)
        made.append((course, tuple(members)))
    made.sort(key=lambda one: -one[0].expected_points)
    base = table[BASELINE]
    return Decision(
        tuple(course for course, _ in made),
        effort,
        verdict.withholds_treatment,
        base.text["name"],
        tuple(base.text["basis"].split()),
        tuple(members for _, members in made),
    )


def _groups(posterior: Posterior) -> dict[tuple[str, str, Side | None], list[int]]:
    found: dict[tuple[str, str, Side | None], list[int]] = {}
    for i, instance in enumerate(posterior.solution.network.instances):
        contributor = instance.contributor
        found.setdefault((contributor.treatment_class, contributor.region, instance.side), []).append(i)
    return found


def _course(
    row: Row,
    region: str,
    side: Side | None,
    members: Sequence[int],
    posterior: Posterior,
    states: NDArray[np.bool_],
    factor: float,
    effort: float,
    *,
    examined: bool,
) -> Course:
    beliefs = dict(zip(posterior.ranked, posterior.beliefs, strict=True))
    mine = sorted((beliefs[i] for i in members), key=lambda one: -one.probability)
    needed = mine[0].probability if len(mine) == 1 else float(states[:, members].any(axis=1).mean())
    needed = max(needed, mine[0].probability)
    low = min(needed, max(one.low for one in mine))
    high = max(needed, 1.0 - float(np.prod([1.0 - one.high for one in mine])))
    benefit, harm = row.figures["benefit_points"], row.figures["harm_points"]
    gain, loss = number(benefit), number(harm) * factor
    place = ", ".join(part for part in (REGION_WORDS.get(region, region), side.value if side else "") if part)
    return Course(
        row.id,
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
        gain_of(needed, gain, loss, effort),
        gain_of(low, _end(benefit, -1), _end(harm, 1) * factor, effort),
        gain_of(high, _end(benefit, 1), _end(harm, -1) * factor, effort),
        needed * max(0.0, gain - effort) - max(0.0, gain_of(needed, gain, loss, effort)),
        row.text["harm_words"],
        examined,
        (benefit.id, harm.id, *row.text["basis"].split()),
        row.provenance.label,
    )


def gain_of(needed: Number, benefit: Number, harm: Number, effort: float) -> Number:
    """Points gained by starting a course that is needed with this probability; numbers, or arrays of one shape."""
    return needed * benefit - (1.0 - needed) * harm - effort


def _end(figure: Figure, way: int) -> float:
    end = figure.high if way > 0 else figure.low
    return number(figure) if end is None else end
