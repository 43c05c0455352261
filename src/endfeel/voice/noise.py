"""Noise for the report: white, pink, and several voices at once; laid over speech at a stated ratio."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from endfeel.voice.sound import RATE, Samples

KINDS = ("white", "pink", "babble")
TALKERS = 6
_LOWEST_HZ = 50.0


def noise_of(kind: str, length: int, seed: int, talkers: Sequence[Samples] = ()) -> Samples:
    """Noise of one kind, of standard deviation 1; babble needs the sound of some talkers. Raises ValueError."""
    random = np.random.default_rng(seed)
    white: Samples = random.normal(size=length)
    if kind == "white":
        made = white
    elif kind == "pink":
        spectrum = np.fft.rfft(white)
        hertz = np.fft.rfftfreq(length, 1 / RATE)
        made = np.fft.irfft(spectrum / np.sqrt(np.maximum(hertz, _LOWEST_HZ)), length)
    elif kind == "babble" and talkers:
        made = np.zeros(length)
        for place in random.integers(len(talkers), size=TALKERS):
            one = np.resize(talkers[place], length + len(talkers[place]))
            start = int(random.integers(len(talkers[place])))
            made += one[start : start + length] / one.std()
    else:
        raise ValueError(f"no noise {kind!r} here; {', '.join(KINDS)}, babble with talkers")
    scaled: Samples = made / made.std()
    return scaled


def with_noise(speech: Samples, noise: Samples, ratio_db: float, margin: int) -> Samples:
    """Speech with noise at a ratio over the power of the speech itself, the margins at its ends left out."""
    power = float(np.mean(speech[margin : len(speech) - margin] ** 2))
    mixed: Samples = speech + noise * np.sqrt(power / 10 ** (ratio_db / 10))
    return mixed
