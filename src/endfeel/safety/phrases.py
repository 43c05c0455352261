"""Phrases of plain words, as the data write them, and where they fit a list of words.

A phrase is a row of words. `word*` any ending, `a/b` either, `<set>` a named set of words, `word?` may be absent,
`#` a number, `..` up to four words between, `...` up to twelve, `a & b` both in one sentence in any order.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

NEAR, FAR = 4, 12
"""Most words that `..` and `...` stand for."""


@dataclass(slots=True)
class Word:
    """One word of a story, and how it was meant."""

    text: str
    start: int
    end: int
    sentence: int
    breaks_before: bool = False
    """A comma, dash or bracket stands before it."""
    denies: bool = False
    opens: bool = False
    """What follows is denied or about somebody else."""
    untold: bool = False
    """Denied, or said of somebody else."""
    past: bool = False


@dataclass(frozen=True, slots=True)
class Element:
    """One place of a phrase: which words fit it, or how many may be passed over."""

    words: frozenset[str] = frozenset()
    stems: tuple[str, ...] = ()
    number: bool = False
    optional: bool = False
    gap: int = 0

    def fits(self, text: str) -> bool:
        return text in self.words or (text.startswith(self.stems) if self.stems else False) or (
            self.number and text[0].isdigit())  # fmt: skip


Phrase = tuple[tuple[Element, ...], ...]
"""Parts that must stand in one sentence, usually one."""


def read_phrase(written: str, sets: Mapping[str, str]) -> Phrase:
    """A phrase as the data write it. Raises KeyError for a set that is not there."""
    return tuple(tuple(_element(token, sets) for token in part.split()) for part in written.split("&"))


def find(phrase: Phrase, words: Sequence[Word], ever: bool = False) -> tuple[Word, Word] | None:
    """First and last word of the first told place it fits; `ever` lets what is long past count."""
    for start in range(len(words)):
        found = _at(phrase[0], words, start, ever)
        if found is None:
            continue
        sentence = [word for word in words if word.sentence == words[start].sentence]
        if all(_anywhere(part, sentence, ever) for part in phrase[1:]):
            return words[start], words[found]
    return None


def fits_at(part: Sequence[Element], words: Sequence[Word], start: int) -> int | None:
    """Index of the last word when the part fits from `start` on, however the words were meant."""
    return _follow(part, words, start, start, words[start].sentence, None)


def _element(place: str, sets: Mapping[str, str]) -> Element:
    if place in ("..", "..."):
        return Element(gap=NEAR if place == ".." else FAR)
    optional = place.endswith("?")
    choices = [word for one in place.rstrip("?").split("/") for word in _choices(one, sets)]
    return Element(
        words=frozenset(one for one in choices if not one.endswith("*") and one != "#"),
        stems=tuple(one[:-1] for one in choices if one.endswith("*")),
        number="#" in choices,
        optional=optional,
    )


def _choices(token: str, sets: Mapping[str, str]) -> list[str]:
    if token.startswith("<"):
        return [word for one in sets[token[1:-1]].split() for word in _choices(one, sets)]
    return [token]


def _anywhere(part: Sequence[Element], words: Sequence[Word], ever: bool) -> bool:
    return any(_at(part, words, start, ever) is not None for start in range(len(words)))


def _at(part: Sequence[Element], words: Sequence[Word], start: int, ever: bool) -> int | None:
    first = words[start]
    if first.untold or (first.past and not ever):
        return None
    return _follow(part, words, start, start, first.sentence, ever)


def _follow(
    part: Sequence[Element], words: Sequence[Word], at: int, start: int, sentence: int, ever: bool | None
) -> int | None:
    """Index of the last word that fits. `ever` None: how the words were meant is not looked at."""
    if not part:
        return at - 1
    element, rest = part[0], part[1:]
    if element.gap and not rest:
        return _farthest(words, at, sentence, element.gap)
    if element.gap:
        for passed in range(element.gap + 1):
            last = _follow(rest, words, at + passed, start, sentence, ever)
            if last is not None:
                return last
            if at + passed >= len(words) or (ever is not None and words[at + passed].denies):
                return None
        return None
    if at < len(words) and words[at].sentence == sentence and element.fits(words[at].text):
        word = words[at]
        if ever is None or at == start or not (word.past and not ever):
            opened = word.opens or (word.denies and ever is not None)
            last = _follow(rest, words, at + 1, start, sentence, None if opened else ever)
            if last is not None and (ever is None or not word.untold):
                return last
    return _follow(rest, words, at, start, sentence, ever) if element.optional else None


def _farthest(words: Sequence[Word], at: int, sentence: int, gap: int) -> int:
    """A gap at the end of a phrase takes what it can of the sentence."""
    last = at - 1
    while last + 1 < len(words) and words[last + 1].sentence == sentence and last + 1 - at < gap:
        last += 1
    return last
