"""Why: how far each finding and the story moved each contributor, by taking it out again."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from endfeel.evidence.figures import Provenance
from endfeel.inference.contributors import Instance
from endfeel.inference.leaving_out import probabilities_without
from endfeel.inference.model import Model
from endfeel.inference.nuisances import Array
from endfeel.inference.solution import Solution
from endfeel.inference.words import finding_words
from endfeel.vocabulary import Case, Side

LEAST_DECIBANS = 0.5
"""Smaller movements are not listed."""
LEAST_ALONE_DECIBANS = 3.0
"""But a finding with a link is, when it would say so much by itself: of several that say the same none moves much."""
LEAST_INDIRECT_DECIBANS = 3.0
"""Nor are smaller ones of a finding that has no link of its own with the contributor."""


@dataclass(frozen=True, slots=True)
class ExplanationLine:
    """One finding (or the story) and one contributor."""

    finding: int | None
    """Index in case.findings; None for the story."""
    text: str
    contributor: str
    """Id of the belief it moved, with the level where it has one."""
    side: Side | None
    level: str | None
    decibans: float
    """Ten times the common logarithm of what it did to the odds, among all that was found."""
    alone_decibans: float
    """What it would do if it were the only finding."""
    direction: str
    """`for` or `against`."""
    figures: tuple[str, ...]
    """Figures behind the link; empty when it moved the contributor only by explaining or through others."""
    provenance: str
    """Weakest label among them."""
    sentence: str

    @property
    def strength(self) -> str:
        """`strongly`, `clearly` or `slightly`, by the size of what it did."""
        return strength_of(self.decibans)

    @property
    def links(self) -> tuple[str, ...]:
        """Where its links come from: `published`, `custom`, `model` (the mechanical shoulder); none for the story."""
        tables = {figure.split(".", 1)[0] for figure in self.figures}
        return tuple(word for table, word in LINKS.items() if table in tables)


def strength_of(decibans: float) -> str:
    """A weight of evidence in a word: ten times the odds, twice the odds, less."""
    return "strongly" if abs(decibans) >= 10 else "clearly" if abs(decibans) >= 3 else "slightly"


LINKS = {"diagnostic_accuracy": "published", "links": "custom", "computed_links": "model"}
"""Table of a link's figure to the word for it."""


def explain(case: Case, solution: Solution, model: Model) -> tuple[ExplanationLine, ...]:
    """All lines worth a word, strongest first."""
    lines = list(_story_lines(case, solution, model))
    full = log_odds(solution.probability)
    observed = sorted(solution.network.findings)
    behind = _figures_behind(solution, model)
    everything = set(observed)
    sets = [{index} for index in observed] + [everything - {index} for index in observed] + [everything]
    *ahead, before = log_odds(probabilities_without(solution, sets))
    without, only = ahead[: len(observed)], ahead[len(observed) :]
    for index, left, single in zip(observed, without, only, strict=True):
        moved = 10.0 * (full - left) / np.log(10.0)
        alone = 10.0 * (single - before) / np.log(10.0)
        text = finding_words(case.findings[index], model.catalogue)
        for i in np.flatnonzero((np.abs(moved) >= LEAST_DECIBANS) | (np.abs(alone) >= LEAST_ALONE_DECIBANS)):
            instance = solution.network.instances[i]
            direct = (index, int(i)) in behind
            if not direct and abs(moved[i]) < LEAST_INDIRECT_DECIBANS:
                continue
            figures, label = behind.get((index, int(i)), ((), Provenance.PRACTICE.label))
            told = text + _in_company(float(moved[i]), float(alone[i]), direct)
            lines.append(_line(index, told, instance, float(moved[i]), float(alone[i]), figures, label))
    return tuple(sorted(lines, key=lambda line: -abs(line.decibans)))


def _story_lines(case: Case, solution: Solution, model: Model) -> list[ExplanationLine]:
    lines = []
    active = [modifier for modifier in model.modifiers if modifier.applies(case)]
    for instance in solution.network.instances:
        decibans = float(10.0 * np.log10(instance.odds_ratio))
        if abs(decibans) < LEAST_DECIBANS:
            continue
        mine = [modifier for modifier in active if instance.contributor.id in modifier.contributors]
        words = "; ".join(modifier.why for modifier in mine) or "not the side complained of"
        figures = tuple(dict.fromkeys(figure for modifier in mine for figure in modifier.figures))
        lines.append(_line(None, f"story: {words}", instance, decibans, decibans, figures, "practice"))
    return lines


def _in_company(moved: float, alone: float, direct: bool) -> str:
    """What the other findings make of it, where that is not what it says by itself."""
    if not direct:
        return " (by explaining other findings)"
    if moved * alone < 0.0 and abs(alone) >= LEAST_DECIBANS:
        return f" (by itself {_by_itself(alone)}; other findings account for it here)"
    if abs(alone) >= max(LEAST_ALONE_DECIBANS, 2.0 * abs(moved)):
        return f" (by itself {_by_itself(alone)}; other findings say the same or account for it)"
    return ""


def _by_itself(decibans: float) -> str:
    """`clearly for it`, in words."""
    return f"{strength_of(decibans)} {'for' if decibans > 0 else 'against'} it"


def _line(
    index: int | None,
    text: str,
    instance: Instance,
    decibans: float,
    alone: float,
    figures: tuple[str, ...],
    label: str,
) -> ExplanationLine:
    direction = "for" if decibans > 0 else "against"
    sentence = f"{text} speaks {strength_of(decibans)} {direction} {instance.name}"
    place = instance.id, instance.side, instance.level
    return ExplanationLine(index, text, *place, decibans, alone, direction, figures, label, sentence)


Behind = dict[tuple[int, int], tuple[tuple[str, ...], str]]


def _figures_behind(solution: Solution, model: Model) -> Behind:
    """Figures and weakest label of the links, by finding and instance."""
    figures: dict[tuple[int, int], dict[str, None]] = {}
    weakest: dict[tuple[int, int], Provenance] = {}

    def add(place: tuple[int, int], these: tuple[str, ...], label: str) -> None:
        figures.setdefault(place, {}).update(dict.fromkeys(these))
        weakest[place] = max(weakest.get(place, Provenance.READ), Provenance.from_label(label))

    for factor in solution.network.binaries:
        causes = model.binaries[factor.observation.key].causes
        for instance, cause in zip(factor.contributors.tolist(), factor.causes.tolist(), strict=True):
            link = causes[cause][2]
            add((factor.observation.finding, instance), link.figures, link.provenance)
    for angle in solution.network.angles:
        spec = model.angles[angle.observation.procedure]
        for instance in angle.parents.tolist():
            for contributor, angle_link in spec.causes:
                if contributor == solution.network.instances[instance].index:
                    place = angle.observation.finding, instance
                    add(place, (*angle_link.figures, *spec.figures), angle_link.provenance)
    return {
        place: (tuple(these), weakest[place].label if these else Provenance.PRACTICE.label)
        for place, these in figures.items()
    }


def log_odds(probability: Array) -> Array:
    """Natural log odds, kept finite."""
    inside = probability.clip(1e-12, 1.0 - 1e-12)
    return np.asarray(np.log(inside) - np.log1p(-inside))
