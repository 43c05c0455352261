"""Slack and stiff in one joint: what cannot both be treated, and what the wrong one costs."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from endfeel.evidence.figures import Figure, number
from endfeel.evidence.library import Library
from endfeel.inference import Posterior
from endfeel.vocabulary import Side

CONFLICTS = "course_conflicts"
STIFF_CLASS, SLACK_CLASSES = "mobilise_joint", ("stabilise", "protect")
Place = tuple[str, str, Side | None]
"""Treatment class, region, side."""
SpokenFor = Callable[[Sequence[int]], bool]
"""Whether something found speaks for any of these instances."""


@dataclass(frozen=True, slots=True)
class Clash:
    """One slack contributor's rule at one joint and side."""

    slack: tuple[int, ...]
    elsewhere: tuple[int, ...]
    """Stiff contributors that may be mobilised all the same."""
    stiff: tuple[int, ...]
    """All contributors that make this joint stiff; what is only worn or sore there is none of them."""
    mobilised: tuple[float, float, float]
    """Points lost when the slack joint is mobilised: estimate, low, high."""
    stabilised: tuple[float, float, float]
    """Points lost when a stiff joint is only strengthened."""
    says: str
    figures: tuple[str, str]
    """Of both."""


@dataclass(frozen=True, slots=True)
class BothOpen:
    """A joint of which it is open whether it is slack or stiff."""

    region: str
    side: Side | None
    slack: float
    stiff: float
    sentence: str
    figures: tuple[str, ...]


def clashes(posterior: Posterior, library: Library, groups: Mapping[Place, list[int]]) -> dict[Place, list[Clash]]:
    """What speaks against each course because the same joint may be the other way."""
    instances = posterior.solution.network.instances
    found: dict[Place, list[Clash]] = {}
    for row in library.tables[CONFLICTS]:
        slack, elsewhere = row.text["slack"].split(), row.text.get("stiff_elsewhere", "").split()
        for (kind, region, side), members in groups.items():
            slacks = tuple(i for i in members if instances[i].contributor.id in slack)
            stiff = [
                i
                for i in groups.get((STIFF_CLASS, region, side), [])
                if instances[i].contributor.id in row.text["stiff"].split()
            ]
            if kind not in SLACK_CLASSES or not slacks or not stiff:
                continue
            one = Clash(
                slacks,
                tuple(i for i in stiff if instances[i].contributor.id in elsewhere),
                tuple(stiff),
                _three(row.figures["mobilised_points"]),
                _three(row.figures["stabilised_points"]),
                row.text["says"],
                (row.figures["mobilised_points"].id, row.figures["stabilised_points"].id),
            )
            for place in ((STIFF_CLASS, region, side), (kind, region, side)):
                found.setdefault(place, []).append(one)
    return found


def lost(kind: str, rules: list[Clash], states: NDArray[np.bool_], end: int = 0) -> NDArray[np.float64]:
    """(draws,) points that a course costs because the joint is the other way; `end` 0 for the estimate, 1 low, 2 high.

    Mobilising costs where something slack is there and nothing stiff that lies elsewhere; strengthening costs where
    something stiff is there and nothing slack.
    """
    cost = np.zeros(len(states))
    for rule in rules:
        slack = states[:, rule.slack].any(axis=1)
        if kind == STIFF_CLASS:
            wrong, points = slack & ~states[:, rule.elsewhere].any(axis=1), rule.mobilised[end]
        else:
            wrong, points = states[:, rule.stiff].any(axis=1), rule.stabilised[end]
            wrong = wrong & ~np.any([states[:, other.slack].any(axis=1) for other in rules], axis=0)
        cost = np.maximum(cost, points * wrong)
    return cost


def likeliest(rules: Sequence[Clash], chance: NDArray[np.float64], spoken_for: SpokenFor) -> Clash | None:
    """The rule whose slackness is the most probable of those that something found speaks for; None where none is."""
    told = [rule for rule in rules if spoken_for(rule.slack)]
    return max(told, key=lambda rule: float(chance[list(rule.slack)].max())) if told else None


def both_open(
    found: Mapping[Place, list[Clash]],
    posterior: Posterior,
    states: NDArray[np.bool_],
    words: Mapping[str, str],
    spoken_for: SpokenFor,
) -> tuple[BothOpen, ...]:
    """Joints where findings speak for slack and for stiff, and both are probable enough to be said. What nothing found
    speaks for is open, too, but it is no conflict yet: it is examined first."""
    least = posterior.model.parameters["both_open_share"]
    names, chance = posterior.solution.network.instances, posterior.solution.probability
    said = []
    for (kind, region, side), rules in found.items():
        if kind != STIFF_CLASS:
            continue
        rule = likeliest(rules, chance, spoken_for)
        if rule is None:
            continue
        slack = float(states[:, rule.slack].any(axis=1).mean())
        opposed = [i for i in rule.stiff if i not in rule.elsewhere]
        stiff = float(states[:, opposed].any(axis=1).mean()) if opposed else 0.0
        if min(slack, stiff) < least or not spoken_for(tuple(opposed)):
            continue
        loose, tight = (names[max(some, key=lambda i: chance[i])].name for some in (rule.slack, opposed))
        where = ", ".join(part for part in (words.get(region, region), side.value if side else "") if part)
        sentence = (
            f"{where}: slack ({_percent(slack)}, mostly {loose}) and stiff ({_percent(stiff)}, mostly {tight}) "
            f"are both open, and cannot both be treated: {rule.says}; feel the play again before either"
        )
        said.append(BothOpen(region, side, slack, stiff, sentence, rule.figures))
    return tuple(said)


def _three(figure: Figure) -> tuple[float, float, float]:
    mean = number(figure)
    return mean, mean if figure.low is None else figure.low, mean if figure.high is None else figure.high


def _percent(share: float) -> str:
    """Never a flat 0 or 100, which no examination can give."""
    return ">99 %" if share > 0.99 else f"{100 * share:.0f} %"
