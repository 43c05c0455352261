"""Patient and Observation of others: what is understood becomes a person and findings, the rest is told in words.

Nothing is dropped in silence: what has no place in a finding stands in its note, and an observation that is not
understood becomes a general observation that says in words all that was in it.
"""

from __future__ import annotations

import hashlib
import json
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime, timedelta
from typing import Any

from endfeel.assessment import shorthand_of
from endfeel.evidence.library import Library
from endfeel.exchange import systems as s
from endfeel.exchange.code_lists import public_code
from endfeel.exchange.elements import Json, derived_id
from endfeel.exchange.reading_findings import NotUnderstood, finding_of, found_note, name_of_observation
from endfeel.exchange.reading_findings import in_words as observation_in_words
from endfeel.exchange.reading_json import codings, compact, objects, resources_in
from endfeel.exchange.reading_measures import answer_of, derived_from, measure_named
from endfeel.vocabulary import CannotRead, Fault, Finding, Person, Side
from endfeel.vocabulary.outcomes import OutcomeAnswer
from endfeel.vocabulary.ranges import AGE_YEARS

GENERAL = "obs_general"
"""The procedure under which words are kept."""
MOST_RESOURCES = 5000
LONGEST_NOTE = 20_000
_BORING = {"resourceType", "id", "meta", "text", "language", "implicitRules", "active"}
_NOT_MEANT = {"entered-in-error": "it was entered in error", "cancelled": "it was cancelled"}


@dataclass(frozen=True, slots=True)
class PersonRead:
    """A person as somebody else's program tells them."""

    id: str
    """Ours when it came from a record of this kind, else one made of what identifies them there: always the same."""
    label: str
    person: Person
    names: tuple[str, ...]
    """Under which the observations refer to them."""
    left: tuple[str, ...] = ()
    """What has no place in our record, in words."""
    invented: bool = False


@dataclass(frozen=True, slots=True)
class ObservationRead:
    """An observation, understood or in words."""

    key: str
    """Says whether two are the same; an id of ours where it came from a record of this kind."""
    ours: bool
    of: str
    """Name under which its person is referred to; empty when nobody is named."""
    at: datetime | None
    name: str
    finding: Finding | None
    """None for what is not kept at all; `reasons` says why."""
    understood: bool
    unknown: tuple[str, ...] = ()
    """Codes that mean nothing to us."""
    reasons: tuple[str, ...] = ()
    """Why it was not understood, or is not kept."""
    answer: OutcomeAnswer | None = None
    """An answered outcome measure, in place of a finding."""


@dataclass(frozen=True, slots=True)
class Intake:
    """What a file holds."""

    people: tuple[PersonRead, ...]
    observations: tuple[ObservationRead, ...]
    others: Mapping[str, int] = field(default_factory=dict)
    """Kinds of resource that are not read, with how many there are."""

    @property
    def unknown(self) -> dict[str, int]:
        """Codes that mean nothing to us, each with how often it stands there."""
        return dict(Counter(code for one in self.observations for code in one.unknown))


def read_intake(text: str, library: Library, now: datetime) -> Intake:
    """What a bundle or a single resource holds. Raises CannotRead with every fault when it is not to be read at all."""
    found = resources_in(text)
    if len(found) > MOST_RESOURCES:
        raise CannotRead([Fault("too much at once", f"{len(found)} resources", f"at most {MOST_RESOURCES}")])
    facts = _Facts(library, now, _sheets(found))
    people = [_person(one, url, now) for one, url in found if one["resourceType"] == "Patient"]
    read, observations = _Told(), []
    named = {"", *(name for person in people for name in person.names)} if people else set()
    for one, url in found:
        if one["resourceType"] == "Observation":
            told = _about_person(one, library)
            if told is not None and _of_whom(one) in named:
                read.add(_of_whom(one), told)
            else:
                observations.append(_observation(one, url, facts))
    used = {id(facts.sheets[name]) for one, _ in found for name in derived_from(one) if name in facts.sheets}
    read_here = ("Patient", "Observation")
    others = Counter(
        one["resourceType"] for one, _ in found if one["resourceType"] not in read_here and id(one) not in used
    )
    if not people and not observations:
        listed = ", ".join(f"{count} {kind}" for kind, count in others.items())
        raise CannotRead([Fault("nothing to take over", listed, "Patient and Observation resources")])
    return Intake(tuple(read.completed(one) for one in people), tuple(observations), dict(others))


