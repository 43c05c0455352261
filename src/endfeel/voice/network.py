"""What may be said, as a network of words from left to right; every arc says what its word means."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import cached_property

Meaning = tuple[tuple[str, str], ...]
"""What was said, as pairs of field and value, in the order of the words."""


@dataclass(frozen=True, slots=True)
class Arc:
    """One word between two nodes; a word of no letters is silent. `means` is a pair of field and value, or empty."""

    start: int
    end: int
    word: str = ""
    means: tuple[str, str] | None = None


@dataclass(frozen=True, slots=True)
class Say:
    """Words in this order; the last one carries the meaning."""

    words: str
    means: tuple[str, str] | None = None


@dataclass(frozen=True, slots=True)
class Row:
    """Parts one after another."""

    parts: tuple[Part, ...]


@dataclass(frozen=True, slots=True)
class Either:
    """One of several parts."""

    parts: tuple[Part, ...]


@dataclass(frozen=True, slots=True)
class Maybe:
    """A part that may be left out."""

    part: Part


@dataclass(frozen=True, slots=True)
class Some:
    """At least one of the parts, in their order."""

    parts: tuple[Part, ...]


Part = Say | Row | Either | Maybe | Some


@dataclass(frozen=True)
class Network:
    """Nodes are numbered so that every arc leads to a higher one; 0 is the start, `final` the end."""

    arcs: tuple[Arc, ...]
    final: int

    @classmethod
    def of(cls, part: Part) -> Network:
        """The network of a part."""
        laying = _Laying()
        end = laying.lay(part, 0)
        final = laying.fresh()
        laying.arcs.append(Arc(end, final))
        return cls(tuple(sorted(laying.arcs, key=lambda arc: arc.start)), final)

    @cached_property
    def words(self) -> tuple[str, ...]:
        """Every word once, in the order of the alphabet."""
        return tuple(sorted({arc.word for arc in self.arcs if arc.word}))

    @cached_property
    def leaving(self) -> dict[int, tuple[Arc, ...]]:
        """The arcs that leave a node."""
        found: dict[int, list[Arc]] = {}
        for arc in self.arcs:
            found.setdefault(arc.start, []).append(arc)
        return {node: tuple(arcs) for node, arcs in found.items()}

    def read(self, words: Sequence[str]) -> Meaning | None:
        """What these words mean; None where the network does not hold them."""
        reached: dict[int, Meaning] = {0: ()}
        reached = self._silently(reached)
        for word in words:
            stepped: dict[int, Meaning] = {}
            for node in sorted(reached):
                for arc in self.leaving.get(node, ()):
                    if arc.word == word:
                        stepped.setdefault(arc.end, _with(reached[node], arc))
            reached = self._silently(stepped)
        return reached.get(self.final)

    def _silently(self, reached: dict[int, Meaning]) -> dict[int, Meaning]:
        waiting = sorted(reached)
        while waiting:
            node = waiting.pop()
            for arc in self.leaving.get(node, ()):
                if not arc.word and arc.end not in reached:
                    reached[arc.end] = _with(reached[node], arc)
                    waiting.append(arc.end)
        return reached

    def without(self, words: Sequence[str], alike: frozenset[str] = frozenset()) -> Network:
        """Every phrase of the network but this one. A word of `alike` makes no other phrase: it stays as it was said.

        The words are followed one by one, and each step may leave them for the network as it was; an end is reached
        only by leaving them. Raises ValueError for words that the network does not hold.
        """
        beyond = len(words) + 1
        arcs: list[Arc] = []
        nodes = self._reached({0})
        for step, said in enumerate((*words, None)):
            leaving = [arc for node in sorted(nodes) for arc in self.leaving.get(node, ()) if arc.word]
            if said not in alike:
                others = (arc for arc in leaving if arc.word != said and arc.word not in alike)
                arcs += [Arc(step, beyond + arc.end, arc.word, arc.means) for arc in others]
            if said is None:
                break
            if self.final in nodes:
                arcs.append(Arc(step, beyond + self.final))
            arcs.append(Arc(step, step + 1, said))
            nodes = self._reached({arc.end for arc in leaving if arc.word == said})
        if self.final not in nodes:
            raise ValueError(f"no phrase of this network: {' '.join(words)}")
        arcs += [Arc(beyond + arc.start, beyond + arc.end, arc.word, arc.means) for arc in self.arcs]
        return Network(tuple(arcs), beyond + self.final)

    def _reached(self, nodes: Iterable[int]) -> frozenset[int]:
        """These nodes and what silent steps lead to."""
        return frozenset(self._silently(dict.fromkeys(nodes, ())))

    def paths(self, node: int = 0) -> Iterator[tuple[Arc, ...]]:
        """Every way from a node to the end; only for small networks."""
        if node == self.final:
            yield ()
        for arc in self.leaving.get(node, ()):
            for rest in self.paths(arc.end):
                yield (arc, *rest)


def _with(meaning: Meaning, arc: Arc) -> Meaning:
    return meaning if arc.means is None else (*meaning, arc.means)


@dataclass(slots=True)
class _Laying:
    arcs: list[Arc] = field(default_factory=list)
    nodes: int = 1

    def fresh(self) -> int:
        self.nodes += 1
        return self.nodes - 1

    def lay(self, part: Part, start: int) -> int:
        """Lay the part from this node on; returns the node where it ends."""
        if isinstance(part, Say):
            words = part.words.split()
            for place, word in enumerate(words, 1):
                node = self.fresh()
                self.arcs.append(Arc(start, node, word, part.means if place == len(words) else None))
                start = node
            return start
        if isinstance(part, Row):
            for one in part.parts:
                start = self.lay(one, start)
            return start
        if isinstance(part, Some):
            return self._lay_some(part, start)
        if isinstance(part, Either) and all(isinstance(one, Say) for one in part.parts):
            return self._lay_phrases(tuple(one for one in part.parts if isinstance(one, Say)), start)
        inner = part.parts if isinstance(part, Either) else (part.part,)
        ends = [self.lay(one, start) for one in inner]
        if isinstance(part, Maybe):
            ends.append(start)
        join = self.fresh()
        self.arcs += [Arc(end, join) for end in ends]
        return join

    def _lay_phrases(self, phrases: tuple[Say, ...], start: int) -> int:
        """Phrases share the words they begin with; the meaning stands on a silent arc behind the last word."""
        branches: dict[tuple[int, str], int] = {}
        ends: list[tuple[int, tuple[str, str] | None]] = []
        for phrase in phrases:
            node = start
            for word in phrase.words.split():
                if (node, word) not in branches:
                    branches[node, word] = self.fresh()
                    self.arcs.append(Arc(node, branches[node, word], word))
                node = branches[node, word]
            ends.append((node, phrase.means))
        join = self.fresh()
        self.arcs += [Arc(node, join, "", means) for node, means in ends]
        return join

    def _lay_some(self, part: Some, start: int) -> int:
        """Every part is laid once; it may follow the start or whatever was said before it."""
        said = None
        for one in part.parts:
            enter = self.fresh()
            self.arcs += [Arc(node, enter) for node in (start, said) if node is not None]
            end = self.lay(one, enter)
            joined = self.fresh()
            self.arcs += [Arc(node, joined) for node in (end, said) if node is not None]
            said = joined
        if said is None:
            raise ValueError("at least one of no parts")
        return said
