"""The end feel of a motion is one outcome with several words, of which exactly one is said.

The words are asked in turn: was the end not reached for pain, did muscle guard it, did it spring back, was it loose,
early capsular, muscular, hard? The first yes is what is felt and the rest stay unknown: an end that was not reached
says nothing of what stops the motion. Every step is a noisy-OR among those in whom no earlier word was said, so the
shares of all words, and of none of them, add up to one whatever is present.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING

from endfeel.inference.pooling import Beta
from endfeel.vocabulary import EndFeel

if TYPE_CHECKING:
    from endfeel.inference.links import Key, Link

PREFIX = "end_feel:"
IN_TURN: tuple[str, ...] = tuple(
    f"{PREFIX}{feel.value}"
    for feel in (
        EndFeel.EMPTY,
        EndFeel.SPASM,
        EndFeel.SPRINGY_BLOCK,
        EndFeel.LOOSE,
        EndFeel.EARLY_CAPSULAR,
        EndFeel.FIRM_MUSCULAR,
        EndFeel.HARD_BONE,
    )
)
"""Outcomes in the order in which they are asked. An end feel that is none of them is a usual one: no to all."""
_MOST = 0.98
"""No word is certain even where no other is left."""


def is_end_feel(outcome: str) -> bool:
    return outcome.startswith(PREFIX)


def asked_in_turn(outcomes: Iterable[str]) -> tuple[str, ...]:
    """The end feels among these outcomes, in the order in which they are asked."""
    known = set(outcomes)
    return tuple(one for one in IN_TURN if one in known)


def answers(felt: EndFeel, known: Iterable[str]) -> list[tuple[str, bool]]:
    """Outcome and answer of every step that this end feel answers; steps after the first yes are not asked."""
    said = f"{PREFIX}{felt.value}"
    last = IN_TURN.index(said) if said in IN_TURN else len(IN_TURN)
    return [(one, one == said) for one in asked_in_turn(known) if IN_TURN.index(one) <= last]


def in_turn(links: Mapping[tuple[str, Key], Link]) -> dict[tuple[str, Key], Link]:
    """The links with every end feel's shares taken among those in whom no earlier word was said."""
    made = dict(links)
    by_motion: dict[str, dict[str, dict[str, Link]]] = defaultdict(lambda: defaultdict(dict))
    for (contributor, (procedure, outcome)), link in links.items():
        if is_end_feel(outcome):
            by_motion[procedure][outcome][contributor] = link
    for procedure, steps in by_motion.items():
        earlier: dict[str, float] = defaultdict(float)
        usual_earlier = 0.0
        for outcome in asked_in_turn(steps):
            here = steps[outcome]
            usual = sum(link.absent.mean for link in here.values()) / len(here)
            for contributor, link in here.items():
                present = link.present.mean / (1.0 - earlier.get(contributor, usual_earlier))
                made[contributor, (procedure, outcome)] = replace(
                    link,
                    present=Beta(min(_MOST, present), link.present.weight),
                    absent=Beta(link.absent.mean / (1.0 - usual_earlier), link.absent.weight),
                )
            for contributor in {*earlier, *here}:
                before = earlier.get(contributor, usual_earlier)
                earlier[contributor] = before + (here[contributor].present.mean if contributor in here else usual)
            usual_earlier += usual
    return made
