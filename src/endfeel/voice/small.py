"""The base recogniser: pocketsphinx with our grammar, and a loop of free sounds to measure what fits no grammar."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache
from importlib.util import find_spec
from math import log
from pathlib import Path
from typing import Any

from endfeel.vocabulary import Side
from endfeel.voice.network import Network, Say
from endfeel.voice.pronounce import read_dictionary, sounds_of
from endfeel.voice.sound import Samples, pcm_of
from endfeel.voice.spoken import Spoken

_SMALLEST = 1e-300
_SCALE = 1024
"""Scores come out of the decoder divided by this."""
NARROW = (1e-60, 1e-40, 1e-60)
WIDE = (1e-90, 1e-70, 1e-90)
"""Beams of the decoder: states, words, sounds. The wide ones take some times as long."""

_ONE_SCALE: dict[str, Any] = {"compallsen": True, "loglevel": "FATAL"}
"""Every sound is rated in every frame: scores are measured against the best of them, which else differs by decoder."""
SIDES = frozenset(side.value for side in Side)


def small_is_here() -> bool:
    """Whether the base recogniser is installed."""
    return find_spec("pocketsphinx") is not None


@dataclass(frozen=True, slots=True)
class Guess:
    """Words of the grammar and how well they fit: the logarithm of their likelihood, each frame measured against the
    likeliest of all sounds, so that guesses of several decoders stand on one scale."""

    words: tuple[str, ...]
    fit: float
    """For each frame."""
    frames: int


class SmallRecogniser:
    """Decodes one phrase at a time against one grammar. Not for two threads at once."""

    def __init__(self, network: Network, spoken: Spoken, *, wide: bool = False) -> None:
        from pocketsphinx import Decoder

        self._network = network
        sounds = sounds_of(network.words, _dictionary(network.words), spoken.sound)
        widths = dict(zip(("beam", "wbeam", "pbeam"), WIDE if wide else NARROW, strict=True))
        self._decoder = Decoder(hmm=_model("en-us"), lm=None, dict=None, bestpath=False, **_ONE_SCALE, **widths)
        for word, ways in sounds.items():
            for number, way in enumerate(ways, 1):
                self._decoder.add_word(word if number == 1 else f"{word}({number})", way, update=False)
        self._decoder.add_word("<silence>", "SIL", update=True)
        self._add("phrases", network)

    def hear(self, samples: Samples) -> Guess | None:
        """The best phrase of the grammar; None where none fits to its end."""
        return self._hear("phrases", samples)

    def rival(self, samples: Samples, words: tuple[str, ...]) -> Guess | None:
        """The best phrase of the grammar but this one, its side left as it is; None where none comes near."""
        self._add("rival", self._network.without(words, SIDES))
        return self._hear("rival", samples)

    def fit(self, samples: Samples, words: tuple[str, ...]) -> float | None:
        """How well just these words fit, for each frame; None where the beams lose them."""
        self._add("alone", Network.of(Say(" ".join(words))))
        guess = self._hear("alone", samples)
        return guess.fit if guess else None

    def _add(self, name: str, network: Network) -> None:
        self._decoder.add_fsg(name, self._decoder.create_fsg(name, 0, network.final, _transitions(network)))

    def _hear(self, name: str, samples: Samples) -> Guess | None:
        self._decoder.activate_search(name)
        fit = _decode(self._decoder, samples)
        found = self._decoder.hyp()
        if found is None or fit is None:
            return None
        words = tuple(re.sub(r"\(\d+\)", "", found.hypstr).split())
        return Guess(words, fit, int(self._decoder.n_frames()))


class Recognisers:
    """One grammar with narrow beams, and with wide ones made when they are first needed."""

    def __init__(self, network: Network, spoken: Spoken) -> None:
        self._network, self._spoken = network, spoken
        self._narrow = SmallRecogniser(network, spoken)
        self._wide: SmallRecogniser | None = None

    def at(self, *, wide: bool) -> SmallRecogniser:
        """The one with the narrow or the wide beams."""
        if not wide:
            return self._narrow
        if self._wide is None:
            self._wide = SmallRecogniser(self._network, self._spoken, wide=True)
        return self._wide


class SoundLoop:
    """Any sounds in any order: what the phrase would have to beat if it were no phrase at all."""

    def __init__(self) -> None:
        from pocketsphinx import Decoder

        self._decoder = Decoder(
            hmm=_model("en-us"), allphone=_model("en-us-phone.lm.bin"), lw=2.0, beam=1e-20, pbeam=1e-20, **_ONE_SCALE
        )

    def fit(self, samples: Samples) -> float | None:
        """How well free sounds fit, for each frame."""
        return _decode(self._decoder, samples)


def _decode(decoder: Any, samples: Samples) -> float | None:
    """Decode one phrase; the logarithm of its likelihood for each frame, None where nothing was found.

    The level and the noise that the decoder took from the phrase before are forgotten first: the same sound is heard
    the same, whatever was said before it.
    """
    decoder.reinit_feat()
    decoder.start_utt()
    decoder.process_raw(pcm_of(samples), full_utt=True)
    decoder.end_utt()
    found, frames = decoder.hyp(), int(decoder.n_frames())
    if found is None or not frames:
        return None
    return _SCALE * log(max(float(found.score), _SMALLEST)) / frames


def _transitions(network: Network) -> list[tuple[Any, ...]]:
    """Words, and silent steps taken in one: the decoder follows only one silent step at a time."""
    onward: dict[int, set[int]] = {}
    for arc in reversed(network.arcs):
        if not arc.word:
            onward.setdefault(arc.start, set()).update({arc.end}, onward.get(arc.end, set()))
    entered = {0, *(arc.end for arc in network.arcs if arc.word)}
    left = {network.final, *(arc.start for arc in network.arcs if arc.word)}
    silent = [(start, end, 1.0) for start in entered for end in onward.get(start, ()) if end in left]
    return [*((arc.start, arc.end, 1.0, arc.word) for arc in network.arcs if arc.word), *silent]


def _model(name: str) -> str:
    from pocketsphinx import get_model_path

    return str(get_model_path(f"en-us/{name}"))


@lru_cache(maxsize=8)
def _dictionary(words: tuple[str, ...]) -> dict[str, tuple[str, ...]]:
    return read_dictionary(Path(_model("cmudict-en-us.dict")).read_text(encoding="utf-8"), words)
