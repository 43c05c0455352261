"""Phrases to try the recognition with: drawn from the grammar, and unrelated ones from a word list of our own."""

from __future__ import annotations

from random import Random

from endfeel.vocabulary import Side
from endfeel.voice.network import Arc, Network

SIDED_SHARE = 0.2
COMMAND_SHARE = 0.06
PROMPTS: tuple[str, ...] = (
    "glenohumeral posterior glide resting grade two stiff firm capsular pain four reproduces symptoms",
    "passive lateral rotation at the side thirty five degrees other side sixty five degrees",
    "central pressure thoracic five six grade one very stiff pain three",
    "medial clavicle inferior lateral glide grade three normal",
    "active arm abduction one hundred and ten degrees pain six",
    "anterior apprehension test positive with apprehension",
    "passive hand behind back reaching thoracic nine",
    "isometric lateral rotation strength four of five pain two",
    "scapular upward rotation grade four lax loose end feel",
    "acromioclavicular palpation positive pain seven not familiar",
    "rib springing at the angle rib five grade two stiff",
    "yes confirm",
)
"""What is read at the microphone check: every kind of word once."""


def draw_phrases(network: Network, count: int, seed: int) -> tuple[str, ...]:
    """That many different phrases: a procedure at random and what may follow it, or a command."""
    draw = Random(seed)  # noqa: S311 (phrases, not secrets)
    named = sorted({arc.means[1]: arc for arc in network.arcs if arc.means and arc.means[0] == "procedure"}.items())
    found: dict[str, None] = {}
    while len(found) < count:
        arc = None if draw.random() < COMMAND_SHARE and len(found) < count // 4 else draw.choice(named)[1]
        found.setdefault(_walk(network, draw, arc))
    return tuple(found)


def _walk(network: Network, draw: Random, through: Arc | None) -> str:
    """One way through the network: by this arc, or one that names no procedure."""
    before = _leading_to(network, through.start) if through else frozenset[int]()
    words: list[str] = []
    node = 0
    passed = through is None
    sided = draw.random() < SIDED_SHARE
    while node != network.final:
        ways = [arc for arc in network.leaving[node] if passed or arc is through or arc.end in before]
        if node == 0 and through is None:
            ways = [arc for arc in ways if arc.word and arc.word not in set(Side)]
        if not sided:
            ways = [arc for arc in ways if arc.word not in set(Side)] or ways
        arc = through if through in ways and through is not None else draw.choice(ways)
        passed = passed or arc is through
        words += [arc.word] if arc.word else []
        node = arc.end
    return " ".join(words)


def _leading_to(network: Network, node: int) -> frozenset[int]:
    back: dict[int, list[int]] = {}
    for arc in network.arcs:
        back.setdefault(arc.end, []).append(arc.start)
    found, waiting = {node}, [node]
    while waiting:
        for start in back.get(waiting.pop(), ()):
            if start not in found:
                found.add(start)
                waiting.append(start)
    return frozenset(found)


def draw_unrelated(parts: dict[str, list[str]], count: int, seed: int) -> tuple[str, ...]:
    """That many different everyday sentences, made of the parts of the data file `unrelated`."""
    draw = Random(seed)  # noqa: S311 (phrases, not secrets)
    found: dict[str, None] = dict.fromkeys(parts["alone"])
    while len(found) < count:
        found.setdefault(" ".join(" ".join(draw.choice(parts[name]) for name in ("who", "does", "when")).split()))
    return tuple(found)[:count]
