"""Confirmed outcomes as 2×2 counts of each test, what they make of its published figures, and counts of several sites
put together. Counts and figures stand beside each other; what they would change is reckoned where somebody asks."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from endfeel.inference.learnt import Learnt, learnt_beta
from endfeel.inference.links import Key, Link
from endfeel.inference.model import Model
from endfeel.inference.observations import NOT_SEEN, SEEN, observe
from endfeel.inference.pooling import Beta, Proportion, between_study_variance, logit, pool
from endfeel.vocabulary import Case, Side
from endfeel.vocabulary.confirmed import ConfirmedOutcome, Reference

PRIOR_COUNT = 0.5
"""Added to each of the two counts where nothing else is known (Jeffreys' prior of a share)."""
INTERVAL_PERCENT = 90.0
"""As everywhere in the reasoning."""

CountKey = tuple[Key, str, Reference]
"""Procedure and outcome, contributor, by what it was confirmed."""


@dataclass(frozen=True, slots=True)
class Counts:
    """A test against what turned out: people, each once."""

    tp: int = 0
    fp: int = 0
    fn: int = 0
    tn: int = 0

    @property
    def ill(self) -> int:
        return self.tp + self.fn

    @property
    def well(self) -> int:
        return self.fp + self.tn

    @property
    def people(self) -> int:
        return self.ill + self.well

    @property
    def cells(self) -> tuple[int, int, int, int]:
        return self.tp, self.fp, self.fn, self.tn

    def with_one(self, positive: bool, confirmed: bool) -> Counts:
        """One person more."""
        cells = [self.tp, self.fp, self.fn, self.tn]
        cells[(0 if positive else 2) if confirmed else (1 if positive else 3)] += 1
        return Counts(*cells)

    def __add__(self, other: Counts) -> Counts:
        return Counts(*(one + more for one, more in zip(self.cells, other.cells, strict=True)))


@dataclass(frozen=True, slots=True)
class Followed:
    """One episode of a person, with what turned out in it."""

    person: str
    visits: tuple[tuple[date, Case], ...]
    outcomes: tuple[ConfirmedOutcome, ...]


@dataclass(frozen=True, slots=True)
class Share:
    """A sensitivity or specificity with its 90 % interval."""

    value: float
    low: float
    high: float

    @classmethod
    def of(cls, beta: Beta) -> Share:
        from scipy.stats import beta as distribution

        tail = (1.0 - INTERVAL_PERCENT / 100.0) / 2.0
        low, high = distribution.ppf([tail, 1.0 - tail], beta.alpha, beta.beta)
        return cls(beta.mean, float(low), float(high))


@dataclass(frozen=True, slots=True)
class Beside:
    """One test for one contributor: what is published, what was counted here, and both together."""

    key: Key
    contributor: str
    reference: Reference
    counts: Counts
    here: tuple[Share, Share]
    """Sensitivity and specificity out of the local counts alone."""
    published: tuple[Share, Share] | None
    """What the program reasons with; None where no link is known."""
    together: tuple[Share, Share] | None
    """The published figures as what was known before, the local counts as what was learnt since."""
    figures: tuple[str, ...] = ()
    is_published: bool = False
    """Whether the known figures come from studies; else from custom or the model."""


def count_tests(people: Iterable[Followed], model: Model) -> dict[CountKey, Counts]:
    """2×2 counts of every test that has a link to a contributor that was confirmed or ruled out.

    Of a test done several times the first counts, and only what was found on or before the day the outcome was known:
    a hand that knows the picture feels it. Each person counts once for a test, contributor and reference.
    """
    tests: dict[str, set[Key]] = {}
    for key, spec in model.binaries.items():
        for _, _, link in spec.causes:
            tests.setdefault(link.contributor, set()).add(key)
    seen: set[tuple[str, CountKey]] = set()
    found: dict[CountKey, Counts] = {}
    for one in people:
        for told in one.outcomes:
            first = _first_findings(one.visits, told, model)
            for key in sorted(tests.get(told.contributor, ())):
                place = (key, told.contributor, told.reference)
                if key in first and (one.person, place) not in seen:
                    seen.add((one.person, place))
                    found[place] = found.get(place, Counts()).with_one(first[key], told.confirmed)
    return dict(sorted(found.items()))


def _first_findings(visits: Sequence[tuple[date, Case]], told: ConfirmedOutcome, model: Model) -> Mapping[Key, bool]:
    """Test to whether it was positive when first done on that side, as far as known before the outcome was."""
    first: dict[Key, bool] = {}
    for day, case in visits:
        if day > told.known_on:
            break
        here: dict[Key, bool] = {}
        for one in observe(case, model).binaries:
            if one.evidence in (SEEN, NOT_SEEN) and one.part == 1.0 and _same_side(one.side, told.side):
                here[one.key] = here.get(one.key, False) or one.evidence == SEEN
        first = {**here, **first}
    return first


def _same_side(found: Side | None, told: Side | None) -> bool:
    return told is None or found is None or found is told


def beside(counts: Mapping[CountKey, Counts], model: Model) -> tuple[Beside, ...]:
    """Each count beside what is known of its test; the most people first."""
    links = {(key, link.contributor): link for key, spec in model.binaries.items() for _, _, link in spec.causes}
    found = [_beside(place, told, links.get(place[:2])) for place, told in counts.items()]
    return tuple(sorted(found, key=lambda one: (-one.counts.people, one.key, one.contributor, one.reference)))


def _beside(place: CountKey, counts: Counts, link: Link | None) -> Beside:
    key, contributor, reference = place
    nothing = Beta(0.5, 2 * PRIOR_COUNT)
    here = (
        Share.of(learnt_beta(nothing, counts.tp, counts.ill)),
        Share.of(learnt_beta(nothing, counts.tn, counts.well)),
    )
    if link is None:
        return Beside(key, contributor, reference, counts, here, None, None)
    clear = Beta(1.0 - link.absent.mean, link.absent.weight)
    together = (
        Share.of(learnt_beta(link.present, counts.tp, counts.ill)),
        Share.of(learnt_beta(clear, counts.tn, counts.well)),
    )
    published = Share.of(link.present), Share.of(clear)
    return Beside(key, contributor, reference, counts, here, published, together, link.figures, link.published)


@dataclass(frozen=True, slots=True)
class Merged:
    """Counts of several sites put together."""

    key: Key
    contributor: str
    reference: Reference
    sites: int
    counts: Counts
    sensitivity: Share
    specificity: Share
    """Of a further site, with its 90 % interval: sites differ, and the next one will too."""
    spread_sensitivity: float
    spread_specificity: float
    """Between sites, as a standard deviation of the log odds; 0 where they differ no more than chance."""
    learnt: Learnt
    """What the sites are worth together to a further one: fewer people than they counted where they differ."""


def merge(sites: Sequence[Mapping[CountKey, Counts]], model: Model) -> tuple[Merged, ...]:
    """Random effects over sites (DerSimonian and Laird on the log odds, as published studies are pooled). A site tells
    of sensitivity only where it saw the contributor, of specificity only where it did not; a test of which one of the
    two is never told is left out. The most people first."""
    keys = sorted({key for site in sites for key in site})
    found = []
    for place in keys:
        told = [site[place] for site in sites if place in site]
        ill = [Proportion(one.tp / one.ill, one.ill) for one in told if one.ill]
        well = [Proportion(one.tn / one.well, one.well) for one in told if one.well]
        if ill and well:
            spreads = model.parameters["single_study_spread"], model.parameters["least_study_spread"]
            key, contributor, reference = place
            hits, clear, whole = pool(ill, *spreads), pool(well, *spreads), sum(told, Counts())
            worth = Learnt(hits.alpha, hits.weight, clear.beta, clear.weight, whole.people, len(told))
            found.append(
                Merged(
                    key, contributor, reference, len(told), whole, Share.of(hits), Share.of(clear),
                    spread(ill), spread(well), worth,
                )
            )  # fmt: skip
    return tuple(sorted(found, key=lambda one: (-one.counts.people, one.key, one.contributor, one.reference)))


def learnt_here(counts: Mapping[CountKey, Counts]) -> dict[tuple[str, Key], Learnt]:
    """What counts of one's own teach. Of several references the one with most people speaks: they are never added."""
    found: dict[tuple[str, Key], Learnt] = {}
    for (key, contributor, _), one in counts.items():
        before = found.get((contributor, key))
        if before is None or one.people > before.people:
            found[contributor, key] = Learnt(one.tp, one.ill, one.fp, one.well, one.people)
    return found


def learnt_together(merged: Iterable[Merged]) -> dict[tuple[str, Key], Learnt]:
    """What several sites teach a further one, by the same rule."""
    found: dict[tuple[str, Key], Learnt] = {}
    for one in merged:
        before = found.get((one.contributor, one.key))
        if before is None or one.counts.people > before.people:
            found[one.contributor, one.key] = one.learnt
    return found


def spread(sites: Sequence[Proportion]) -> float:
    """Standard deviation between sites on the log odds, by the method of moments; 0 of one site."""
    if len(sites) < 2:
        return 0.0
    shares = [(one.share * one.people + 0.5) / (one.people + 1.0) for one in sites]
    variances = [1.0 / (one.people * share * (1.0 - share)) for one, share in zip(sites, shares, strict=True)]
    return float(between_study_variance([logit(share) for share in shares], variances) ** 0.5)
