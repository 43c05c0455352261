"""Dangers noticed from age, story and findings, also when nobody ticked them."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from endfeel.vocabulary import Case, Finding


@dataclass(frozen=True, slots=True)
class Noticed:
    """A cue that was met without being ticked, and what showed it."""

    cue: str
    says: str
    finding: Finding | None = None


def notice(case: Case, triggers: Iterable[Mapping[str, Any]], unless_before: str = "") -> tuple[Noticed, ...]:
    """Every cue that the data's triggers find in this case, once each.

    A word of the story does not count where the pattern `unless_before` fits what stands before it.
    """
    found: dict[str, Noticed] = {}
    for trigger in triggers:
        hit = _met(case, trigger["when"], unless_before)
        if hit is not None:
            shown_by = hit if isinstance(hit, Finding) else None
            found.setdefault(trigger["cue"], Noticed(trigger["cue"], trigger["says"], shown_by))
    return tuple(found.values())


def _met(case: Case, when: Mapping[str, Any], unless_before: str) -> Finding | bool | None:
    """The finding that met it, False when it was met without one, None when it is not met."""
    if not _story_fits(case, when, unless_before):
        return None
    if "procedures" not in when:
        return False
    return next((finding for finding in case.findings if _finding_fits(finding, case, when)), None)


def _story_fits(case: Case, when: Mapping[str, Any], unless_before: str) -> bool:
    age, complaint = case.person.age, case.complaint
    if "age_at_least" in when and (age is None or age < when["age_at_least"]):
        return False
    if "age_below" in when and (age is None or age >= when["age_below"]):
        return False
    if "onset" in when and complaint.onset not in when["onset"]:
        return False
    if "weeks_at_most" in when and (complaint.weeks is None or complaint.weeks > when["weeks_at_most"]):
        return False
    return "story" not in when or _names(complaint.story, when["story"], unless_before)


def _names(story: str, pattern: str, unless_before: str) -> bool:
    """Whether the story says it of this person, and does not deny it."""
    for match in re.finditer(pattern, story, re.IGNORECASE):
        if not unless_before or not re.search(unless_before, story[: match.start()], re.IGNORECASE):
            return True
    return False


def _finding_fits(finding: Finding, case: Case, when: Mapping[str, Any]) -> bool:
    if finding.procedure not in when["procedures"] or not _on_complaint_side(finding, case):
        return False
    checks = [
        ("result", finding.result is not None and finding.result in when.get("result", ())),
        ("end_feel", finding.end_feel is not None and finding.end_feel in when.get("end_feel", ())),
        ("value_at_most", finding.value is not None and finding.value <= when.get("value_at_most", 0)),
        ("strength_at_most", finding.strength is not None and finding.strength <= when.get("strength_at_most", 0)),
        ("pain_at_least", finding.pain is not None and finding.pain >= when.get("pain_at_least", 0)),
        ("share_of_other_below", _share(finding, 1.0) < when.get("share_of_other_below", 0)),
        ("with_procedures", any(_accompanies(other, when) for other in case.findings)),
    ]
    return all(passed for name, passed in checks if name in when)


def _accompanies(finding: Finding, when: Mapping[str, Any]) -> bool:
    wanted = when.get("with_share_of_other_at_least", 0)
    return finding.procedure in when.get("with_procedures", ()) and _share(finding, 0.0) >= wanted


def _share(finding: Finding, unknown: float) -> float:
    """Value over the other side's value; `unknown` when there is no such pair."""
    if finding.value is None or not finding.other:
        return unknown
    return finding.value / finding.other


def _on_complaint_side(finding: Finding, case: Case) -> bool:
    return finding.side is None or case.complaint.side is None or finding.side is case.complaint.side
