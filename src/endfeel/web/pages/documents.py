"""Documents of a visit and its episode: choose one, say what only the writer knows, look at it, sign, print, add to."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Annotated
from urllib.parse import quote

from fastapi import APIRouter, Form, Request
from fastapi.responses import RedirectResponse, Response
from markupsafe import Markup

from endfeel import care
from endfeel.vocabulary import CannotRead, NotFound, Refused
from endfeel.web.errors import sentences
from endfeel.web.forms import by_field
from endfeel.web.keeping import own_id
from endfeel.web.pages.desk import AtDesk, Fields
from endfeel.web.pages.home import Exercises, Language
from endfeel.web.pages.note import article, doubts, is_supervised, presented_values
from endfeel.web.rendering import page

router = APIRouter(include_in_schema=False)
FOLLOW_UP = "follow-up"
NOT_SIGNED = "Not signed: see below."
CODE = "code "
"""Before a code in the name of its tick."""
WORDS = ("to", "reference", "asked", "told", "closing")
FIELDS: Mapping[str, tuple[tuple[str, str, str, int], ...]] = {
    "referral": (
        ("to", "To", "name and place", 0),
        ("asked", "What you ask", "an opinion, a picture, to see the person", 2),
        ("told", "What the person was told", "about this letter, and what to do meanwhile", 2),
    ),
    "discharge": (
        ("to", "To", "may stay empty", 0),
        ("closing", "Why the episode ends", "aim reached, plateau, referred on, the person's wish", 2),
        ("told", "What the person was told", "", 2),
        ("asked", "What you ask of the reader", "may stay empty", 2),
    ),
    "insurer": (
        ("to", "To", "", 0),
        ("reference", "Their number", "", 0),
        ("asked", "What you ask", "further visits, an aid", 2),
    ),
    FOLLOW_UP: (),
}
"""Field, label, hint and lines of what only the writer knows."""
CODED = ("discharge", "insurer", "referral")


@dataclass(frozen=True, slots=True)
class Wrong:
    """What was wrong with what was sent, and the status it is answered with."""

    faults: Mapping[str, list[str]] = field(default_factory=dict)
    said: str = ""
    status: int = 200


@router.get("/visits/{visit_id}/documents")
def get_documents(request: Request, desk: AtDesk, visit_id: str) -> Response:
    """Every document there is and may be."""
    view = care.view_visit(desk, visit_id)
    titles = {kind: title for kind, title, _ in care.document_choices(2)}
    values = {
        "view": view,
        "verdict": view.assessment.verdict,
        "minutes": 20,
        "choices": care.document_choices(view.number),
        "kept": care.documents_of(desk, visit_id),
        "titles": titles,
        "said": "",
    }
    return page(request, "documents.html", values)


@router.get("/episodes/{episode_id}/documents")
def get_episode(desk: AtDesk, episode_id: str) -> Response:
    """The documents of an episode: those of its last visit, which knows all before it."""
    return RedirectResponse(f"/visits/{care.newest_visit(desk, episode_id)}/documents", status_code=303)


@router.get("/visits/{visit_id}/documents/handout")
def get_sheet(
    request: Request, desk: AtDesk, visit_id: str, exercise: Exercises = None, language: Language = "en",
    large: bool = False,
) -> Response:  # fmt: skip
    """The sheet of the home programme, to sign it as it was given."""
    return _sheet(request, desk, visit_id, Chosen(tuple(exercise) if exercise else None, language, large))


@router.post("/visits/{visit_id}/documents/handout")
def post_sheet(
    request: Request, desk: AtDesk, visit_id: str, by: Annotated[str, Form()] = "",
    form_id: Annotated[str, Form()] = "",
    exercise: Annotated[list[str] | None, Form()] = None, language: Annotated[str, Form()] = "en",
    large: Annotated[bool, Form()] = False,
) -> Response:  # fmt: skip
    """Keep the sheet as it was given."""
    chosen = Chosen(tuple(exercise) if exercise else None, language, large)
    if is_supervised(desk):
        words = {"exercise": exercise or [], "language": language, "large": large}
        care.present(desk, visit_id, "handout", words)
        return RedirectResponse(f"/visits/{visit_id}/documents/handout", status_code=303)
    try:
        kept = care.sign_handout(
            desk, visit_id, by, exercise, language=language, large=large, document_id=own_id({"entry_id": form_id})
        )
    except CannotRead as error:
        return _sheet(request, desk, visit_id, chosen, Wrong(by_field(error.faults), NOT_SIGNED, 422), by)
    except Refused as error:
        wrong = Wrong({"by": sentences(error)}, NOT_SIGNED, 409)
        return _sheet(request, desk, visit_id, chosen, wrong, by)
    return RedirectResponse(f"/documents/{kept}#signed", status_code=303)


@dataclass(frozen=True, slots=True)
class Chosen:
    """Which sheet: exercises in place of those chosen, language, type."""

    exercises: tuple[str, ...] | None
    language: str
    large: bool


def _sheet(
    request: Request, desk: care.Desk, visit_id: str, chosen: Chosen, wrong: Wrong | None = None, by: str = ""
) -> Response:
    home = care.view_home(desk, visit_id, chosen.exercises, language=chosen.language, large=chosen.large)
    if home.sheet is None:
        raise Refused("there is no home programme to sign: nothing calls for one, or treatment is withheld")
    wrong = wrong or Wrong()
    values = {
        "view": home.visit,
        "sheet": home.sheet,
        "chosen": [one.id for one in home.sheet.exercises],
        "language": chosen.language,
        "large": chosen.large,
        "by": by,
        "form_id": care.new_id(),
        "faults": wrong.faults,
        "said": wrong.said,
        "alarm": bool(wrong.said),
        "minutes": 20,
        **presented_values(desk, visit_id, "handout"),
    }
    return page(request, "handout_sign.html", values, wrong.status)


@router.get("/visits/{visit_id}/documents/{kind}")
def get_draft(request: Request, desk: AtDesk, visit_id: str, kind: str) -> Response:
    """A document as it would be now."""
    if kind == "note":
        return RedirectResponse(f"/visits/{visit_id}/note", status_code=303)
    return _draft(request, desk, visit_id, kind, {})


@router.post("/visits/{visit_id}/documents/{kind}")
def post_draft(request: Request, desk: AtDesk, visit_id: str, kind: str, given: Fields) -> Response:
    """Show it with these words, take it as a file, or sign it. What was written comes back with every fault."""
    try:
        return _answer(request, desk, visit_id, kind, given)
    except CannotRead as error:
        return _draft(request, desk, visit_id, kind, given, Wrong(by_field(error.faults), NOT_SIGNED, 422))
    except Refused as error:
        return _draft(request, desk, visit_id, kind, given, Wrong({"by": sentences(error)}, NOT_SIGNED, 409))
    except NotFound as error:
        if not _codes(given):
            raise
        bare = {name: said for name, said in given.items() if not name.startswith(CODE)}
        wrong = Wrong({"codes": sentences(error)}, "What was found has changed: confirm the codes again.", 409)
        return _draft(request, desk, visit_id, kind, bare, wrong)


def _answer(request: Request, desk: care.Desk, visit_id: str, kind: str, given: Mapping[str, str]) -> Response:
    form = given.get("do", "show")
    if form in care.FORMS:
        draft = care.draft_document(desk, visit_id, kind, _words(given), given.get("by", ""))
        return _file(care.document_file(draft.document, form), f"draft-{kind}-{draft.visit.label}", form)
    if form != "sign":
        return _draft(request, desk, visit_id, kind, given)
    if is_supervised(desk):
        said = {name: given.get(name, "") for name in WORDS}
        care.present(desk, visit_id, kind, {**said, "codes": _codes(given)})
        return RedirectResponse(f"/visits/{visit_id}/documents/{kind}", status_code=303)
    if kind == FOLLOW_UP:
        return _sign_follow_up(request, desk, visit_id, given)
    kept = care.sign_document(desk, visit_id, kind, _words(given), given.get("by", ""), own_id(given, "form_id"))
    return RedirectResponse(f"/documents/{kept}#signed", status_code=303)


def _sign_follow_up(request: Request, desk: care.Desk, visit_id: str, given: Mapping[str, str]) -> Response:
    if given.get("sure") != "yes" and doubts(desk, care.view_visit(desk, visit_id)):
        faults = {"sure": ["Not signed: read this first, and confirm it when the note shall be signed all the same."]}
        return _draft(request, desk, visit_id, FOLLOW_UP, given, Wrong(faults, NOT_SIGNED, 409))
    care.sign_note(desk, visit_id, given.get("by", ""), as_follow_up=True)
    return RedirectResponse(f"/visits/{visit_id}/note#signed", status_code=303)


def _words(given: Mapping[str, str]) -> care.WriterWords:
    said = {name: given.get(name, "") for name in WORDS}
    return care.WriterWords(**said, codes=tuple(_codes(given)))


def _codes(given: Mapping[str, str]) -> list[str]:
    return [name.removeprefix(CODE) for name in given if name.startswith(CODE)]


def _draft(
    request: Request, desk: care.Desk, visit_id: str, kind: str, given: Mapping[str, str], wrong: Wrong | None = None
) -> Response:
    wrong = wrong or Wrong()
    draft = care.draft_document(desk, visit_id, kind, _words(given), given.get("by", ""))
    values = {
        "view": draft.visit,
        "verdict": draft.visit.assessment.verdict,
        "minutes": 20,
        "kind": kind,
        "title": draft.document.title,
        "purpose": next(purpose for word, _, purpose in care.document_choices(2) if word == kind),
        "paper": _paper(draft.document),
        "fields": FIELDS[kind],
        "suggested": draft.suggested if kind in CODED else (),
        "confirmed": _codes(given),
        "given": given,
        "form_id": given.get("form_id") if not wrong.said and given.get("form_id") else care.new_id(),
        "doubts": doubts(desk, draft.visit) if kind == FOLLOW_UP and not draft.visit.signed else [],
        "closed": bool(kind == FOLLOW_UP and draft.visit.signed),
        "faults": wrong.faults,
        "said": wrong.said,
        "alarm": bool(wrong.said),
        **presented_values(desk, visit_id, kind),
    }
    return page(request, "document.html", values, wrong.status)


@router.get("/documents/{document_id}.{form}")
def get_file(desk: AtDesk, document_id: str, form: str) -> Response:
    """A signed document as a file."""
    if form not in care.FORMS:
        raise NotFound(f"no document as {form!r}")
    kept = care.kept_document(desk, document_id)
    name = f"{kept.row.kind}-{kept.label} {kept.row.signed_at.astimezone():%Y-%m-%d}"
    return _file(care.document_file(kept.document, form), name, form)


@router.get("/documents/{document_id}")
def get_kept(request: Request, desk: AtDesk, document_id: str) -> Response:
    """A signed document with what was added to it."""
    return _kept(request, desk, document_id)


@router.post("/documents/{document_id}/addenda")
def post_addendum(
    request: Request,
    desk: AtDesk,
    document_id: str,
    text: Annotated[str, Form()] = "",
    by: Annotated[str, Form()] = "",
    addendum_id: Annotated[str, Form()] = "",
) -> Response:
    """Words after signing. The same form sent twice is kept once."""
    try:
        care.add_to_document(desk, document_id, text, by, own_id({"entry_id": addendum_id}))
    except CannotRead as error:
        wrong = Wrong(by_field(error.faults), "Not added: see below.", 422)
        return _kept(request, desk, document_id, {"text": text, "by": by}, wrong)
    return RedirectResponse(f"/documents/{document_id}#addenda", status_code=303)


def _kept(
    request: Request,
    desk: care.Desk,
    document_id: str,
    given: Mapping[str, str] | None = None,
    wrong: Wrong | None = None,
) -> Response:
    kept, wrong = care.kept_document(desk, document_id), wrong or Wrong()
    title = next(title for word, title, _ in care.document_choices(2) if word == kept.row.kind)
    values = {
        "kept": kept,
        "title": title,
        "paper": "" if kept.row.kind == "handout" else _paper(kept.document),
        "given": given or {},
        "faults": wrong.faults,
        "said": wrong.said,
        "alarm": bool(wrong.said),
        "addendum_id": care.new_id(),
        "minutes": 20,
    }
    return page(request, "document_kept.html", values, wrong.status)


def _paper(document: object) -> Markup:
    html = care.document_file(document, "html").decode()  # type: ignore[arg-type]
    return Markup(article(html))  # noqa: S704 (the document escapes every piece of text)


def _file(content: bytes, name: str, form: str) -> Response:
    """A file to keep, named in letters every system takes, and as it is written."""
    plain = re.sub(r"[^A-Za-z0-9.-]+", "-", name).strip("-.")
    told = f"attachment; filename=\"{plain}.{form}\"; filename*=UTF-8''{quote(f'{name}.{form}', safe='')}"
    return Response(content, media_type=care.FORMS[form], headers={"Content-Disposition": told})
