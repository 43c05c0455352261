"""From what a form holds to the nouns of the trade; every fault names its field."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any

from endfeel.assessment import DEFAULT_MINUTES, shorthand_of
from endfeel.evidence.library import Library
from endfeel.vocabulary import CannotRead, Complaint, Fault, Finding, Person, Side, Unit, level_reached
from endfeel.vocabulary.case_header import BY_KEY, SIDES, free_words, one_of, yes_or_no
from endfeel.vocabulary.ranges import Reached, faults_of
from endfeel.vocabulary.shorthand import plain
from endfeel.vocabulary.shorthand.fields import FIELD_READERS, QUANTITIES, settle
from endfeel.web.plain import in_plain_words

PERSON_FIELDS = ("age", "sex", "dominant")
COMPLAINT_FIELDS = ("side", "onset", "weeks", "irritability", "areas", "story")
_READERS: Mapping[str, Any] = {
    "side": one_of("side", SIDES, "right or left"),
    "familiar": yes_or_no,
    "apprehension": yes_or_no,
    "note": free_words,
    **FIELD_READERS,
}
FINDING_FIELDS = tuple(_READERS)


def read_story(given: Mapping[str, str]) -> tuple[Person, Complaint]:
    """Person and complaint from a form. Raises CannotRead with a fault for every field that does not do."""
    read, faults = _read_all({name: BY_KEY[name].read for name in (*PERSON_FIELDS, *COMPLAINT_FIELDS)}, given)
    if faults:
        raise CannotRead(faults)
    person = {name: read[name] for name in PERSON_FIELDS if name in read}
    return Person(**person), Complaint(**{name: read[name] for name in COMPLAINT_FIELDS if name in read})


def read_finding(given: Mapping[str, str], library: Library) -> Finding:
    """A finding from its fields one by one. Raises CannotRead; each fault names its field. Raises NotFound."""
    procedure = library.catalogue[given.get("procedure", "")]
    read, faults = _read_all(_READERS, given)
    if all(name not in read or isinstance(read[name], Reached) for name in QUANTITIES):
        read.pop("unit", None)  # a unit button that stands pressed says nothing by itself, and a place has none
    settle(read, procedure)
    finding = Finding(procedure=procedure.id, **read)
    known = {fault.field for fault in faults}
    for name, fault in faults_of(finding, procedure, shorthand_of(library).limits):
        if name not in known and not (name == "procedure" and faults):
            faults.append(replace(fault, field=name))
    if faults:
        raise CannotRead(faults)
    return finding


def story_fields(label: str, person: Person, complaint: Complaint) -> dict[str, str]:
    """A story as its form shows it."""
    told = {name: getattr(person, name) for name in PERSON_FIELDS}
    told |= {name: getattr(complaint, name) for name in COMPLAINT_FIELDS if name != "areas"}
    given = {name: written(value) for name, value in told.items() if value is not None}
    return {"label": label, **given, "areas": ", ".join(complaint.areas)}


def finding_fields(finding: Finding) -> dict[str, str]:
    """The fields of a finding as a form shows them."""
    told = {name: getattr(finding, name) for name in ("procedure", *FINDING_FIELDS)}
    if finding.unit is Unit.LEVEL:
        told |= {name: level_reached(told[name]) for name in QUANTITIES if told.get(name) is not None}
    return {name: written(value) for name, value in told.items() if value is not None}


def by_field(faults: Iterable[Fault]) -> dict[str, list[str]]:
    """Sentences to show beside each field; those of no field under the empty name."""
    found: dict[str, list[str]] = {}
    for fault in faults:
        found.setdefault(fault.field, []).append(in_plain_words(replace(fault, line=0, column=0, file="").sentence()))
    return found


def minutes_in(given: Mapping[str, str]) -> float:
    """The minutes a form brought, the usual ones when it brought none that can be."""
    told = given.get("minutes", "")
    minutes = float(told) if told.replace(".", "", 1).isdecimal() else 0.0
    return minutes if 0 < minutes <= 240 else DEFAULT_MINUTES


def entry_id_in(given: Mapping[str, str], name: str = "entry_id") -> str | None:
    """The id a form brought, so that a form sent twice is kept once; None when it is not of the usual form."""
    told = given.get(name, "")
    return told if len(told) == 36 and all(letter in "0123456789abcdef-" for letter in told) else None


def answer_of(word: str) -> bool | None:
    """Three states: yes, no, unanswered."""
    return {"yes": True, "no": False}.get(word)


def side_of(word: str) -> Side | None:
    return Side(word) if word in tuple(Side) else None


def _read_all(readers: Mapping[str, Any], given: Mapping[str, str]) -> tuple[dict[str, Any], list[Fault]]:
    read: dict[str, Any] = {}
    faults: list[Fault] = []
    for name, reader in readers.items():
        written = given.get(name, "").strip()
        if not written:
            continue
        value = reader(written)
        if isinstance(value, Fault):
            faults.append(replace(value, field=name))
        else:
            read[name] = value
    return read, faults


def written(value: object) -> str:
    """A value as a form would hold it."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    return plain(value) if isinstance(value, float) else str(value)
