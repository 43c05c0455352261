"""Reads the data file of spoken words."""

from __future__ import annotations

import tomllib
from functools import lru_cache
from pathlib import Path

from endfeel.voice.spoken import Spoken

FILE = Path(__file__).parent / "data" / "spoken.toml"


@lru_cache(maxsize=1)
def load_spoken() -> Spoken:
    """The spoken words that come with the program."""
    return Spoken.of(tomllib.loads(FILE.read_text(encoding="utf-8")))
