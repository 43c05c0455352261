"""A guess is taken or refused: what fits no phrase, or two phrases nearly alike, is never guessed."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf

Words = tuple[str, ...]

LEAST_OVER_SOUNDS = -1.8
"""How much worse than free sounds a phrase may fit, for each frame. Chosen, as all here, on the voices kept for it."""
LEAST_OVER_SOUNDS_RATED = -2.3
"""The same for a phrase that the better recogniser heard too, or finds the likeliest."""
MOST_BELOW = 0.7
"""How much worse than the base one's phrase another may fit, its rival or the better one's own: one that breaks off
leaves sound that no word stands for."""
LEAST_RATING = -0.85
"""How likely the better recogniser must find a phrase where the two differ, for each letter."""
LEAST_LEAD = 3.0
"""How much more likely it must find that phrase than the others in question."""
LEAD_FOR_MISFIT = 40.0
"""The worse a phrase fits than free sounds, the likelier it must be than its rival: the logarithm over the whole sound,
for each unit of misfit by frame. Of two phrases that fit alike and badly neither is taken."""

LONGEST_LETTER_SECONDS = 0.18
"""Loud sound for each letter of a phrase, at most: the slowest phrase of the voices kept for it has 0.11. A long
sentence is then never taken for two short words."""


@dataclass(frozen=True, slots=True)
class Small:
    """The base recogniser's phrase and how it fits, beside how free sounds fit."""

    words: Words
    fit: float
    sounds: float
    loud_seconds: float = 0.0
    rival: Words = ()
    lead: float | None = None
    """The best other phrase, and how much less likely it is, as a logarithm over the whole sound; None where no other
    came near, or none was looked for."""
    rival_fit: float | None = None
    """How the rival fits; None where there is none, and in evidence that was kept before it was: there the rival is
    judged by the fit of the phrase."""

    def too_short(self, words: Words) -> bool:
        """Whether there was far more sound than saying these words takes."""
        return self.loud_seconds > LONGEST_LETTER_SECONDS * sum(map(len, words))

    @property
    def is_sure(self) -> bool:
        """Whether it is taken on the base recogniser's word alone."""
        leads = self.lead is None or self.lead >= max(0.0, -self.over_sounds * LEAD_FOR_MISFIT)
        return self.over_sounds >= LEAST_OVER_SOUNDS and leads

    @property
    def over_sounds(self) -> float:
        """How much better than free sounds the phrase fits, for each frame; below 0 for a worse fit."""
        return self.fit - self.sounds


@dataclass(frozen=True, slots=True)
class Large:
    """The better recogniser's transcript brought to the grammar, and how likely it finds each phrase in question."""

    words: Words
    distance: float
    rating: dict[Words, float]
    """The logarithm of how likely the phrase is, all of it."""
    over_sounds: float | None = None
    """How much better than free sounds the base recogniser finds that the snapped phrase fits; None where it was not
    asked or finds no way."""
    written: str = ""
    """The free transcript."""


def decide(small: Small | None, large: Large | None) -> Words | None:
    """The phrase that is taken; None where none is."""
    heard = small
    if small is not None and small.too_short(small.words):
        small = None
    if large is None:
        return small.words if small is not None and small.is_sure else None
    if small is not None and small.words == large.words:
        return small.words if small.over_sounds >= LEAST_OVER_SOUNDS_RATED else None
    if not large.rating:
        return None
    likeliest, *others = sorted(large.rating, key=large.rating.__getitem__, reverse=True)
    lead = large.rating[likeliest] - large.rating[others[0]] if others else inf
    rating = large.rating[likeliest] / max(1, sum(map(len, likeliest)))
    fits = _fits(likeliest, small, large) and not (heard is not None and heard.too_short(likeliest))
    return likeliest if fits and rating >= LEAST_RATING and lead >= LEAST_LEAD else None


def _fits(words: Words, small: Small | None, large: Large) -> bool:
    """Whether the sound is that of the words, by the base recogniser: it may not fit much worse than its own phrase."""
    found = _over_sounds(words, small, large)
    least = LEAST_OVER_SOUNDS_RATED if small is None else max(LEAST_OVER_SOUNDS_RATED, small.over_sounds - MOST_BELOW)
    return found is not None and found >= least


def _over_sounds(words: Words, small: Small | None, large: Large) -> float | None:
    """How much better than free sounds these words fit; None where the base recogniser did not say."""
    if small is not None and words == small.words:
        return small.over_sounds
    if small is not None and words == small.rival:
        return (small.fit if small.rival_fit is None else small.rival_fit) - small.sounds
    return large.over_sounds if words == large.words else None
