"""How long a record is kept: by a rule with its source that somebody chose. Local law decides, not this program."""

from __future__ import annotations

import os
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

import tomli

from endfeel.evidence.figures import number
from endfeel.evidence.library import Library
from endfeel.records.rights import RecordAge
from endfeel.vocabulary import CannotRead, Fault

CHOSEN = "ENDFEEL_RETENTION"
TABLE = "retention_rules"
ADULT_YEARS = 18
"""Whoever is younger counts as a minor here; where the law says otherwise, write a rule of your own."""
MINORS = ("same", "until_age", "not_said")
_OWN = ("place", "years_after_last", "minors", "source")


@dataclass(frozen=True, slots=True)
class RetentionRule:
    """One rule, with where it comes from."""

    id: str
    place: str
    years: float
    minors: str
    """`same` as adults, `until_age`, or `not_said`: then no day is reckoned for somebody who was a minor."""
    until_age: float | None
    source: str
    provenance: str


@dataclass(frozen=True, slots=True)
class Due:
    """Until when one record is kept."""

    person_id: str
    label: str
    last_at: datetime
    signed: bool
    has_care: bool
    rule: RetentionRule | None
    kept_until: datetime | None
    """None without a rule, or where the rule says nothing."""
    says: str

    def is_over(self, now: datetime) -> bool:
        """Whether the rule's time has passed."""
        return self.kept_until is not None and self.kept_until <= now


def rules(library: Library) -> dict[str, RetentionRule]:
    """The rules that come with the program, by id."""
    return {
        row.id: RetentionRule(
            row.id,
            row.text["place"],
            number(row.figures["years_after_last"]),
            row.text["minors"],
            number(row.figures["until_age"]) if "until_age" in row.figures else None,
            row.source.citation,
            row.provenance.label,
        )
        for row in library.tables[TABLE]
    }


def chosen_rule(library: Library) -> RetentionRule | None:
    """The rule the environment names (ENDFEEL_RETENTION): an id, or a file of one's own. None when none is chosen.

    Raises CannotRead for an unknown id or a file that cannot be read.
    """
    told = os.environ.get(CHOSEN, "")
    if not told:
        return None
    known = rules(library)
    if told in known:
        return known[told]
    if told.endswith(".toml"):
        return _own_rule(Path(told))
    raise CannotRead([Fault("no such rule of retention", told, f"{', '.join(known)}, or a .toml file", field=CHOSEN)])


def _own_rule(path: Path) -> RetentionRule:
    would_do = f"{', '.join(_OWN)}; until_age where minors = 'until_age'"
    try:
        told = tomli.loads(path.read_text(encoding="utf-8"))
        years, minors = float(told["years_after_last"]), str(told["minors"])
        until = float(told["until_age"]) if minors == "until_age" else None
        rule = RetentionRule(path.stem[:80], str(told["place"]), years, minors, until, str(told["source"]), "own rule")
    except (OSError, ValueError, KeyError, TypeError) as error:
        raise CannotRead([Fault(f"not a rule of retention: {error}", str(path), would_do)]) from error
    if minors not in MINORS or years < 0 or not rule.source.strip():
        raise CannotRead([Fault("not a rule of retention", str(path), would_do)])
    return rule


def due(age: RecordAge, rule: RetentionRule | None) -> Due:
    """Until when a record is kept by a rule; the later of its two ends where the person was a minor."""
    until, says = _until(age, rule)
    return Due(age.person_id, age.label, age.last_at, age.signed, age.has_care, rule, until, says)


def _until(age: RecordAge, rule: RetentionRule | None) -> tuple[datetime | None, str]:
    if rule is None:
        return None, "nobody has chosen yet how long records are kept here; the law of the place decides"
    until = _later(age.last_at, rule.years)
    says = f"{rule.years:g} years after the last entry ({rule.place})"
    if rule.minors == "same":
        return until, says
    if age.age is None:
        return None, f"{says}; the age is not recorded, and minors are kept longer"
    at_last = age.age + (age.last_at - age.age_told_at).days // 365
    if min(age.age, at_last) >= ADULT_YEARS:
        return until, says
    if rule.until_age is None:
        return None, f"the rule of {rule.place} says nothing about minors here; ask what the law says"
    grown = _later(age.age_told_at, rule.until_age - age.age)
    return max(until, grown), f"{says}, and until the age of {rule.until_age:g}"


def _later(moment: datetime, years: float) -> datetime:
    whole = moment.year + int(-(-years // 1))
    try:
        return moment.replace(year=whole)
    except ValueError:  # the 29th of February
        return moment.replace(year=whole, month=3, day=1)
