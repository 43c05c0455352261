"""The base recogniser hears a phrase the same, whatever was said before it."""

from __future__ import annotations

import numpy as np
import pytest

from endfeel.voice.small import SoundLoop, small_is_here
from endfeel.voice.sound import RATE, Samples, dithered


def hum(loudness: float, pitch: float) -> Samples:
    """A vowel-like sound that comes and goes three times."""
    time = np.arange(RATE) / RATE
    voiced = sum(np.sin(2 * np.pi * pitch * part * time) / part for part in range(1, 12))
    out: Samples = dithered(loudness * voiced * np.clip(np.sin(6 * np.pi * time), 0, None))
    return out


def test_level_and_noise_of_one_phrase_are_not_carried_into_the_next() -> None:
    if not small_is_here():
        pytest.skip("the extra `voice` is not installed here (make voice)")
    sounds = SoundLoop()
    alone = sounds.fit(hum(3000, 120))
    other = sounds.fit(hum(15000, 210) + 400 * np.random.default_rng(2).normal(size=RATE))
    assert alone is not None
    assert other is not None
    assert other != pytest.approx(alone, abs=1e-3)
    assert sounds.fit(hum(3000, 120)) == pytest.approx(alone, abs=1e-9)
    sounds.fit(0.02 * hum(3000, 120))
    assert sounds.fit(hum(3000, 120)) == pytest.approx(alone, abs=1e-9)
