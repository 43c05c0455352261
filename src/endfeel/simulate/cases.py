"""A simulated patient to examine: story, body chart, answers, hidden contributors, perhaps a danger."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from endfeel.body_chart import figure, region_path
from endfeel.evidence.library import Library
from endfeel.inference import Model
from endfeel.safety import notice, verdict
from endfeel.simulate.codes import CaseWish, Danger
from endfeel.simulate.dangers import DOCUMENT, PlacedDanger, answers_without_danger, place_danger
from endfeel.simulate.people import Patient, draw_patient, draw_story
from endfeel.simulate.signs import shows, story_of
from endfeel.vocabulary import Case, Irritability, Side
from endfeel.vocabulary.body_chart import ChartArea, ChartView, SymptomDepth, SymptomQuality

_TRIES = 5000


@dataclass(frozen=True)
class SimulatedCase:
    """Somebody who comes, as drawn: what can be asked and found, and what is so."""

    wish: CaseWish
    patient: Patient
    """`patient.case` is the whole story with every answer; nothing is examined yet."""
    danger: PlacedDanger | None
    chart: tuple[ChartArea, ...]
    rest_pain: int
    """0 to 10, before anything is done."""
    volunteers: bool
    """Whether a yes comes with the particulars."""

    @property
    def case(self) -> Case:
        return self.patient.case

    @property
    def side(self) -> Side:
        return self.case.complaint.side or Side.RIGHT

    @property
    def irritability(self) -> Irritability:
        return self.case.complaint.irritability or Irritability.MODERATE


def draw_case(wish: CaseWish, library: Library, model: Model) -> SimulatedCase:
    """The person of this wish. Contributors are drawn as everywhere; a wished difficulty only chooses among people.

    Where a difficulty is wished for, the people are no longer those who come: probabilities cannot be right on average.
    """
    teaching = library.documents[DOCUMENT]
    generator = np.random.default_rng([wish.seed, *map(ord, wish.difficulty), *map(ord, wish.irritability or ""),
                                       *map(ord, wish.danger)])  # fmt: skip
    level = teaching["difficulty"][wish.difficulty]
    low, high = level.get("hidden", (0, 10**6))
    for _ in range(_TRIES):
        case, danger = _told(wish, library, generator, volunteers=bool(level["volunteers"]))
        found = verdict(replace(case, findings=danger.signs if danger else ()), library)
        if found.is_pressing is (danger is None) or (danger is not None and found.urgency is not danger.urgency):
            continue
        patient = draw_patient(case, model, generator)
        if low <= int(patient.present.sum()) <= high:
            break
    else:
        raise AssertionError("nobody of this difficulty comes")  # the data would have to ask the impossible
    chart = _drawn(case, teaching, generator, shows(danger.flag, library) if danger else {})
    pain = int(teaching["pain"]["at_rest"][case.complaint.irritability or Irritability.MODERATE])
    return SimulatedCase(wish, patient, danger, chart, pain, bool(level["volunteers"]))


def _told(
    wish: CaseWish, library: Library, generator: np.random.Generator, *, volunteers: bool
) -> tuple[Case, PlacedDanger | None]:  # fmt: skip
    """A story with every answer, and the danger in it."""
    teaching = library.documents[DOCUMENT]
    who = teaching["person"]
    case = draw_story(library, generator)
    side = Side.LEFT if generator.random() < who["left_share"] else Side.RIGHT
    hand = Side.RIGHT if generator.random() < who["right_handed_share"] else Side.LEFT
    complaint = replace(case.complaint, side=side)
    if not complaint.areas:
        complaint = replace(complaint, areas=("lateral",))
    if wish.irritability is not None:
        complaint = replace(complaint, irritability=wish.irritability)
    answers = answers_without_danger(library, generator)
    case = replace(case, person=replace(case.person, dominant=hand), complaint=complaint, screen=answers)
    share = {Danger.MAYBE: teaching["danger"]["share"], Danger.NEVER: 0.0, Danger.ALWAYS: 1.0}[wish.danger]
    danger = None
    if generator.random() < share:
        case, danger = place_danger(case, library, generator)
    words = story_of(case, danger.cues if danger and volunteers else (), library, wish.seed)
    case = replace(case, complaint=replace(case.complaint, story=words))
    seen = {one.cue: True for one in notice(case, library.release, library.documents["safety_rules"])}
    known = {cue: True for cue in seen if cue in case.screen}
    return replace(case, screen={**case.screen, **known}), danger


def _drawn(
    case: Case, teaching: Mapping[str, Any], generator: np.random.Generator, comes: Mapping[str, Any]
) -> tuple[ChartArea, ...]:  # fmt: skip
    """The places that are pointed at, drawn on the figure; `comes` is what a danger brings to it."""
    pain = teaching["pain"]
    side = case.complaint.side
    made = []
    for area in case.complaint.areas:
        place = "lateral" if area == "deep" else area
        regions = [
            (view, region)
            for view in (ChartView.FRONT, ChartView.BACK, ChartView.RIGHT, ChartView.LEFT)
            for region in figure()[view].regions
            if region.area == place and region.side in (side, None)
        ]
        if not regions:
            continue
        view, region = regions[0]
        shares = pain["quality_far" if area in pain["far"] else "quality"]
        words = list(shares)
        quality = words[int(generator.choice(len(words), p=np.array(list(shares.values())) / sum(shares.values())))]
        if area in comes.get("areas", ()):
            quality = str(comes["quality"])
        depth = SymptomDepth.DEEP if area == "deep" else None
        strength = int(np.clip(round(float(generator.normal(5.0, 1.5))), 1, 10))
        made.append(ChartArea(view, region_path(region), SymptomQuality(quality), depth, strength))
    return tuple(made)
