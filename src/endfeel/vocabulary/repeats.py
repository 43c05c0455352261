"""One test recorded twice at the same place with opposite results: the later one counts, and somebody should know."""

from __future__ import annotations

from collections.abc import Sequence

from endfeel.vocabulary.findings import Finding
from endfeel.vocabulary.terms import Result

SHOWN = frozenset({Result.POSITIVE, Result.REDUCED, Result.ABSENT, Result.INCREASED})
CLEAR = frozenset({Result.NEGATIVE, Result.NORMAL})
MIDDLE = 3
"""The grade of accessory motion that is neither stiff nor loose."""


def opposite_repeats(findings: Sequence[Finding]) -> tuple[tuple[int, int], ...]:
    """Pairs of indices: the same procedure, side and level, the later, which counts, with the opposite result.

    Opposite: shown against clear, less against more, a grade below the middle against one above.
    """
    last = {(one.procedure, one.side, one.level): at for at, one in enumerate(findings)}
    pairs = ((at, last[one.procedure, one.side, one.level]) for at, one in enumerate(findings))
    return tuple((at, later) for at, later in pairs if at != later and _opposite(findings[at], findings[later]))


def _opposite(one: Finding, other: Finding) -> bool:
    if one.note and other.note and one.note != other.note:
        return False  # two places or circumstances, told in words
    results = {one.result, other.result}
    if results & SHOWN and results & CLEAR:
        return True
    if Result.INCREASED in results and results & {Result.REDUCED, Result.ABSENT}:
        return True
    return one.mobility is not None and other.mobility is not None and (
        min(one.mobility, other.mobility) < MIDDLE < max(one.mobility, other.mobility))  # fmt: skip
