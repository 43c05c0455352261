"""The ear: sound to a phrase of the grammar or to nothing, with the recognisers that are installed."""

from __future__ import annotations

from collections import OrderedDict
from dataclasses import dataclass
from functools import cached_property
from threading import Lock

from endfeel.vocabulary import Procedure
from endfeel.vocabulary.shorthand import Shorthand
from endfeel.voice.decide import Large, Small, Words, decide
from endfeel.voice.grammar import confirming_grammar, whole_grammar
from endfeel.voice.large import LargeRecogniser, large_is_here
from endfeel.voice.load import load_spoken
from endfeel.voice.network import Meaning, Network
from endfeel.voice.small import SmallRecogniser, SoundLoop, small_is_here
from endfeel.voice.snap import snap
from endfeel.voice.sound import RATE, Samples, cleaned, dithered, noise_ratio_db

CLEAN_ABOVE_DB = 40.0
"""Speech over noise, as estimated, above which nothing is taken out: cleaning harms clean sound."""
KEPT_GRAMMARS = 3
SHORTEST = RATE // 5
HOW_TO_GET = 'pip install "endfeel[voice]"'


@dataclass(frozen=True, slots=True)
class Sensed:
    """The phrase that was taken and what it means; both None where the sound was refused."""

    words: Words | None = None
    meaning: Meaning | None = None


class Ear:
    """Hears one phrase at a time. Keeps no sound."""

    def __init__(self, shorthand: Shorthand, *, better: bool = True) -> None:
        self._shorthand, self._better = shorthand, better and large_is_here()
        self._spoken = load_spoken()
        self._small: OrderedDict[str, tuple[Network, SmallRecogniser]] = OrderedDict()
        self._lock = Lock()

    @property
    def is_better(self) -> bool:
        """Whether the better recogniser takes part."""
        return self._better

    def hear(self, samples: Samples, front: Procedure | None = None, *, waiting: bool = False) -> Sensed:
        """What was said; `waiting` for a yes narrows it to commands. Safe from several threads, one after another."""
        if len(samples) < SHORTEST:
            return Sensed()
        with self._lock:
            network, recogniser = self._with_grammar(front, waiting)
            words = self._decided(samples, network, recogniser)
        meaning = network.read(words) if words else None
        return Sensed(words, meaning) if meaning is not None else Sensed()

    def warm(self) -> None:
        """Load what the first phrase needs, before it is said."""
        with self._lock:
            self._with_grammar(None, waiting=False)
            _ = self._sounds, self._large if self._better else None

    def _decided(self, samples: Samples, network: Network, recogniser: SmallRecogniser) -> Words | None:
        ready = dithered(samples if noise_ratio_db(samples) >= CLEAN_ABOVE_DB else cleaned(samples))
        guess = recogniser.hear(ready)
        if guess is not None and network.read(guess.words) is None:
            guess = None  # broke off before the end of a phrase
        small = None
        if guess is not None:
            sounds = self._sounds.fit(ready)
            small = Small(guess.words, guess.fit, guess.fit if sounds is None else sounds)
        return decide(small, self._second(samples, network, small) if self._better else None)

    def _second(self, samples: Samples, network: Network, small: Small | None) -> Large | None:
        heard = self._large.listen(samples)
        near = snap(heard.written(), network)
        if near is None:
            return None if small is None else Large((), 1.0, {(): -1e9, small.words: heard.rate(" ".join(small.words))})
        phrases = {near.words, *([small.words] if small else [])}
        return Large(near.words, near.distance, {words: heard.rate(" ".join(words)) for words in phrases})

    def _with_grammar(self, front: Procedure | None, waiting: bool) -> tuple[Network, SmallRecogniser]:
        key = "?" if waiting else (front.id if front else "")
        if key not in self._small:
            shorthand = self._shorthand
            network = (
                confirming_grammar(self._spoken)
                if waiting
                else whole_grammar(shorthand.catalogue, shorthand.limits, self._spoken, front)
            )
            self._small[key] = (network, SmallRecogniser(network, self._spoken))
            while len(self._small) > KEPT_GRAMMARS:
                self._small.popitem(last=False)
        self._small.move_to_end(key)
        return self._small[key]

    @cached_property
    def _sounds(self) -> SoundLoop:
        return SoundLoop()

    @cached_property
    def _large(self) -> LargeRecogniser:
        return LargeRecogniser()


def can_hear() -> bool:
    """Whether anything can be recognised here at all."""
    return small_is_here()
