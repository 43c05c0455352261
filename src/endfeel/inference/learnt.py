"""What counts of one's own, or of several sites, add to what is known of a test. Only where somebody asks for it: the
program reasons with the published figures."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from endfeel.inference.links import Key, Link
from endfeel.inference.pooling import Beta


@dataclass(frozen=True, slots=True)
class Learnt:
    """People with and without a contributor, and in how many of each the test was positive: whole numbers where they
    were counted, as many as they are worth where several sites were put together."""

    positive_with: float
    with_it: float
    positive_without: float
    without_it: float
    people: int
    sites: int = 1


Places = Mapping[tuple[str, Key], Learnt]
"""Contributor, procedure and outcome to what was learnt."""


def learnt_beta(known: Beta, positive: float, people: float) -> Beta:
    """What was known before, with so many positive of so many people added."""
    weight = known.weight + people
    return Beta((known.alpha + positive) / weight, weight)


def learn(links: Mapping[tuple[str, Key], Link], learnt: Places) -> dict[tuple[str, Key], Link]:
    """The links with what was learnt added; a test without a link stays without one."""
    made = dict(links)
    for place, one in learnt.items():
        if place in made:
            link = made[place]
            made[place] = replace(
                link,
                present=learnt_beta(link.present, one.positive_with, one.with_it),
                absent=learnt_beta(link.absent, one.positive_without, one.without_it),
            )
    return made
