"""How words sound: from the recogniser's dictionary, from our own list, and as said without the r."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from endfeel.vocabulary import EvidenceFault, Fault

_VOWELS = frozenset(("AA", "AE", "AH", "AO", "AW", "AY", "EH", "ER", "EY", "IH", "IY", "OW", "OY", "UH", "UW"))
_MOST = 6
"""Ways of saying one word that are kept."""


def sounds_of(
    words: Iterable[str], dictionary: Mapping[str, tuple[str, ...]], own: Mapping[str, tuple[str, ...]]
) -> dict[str, tuple[str, ...]]:
    """Every word with the ways it sounds; ours come first.

    Raises EvidenceFault that names each word which neither list holds: a grammar with such a word fails as a whole.
    """
    wanted = tuple(words)
    missing = [word for word in wanted if word not in dictionary and word not in own]
    if missing:
        would = "its sounds, in the table `sound` of the spoken words"
        raise EvidenceFault([Fault("a word whose sounds are not known", word, would) for word in missing])
    found: dict[str, tuple[str, ...]] = {}
    for word in wanted:
        given = (*own.get(word, ()), *dictionary.get(word, ()))
        found[word] = tuple(dict.fromkeys((*given, *(without_r(one) for one in given))))[:_MOST]
    return found


def without_r(sounds: str) -> str:
    """The same sounds as many people in Britain say them: r only before a vowel (`F AO R T IY` → `F AO T IY`)."""
    said = sounds.split()
    kept: list[str] = []
    for place, one in enumerate(said):
        before_vowel = place + 1 < len(said) and said[place + 1] in _VOWELS
        if one == "R" and not before_vowel and kept and kept[-1] in _VOWELS:
            continue
        last = one == "ER" and place == len(said) - 1
        kept.append("AH" if last else one)
    return " ".join(kept)


def read_dictionary(text: str, words: Iterable[str]) -> dict[str, tuple[str, ...]]:
    """The wanted words of a dictionary of lines `word SOUNDS`; other ways stand as `word(2)`."""
    wanted = frozenset(words)
    found: dict[str, list[str]] = {}
    for line in text.splitlines():
        name, _, sounds = line.partition(" ")
        word = name.partition("(")[0]
        if word in wanted:
            found.setdefault(word, []).append(sounds.strip())
    return {word: tuple(ways) for word, ways in found.items()}
