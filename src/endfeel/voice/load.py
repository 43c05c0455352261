"""Reads the data file of spoken words."""

from __future__ import annotations

import tomllib
from functools import lru_cache
from pathlib import Path

from endfeel.voice.spoken import Spoken

DATA = Path(__file__).parent / "data"


@lru_cache(maxsize=1)
def load_spoken() -> Spoken:
    """The spoken words that come with the program."""
    return Spoken.of(tomllib.loads((DATA / "spoken.toml").read_text(encoding="utf-8")))


def load_unrelated() -> dict[str, dict[str, list[str]]]:
    """Parts of everyday sentences by set: `tune` and `report`."""
    return tomllib.loads((DATA / "unrelated.toml").read_text(encoding="utf-8"))
