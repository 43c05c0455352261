"""Records to be read by other programs: FHIR R4, reading and searching, nothing that writes."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any
from urllib.parse import urlencode

from fastapi import APIRouter, Request
from fastapi.responses import Response

from endfeel import __version__, care
from endfeel.exchange import code_lists, code_system, search_set
from endfeel.exchange.conformance import (
    MEDIA_TYPE,
    SCREEN_ID,
    SEARCHES,
    capability_statement,
    screen_questionnaire,
)
from endfeel.vocabulary import CannotRead, Fault, NotFound
from endfeel.web.fhir_answers import FhirResponse, NotAcceptable
from endfeel.web.pages.desk import AtDesk

router = APIRouter(prefix="/fhir", include_in_schema=False)
MOST, USUAL = 500, 100
"""Entries of one answer."""
_SHAPING = ("_count", "_offset", "_format")
Json = dict[str, Any]


@router.get("/metadata")
def get_metadata(request: Request, desk: AtDesk) -> Response:
    """What may be read here."""
    _check(request, ())
    written = desk.clock().date()
    return FhirResponse(capability_statement(__version__, desk.library.release, written, _base(request)))


@router.get("/Patient/{person_id}/$everything")
def get_everything(request: Request, desk: AtDesk, person_id: str) -> Response:
    """All there is about one person."""
    _check(request, ())
    return _page(request, care.fhir_resources(desk, person_id))


@router.get("/{kind}/{resource_id}")
def get_resource(request: Request, desk: AtDesk, kind: str, resource_id: str) -> Response:
    """One resource."""
    _check(request, ())
    return FhirResponse(_one(desk, _known(kind), resource_id))


@router.get("/{kind}")
def get_search(request: Request, desk: AtDesk, kind: str) -> Response:
    """Resources of one kind, by the parameters the capability statement names."""
    given = _check(request, SEARCHES[_known(kind)])
    if kind == "CodeSystem":
        return _page(request, _matching(_code_systems(desk), given))
    if kind == "Questionnaire":
        return _page(request, _matching([screen_questionnaire(desk.library)], given))
    if kind == "Patient":
        return _page(request, _matching(care.fhir_patients(desk), given))
    return _page(request, _matching(_of_patient(desk, kind, given), given))


def _known(kind: str) -> str:
    if kind not in SEARCHES:
        raise NotFound(f"no resources of the kind {kind!r} are kept here; /fhir/metadata names those that are")
    return kind


def _check(request: Request, allowed: Iterable[str]) -> dict[str, str]:
    """The parameters. Raises NotAcceptable for a form we do not write, CannotRead for what is not known or doubled."""
    accepted = request.query_params.get("_format") or request.headers.get("accept") or "*/*"
    if not any(word in accepted.lower() for word in ("json", "*/*", "application/*", "text/html")):
        raise NotAcceptable(f"answers are {MEDIA_TYPE} alone; asked for was {accepted[:80]}")
    items = request.query_params.multi_items()
    names = [name for name, _ in items]
    known = (*allowed, *_SHAPING)
    faults = [
        Fault("not a parameter that is known here", name, ", ".join(known) or "none", field=name)
        for name in names
        if name not in known
    ]
    faults += [Fault("given twice", name, "once", field=name) for name in set(names) if names.count(name) > 1]
    if faults:
        raise CannotRead(faults)
    return {name: value for name, value in items if name not in _SHAPING}


def _page(request: Request, found: Iterable[Json]) -> Response:
    """One page of what was found, with the way to the next."""
    everything = list(found)
    count, offset = _whole(request, "_count", USUAL, MOST), _whole(request, "_offset", 0, 10**9)
    shown = everything[offset : offset + count]
    here = f"{_base(request).removesuffix('/fhir')}{request.url.path}"
    asked = dict(request.query_params)
    after = offset + count
    following = (
        f"{here}?{urlencode(asked | {'_count': count, '_offset': after})}" if 0 < after < len(everything) else ""
    )
    link = f"{here}?{urlencode(asked)}" if asked else here
    return FhirResponse(search_set(shown, _base(request), link, len(everything), following if count else ""))


def _whole(request: Request, name: str, usual: int, most: int) -> int:
    given = request.query_params.get(name)
    if given is None:
        return usual
    if not given.isascii() or not given.isdecimal() or len(given) > 9:
        raise CannotRead([Fault(f"{name} is not a whole number", given, f"0 to {most}", field=name)])
    return min(int(given), most)


def _base(request: Request) -> str:
    return f"{request.url.scheme}://{request.url.netloc}/fhir"


# ---- what there is -------------------------------------------------------------------------------------------------


def _one(desk: care.Desk, kind: str, resource_id: str) -> Json:
    if kind == "CodeSystem":
        found: Iterable[Json] = _code_systems(desk)
    elif kind == "Questionnaire":
        found = [screen_questionnaire(desk.library)] if resource_id == SCREEN_ID else []
    else:
        found = _resources(desk, care.owner_of(desk, kind, resource_id), kind)
    for one in found:
        if (one["resourceType"], one["id"]) == (kind, resource_id):
            return one
    raise NotFound(f"no {kind} {resource_id!r} in these records")


def _resources(desk: care.Desk, person_id: str, kind: str) -> list[Json]:
    """Those of one kind about a person; notes are rendered and plans drawn up only for the kind that needs them."""
    made = care.fhir_resources(desk, person_id, documents=kind == "DocumentReference", plan=kind == "CarePlan")
    return [one for one in made if one["resourceType"] == kind]


def _of_patient(desk: care.Desk, kind: str, given: Mapping[str, str]) -> list[Json]:
    """Of the patient that is named, or that the resource or visit named belongs to. Raises CannotRead without one."""
    if "patient" in given:
        return _resources(desk, given["patient"].removeprefix("Patient/"), kind)
    for name, of in (("_id", kind), ("encounter", "Encounter")):
        if name in given:
            try:
                owner = care.owner_of(desk, of, given[name].removeprefix(f"{of}/"))
            except NotFound:
                return []
            return _resources(desk, owner, kind)
    raise CannotRead([Fault("no patient is named", would_do="patient=ID", field="patient")])


def _code_systems(desk: care.Desk) -> list[Json]:
    return [code_system(one, desk.library.release) for one in code_lists(desk.library)]


# ---- searching -----------------------------------------------------------------------------------------------------


def _matching(found: Iterable[Json], given: Mapping[str, str]) -> list[Json]:
    return [one for one in found if all(_TESTS[name](one, value) for name, value in given.items() if name in _TESTS)]


def _has_token(codings: Iterable[Json], wanted: str) -> bool:
    """`code`, `system|code`, `system|` or `|code`, several with commas between."""
    listed = [(one.get("system", ""), one.get("code") or one.get("value") or "") for one in codings]
    for one in wanted.split(","):
        system, bar, code = one.rpartition("|")
        if any((not bar or system == has) and (code in ("", is_)) for has, is_ in listed):
            return True
    return False


def _codings(resource: Json, name: str) -> list[Json]:
    told = resource.get(name, [])
    concepts = told if isinstance(told, list) else [told]
    return [coding for concept in concepts for coding in concept.get("coding", [])]


def _refers(resource: Json, name: str, kind: str, wanted: str) -> bool:
    told = resource.get(name) or {}
    if kind == "Encounter" and resource["resourceType"] == "DocumentReference":
        told = resource["context"]["encounter"][0]
    return bool(told.get("reference") == f"{kind}/{wanted.removeprefix(f'{kind}/')}")


def _dated(resource: Json, wanted: str) -> bool:
    """A day, month or year, with `ge`, `le`, `gt`, `lt` before it or none; compared as far as it is written."""
    how, day = (wanted[:2], wanted[2:]) if wanted[:2].isalpha() else ("eq", wanted)
    tests: dict[str, Callable[[str, str], bool]] = {
        "eq": str.__eq__, "ge": str.__ge__, "le": str.__le__, "gt": str.__gt__, "lt": str.__lt__,
    }  # fmt: skip
    if how not in tests or not day[:4].isdecimal():
        raise CannotRead([Fault("not a date to search by", wanted, "2026-01-05, ge2026-01-01, lt2026", field="date")])
    return tests[how](str(resource.get("effectiveDateTime", ""))[: len(day)], day)


def _named(resource: Json, wanted: str) -> bool:
    return any(word.lower().startswith(wanted.lower()) for word in [resource["name"][0]["text"],
               *resource["name"][0]["text"].split()])  # fmt: skip


_TESTS: Mapping[str, Callable[[Json, str], bool]] = {
    "_id": lambda one, wanted: one["id"] in wanted.split(","),
    "name": _named,
    "gender": lambda one, wanted: one.get("gender", "") in wanted.split(","),
    "identifier": lambda one, wanted: _has_token(one.get("identifier", []), wanted),
    "encounter": lambda one, wanted: _refers(one, "encounter", "Encounter", wanted),
    "status": lambda one, wanted: one.get("status") in wanted.split(","),
    "category": lambda one, wanted: _has_token(_codings(one, "category"), wanted),
    "code": lambda one, wanted: _has_token(_codings(one, "code"), wanted),
    "date": _dated,
    "url": lambda one, wanted: one.get("url") == wanted,
}
