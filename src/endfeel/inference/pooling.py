"""Published sensitivities and specificities pooled into one Beta, wide where studies are few or disagree.

A moment estimate of a random-effects model on the logit scale: inverse-variance mean, between-study
variance by the method of moments (DerSimonian and Laird 1986, from memory), never under a stated floor;
one study alone gets a stated spread. The predictive variance, not the variance of the mean, becomes the
pseudo-count: the next clinic is another study. Figures that are recalled widen it: people cannot be taken away instead,
since studies that look smaller also look more alike.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Beta:
    """A probability known to about `weight` observations."""

    mean: float
    weight: float

    @property
    def alpha(self) -> float:
        return self.mean * self.weight

    @property
    def beta(self) -> float:
        return (1.0 - self.mean) * self.weight


@dataclass(frozen=True, slots=True)
class Proportion:
    """One study's proportion, the number of people it rests on, and how far its figures are trusted."""

    share: float
    people: float
    trust: float = 1.0
    """1 where the figures were read; less where they are recalled: it weighs less and widens what comes out."""


def logit(probability: float) -> float:
    return math.log(probability / (1.0 - probability))


def expit(value: float) -> float:
    return 1.0 / (1.0 + math.exp(-value))


def pool(studies: Sequence[Proportion], single_spread: float, least_spread: float) -> Beta:
    """The Beta of the proportion one would meet in a further study.

    Parameters
    ----------
    studies : at least one.
    single_spread, least_spread : between-study standard deviations on the logit scale, for one study alone
        and as a floor for several.
    """
    if not studies:
        raise ValueError("nothing to pool")
    shares = [(study.share * study.people + 0.5) / (study.people + 1.0) for study in studies]
    logits = [logit(share) for share in shares]
    variances = [1.0 / (study.people * share * (1.0 - share)) for study, share in zip(studies, shares, strict=True)]
    if len(studies) == 1:
        return _beta(logits[0], (variances[0] + single_spread**2) / studies[0].trust)
    between = max(least_spread**2, between_study_variance(logits, variances))
    plain = [1.0 / (variance + between) for variance in variances]
    weights = [weight * study.trust for weight, study in zip(plain, studies, strict=True)]
    mean = sum(w * x for w, x in zip(weights, logits, strict=True)) / sum(weights)
    trust = sum(weights) / sum(plain)
    return _beta(mean, (1.0 / sum(plain) + between) / trust)


def between_study_variance(logits: Sequence[float], variances: Sequence[float]) -> float:
    """Method-of-moments estimate, at least 0."""
    weights = [1.0 / variance for variance in variances]
    total = sum(weights)
    mean = sum(w * x for w, x in zip(weights, logits, strict=True)) / total
    scatter = sum(w * (x - mean) ** 2 for w, x in zip(weights, logits, strict=True))
    spare = total - sum(w * w for w in weights) / total
    return max(0.0, (scatter - (len(logits) - 1)) / spare)


def _beta(mean_logit: float, variance_logit: float) -> Beta:
    mean = expit(mean_logit)
    return Beta(mean, max(1.0, 1.0 / (variance_logit * mean * (1.0 - mean)) - 1.0))
