"""From one visit to another: the signs found both times, judged as they were found on arrival, before any treatment."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from endfeel.evidence.library import Library
from endfeel.measurement import RetestComparison, compare_findings
from endfeel.vocabulary import Case, Finding, Side


@dataclass(frozen=True, slots=True)
class Since:
    """What is known of the signs of an earlier visit now."""

    compared: tuple[RetestComparison, ...]
    """Found both times, in the order of the later visit."""
    not_again: tuple[Finding, ...]
    """Found then, not looked at now: nothing may be said of them."""
    new: tuple[Finding, ...]
    """Found now for the first time."""


def compare_visits(before: Case, after: Case, library: Library) -> Since:
    """The findings of two visits of one episode, each as it last stood before treatment of its own visit.

    A change is judged by the error of the same rater unless nothing else is in the evidence; what was not repeated
    stays unknown.
    """
    then, now = _arrived(before.findings), _arrived(after.findings)
    return Since(
        tuple(
            compare_findings(then[what], found, library.catalogue[found.procedure], library)
            for what, found in now.items()
            if what in then
        ),
        tuple(found for what, found in then.items() if what not in now),
        tuple(found for what, found in now.items() if what not in then),
    )


What = tuple[str, Side | None, str | None]


def _arrived(findings: Sequence[Finding]) -> dict[What, Finding]:
    """The last finding of each procedure, side and level."""
    return {(one.procedure, one.side, one.level): one for one in findings}
