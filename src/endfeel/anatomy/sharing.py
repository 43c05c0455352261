"""How much each joint contributes to a lost range, with its uncertainty.

What each joint normally gives, N, and what each has lost, D, are unknown; what a hand measured are sums of
them with measurement error. All are taken as Gaussian, so that knowing something conditions everything else:

* N: published means and spreads. One joint, the remainder (the glenohumeral), is the total less the others,
  so that the parts always add up; this makes it run against the others by construction.
* D: nothing lost on average, with a variance that grows with what the joint normally gives (kinematics.ki543), but no
  wider than it can lose or gain, and a part that all joints lose together (kinematics.ki557). All are judgements.
* Where it is stated how many times its usual part a joint can give at most (kinematics.ki556), beliefs are kept to the
  possible: no joint gives less than nothing or more than that.

With nothing known but the total, a joint that normally gives much is given the more of the loss. A negative loss is a
joint that gives more than usual: it makes up for others.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from endfeel.anatomy.figures import Basis
from endfeel.anatomy.possible import kept_possible
from endfeel.anatomy.units import Floats

CLEAR_SD = 1.96
"""A loss smaller than this many standard deviations is not told from measurement error."""
_LEAST_GIVEN_DEG = 1.0


@dataclass(frozen=True, slots=True)
class Part:
    """One joint's normal contribution to a movement, in degrees of it."""

    name: str
    mean_deg: float
    sd_deg: float
    basis: Basis


@dataclass(frozen=True, slots=True)
class Reading:
    """Something measured: which parts it adds up, with which weights, and its standard error."""

    name: str
    weights: Mapping[str, float]
    value_deg: float
    error_deg: float
    basis: Basis | None = None
    """Where the error comes from; None when the examiner stated it."""


@dataclass(frozen=True, slots=True)
class PartShare:
    """What one joint gives now and has lost, in degrees; `share_ratio` is its part of the whole loss."""

    name: str
    normal_deg: float
    now_deg: float
    lost_deg: float
    lost_sd_deg: float
    share_ratio: float | None
    """None when the whole loss is not larger than its own uncertainty, or a gain: a share of nothing means nothing."""
    share_sd: float | None
    """Standard deviation of that share."""
    basis: Basis


@dataclass(frozen=True, slots=True)
class Shares:
    """The loss of a movement and its shares. The losses of the parts add up to `lost_deg`."""

    normal_deg: float
    now_deg: float
    lost_deg: float
    lost_sd_deg: float
    parts: tuple[PartShare, ...]
    groups: tuple[PartShare, ...]
    """Several joints taken together, where that is asked for: their sum is often known better than each."""
    basis: Basis
    surprise_sd: float
    """How far the readings lie from what was expected of them together, as standard deviations a reading."""
    impossible_sd: float = 0.0
    """How far the readings, taken by themselves, put a joint below nothing or above all it can give."""

    def part(self, name: str) -> PartShare:
        """The share of one joint or group by name. Raises KeyError."""
        return {part.name: part for part in (*self.parts, *self.groups)}[name]


def share_loss(
    remainder: str,
    parts: Sequence[Part],
    normal: Reading,
    now: Reading,
    readings: Sequence[Reading],
    loss_variance_per_deg: float,
    basis: Basis,
    groups: Mapping[str, Sequence[str]] | None = None,
    most_ratio: float | None = None,
    together_ratio: float = 0.0,
) -> Shares:
    """The shares of each joint in what was lost.

    `remainder` names the joint whose normal contribution is the normal total less that of `parts`. `normal` is
    the total expected without the trouble (the other side, or a norm), `now` the total measured, `readings`
    whatever is known of the parts now; `groups` names sums of joints that are wanted as well; `most_ratio` is how many
    times its usual part a joint can give at most (None: no bound, the plain Gaussian), `together_ratio` the part of it
    that all joints lose together. Raises ValueError on a reading of a part that there is not.
    """
    names = (remainder, *(part.name for part in parts))
    mean, spread, given_of = _prior(parts, normal, loss_variance_per_deg, most_ratio, together_ratio)
    rows = [_row(names, dict.fromkeys(names, 1.0), given_of)]
    rows += [_row(names, reading.weights, given_of) for reading in readings]
    told = np.array([now.value_deg, *(reading.value_deg for reading in readings)])
    error = np.array([now.error_deg, *(reading.error_deg for reading in readings)])
    after, remaining, surprise = _conditioned(mean, spread, np.array(rows), told, error)
    impossible = 0.0
    if most_ratio is not None:
        count = len(names)
        losses = np.hstack([np.zeros((count, given_of.shape[1] - count)), np.eye(count)])
        limits = np.vstack([given_of - losses, (most_ratio - 1.0) * given_of + losses])
        after, remaining, impossible = kept_possible(after, remaining, limits)
    bases = [basis, *(part.basis for part in parts)]
    wanted = {name: (name,) for name in names} | {name: tuple(members) for name, members in (groups or {}).items()}
    joints = _Joints(names, tuple(bases), given_of, after, remaining)
    lost, lost_sd = joints.lost(names)
    clear = lost > CLEAR_SD * lost_sd
    shares = [joints.share(name, members, lost if clear else None) for name, members in wanted.items()]
    whole = float(given_of.sum(axis=0) @ after)
    return Shares(
        whole,
        whole - lost,
        lost,
        lost_sd,
        tuple(shares[: len(names)]),
        tuple(shares[len(names) :]),
        _joined(bases),
        surprise,
        impossible,
    )