@dataclass(frozen=True, slots=True)
class _Facts:
    library: Library
    now: datetime
    sheets: Mapping[str, Json]
    """Answered questionnaires by every name they are referred to."""


def _sheets(found: Sequence[tuple[Json, str]]) -> dict[str, Json]:
    named: dict[str, Json] = {}
    for one, url in found:
        if one["resourceType"] == "QuestionnaireResponse":
            own = f"QuestionnaireResponse/{one['id']}" if one.get("id") else ""
            named |= {name: one for name in (url, own) if name}
    return named


class _Told:
    """Age and hand told as observations: they belong to the person."""

    def __init__(self) -> None:
        self._told: list[tuple[str, Json]] = []

    def add(self, of: str, told: Json) -> None:
        self._told.append((of, told))

    def completed(self, person: PersonRead) -> PersonRead:
        known = {"age": person.person.age, "sex": person.person.sex, "dominant": person.person.dominant}
        for of, told in self._told:
            if of in person.names or not of:
                known = {name: told.get(name, value) if value is None else value for name, value in known.items()}
        return replace(person, person=Person(**known))  # type: ignore[arg-type]


def _about_person(observation: Json, library: Library) -> Json | None:
    """Age or dominant hand when that is what is told, else None."""
    for coding in codings(observation.get("code")):
        row = public_code(library, str(coding.get("code"))) if coding.get("system") == s.LOINC else None
        if row is not None and row.text["concept"] == "age":
            years = _number(observation.get("valueQuantity"))
            return {"age": int(years)} if years is not None and AGE_YEARS[0] <= years <= AGE_YEARS[1] else None
        if (coding.get("system"), coding.get("code")) == (s.CONCEPTS, "dominant_hand"):
            sides = [c.get("code") for c in codings(observation.get("valueCodeableConcept"))]
            return {"dominant": Side(sides[0])} if sides and sides[0] in tuple(Side) else None
    return None


def _person(patient: Json, url: str, now: datetime) -> PersonRead:
    identifiers = objects(patient.get("identifier"))
    own = next((str(i.get("value")) for i in identifiers if i.get("system") == s.PERSON_IDS and i.get("value")), "")
    names = objects(patient.get("name"))
    spoken = [_human_name(one) for one in names]
    label = next((one for one in spoken if one), "") or f"unnamed {str(patient.get('id', ''))[:40]}".strip()
    born = patient.get("birthDate")
    age = _age(born, now)
    gender = patient.get("gender")
    sex = gender if gender in ("female", "male", "other") else None
    left = [f"name: {one}" for one in spoken[1:] if one]
    left += [f"date of birth: {born}"] if born else []
    left += [f"{name}: {compact(value)}" for name, value in patient.items() if name not in _PLACED]
    left += [f"gender: {gender}"] if gender and sex is None else []
    left += [f"identifier: {compact(i)}" for i in identifiers if i.get("system") != s.PERSON_IDS]
    known = own or next((f"{i.get('system')}|{i['value']}" for i in identifiers if i.get("value")), "")
    known = known or _digest([patient.get("id"), names, born, gender])
    tags = objects(patient.get("meta", {}).get("tag")) if isinstance(patient.get("meta"), dict) else []
    return PersonRead(
        own if _may_be_id(own) else derived_id("person", known),
        " ".join(label.split()),
        Person(age, sex, None),
        tuple(filter(None, (url, f"Patient/{patient['id']}" if "id" in patient else ""))),
        tuple(left),
        any(tag.get("code") == "HTEST" for tag in tags),
    )


_PLACED = {*_BORING, "identifier", "name", "gender", "birthDate"}


def _human_name(name: Json) -> str:
    first = name.get("given")
    given = [str(one) for one in first] if isinstance(first, list) else []
    return str(name.get("text") or " ".join([*given, str(name.get("family") or "")])).strip()


def _age(born: object, now: datetime) -> int | None:
    """Whole years on this day; None where the date is no date, or no age follows from it."""
    parts = str(born or "").split("-")
    try:
        day = date(*(int(part) for part in (*parts, "7", "1")[:3])) if born else None
    except (ValueError, TypeError):
        return None
    if day is None:
        return None
    years = now.year - day.year - ((now.month, now.day) < (day.month, day.day))
    return years if AGE_YEARS[0] <= years <= AGE_YEARS[1] else None


