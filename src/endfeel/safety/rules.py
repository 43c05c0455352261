"""Rules over cues in three values: yes, no, not known.

A rule is a cue id, or `{any = [...]}`, `{all = [...]}`, `{at_least = [n, [...]]}`, nested at will.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

Rule = str | Mapping[str, Any]


def holds(rule: Rule, cues: Mapping[str, bool]) -> bool | None:
    """True, False, or None when unanswered cues could decide it (Kleene's strong logic)."""
    if isinstance(rule, str):
        return cues.get(rule)
    ((word, parts),) = rule.items()
    if word == "at_least":
        count, parts = parts
    else:
        count = len(parts) if word == "all" else 1
    yes, can_be = 0, len(parts)
    for part in parts:
        value = cues.get(part) if isinstance(part, str) else holds(part, cues)
        if value:
            yes += 1
            if yes >= count:
                return True
        elif value is not None:
            can_be -= 1
            if can_be < count:
                return False
    return None


def cues_of(rule: Rule) -> Iterator[str]:
    """Every cue id in a rule, in writing order."""
    if isinstance(rule, str):
        yield rule
        return
    ((word, parts),) = rule.items()
    for part in parts[1] if word == "at_least" else parts:
        yield from cues_of(part)


def cues_of_rule(entry: Mapping[str, Any]) -> Iterator[str]:
    """Every cue of a flag's rule, those of its lesser levels last."""
    yield from cues_of(entry["when"])
    for lesser in entry.get("lesser", ()):
        yield from cues_of(lesser["when"])


@dataclass(frozen=True, slots=True)
class FlagRule:
    """The rule of one red flag, its cues gathered once."""

    flag: str
    when: Rule
    cues: tuple[str, ...]
    lesser: tuple[Mapping[str, Any], ...]
    """Levels at which the flag is raised less urgently, the most urgent first."""
    sooner: Mapping[str, Any] | None
    suspects: frozenset[str]
    """Cues any of which, told or found, holds the plan until the rule is decided."""

    @classmethod
    def of(cls, entry: Mapping[str, Any]) -> FlagRule:
        lesser = tuple(entry.get("lesser", ()))
        return cls(
            entry["red_flag"],
            entry["when"],
            tuple(dict.fromkeys(cues_of_rule(entry))),
            lesser,
            entry.get("sooner"),
            frozenset(entry.get("suspects", ())),
        )
