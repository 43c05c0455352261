"""A free transcript brought to the nearest phrase of the grammar, by letters."""

from __future__ import annotations

import re
from dataclasses import dataclass
from math import inf

import numpy as np
from numpy.typing import NDArray

from endfeel.voice.network import Arc, Network
from endfeel.voice.numbers import in_words

Costs = NDArray[np.float32]
LONGEST = 160
"""Letters of a transcript that are looked at; no phrase of the grammar is longer."""


@dataclass(frozen=True, slots=True)
class Snapped:
    """The nearest phrase, and the changes of letters it takes for each letter of the longer of the two."""

    words: tuple[str, ...]
    distance: float


def letters_of(text: str) -> str:
    """The letters of a transcript: small, numbers in words, nothing else, no spaces."""
    plain = text.lower().replace("°", " degrees ").replace("%", " per cent ")
    spelled = re.sub(r"\d+", lambda found: f" {in_words(int(found[0]) % 1000)} ", plain)
    return re.sub(r"[^a-z]", "", spelled)[:LONGEST]


def snap(text: str, network: Network) -> Snapped | None:
    """The phrase of the network nearest to the text; None for a text without letters."""
    heard = letters_of(text)
    if not heard:
        return None
    costs = {word: _costs(word, heard) for word in network.words}
    reached = {0: _start(len(heard))}
    came: dict[int, tuple[NDArray[np.int32], NDArray[np.int32]]] = {}
    for place, arc in enumerate(network.arcs):
        if arc.start not in reached:
            continue
        before = reached[arc.start]
        if arc.word:
            through = before[:, None] + costs[arc.word]
            from_ = np.argmin(through, axis=0).astype(np.int32)
            after = through[from_, np.arange(len(heard) + 1)]
        else:
            after, from_ = before, np.arange(len(heard) + 1, dtype=np.int32)
        _keep(arc, place, after, from_, reached, came)
    words = _back(network, came, len(heard))
    cost = float(reached[network.final][-1])
    return Snapped(words, cost / max(len(heard), sum(map(len, words)), 1)) if cost < inf else None


def _start(length: int) -> Costs:
    row = np.full(length + 1, np.inf, dtype=np.float32)
    row[0] = 0
    return row


def _costs(word: str, heard: str) -> Costs:
    """What it takes to make the word of the letters i to j of what was heard; shape (n + 1, n + 1)."""
    size = len(heard) + 1
    steps = np.arange(size, dtype=np.float32)
    row = steps[None, :] - steps[:, None]
    row[row < 0] = np.inf
    letters = np.frombuffer(heard.encode("ascii"), dtype=np.uint8)
    for letter in word:
        other = (letters != ord(letter)).astype(np.float32)
        fresh = row + 1
        np.minimum(fresh[:, 1:], row[:, :-1] + other, out=fresh[:, 1:])
        row = np.minimum.accumulate(fresh - steps, axis=1) + steps
    return row


def _keep(
    arc: Arc,
    place: int,
    after: Costs,
    from_: NDArray[np.int32],
    reached: dict[int, Costs],
    came: dict[int, tuple[NDArray[np.int32], NDArray[np.int32]]],
) -> None:
    if arc.end not in reached:
        reached[arc.end] = after.copy()
        came[arc.end] = (np.full(len(after), place, dtype=np.int32), from_.copy())
        return
    better = after < reached[arc.end]
    reached[arc.end][better] = after[better]
    came[arc.end][0][better] = place
    came[arc.end][1][better] = from_[better]


def _back(network: Network, came: dict[int, tuple[NDArray[np.int32], NDArray[np.int32]]], at: int) -> tuple[str, ...]:
    node = network.final
    words: list[str] = []
    while node:
        arcs, from_ = came[node]
        arc = network.arcs[int(arcs[at])]
        at = int(from_[at])
        words += [arc.word] if arc.word else []
        node = arc.start
    return tuple(reversed(words))
