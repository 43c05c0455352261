"""Rules over cues in three values: yes, no, not known.

A rule is a cue id, or `{any = [...]}`, `{all = [...]}`, `{at_least = [n, [...]]}`, nested at will.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

Rule = str | Mapping[str, Any]


def holds(rule: Rule, cues: Mapping[str, bool]) -> bool | None:
    """True, False, or None when unanswered cues could decide it (Kleene's strong logic)."""
    if isinstance(rule, str):
        return cues.get(rule)
    ((word, parts),) = rule.items()
    if word == "at_least":
        count, parts = parts
    values = [holds(part, cues) for part in parts]
    if word == "all":
        count = len(values)
    elif word == "any":
        count = 1
    yes, unknown = values.count(True), values.count(None)
    if yes >= count:
        return True
    return None if yes + unknown >= count else False


def cues_of(rule: Rule) -> Iterator[str]:
    """Every cue id in a rule, in writing order."""
    if isinstance(rule, str):
        yield rule
        return
    ((word, parts),) = rule.items()
    for part in parts[1] if word == "at_least" else parts:
        yield from cues_of(part)
