"""The examiner as threshold and repeatability: how far the hands in question agree with others, where it was measured.

Own figures are moved towards the published ones by the people behind them, with weight n / (n + n0); n0 is the
parameter `own_agreement_people` of inference.toml.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from endfeel.evidence.library import Library
from endfeel.inference.parameters import Parameters
from endfeel.inference.pooling import Beta, expit, logit
from endfeel.vocabulary import Catalogue, EndFeel

if TYPE_CHECKING:
    from endfeel.inference.links import BinarySpec, Link

Place = tuple[str, str]
"""Procedure id or `region:NAME`, and outcome."""
REGION = "region:"
ONLY_KAPPA = "end_feel"
"""The end feel as a whole: it has a kappa, but no threshold."""
OUTCOMES = (
    "positive", "pain", "hypo", "hyper", "weak", "apprehension", ONLY_KAPPA,
    *(f"{ONLY_KAPPA}:{feel.value}" for feel in EndFeel),
)  # fmt: skip
"""What an examiner can be measured on."""
_EDGE = 1e-6


@dataclass(frozen=True, slots=True)
class OwnAgreement:
    """One examiner against others on one outcome, rated on the same people."""

    place: str
    """Procedure id or `region:NAME`."""
    outcome: str
    """One of OUTCOMES."""
    kappa: float
    subjects: int
    lean: float = 0.0
    """Shift on the logit scale of how readily this examiner reports the outcome; above 0 more readily than others."""


@dataclass(frozen=True, slots=True)
class OwnError:
    """One examiner's standard error of one angle."""

    procedure: str
    sd_deg: float
    subjects: int


@dataclass(frozen=True, slots=True)
class Examiner:
    """What was measured of one pair of hands; later rows of the same place and outcome replace earlier ones."""

    agreements: tuple[OwnAgreement, ...] = ()
    errors: tuple[OwnError, ...] = ()
    name: str = "own hands"


@dataclass(frozen=True, slots=True)
class Hands:
    """Published agreement moved towards one examiner's own; without an examiner it is the published one."""

    published: Mapping[Place, tuple[float, str]]
    """Kappa and its figure."""
    catalogue: Catalogue
    unstudied_kappa: float
    half_weight: float
    """People at which own and published figures count alike."""
    agreements: Mapping[Place, OwnAgreement]
    errors: Mapping[str, OwnError]

    def own(self, key: Place) -> OwnAgreement | None:
        """The row that applies to an outcome of a procedure: the procedure's before the region's."""
        return next((self.agreements[place] for place in self._places(key) if place in self.agreements), None)

    def published_kappa(self, key: Place) -> tuple[float, str]:
        """Kappa between examiners and its figure (none where nothing was published)."""
        found = (self.published[place] for place in self._places(key) if place in self.published)
        return next(found, (self.unstudied_kappa, ""))

    def kappa(self, key: Place) -> float:
        """The published kappa, moved towards the own one."""
        kappa, own = self.published_kappa(key)[0], self.own(key)
        return kappa if own is None else kappa + self.weight(own.subjects) * (own.kappa - kappa)

    def carried_share(self, key: Place) -> tuple[float, str]:
        """What part of a difference survives the hand that reports it, and the figure of the published kappa."""
        return math.sqrt(max(0.0, self.kappa(key))), self.published_kappa(key)[1]

    def share_of_studied(self, key: Place) -> float:
        """What part of a studied difference these hands keep: studies had examiners of their own, so at most all."""
        if self.own(key) is None:
            return 1.0
        usual = math.sqrt(max(0.0, self.published_kappa(key)[0]))
        return min(1.0, self.carried_share(key)[0] / usual) if usual else 1.0

    def lean(self, key: Place) -> float:
        """Shift on the logit scale, moved towards none."""
        own = self.own(key)
        return 0.0 if own is None else self.weight(own.subjects) * own.lean

    def error_sd_deg(self, procedure: str, published: float) -> float:
        """Standard error of an angle; variances are averaged, not standard errors."""
        own = self.errors.get(procedure)
        if own is None:
            return published
        weight = self.weight(own.subjects)
        return math.sqrt(weight * own.sd_deg**2 + (1.0 - weight) * published**2)

    def weight(self, subjects: float) -> float:
        """Weight of a figure measured on so many people against the published one."""
        return subjects / (subjects + self.half_weight)

    def _places(self, key: Place) -> tuple[Place, ...]:
        procedure, outcome = key
        scopes = procedure, f"{REGION}{self.catalogue[procedure].region}"
        outcomes = dict.fromkeys((outcome, outcome.split(":")[0]))
        return tuple((scope, one) for scope in scopes for one in outcomes)


def hands_of(library: Library, parameters: Parameters, examiner: Examiner | None = None) -> Hands:
    """The published agreement with what was measured of `examiner`."""
    published = {
        (row.text["scope"], row.text["outcome"]): (float(row.text["kappa"]), row.figures["kappa"].id)
        for row in library.tables["reliability"]
    }
    own = examiner or Examiner()
    return Hands(
        published,
        library.catalogue,
        parameters["unstudied_kappa"],
        parameters["own_agreement_people"],
        {(row.place, row.outcome): row for row in own.agreements},
        {row.procedure: row for row in own.errors},
    )


def studied_by(link: Link, hands: Hands) -> Link:
    """A published link as these hands would find it."""
    share = hands.share_of_studied(link.key)
    if share == 1.0:
        return link
    present = link.absent.mean + share * (link.present.mean - link.absent.mean)
    return replace(link, present=Beta(present, link.present.weight))


def leaning(spec: BinarySpec, hands: Hands) -> BinarySpec:
    """Leak and each cause alone shifted on the logit scale, causal probabilities anew; Betas keep their weight."""
    lean = hands.lean(spec.key)
    if lean == 0.0:
        return spec
    leak = _shifted(spec.leak.mean, lean)
    causes = []
    for index, q, link in spec.causes:
        alone = _shifted(1.0 - (1.0 - spec.leak.mean) * (1.0 - q), lean)
        present, absent = (Beta(_shifted(beta.mean, lean), beta.weight) for beta in (link.present, link.absent))
        causes.append((index, (alone - leak) / (1.0 - leak), replace(link, present=present, absent=absent)))
    return replace(spec, leak=Beta(leak, spec.leak.weight), causes=tuple(causes))


def _shifted(probability: float, lean: float) -> float:
    return expit(logit(min(1.0 - _EDGE, max(_EDGE, probability))) + lean)
