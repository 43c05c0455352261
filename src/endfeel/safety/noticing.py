"""Dangers noticed from age, story and findings, also when nobody ticked them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from endfeel.safety.story import StoryReader, reader_of
from endfeel.vocabulary import Case, Finding


@dataclass(frozen=True, slots=True)
class Noticed:
    """A cue that was met without being ticked, and what showed it."""

    cue: str
    says: str
    finding: Finding | None = None
    words: str = ""
    """The words of the story, or of a note, that told it."""

    @property
    def from_story(self) -> bool:
        """Whether only words told it: ask now."""
        return bool(self.words) and self.finding is None


def notice(case: Case, release: str, rules: Mapping[str, Any]) -> tuple[Noticed, ...]:
    """Every cue that the data's triggers find in this case, once each; what was found goes before what was told."""
    found: dict[str, Noticed] = {}
    reader = reader_of(release, rules)
    told = _told(case, reader)
    examined = {one.procedure for one in case.findings}
    for number, trigger in enumerate(rules["trigger"]):
        wanted = trigger["when"].get("procedures")
        if wanted is not None and examined.isdisjoint(wanted):
            continue  # quickly: most triggers are about tests that were not done
        hit = _met(case, trigger, number, reader, told)
        if hit is not None and (trigger["cue"] not in found or found[trigger["cue"]].from_story > hit.from_story):
            found[trigger["cue"]] = hit
    return tuple(found.values())


def not_met(case: Case, rules: Mapping[str, Any]) -> tuple[str, ...]:
    """Cues about the age that a recorded age answers with no."""
    about_age = {trigger["cue"] for trigger in rules["trigger"] if trigger["cue"].startswith("age_")}
    recorded = about_age if case.person.age is not None else ()
    return tuple(sorted(recorded))


def _told(case: Case, reader: StoryReader) -> Mapping[str, str]:
    """What the story and the notes of findings on the side that hurts tell, by trigger."""
    notes = [one.note for one in (*case.findings, *case.retests) if one.note and _on_complaint_side(one, case)]
    told: dict[str, str] = {}
    for text in (case.complaint.story, *notes):
        for key, words in reader.told(text).items():
            told.setdefault(key, words)
    return told


def _met(
    case: Case, trigger: Mapping[str, Any], number: int, reader: StoryReader, told: Mapping[str, str]
) -> Noticed | None:
    when, words = trigger["when"], told.get(f"story {number}", "")
    if not _person_fits(case, when) or ("story" in when and not words):
        return None
    says = f"the words “{words}”" if words else trigger["says"]
    if "procedures" not in when:
        return Noticed(trigger["cue"], says, None, words)
    for finding in case.findings:
        noted = "note" not in when or f"note {number}" in reader.told(finding.note or "")
        if noted and _finding_fits(finding, case, when):
            return Noticed(trigger["cue"], says, finding, words)
    return None


def _person_fits(case: Case, when: Mapping[str, Any]) -> bool:
    age, complaint = case.person.age, case.complaint
    if "age_recorded" in when and (age is not None) is not when["age_recorded"]:
        return False
    if "age_at_least" in when and (age is None or age < when["age_at_least"]):
        return False
    if "age_below" in when and (age is None or age >= when["age_below"]):
        return False
    if "onset" in when and complaint.onset not in when["onset"]:
        return False
    return "weeks_at_most" not in when or (complaint.weeks is not None and complaint.weeks <= when["weeks_at_most"])


def _finding_fits(finding: Finding, case: Case, when: Mapping[str, Any]) -> bool:
    if finding.procedure not in when["procedures"] or not _on_complaint_side(finding, case):
        return False
    value, strength, pain, lower = finding.value, finding.strength, finding.pain, finding.lower_pressure
    checks = [
        ("result", finding.result is not None and finding.result in when.get("result", ())),
        ("end_feel", finding.end_feel is not None and finding.end_feel in when.get("end_feel", ())),
        ("unit", finding.unit is not None and finding.unit == when.get("unit")),
        ("value_at_most", value is not None and value <= when.get("value_at_most", 0)),
        ("value_at_least", value is not None and value >= when.get("value_at_least", 0)),
        ("lower_pressure_at_least", lower is not None and lower >= when.get("lower_pressure_at_least", 0)),
        ("strength_at_most", strength is not None and strength <= when.get("strength_at_most", 0)),
        ("pain_at_least", pain is not None and pain >= when.get("pain_at_least", 0)),
        ("difference_above", abs(_difference(finding)) > when.get("difference_above", 0)),
        ("larger_by_at_least", _difference(finding) >= when.get("larger_by_at_least", 0)),
        ("share_of_other_below", _share(finding, 1.0) < when.get("share_of_other_below", 0)),
        ("with_procedures", any(_accompanies(other, when) for other in case.findings)),
    ]
    return all(passed for name, passed in checks if name in when)


def _difference(finding: Finding) -> float:
    """Value less the other side's value; nothing when there is no such pair."""
    return 0.0 if finding.value is None or finding.other is None else finding.value - finding.other


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
