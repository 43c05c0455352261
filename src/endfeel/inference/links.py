"""Links from contributors to findings: read, pooled, and turned into noisy-OR causes with a leak."""

from __future__ import annotations

import math
import re
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from endfeel.evidence.library import Library, Row
from endfeel.inference.contributors import Contributor
from endfeel.inference.end_feels import in_turn
from endfeel.inference.examiner import Hands, studied_by
from endfeel.inference.parameters import Parameters
from endfeel.inference.pooling import Beta, Proportion, pool
from endfeel.vocabulary import OutcomeKind, Unit

Key = tuple[str, str]
"""Procedure id and outcome (`positive`, `pain`, `hypo`, `hyper`, `weak`, `apprehension`, `end_feel:ID`, `deficit`)."""

_COUNTS = re.compile(r"derived_2x2 tp=(?P<tp>\d+) fp=(?P<fp>\d+) fn=(?P<fn>\d+) tn=(?P<tn>\d+)")
_STUDY_PART, _YEAR = re.compile(r"-\d+$"), re.compile(r"(?:19|20)\d\d")
_LEAST_LEAK, _MOST_LEAK = 0.005, 0.95


@dataclass(frozen=True, slots=True)
class Link:
    """What one contributor does to one outcome of one procedure."""

    contributor: str
    key: Key
    present: Beta
    """Probability of the outcome in people with the contributor, others as common as usual."""
    absent: Beta
    figures: tuple[str, ...]
    provenance: str
    published: bool = False
    """Pooled from studies, where `absent` may include people with other contributors."""


@dataclass(frozen=True, slots=True)
class AngleLink:
    """Degrees of motion one contributor takes (negative: adds)."""

    contributor: str
    procedure: str
    effect_deg: float
    effect_sd_deg: float
    figures: tuple[str, ...]
    provenance: str


@dataclass(frozen=True, slots=True)
class BinarySpec:
    """One outcome of one procedure as a noisy-OR: leak and causes."""

    key: Key
    leak: Beta
    causes: tuple[tuple[int, float, Link], ...]
    """Contributor index, causal probability, link."""
    loading: str
    """`provocation`, `stiff`, `slack` or `none`: which nuisance moves it."""

    @property
    def contributors(self) -> tuple[int, ...]:
        return tuple(cause[0] for cause in self.causes)


@dataclass(frozen=True, slots=True)
class AngleSpec:
    """One angle: its reference and the degrees contributors take from it."""

    procedure: str
    normal_deg: float
    normal_sd_deg: float
    error_sd_deg: float
    side_sd_deg: float
    causes: tuple[tuple[int, AngleLink], ...]
    figures: tuple[str, ...]
    step_deg: float = 0.0
    """Degrees that one level behind the back counts as; 0 where the motion is measured in degrees."""

    def measures(self, unit: Unit | None) -> bool:
        """Whether a value in this unit can be compared."""
        return unit is Unit.LEVEL if self.step_deg else unit in (None, Unit.DEGREES)

    @property
    def contributors(self) -> tuple[int, ...]:
        return tuple(cause[0] for cause in self.causes)


def read_links(
    library: Library, parameters: Parameters, hands: Hands
) -> tuple[dict[tuple[str, Key], Link], list[AngleLink]]:
    """Every link. What the mechanical model computed and what is customary count alike where both speak; a published
    link replaces both for the same contributor, procedure and outcome. `hands` weaken what they cannot repeat."""
    links: dict[tuple[str, Key], Link] = {}
    angles: list[AngleLink] = []
    for (contributor, key), rows in _told(library, parameters).items():
        if key[1] == "deficit":
            angles.append(_angle_link(contributor, key[0], rows))
        else:
            links[contributor, key] = _customary_link(contributor, rows, key, hands, parameters)
    links.update({place: studied_by(link, hands) for place, link in _published_links(library, parameters).items()})
    return in_turn(links), angles


def _told(library: Library, parameters: Parameters) -> dict[tuple[str, Key], list[Row]]:
    """Rows of custom and of the model by contributor and key."""
    rows: dict[tuple[str, Key], list[Row]] = {}
    for row in library.tables["links"]:
        rows[row.text["contributor"], (row.text["procedure"], row.text["outcome"])] = [row]
    for row in library.tables["computed_links"]:
        place = row.text["contributor"], (row.text["procedure"], row.text["outcome"])
        if float(row.text["converged_share"]) < parameters["least_converged_share"]:
            continue
        if place in rows:
            rows[place].append(row)
        elif _is_plain(row, parameters):
            rows[place] = [row]
    return rows


def _is_plain(row: Row, parameters: Parameters) -> bool:
    """Whether the model alone says enough for a link that custom does not know."""
    text = row.text
    if text["outcome"] == "deficit":
        effect, spread = abs(float(text["effect_deg"])), float(text["effect_sd_deg"])
        return effect >= parameters["plain_effect_deg"] and effect >= spread
    return float(text["present"]) - float(text["absent"]) >= parameters["plain_difference"]