@dataclass(frozen=True, slots=True)
class _Joints:
    """What is believed of every joint after the readings."""

    names: tuple[str, ...]
    bases: tuple[Basis, ...]
    given_of: Floats
    mean: Floats
    covariance: Floats

    def lost(self, members: Sequence[str]) -> tuple[float, float]:
        """What some joints have lost together, and its standard deviation."""
        row = np.zeros(len(self.mean))
        row[[len(self.names) + self.names.index(member) for member in members]] = 1.0
        return float(row @ self.mean), _root(float(row @ self.covariance @ row))

    def share(self, name: str, members: Sequence[str], whole_lost: float | None) -> PartShare:
        places = [self.names.index(member) for member in members]
        given = float(self.given_of[places].sum(axis=0) @ self.mean)
        lost, lost_sd = self.lost(members)
        ratio, spread = None, None
        if whole_lost is not None:
            ratio = lost / whole_lost
            row = np.zeros(len(self.mean))
            row[len(self.names) :] = -ratio
            row[[len(self.names) + at for at in places]] += 1.0
            spread = _root(float(row @ self.covariance @ row)) / abs(whole_lost)
        basis = _joined([self.bases[at] for at in places])
        return PartShare(name, given, given - lost, lost, lost_sd, ratio, spread, basis)


def _root(variance: float) -> float:
    """A standard deviation; rounding may leave a variance a hair below nothing."""
    return float(np.sqrt(np.maximum(variance, 0.0)))


def _joined(bases: Sequence[Basis]) -> Basis:
    whole = bases[0]
    for other in bases[1:]:
        whole = whole.joined(other)
    return whole


def _prior(
    parts: Sequence[Part], normal: Reading, loss_variance_per_deg: float, most_ratio: float | None, together: float
) -> tuple[Floats, Floats, Floats]:
    """Mean and covariance of (normal total, given by each of `parts`, lost by remainder and parts); and the map
    from it to what every joint normally gives, remainder first."""
    count = len(parts)
    given = np.array([part.mean_deg for part in parts])
    left = max(normal.value_deg - given.sum(), _LEAST_GIVEN_DEG)
    usual = np.maximum(np.array([left, *given]), _LEAST_GIVEN_DEG)
    losses = loss_variance_per_deg * usual
    if most_ratio is not None:  # two standard deviations reach to all that it can give, or to nothing
        losses = np.minimum(losses, (usual * min(most_ratio - 1.0, 1.0) / 2.0) ** 2)
    mean = np.concatenate([[normal.value_deg], given, np.zeros(count + 1)])
    variances = np.concatenate([[normal.error_deg**2], [part.sd_deg**2 for part in parts], losses])
    given_of = np.zeros((count + 1, 2 * count + 2))
    given_of[0, 0], given_of[0, 1 : count + 1] = 1.0, -1.0
    given_of[1:, 1 : count + 1] = np.eye(count)
    covariance = np.diag(variances)
    covariance[count + 1 :, count + 1 :] += together**2 * np.outer(usual, usual)
    return mean, covariance, given_of


def _row(names: Sequence[str], weights: Mapping[str, float], given_of: Floats) -> Floats:
    unknown = set(weights) - set(names)
    if unknown:
        raise ValueError(f"no part {', '.join(sorted(unknown))}; there are: {', '.join(names)}")
    weight = np.array([weights.get(name, 0.0) for name in names])
    row = weight @ given_of
    row[len(names) :] -= weight
    return row


def _conditioned(
    mean: Floats, spread: Floats, rows: Floats, told: Floats, error: Floats
) -> tuple[Floats, Floats, float]:
    """The Gaussian after the readings: mean, covariance, and how surprising they were."""
    expected, cross = rows @ mean, spread @ rows.T
    between = rows @ cross + np.diag(error**2)
    gain = np.linalg.solve(between, cross.T).T
    off = told - expected
    after = mean + gain @ off
    remaining = spread - gain @ cross.T
    surprise = float(np.sqrt(off @ np.linalg.solve(between, off) / len(told)))
    return after, (remaining + remaining.T) / 2.0, surprise
