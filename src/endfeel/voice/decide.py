"""A guess is taken or refused: what fits no phrase, or two phrases nearly alike, is never guessed."""

from __future__ import annotations

from dataclasses import dataclass

Words = tuple[str, ...]

LEAST_OVER_SOUNDS = -1.6
"""How much worse than free sounds a phrase may fit, for each frame (base recogniser alone)."""
LEAST_OVER_SOUNDS_AGREED = -2.2
"""The same where the better recogniser heard the same phrase."""
FARTHEST = 0.5
"""Changes for each letter that bring a free transcript to the phrase, at most."""
LEAST_RATING = -0.75
"""How likely the better recogniser must find a phrase, for each letter."""
LEAST_LEAD = 3.0
"""How much more likely than the other recogniser's phrase, where they heard two."""


@dataclass(frozen=True, slots=True)
class Small:
    """The base recogniser's phrase and how it fits, beside how free sounds fit."""

    words: Words
    fit: float
    sounds: float

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


def decide(small: Small | None, large: Large | None) -> Words | None:
    """The phrase that is taken; None where none is."""
    if large is None:
        return small.words if small is not None and small.over_sounds >= LEAST_OVER_SOUNDS else None
    if small is None:
        return _alone(large)
    if small.words == large.words:
        return small.words if small.over_sounds >= LEAST_OVER_SOUNDS_AGREED or large.distance <= FARTHEST else None
    return _between(small, large)


def _alone(large: Large) -> Words | None:
    near = large.distance <= FARTHEST / 2
    return large.words if near and _rating(large, large.words) >= LEAST_RATING else None


def _between(small: Small, large: Large) -> Words | None:
    """Two phrases: the likelier one where it leads clearly and fits by itself."""
    ours, theirs = large.rating[small.words], large.rating[large.words]
    words = small.words if ours >= theirs else large.words
    fits = _rating(large, words) >= LEAST_RATING and small.over_sounds >= LEAST_OVER_SOUNDS_AGREED
    return words if fits and abs(ours - theirs) >= LEAST_LEAD else None


def _rating(large: Large, words: Words) -> float:
    return large.rating[words] / max(1, sum(map(len, words)))