def _angle_link(contributor: str, procedure: str, rows: list[Row]) -> AngleLink:
    """The mean of what custom and model say; their difference widens the spread."""
    effects = [float(row.text["effect_deg"]) for row in rows]
    mean = sum(effects) / len(rows)
    variance = sum(
        float(row.text["effect_sd_deg"]) ** 2 + (e - mean) ** 2 for row, e in zip(rows, effects, strict=True)
    )
    figures = tuple(row.figures["effect_deg"].id for row in rows)
    label = max(row.provenance for row in rows).label
    return AngleLink(contributor, procedure, mean, math.sqrt(variance / len(rows)), figures, label)


def _customary_link(contributor: str, rows: list[Row], key: Key, hands: Hands, parameters: Parameters) -> Link:
    """A link by custom, by the model or by both, weakened by the hand's repeatability.

    If two examiners each report what is there with probability r and otherwise what they usually report,
    their kappa is r squared; so the finding carries r = sqrt(kappa) of the difference.
    """
    absent, present = (sum(float(row.text[name]) for row in rows) / len(rows) for name in ("absent", "present"))
    share, kappa_figure = hands.carried_share(key)
    carried = absent + share * (present - absent)
    weight = float(rows[0].text.get("weight") or parameters["model_weight"])
    figures = (*(row.figures["present"].id for row in rows), *((kappa_figure,) if kappa_figure else ()))
    betas = Beta(carried, weight), Beta(absent, weight)
    return Link(contributor, key, *betas, figures, max(row.provenance for row in rows).label)


def _published_links(library: Library, parameters: Parameters) -> dict[tuple[str, Key], Link]:
    studies: dict[tuple[str, str], list[Row]] = defaultdict(list)
    for row in library.tables["diagnostic_accuracy"]:
        studies[row.text["test_id"], row.text["target"]].append(row)
    rows_of: dict[tuple[str, Key], list[Row]] = defaultdict(list)
    for row in library.tables["published_links"]:
        place = row.text["contributor"], (row.text["procedure"], row.text["outcome"])
        rows_of[place] += [one for one in studies[row.text["test_id"], row.text["target"]] if one.carries_weight]
    made = {}
    for (contributor, key), rows in rows_of.items():
        link = published_link(contributor, key, each_once(rows, parameters), parameters)
        if link is not None:
            made[contributor, key] = link
    return made


def each_once(rows: Sequence[Row], parameters: Parameters) -> list[Row]:
    """The rows of a pool with nobody in it twice.

    Of one study's people only the row whose target is named first counts. A review is not pooled with the studies in
    it: where few single studies are known the newest review stands alone, else they do.
    """
    first: dict[tuple[str, str], Row] = {}
    for row in rows:
        if not _is_review(row):
            first.setdefault((_STUDY_PART.sub("", row.source.id), row.text.get("n_patients", "")), row)
    reviews = [row for row in rows if _is_review(row) and {"sensitivity", "specificity"} <= row.figures.keys()]
    if reviews and len(first) < parameters["least_single_studies"]:
        return [max(reviews, key=lambda row: _YEAR.findall(row.source.id)[-1:])]
    return list(first.values()) or list(rows)


def _is_review(row: Row) -> bool:
    """Whether a row pools studies: it says so, or its people are not told beside a mixed setting."""
    studies = row.text.get("n_studies", "")
    return (int(studies) > 1) if studies else not row.text.get("n_patients")


def published_link(contributor: str, key: Key, rows: Iterable[Row], parameters: Parameters) -> Link | None:
    """Pool the rows' sensitivities and false-positive rates; None when either is missing altogether."""
    with_it: list[Proportion] = []
    without: list[Proportion] = []
    figures: list[str] = []
    weakest = 0
    label = "read"
    for row in rows:
        trust = parameters["memory_trust"] if row.provenance.label != "read" else 1.0
        ill, well = _group_sizes(row, parameters["unstated_study_size"])
        counted = _COUNTS.search(row.note)
        if row.text.get("sensitivity"):
            with_it.append(Proportion(float(row.text["sensitivity"]), ill, trust))
            figures.append(row.figures["sensitivity"].id)
        if row.text.get("specificity"):
            without.append(Proportion(1.0 - float(row.text["specificity"]), well, trust))
            figures.append(row.figures["specificity"].id)
        elif counted and float(counted["fp"]) + float(counted["tn"]) > 0:
            without.append(Proportion(float(counted["fp"]) / well, well, trust))
        if row.provenance > weakest:
            weakest, label = row.provenance, row.provenance.label
    if not with_it or not without:
        return None
    spreads = parameters["single_study_spread"], parameters["least_study_spread"]
    betas = pool(with_it, *spreads), pool(without, *spreads)
    return Link(contributor, key, *betas, tuple(figures), label, published=True)


def _group_sizes(row: Row, unstated: float) -> tuple[float, float]:
    """People with and without the target: from counts where there are any, else half and half."""
    text = row.text
    if all(text.get(cell) for cell in ("tp", "fp", "fn", "tn")):
        return float(text["tp"]) + float(text["fn"]), float(text["fp"]) + float(text["tn"])
    derived = _COUNTS.search(row.note)
    if derived:
        tp, fp, fn, tn = (float(count) for count in derived.groups())
        return tp + fn, fp + tn
    people = float(text["n_patients"]) if text.get("n_patients") else unstated
    return people / 2.0, people / 2.0


