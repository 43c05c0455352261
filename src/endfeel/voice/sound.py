"""The sound before it is recognised: how noisy it is, steady noise taken out, a trace of dither put in."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Samples = NDArray[np.float64]
"""Sound as numbers from -32768 to 32767 at RATE; shape (n,)."""

RATE = 16_000
_WINDOW = 512
_HOP = 128
DITHER = 8.0
"""Standard deviation of the noise that is added last; digital silence upsets the recogniser."""


def samples_of(pcm: bytes) -> Samples:
    """Sixteen-bit little-endian sound as samples; a half sample at the end is dropped."""
    return np.frombuffer(pcm[: len(pcm) // 2 * 2], dtype="<i2").astype(np.float64)


def pcm_of(samples: Samples) -> bytes:
    """Samples as sixteen-bit little-endian sound, cut at the limits."""
    return np.clip(np.rint(samples), -32768, 32767).astype("<i2").tobytes()


def dithered(samples: Samples, seed: int = 0) -> Samples:
    """The sound with a trace of noise; the same sound gives the same trace."""
    return samples + np.random.default_rng(seed).normal(0.0, DITHER, samples.shape)


def level_db(samples: Samples, share: float) -> float:
    """The level of the frames in decibels below which `share` of the frames lie."""
    frames = samples[: len(samples) // _HOP * _HOP].reshape(-1, _HOP)
    if not len(frames):
        return 0.0
    power = np.mean(frames**2, axis=1) + 1.0
    return float(10 * np.log10(np.quantile(power, share)))


def noise_ratio_db(samples: Samples) -> float:
    """Speech over noise, estimated: the loud frames over the quiet ones."""
    return level_db(samples, 0.9) - level_db(samples, 0.1)


def loud_seconds(samples: Samples) -> float:
    """How long there is sound: frames nearer to the loudest than to the quietest, in decibels. Pauses do not count."""
    frames = samples[: len(samples) // _HOP * _HOP].reshape(-1, _HOP)
    if not len(frames):
        return 0.0
    level = 10 * np.log10(np.mean(frames**2, axis=1) + 1.0)
    low, high = np.quantile(level, (0.05, 0.95))
    return float(np.count_nonzero(level > (low + high) / 2) * _HOP / RATE)


def cleaned(samples: Samples, strength: float = 1.5, floor: float = 0.08) -> Samples:
    """The sound with steady noise taken out.

    The noise of each frequency is what its quiet frames hold; `strength` times that is taken from the power, and at
    least `floor` of the amplitude stays. Shape in and out (n,).
    """
    if len(samples) < _WINDOW:
        return samples
    window = np.hanning(_WINDOW + 1)[:-1]
    padded = np.concatenate([np.zeros(_WINDOW), samples, np.zeros(_WINDOW)])
    count = (len(padded) - _WINDOW) // _HOP + 1
    frames = np.lib.stride_tricks.sliding_window_view(padded, _WINDOW)[::_HOP][:count]
    spectra = np.fft.rfft(frames * window, axis=1)
    power = np.abs(spectra) ** 2
    inside = power[_WINDOW // _HOP : count - _WINDOW // _HOP]
    noise = np.quantile(inside if len(inside) > 4 else power, 0.2, axis=0) * 1.6
    gain = np.sqrt(np.maximum(1.0 - strength * noise / (power + 1e-9), floor**2))
    shaped = np.fft.irfft(spectra * gain, n=_WINDOW, axis=1) * window
    whole = np.zeros(len(padded))
    weight = np.zeros(len(padded))
    for place in range(count):
        whole[place * _HOP : place * _HOP + _WINDOW] += shaped[place]
        weight[place * _HOP : place * _HOP + _WINDOW] += window**2
    out: Samples = (whole / np.maximum(weight, 1e-3))[_WINDOW : _WINDOW + len(samples)]
    return out
