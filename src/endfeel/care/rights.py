"""A person's rights in their record: who looked, what they agreed to, how long it is kept, its erasure."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace
from datetime import datetime

from sqlalchemy.exc import DBAPIError

from endfeel.care.checks import kept_words, name_of
from endfeel.care.desk import Desk
from endfeel.care.retention import Due, chosen_rule, due
from endfeel.records import queries
from endfeel.records.audit import AuditEntry, audit_of, listings
from endfeel.records.counted import forget_episodes
from endfeel.records.rights import Consent, add_consent, agreeing, consents_of, everybody, record_age
from endfeel.records.store import forget_removed
from endfeel.records.tables import PURPOSES, PersonRow
from endfeel.vocabulary import CannotRead, Fault, NotFound, Refused

PURPOSE_WORDS = {
    "care": "examination and treatment, and the record of it",
    "teaching": "teaching: learners may see the record without the label",
    "shared_counts": "shared counts: findings are counted with those of others, nobody can be told from them",
}


@dataclass(frozen=True, slots=True)
class AccessReport:
    """Who looked at or changed one record, when and why, and how often a list of everybody was shown."""

    person_id: str
    label: str
    """Empty when the record has been erased: what was done to it stays on record, its content does not."""
    rows: tuple[AuditEntry, ...]
    lists: tuple[tuple[str, str, int], ...]
    """Who, what kind of list, how often, since the record was opened."""


@dataclass(frozen=True, slots=True)
class RightsView:
    """What the page of a person's rights shows."""

    report: AccessReport
    consents: tuple[Consent, ...]
    due: Due
    may_erase: str
    """Why the record may not be erased now; empty when it may."""


def access_report(desk: Desk, person_id: str) -> AccessReport:
    """Everything that was done with one record; this look included. Raises NotFound when nothing ever was."""
    with desk.transaction() as session:
        person = session.get(PersonRow, person_id)
        queries.audit(session, desk.clock(), desk.who, "view access report", person_id, why="right of access")
        rows = audit_of(session, person_id)
        if person is None and len(rows) == 1:
            raise NotFound(f"no person {person_id!r} in these records")
        lists = Counter((one.who, one.act) for one in listings(session, person.created_at)) if person else Counter()
        label = queries.label_of(session, person_id) if person else ""
    return AccessReport(person_id, label, rows, tuple((who, act, n) for (who, act), n in sorted(lists.items())))


def view_rights(desk: Desk, person_id: str) -> RightsView:
    """Who looked, what was agreed to, how long it is kept. Raises NotFound, CannotRead for a rule that is none."""
    rule = chosen_rule(desk.library)
    report = access_report(desk, person_id)
    with desk.transaction() as session:
        queries.audit(session, desk.clock(), desk.who, "view consent", person_id)
        age = due(record_age(session, person_id), rule)
        consents = tuple(consents_of(session, person_id).values())
    return RightsView(report, consents, age, _why_kept(age, desk.clock()))


def record_consent(desk: Desk, person_id: str, purpose: str, given: bool, words: str, by: str) -> None:
    """Keep what a person said about one purpose; the latest counts, what was said before stays on record.

    Raises CannotRead for an unknown purpose or without how and who, NotFound for an unknown person.
    """
    words, by = kept_words(words, "words"), name_of(desk.signer(by), "by")
    faults = [] if purpose in PURPOSES else [Fault("no such purpose", purpose, ", ".join(PURPOSES), field="purpose")]
    faults += [] if words else [Fault("say how it was given", "", "a signed form and its date", field="words")]
    faults += [] if by else [Fault("say who recorded it", "", "your name", field="by")]
    if faults:
        raise CannotRead(faults)
    with desk.transaction() as session:
        queries.row_of(session, PersonRow, person_id, "person")
        act = "consent given" if given else "consent refused"
        queries.audit(session, desk.clock(), desk.who, act, person_id, detail=purpose)
        add_consent(session, person_id, Consent(purpose, given, words, by, desk.clock()))
        if purpose == "shared_counts" and not given:
            forget_episodes(session, person_id)


def agrees(desk: Desk, person_id: str, purpose: str) -> bool:
    """Whether a person's latest word about a purpose is yes; what was never asked is no."""
    with desk.transaction() as session:
        queries.audit(session, desk.clock(), desk.who, "view consent", person_id, detail=purpose)
        return bool(consents_of(session, person_id)[purpose].given)


def who_agrees(desk: Desk, purpose: str) -> tuple[str, ...]:
    """Ids of everybody who agrees to a purpose: nobody else may be taught from or counted."""
    with desk.transaction() as session:
        found = agreeing(session, purpose)
        queries.audit(session, desk.clock(), desk.who, "list consent", None, detail=f"{purpose}, {len(found)} people")
        return found


def retention_calendar(desk: Desk) -> tuple[Due, ...]:
    """Until when every record is kept, the first one due first. Raises CannotRead for a rule that is none."""
    rule = chosen_rule(desk.library)
    with desk.transaction() as session:
        found = [due(record_age(session, person_id), rule) for person_id in everybody(session)]
        queries.audit(session, desk.clock(), desk.who, "list retention", None, detail=f"{len(found)} people")
    return tuple(sorted(found, key=lambda one: (one.kept_until is None, one.kept_until or one.last_at)))


def _why_kept(age: Due, now: datetime) -> str:
    if not age.has_care or age.is_over(now):
        return ""
    if age.kept_until is not None:
        return f"it must be kept until {age.kept_until:%Y-%m-%d}: {age.says}"
    if age.rule is not None or age.signed:
        return f"a signed note exists and must be kept: {age.says}" if age.signed else f"it is kept: {age.says}"
    return ""


def erase_person(desk: Desk, person_id: str, why: str) -> Due:
    """Remove everything about a person, signed notes included where the rule of retention has run out.

    That it was done, by whom, when and why stays in the audit, without the label. Backups made before hold the record
    until they are given up. Refused while it must be kept, or without a reason; raises NotFound.
    """
    why = kept_words(why, "why", 300)
    if not why:
        raise CannotRead([Fault("say why it is erased", "", "the person's wish, or the end of its time", field="why")])
    rule, now = chosen_rule(desk.library), desk.clock()
    try:
        with desk.transaction() as session:
            age = due(record_age(session, person_id), rule)
            kept = _why_kept(age, now)
            if kept:
                raise Refused(f"the record is not erased: {kept}")
            if age.signed and rule is not None and age.kept_until is not None:
                queries.delete_person(session, person_id, now, rule.id, age.kept_until)
            else:
                queries.delete_person(session, person_id, now)
            told = f"rule {rule.id}" if rule else "no rule"
            queries.audit(session, now, desk.who, "erase person", person_id, detail=told, why=why)
    except DBAPIError as error:
        raise Refused(f"the record could not be removed: {error.orig}") from error
    forget_removed(desk.engine)
    desk.concluded.forget()
    return replace(age, label="")