def binary_specs(
    links: Mapping[tuple[str, Key], Link], contributors: tuple[Contributor, ...], library: Library
) -> dict[Key, BinarySpec]:
    """Noisy-OR of every outcome that has a link.

    A study's false-positive rate is measured among people who may have other contributors. With
    independent priors the causal probability is q = (sens - fpr) / (1 - fpr) whatever the leak, and the
    leak follows from 1 - fpr = (1 - leak) * product over the other causes of (1 - prior * q). Where
    several studied contributors disagree about the leak, the commoner and better studied weighs more, and
    each keeps its diagnostic odds ratio: studies differ in threshold more than in discrimination.
    Where no link is published, `absent` of links.csv is the leak itself: the share in people with none of
    the linked contributors. A test no commoner with its target than without gets no cause.
    """
    index = {contributor.id: i for i, contributor in enumerate(contributors)}
    grouped: dict[Key, list[Link]] = defaultdict(list)
    for link in links.values():
        grouped[link.key].append(link)
    specs: dict[Key, BinarySpec] = {}
    for key, mine in grouped.items():
        causes = [
            (index[link.contributor], (link.present.mean - link.absent.mean) / (1.0 - link.absent.mean), link)
            for link in mine
            if link.present.mean > link.absent.mean
        ]
        if causes:
            leak = _leak(causes, contributors)
            causes = _carried_over(causes, leak.mean, contributors)
            specs[key] = BinarySpec(key, leak, tuple(causes), _loading(key, library.catalogue[key[0]].outcomes))
    return specs


def _leak(causes: list[tuple[int, float, Link]], contributors: tuple[Contributor, ...]) -> Beta:
    published = [(mine, link) for mine, _, link in causes if link.published]
    total = weighted = 0.0
    for mine, link in published:
        others = math.prod(1.0 - contributors[i].prior.mean * q for i, q, _ in causes if i != mine)
        weight = link.absent.weight * contributors[mine].prior.mean
        weighted += weight * (1.0 - (1.0 - link.absent.mean) / others)
        total += weight
    if not published:
        total = sum(link.absent.weight for _, _, link in causes)
        weighted = sum(link.absent.weight * link.absent.mean for _, _, link in causes)
    mean = min(_MOST_LEAK, max(_LEAST_LEAK, weighted / total))
    return Beta(mean, max(link.absent.weight for _, _, link in causes if link.published or not published))


def _carried_over(
    causes: list[tuple[int, float, Link]], leak: float, contributors: tuple[Contributor, ...]
) -> list[tuple[int, float, Link]]:
    """Causal probabilities that give published links their odds ratio at the leak in use."""
    made = []
    for mine, q, link in causes:
        if link.published:
            others = math.prod(1.0 - contributors[i].prior.mean * p for i, p, _ in causes if i != mine)
            without = 1.0 - (1.0 - leak) * others
            ratio = _odds(link.present.mean) / _odds(link.absent.mean)
            odds = ratio * _odds(without)
            made.append((mine, (odds / (1.0 + odds) - without) / (1.0 - without), link))
        else:
            made.append((mine, q, link))
    return made


def _odds(probability: float) -> float:
    return probability / (1.0 - probability)


def _loading(key: Key, kind: OutcomeKind) -> str:
    outcome = key[1]
    if outcome == "hypo":
        return "stiff"
    if outcome == "hyper" or outcome == "end_feel:loose" or (outcome == "positive" and kind is OutcomeKind.STRESS):
        return "slack"
    if outcome.startswith("end_feel:"):
        return "provocation" if outcome in ("end_feel:empty", "end_feel:spasm") else "none"
    quiet = (OutcomeKind.NEURO, OutcomeKind.OBSERVATION, OutcomeKind.LENGTH, OutcomeKind.VITAL)
    return "none" if kind in quiet and outcome != "pain" else "provocation"


def angle_specs(
    angles: Iterable[AngleLink], contributors: tuple[Contributor, ...], library: Library, hands: Hands
) -> dict[str, AngleSpec]:
    """Reference and effects of every angle in angle_reference.csv, with the error of these hands."""
    index = {contributor.id: i for i, contributor in enumerate(contributors)}
    causes: dict[str, list[tuple[int, AngleLink]]] = defaultdict(list)
    for link in angles:
        causes[link.procedure].append((index[link.contributor], link))
    return {
        row.text["procedure"]: AngleSpec(
            row.text["procedure"],
            float(row.text["normal_deg"]),
            float(row.text["normal_sd_deg"]),
            hands.error_sd_deg(row.text["procedure"], float(row.text["error_sd_deg"])),
            float(row.text["side_sd_deg"]),
            tuple(causes[row.text["procedure"]]),
            (row.figures["error_sd_deg"].id, row.figures["normal_deg"].id),
            float(row.text.get("step_deg") or 0.0),
        )
        for row in library.tables["angle_reference"]
    }