def _observation(told: Json, url: str, facts: _Facts) -> ObservationRead:
    own = next((i.get("value") for i in objects(told.get("identifier")) if i.get("system") == s.ENTRY_IDS), None)
    name = name_of_observation(told)
    key = str(own) if own and _may_be_id(str(own)) else _key(told, url)
    read = ObservationRead(key, key == own, _of_whom(told), None, name, None, understood=False)
    at, dated = _when(told)
    reasons = [f"the date cannot be read: {dated}"] if dated and at is None else []
    if at is not None and at > facts.now + timedelta(days=1):
        reasons.append(f"its date is in the future: {dated}")
    reasons += [why for status, why in _NOT_MEANT.items() if told.get("status") == status]
    if is_conclusion(told):
        reasons.append("a conclusion, not an observation: it is drawn afresh from what is kept")
    if reasons:
        return replace(read, at=at, reasons=tuple(reasons))
    unknown: tuple[str, ...] = ()
    finding: Finding | None
    try:
        form_id = measure_named(told, facts.library)
        if form_id:
            answer = answer_of(told, form_id, facts.sheets, facts.library)
            return replace(read, at=at, understood=True, answer=answer)
        finding, left = finding_of(told, facts.library, shorthand_of(facts.library).limits)
        left = [*left, f"date as given: {dated}"] if dated and len(dated) < len("2026-01-01") else left
        finding = found_note(finding, left)
        understood, why = True, tuple(f"told beside it, kept in its note: {one}" for one in left)
    except NotUnderstood as error:
        items = [compact(facts.sheets[name].get("item")) for name in derived_from(told) if name in facts.sheets]
        finding = Finding(GENERAL, note="; items: ".join([observation_in_words(told), *items]))
        understood, why, unknown = False, error.reasons, error.unknown
    if len(finding.note or "") > LONGEST_NOTE:
        why = (f"too long to be kept: {len(finding.note or '')} letters, at most {LONGEST_NOTE}",)
        return replace(read, at=at, unknown=unknown, reasons=why)
    return replace(read, at=at, finding=finding, understood=understood, unknown=unknown, reasons=why)


def is_conclusion(told: Json) -> bool:
    """Whether it is one of our own conclusions."""
    return any(c.get("system") == s.CONCEPTS and c.get("code") == "safety_verdict" for c in codings(told.get("code")))


def _key(told: Json, url: str) -> str:
    for one in objects(told.get("identifier")):
        if one.get("value"):
            return f"{one.get('system')}|{one['value']}"
    if told.get("id"):
        return f"{url.rpartition('/Observation/')[0]}Observation/{told['id']}"
    return _digest({name: value for name, value in told.items() if name not in ("meta", "text")})


def _of_whom(told: Json) -> str:
    subject = told.get("subject")
    given = str(subject.get("reference", "")) if isinstance(subject, dict) else ""
    if given.startswith("urn:"):
        return given
    parts = given.partition("/_history")[0].split("/")
    return "/".join(parts[-2:]) if len(parts) > 1 else given


def _when(told: Json) -> tuple[datetime | None, str]:
    """The moment, and how it was written."""
    period = told.get("effectivePeriod")
    given = (
        told.get("effectiveDateTime"),
        told.get("effectiveInstant"),
        period.get("start") if isinstance(period, dict) else None,
        told.get("issued"),
    )
    written = next((str(one) for one in given if one), "")
    return _moment(written), written


def _moment(written: str) -> datetime | None:
    """A moment of the standard: a year, a month, a day (noon is taken), or a time with its zone."""
    try:
        if "T" not in written:
            parts = [int(part) for part in written.split("-")]
            return datetime(*(*parts, 1, 1)[:3], 12, tzinfo=UTC) if parts else None  # type: ignore[misc,arg-type]
        at = datetime.fromisoformat(written.replace("Z", "+00:00"))
    except (ValueError, TypeError, OverflowError):
        return None
    return at if at.tzinfo else None


def _may_be_id(given: str) -> bool:
    return (
        bool(given)
        and len(given) <= 36
        and all(letter.isascii() and (letter.isalnum() or letter == "-") for letter in given)
    )


def _digest(value: Any) -> str:
    return hashlib.sha256(json.dumps(value, sort_keys=True, default=str).encode()).hexdigest()


def _number(quantity: Any) -> float | None:
    value = quantity.get("value") if isinstance(quantity, dict) else None
    return float(value) if isinstance(value, int | float) and not isinstance(value, bool) else None
