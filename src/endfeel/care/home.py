"""The home programme of a visit, and the sheet the person takes home."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from endfeel.care.desk import Desk
from endfeel.care.measures import preference_of
from endfeel.care.visit import VisitView, view_visit
from endfeel.treatment import HomeProgramme, home_programme
from endfeel.vocabulary import Refused

if TYPE_CHECKING:
    from endfeel.documents import Handout


@dataclass(frozen=True, slots=True)
class HomeView:
    """What may go home with the person, as it stands now."""

    visit: VisitView
    chosen: HomeProgramme | None
    """None while treatment is withheld."""
    sheet: Handout | None
    """None where there is no exercise to put on it."""
    offered: tuple[tuple[str, str], ...]
    """Id and name of every exercise that may be chosen."""
    left_out: tuple[tuple[str, str], ...]
    """Name and reason."""


def view_home(
    desk: Desk, visit_id: str, wanted: Sequence[str] | None = None, *, language: str = "en", large: bool = False
) -> HomeView:
    """The programme chosen, or `wanted` instead, and its sheet.

    Raises NotFound, CannotRead for an unknown language, Refused for an exercise that must not be done.
    """
    from endfeel.care.drawn_sign import drawn_sign, leading_sign
    from endfeel.documents import catalogue, compose_handout

    words = catalogue(language)["exercise"]
    view = view_visit(desk, visit_id)
    found = view.assessment
    if found.verdict.withholds_treatment:
        return HomeView(view, None, None, (), ())
    programme = home_programme(
        found.posterior, found.decision, found.verdict, desk.library, wanted,
        refused=preference_of(desk, visit_id).refused,
    )  # fmt: skip
    barred = dict(programme.left_out)
    sheet = None
    if programme.exercises:
        sign = leading_sign(desk.library, found.case.findings)
        sheet = compose_handout(
            programme, desk.library, language=language, written_at=f"{desk.clock().astimezone():%Y-%m-%d}",
            invented=found.case.invented, large=large,
            sign_picture=drawn_sign(desk.library, sign, language).picture if sign else "",
        )  # fmt: skip
    names = {one: words[one]["name"] for one in desk.library.tables["exercises"].rows}
    return HomeView(
        view,
        programme,
        sheet,
        tuple((one, name) for one, name in names.items() if one not in barred),
        tuple((names[one], reason) for one, reason in programme.left_out),
    )


def home_sheet(
    desk: Desk, visit_id: str, form: str, wanted: Sequence[str] | None = None, *, language: str = "en",
    large: bool = False,
) -> bytes:  # fmt: skip
    """The sheet as `pdf`, `html` or `txt`. Refused while treatment is withheld or when nothing is on it."""
    from endfeel.documents import handout_html, handout_pdf, handout_text

    sheet = view_home(desk, visit_id, wanted, language=language, large=large).sheet
    if sheet is None:
        raise Refused("there is no home programme to print: nothing calls for one, or treatment is withheld")
    if form == "pdf":
        return handout_pdf(sheet)
    return (handout_html(sheet) if form == "html" else handout_text(sheet)).encode()


def home_languages() -> dict[str, str]:
    """Code and own name of every language of the sheet."""
    from endfeel.documents import languages

    return languages()


def home_picture(exercise: str, *, left: bool, language: str = "en") -> str:
    """The picture of one exercise as SVG, with the words of a language. Raises NotFound, CannotRead."""
    from endfeel.documents import handout_picture, lone_exercise

    return handout_picture(lone_exercise(exercise, language), left=left)
