"""What the core says, in the words of a page."""

from __future__ import annotations

import re

_PLAIN = (
    (re.compile(r"nothing found is written for \w+"), "nothing is marked yet"),
    (re.compile(r";? ?\(?`?endfeel vocabulary [\w-]+`?\)?( lists them)?|;? `endfeel vocabulary` lists them"), ""),
    (re.compile(r"; would do: (?=$|;)"), ""),
    (re.compile(r"^(?:value|other) in deg of (\S+) "), r"\1 degrees "),
    (re.compile(r"\bin deg\b"), "in degrees"),
    (re.compile(r"no procedure '(\w*)'"), r"there is no test called “\1”"),
    (re.compile(r"no (visit|episode|person|entry) '[^']*' in these records"), r"There is no such \1 in these records"),
)
"""What the core says for people who type commands, and how a page says it."""


def in_plain_words(sentence: str) -> str:
    """A sentence without the words of the program."""
    for pattern, said in _PLAIN:
        sentence = pattern.sub(said, sentence)
    return capital(sentence)


def capital(text: str) -> str:
    """The text with a capital first."""
    return text[:1].upper() + text[1:]
