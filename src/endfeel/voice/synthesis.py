"""Synthetic voices for the report and the tests. They are not a therapist's voice."""

from __future__ import annotations

import shutil
import subprocess
import tempfile
import wave
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from endfeel.voice.sound import RATE, Samples

MARGIN = RATE // 4
"""Silence before and after each phrase."""
_PEAK = 12_000


@dataclass(frozen=True, slots=True)
class Voice:
    """A synthetic voice: the program that speaks, its name there, and words a minute where that can be set."""

    program: str
    name: str
    words_a_minute: int = 0


REPORTED: tuple[Voice, ...] = (
    Voice("espeak-ng", "en-us", 160),
    Voice("espeak-ng", "en-gb", 150),
    Voice("espeak-ng", "en-gb-scotland", 155),
    Voice("espeak-ng", "en-us+f3", 165),
    Voice("espeak-ng", "en-gb+f4", 150),
    Voice("espeak-ng", "en-gb-x-rp", 170),
    Voice("flite", "slt"),
    Voice("flite", "rms"),
    Voice("flite", "awb"),
)
"""The voices of the report. Nothing was chosen by how they were heard."""
TUNED: tuple[Voice, ...] = (
    Voice("espeak-ng", "en-us+m2", 165),
    Voice("espeak-ng", "en-gb+m4", 155),
    Voice("espeak-ng", "en-us+f2", 150),
    Voice("espeak-ng", "en-gb-x-gbcwmd", 160),
    Voice("espeak-ng", "en-gb-x-gbclan", 175),
    Voice("flite", "kal16"),
)
"""The voices that thresholds were chosen on, with other phrases."""


def missing_programs() -> tuple[str, ...]:
    """Programs that are not installed here (Debian packages of the same names)."""
    return tuple(name for name in ("espeak-ng", "flite") if shutil.which(name) is None)


def speak(voice: Voice, text: str) -> Samples:
    """The text as this voice says it, at RATE, with silence around it; the file in between is deleted at once."""
    with tempfile.TemporaryDirectory(prefix="endfeel-voice-") as folder:
        path = str(Path(folder) / "said.wav")
        if voice.program == "flite":
            command = ["flite", "-voice", voice.name, "-t", text, "-o", path]
        else:
            command = ["espeak-ng", "-v", voice.name, "-s", str(voice.words_a_minute), "-w", path, text]
        subprocess.run(command, check=True, capture_output=True)  # noqa: S603 (names of the tables above)
        rate, samples = _read(path)
    return _framed(_at_rate(samples, rate))


def _read(path: str) -> tuple[int, Samples]:
    with wave.open(path) as sound:
        return sound.getframerate(), np.frombuffer(sound.readframes(sound.getnframes()), "<i2").astype(np.float64)


def _at_rate(samples: Samples, rate: int) -> Samples:
    if rate == RATE:
        return samples
    from math import gcd

    from scipy.signal import resample_poly

    common = gcd(RATE, rate)
    out: Samples = resample_poly(samples, RATE // common, rate // common)
    return out


def _framed(samples: Samples) -> Samples:
    silence = np.zeros(MARGIN)
    return np.concatenate([silence, samples / max(1.0, float(np.abs(samples).max())) * _PEAK, silence])
