"""A small reader of EBNF (ISO 14977 signs) that turns a grammar on a page into hypothesis strategies."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from hypothesis import strategies as st

_SIGNS = re.compile(r"""\s*(?:("[^"]*"|'[^']*')|(\?[^?]*\?)|([A-Za-z_]+)|([=|,;()\[\]{}]))""")

SPECIAL = {
    "a whole number of degrees": st.integers(0, 180).map(str),
    "digits with an optional minus sign and an optional decimal point or comma": st.one_of(
        st.integers(-200, 400).map(str),
        st.tuples(st.integers(0, 400), st.sampled_from(".,"), st.integers(0, 9)).map(lambda t: f"{t[0]}{t[1]}{t[2]}"),
    ),
    "a number from 0 to 10": st.integers(0, 10).map(str),
    "a whole number from 0 to 5": st.integers(0, 5).map(str),
}
"""What the special sequences of the page stand for."""


@dataclass(frozen=True)
class Part:
    """A piece of a production: `word`, `literal`, `special`, or a group of parts."""

    kind: str
    text: str = ""
    parts: tuple[Part, ...] = ()

    def literals(self) -> Iterator[str]:
        if self.kind == "literal":
            yield self.text
        for part in self.parts:
            yield from part.literals()

    def words(self) -> Iterator[str]:
        if self.kind == "word":
            yield self.text
        for part in self.parts:
            yield from part.words()


def parse_ebnf(text: str) -> dict[str, Part]:
    """Productions by name."""
    tokens = [next(group for group in found.groups() if group) for found in _SIGNS.finditer(text)]
    grammar: dict[str, Part] = {}
    at = 0
    while at < len(tokens):
        name, equals = tokens[at : at + 2]
        assert equals == "=", f"a production should begin at {name!r}"
        grammar[name], at = _choice(tokens, at + 2)
        assert tokens[at] == ";"
        at += 1
    return grammar


def _choice(tokens: list[str], at: int) -> tuple[Part, int]:
    options = []
    while True:
        option, at = _sequence(tokens, at)
        options.append(option)
        if tokens[at] != "|":
            return (options[0] if len(options) == 1 else Part("choice", parts=tuple(options))), at
        at += 1


def _sequence(tokens: list[str], at: int) -> tuple[Part, int]:
    parts = []
    while True:
        sign = tokens[at]
        if sign in "([{":
            inner, at = _choice(tokens, at + 1)
            parts.append(Part({"(": "group", "[": "optional", "{": "repeat"}[sign], parts=(inner,)))
        elif sign[0] in "\"'":
            parts.append(Part("literal", sign[1:-1]))
        elif sign[0] == "?":
            parts.append(Part("special", sign.strip("? ")))
        else:
            parts.append(Part("word", sign))
        at += 1
        if tokens[at] != ",":
            return Part("sequence", parts=tuple(parts)), at
        at += 1


def sentences(grammar: dict[str, Part], name: str) -> st.SearchStrategy[str]:
    """Sentences of one production."""
    return _strategy(grammar[name], grammar)


def _strategy(part: Part, grammar: dict[str, Part]) -> st.SearchStrategy[str]:
    inner = [_strategy(one, grammar) for one in part.parts]
    if part.kind == "literal":
        return st.just(part.text)
    if part.kind == "special":
        return SPECIAL[part.text]
    if part.kind == "word":
        return sentences(grammar, part.text)
    if part.kind == "choice":
        return st.one_of(inner)
    if part.kind == "optional":
        return st.just("") | inner[0]
    if part.kind == "repeat":
        return st.lists(inner[0], max_size=3).map(" ".join)
    return st.tuples(*inner).map("".join)
