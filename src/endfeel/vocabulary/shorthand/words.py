"""Words of the trade brought to one spelling, and phrases looked up as sets of words."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

_WORD = re.compile(r"[^\W\d_]+|\d+")


@dataclass(frozen=True, slots=True)
class Spelling:
    """Abbreviation → full words, and the words that carry no meaning."""

    full: Mapping[str, tuple[str, ...]]
    silent: frozenset[str]

    @classmethod
    def of(cls, words: Mapping[str, str], stop_words: Iterable[str]) -> Spelling:
        return cls({short: tuple(long.split()) for short, long in words.items()}, frozenset(stop_words))

    def expand(self, word: str) -> tuple[str, ...]:
        """The full words behind one written word; empty for a silent word."""
        lower = word.lower()
        if lower in self.full:
            return self.full[lower]
        return () if lower in self.silent else (_singular(lower),)

    def key(self, text: str) -> frozenset[str]:
        """The set of full words of a phrase: order and silent words do not matter."""
        return frozenset(full for word in _WORD.findall(text) for full in self.expand(word))


def _singular(word: str) -> str:
    return word[:-1] if len(word) > 4 and word.endswith("s") and not word.endswith(("ss", "us", "is", "ps")) else word
