"""Words of the trade brought to one spelling, and phrases looked up as sets of words."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

_WORD = re.compile(r"[^\W\d_]+|\d+")
_ID = re.compile(r"[A-Za-z][A-Za-z0-9]*(?:_[A-Za-z0-9]+)+(?!\w)")


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


@dataclass(frozen=True, slots=True)
class Names:
    """Procedures as they stand in the catalogue: ids, and names written out in full.

    A full name is recognised as a whole, because some hold words that mean something else by themselves
    ("C7 to T5", "at 90 degrees", "empty").
    """

    ids: frozenset[str]
    by_first_word: Mapping[str, tuple[tuple[tuple[str, ...], str], ...]]

    @classmethod
    def of(cls, ids: Iterable[str], names: Iterable[tuple[str, str]]) -> Names:
        """`names` are pairs of a written name and the id it stands for."""
        by_first: dict[str, list[tuple[tuple[str, ...], str]]] = {}
        for name, procedure_id in names:
            words = tuple(word.lower() for word in _WORD.findall(name))
            by_first.setdefault(words[0], []).append((words, procedure_id))
        longest_first = {first: tuple(sorted(found, key=lambda one: -len(one[0]))) for first, found in by_first.items()}
        return cls(frozenset(ids), longest_first)

    def at(self, line: str, start: int) -> tuple[int, str] | None:
        """The end of the id or full name that stands at `start`, and the id; None when there is none."""
        if start and (line[start - 1].isalnum() or line[start - 1] == "_"):
            return None
        written = _ID.match(line, start)
        if written and written[0].lower() in self.ids:
            return written.end(), written[0].lower()
        first = _WORD.match(line, start)
        for words, procedure_id in self.by_first_word.get(first[0].lower(), ()) if first else ():
            end = _end_of(words, line, start)
            if end is not None:
                return end, procedure_id
        return None


def _end_of(words: tuple[str, ...], line: str, start: int) -> int | None:
    end = start
    for word in words:
        found = _WORD.search(line, end)
        between = line[end : found.start()] if found else ";"
        if found is None or found[0].lower() != word or ";" in between or '"' in between:
            return None
        end = found.end()
    return end if end == len(line) or not line[end].isalnum() else None
