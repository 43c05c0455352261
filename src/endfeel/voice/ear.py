"""The ear: sound to a phrase of the grammar or to nothing, with the recognisers that are installed."""

from __future__ import annotations

from collections import OrderedDict
from dataclasses import dataclass, replace
from functools import cached_property
from threading import Lock

from endfeel.vocabulary import Procedure
from endfeel.vocabulary.shorthand import Shorthand
from endfeel.voice.decide import LEAST_OVER_SOUNDS, Large, Small, Words, decide
from endfeel.voice.grammar import whole_grammar
from endfeel.voice.large import LargeRecogniser, large_is_here
from endfeel.voice.load import load_spoken
from endfeel.voice.network import Meaning, Network
from endfeel.voice.small import Recognisers, SoundLoop, small_is_here
from endfeel.voice.snap import snap
from endfeel.voice.sound import RATE, Samples, cleaned, dithered, loud_seconds, noise_ratio_db

CLEAN_ABOVE_DB = 40.0
"""Speech over noise, as estimated, above which nothing is taken out: cleaning harms clean sound."""
KEPT_GRAMMARS = 3
SHORTEST = RATE // 5
HOW_TO_GET = "make voice"


@dataclass(frozen=True, slots=True)
class Sensed:
    """The phrase that was taken and what it means; both None where the sound was refused."""

    words: Words | None = None
    meaning: Meaning | None = None


@dataclass(frozen=True, slots=True)
class Evidence:
    """What the base recogniser and, where it is installed, the better one made of one stretch of sound."""

    small: Small | None
    large: Large | None
    network: Network


class Ear:
    """Hears one phrase at a time. Keeps no sound."""

    def __init__(self, shorthand: Shorthand, *, better: bool = True) -> None:
        self._shorthand, self._better = shorthand, better and large_is_here()
        self._spoken = load_spoken()
        self._kept: OrderedDict[str, tuple[Network, Recognisers]] = OrderedDict()
        self._lock = Lock()

    @property
    def is_better(self) -> bool:
        """Whether the better recogniser takes part."""
        return self._better

    def hear(self, samples: Samples, front: Procedure | None = None) -> Sensed:
        """What was said. Safe from several threads, one after another.

        The grammar is whole even while a draft waits for a yes: a few commands alone would take a finding for one.
        """
        if len(samples) < SHORTEST:
            return Sensed()
        with self._lock:
            found = self.evidence(samples, front)
        words = decide(found.small, found.large)
        meaning = found.network.read(words) if words else None
        return Sensed(words, meaning) if meaning is not None else Sensed()

    def warm(self) -> None:
        """Load what the first phrase needs, before it is said."""
        with self._lock:
            self._with_grammar(None)
            _ = self._sounds, self._large if self._better else None

    def evidence(self, samples: Samples, front: Procedure | None = None) -> Evidence:
        """What each recogniser makes of the sound, undecided."""
        network, recognisers = self._with_grammar(front)
        plain = samples if noise_ratio_db(samples) >= CLEAN_ABOVE_DB else cleaned(samples)
        ready = dithered(plain)
        sounds = self._sounds.fit(ready)
        if sounds is None:
            return Evidence(None, None, network)
        small = self._first(ready, recognisers, sounds, loud_seconds(plain))
        large = self._second(samples, ready, network, recognisers, sounds, small) if self._better else None
        return Evidence(small, large, network)

    def _first(self, ready: Samples, recognisers: Recognisers, sounds: float, loud: float) -> Small | None:
        """The base recogniser's phrase and its rival; where it fits badly or not at all, a second look with wider
        beams."""
        found = None
        for wide in (False, True):
            recogniser = recognisers.at(wide=wide)
            guess = recogniser.hear(ready)
            if guess is None:
                continue
            found = Small(guess.words, guess.fit, sounds, loud)
            if found.over_sounds >= LEAST_OVER_SOUNDS:
                rival = recogniser.rival(ready, guess.words)
                if rival is not None:
                    lead = (guess.fit - rival.fit) * guess.frames
                    found = replace(found, rival=rival.words, lead=lead, rival_fit=rival.fit)
                break
        return found

    def _second(
        self, samples: Samples, ready: Samples, network: Network, recognisers: Recognisers, sounds: float,
        small: Small | None,
    ) -> Large | None:  # fmt: skip
        """The better recogniser's phrase, and how likely it finds each in question; one that is its alone is measured
        by the base one."""
        heard = self._large.listen(samples)
        written = heard.written()
        near = snap(written, network)
        known = {small.words, small.rival} - {()} if small else set()
        phrases = known | ({near.words} if near else set())
        if not phrases:
            return None
        rating = {words: heard.rate(" ".join(words)) for words in sorted(phrases)}
        if near is None:
            return Large((), 1.0, rating, written=written)
        fit = None
        if near.words not in known and near.words == max(rating, key=rating.__getitem__):
            fit = recognisers.at(wide=True).fit(ready, near.words)
        return Large(near.words, near.distance, rating, None if fit is None else fit - sounds, written)

    def _with_grammar(self, front: Procedure | None) -> tuple[Network, Recognisers]:
        key = front.id if front else ""
        if key not in self._kept:
            catalogue, limits = self._shorthand.catalogue, self._shorthand.limits
            network = whole_grammar(catalogue, limits, self._spoken, front)
            self._kept[key] = (network, Recognisers(network, self._spoken))
            while len(self._kept) > KEPT_GRAMMARS:
                self._kept.popitem(last=False)
        self._kept.move_to_end(key)
        return self._kept[key]

    @cached_property
    def _sounds(self) -> SoundLoop:
        return SoundLoop()

    @cached_property
    def _large(self) -> LargeRecogniser:
        return LargeRecogniser()


def can_hear() -> bool:
    """Whether anything can be recognised here at all."""
    return small_is_here()
