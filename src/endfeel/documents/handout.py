"""The home programme on one or two pages, in plain words: a value first, then text, HTML and PDF."""

from __future__ import annotations

import base64
import json
import tomllib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from functools import lru_cache
from html import escape
from importlib import resources
from itertools import product
from typing import Any

from endfeel.documents.words import clean
from endfeel.evidence.cite import MARKS, short_citation
from endfeel.evidence.figures import number
from endfeel.evidence.library import Library
from endfeel.pictures.exercise_figure import exercise_svg
from endfeel.pictures.exercise_poses import picture_of
from endfeel.pictures.svg import PRINT_FONT, SCREEN_FONT
from endfeel.treatment import HomeDose, HomeProgramme
from endfeel.vocabulary import CannotRead, Fault, Side

FOLDER = "languages"
FORM = 1
"""Version of the JSON form of a sheet."""
MOST_PAGES = 2
USUAL_PT, LARGE_PT = (11.5, 11.0, 10.5), (16.0, 15.0, 14.0)
"""Sizes of type to try, the largest that fits two pages; large type is never under 14 points."""


@dataclass(frozen=True, slots=True)
class HandoutExercise:
    """One exercise as the person reads it."""

    id: str
    name: str
    steps: tuple[str, ...]
    dose: str
    labels: tuple[str, ...]

    @property
    def picture_words(self) -> str:
        """What the picture shows, for who cannot see it."""
        return f"{self.name}: {' '.join(self.steps)}"


@dataclass(frozen=True, slots=True)
class Handout:
    """Everything on the sheet, in reading order."""

    language: str
    title: str
    subtitle: str
    invented: str
    """Says that the example is invented; empty for a person."""
    intro: str
    how_much: str
    done: str
    days: tuple[str, ...]
    exercises: tuple[HandoutExercise, ...]
    pain_title: str
    pain: tuple[str, ...]
    progress_title: str
    progress: tuple[str, ...]
    warning_title: str
    warning_now: str
    now: tuple[str, ...]
    warning_soon: str
    soon: tuple[str, ...]
    review_title: str
    review: str
    footer: str
    reading: str
    sources: str
    """Where doses and exercises come from, in small print."""
    written_at: str
    left_side: bool
    large: bool
    kept: tuple[str, ...] = ()
    """Who gave it when, once it is signed, and what was added later."""
    sign_title: str = ""
    sign: str = ""
    """What the picture of the leading sign shows; empty when there is none."""
    sign_picture: str = ""
    """The drawn shoulder as it stands in the note: SVG."""

    @property
    def sentences(self) -> Iterator[str]:
        """What the person reads as running text, for the measure of reading."""
        yield self.intro
        for one in self.exercises:
            yield from one.steps
        for part in (self.pain, self.progress, self.now, self.soon):
            yield from part
        yield from (self.review, self.footer, *([self.sign] if self.sign else []))


def languages() -> dict[str, str]:
    """Code to own name of every language there is a catalogue of."""
    folder = resources.files("endfeel.documents") / FOLDER
    codes = sorted(one.name.removesuffix(".toml") for one in folder.iterdir() if one.name.endswith(".toml"))
    return {code: str(catalogue(code)["name"]) for code in codes}


@lru_cache(maxsize=8)
def catalogue(language: str) -> Mapping[str, Any]:
    """The words of one language. Raises CannotRead for one that is not there."""
    place = resources.files("endfeel.documents") / FOLDER / f"{language}.toml"
    if not (language.isalpha() and place.is_file()):
        raise CannotRead([Fault("no handout in this language", language, "en, de", field="language")])
    return tomllib.loads(place.read_text(encoding="utf-8"))


def compose_handout(
    programme: HomeProgramme,
    library: Library,
    *,
    language: str = "en",
    written_at: str = "",
    invented: bool = False,
    large: bool = False,
    sign_picture: str = "",
) -> Handout:
    """The sheet of a programme, with the picture of the leading sign where one is given.

    Raises CannotRead for an unknown language or an empty programme.
    """
    say = catalogue(language)
    if not programme.exercises:
        raise CannotRead([Fault("no exercise is in the programme", would_do="findings that call for one, or a choice")])
    numbers = {
        "pain": f"{number(programme.pain_allowed):g}",
        "hours": f"{number(programme.settle_hours):g}",
        "weeks": f"{number(programme.review_weeks):g}",
    }
    side = programme.side
    trials = {one: library.figure(one) for one in programme.figures if one.startswith("treatment_evidence.")}
    names = sorted({f"{MARKS[one.provenance]}{short_citation(one.source)}" for one in trials.values()})
    return Handout(
        language=language,
        title=say["title"],
        subtitle=say["for_side"].format(side=say[side.value]) if side else say["for_both"],
        invented=say["invented"] if invented else "",
        intro=say["intro"],
        how_much=say["how_much"],
        done=say["done"],
        days=tuple(say["days"]),
        exercises=tuple(_exercise(one.id, one.dose, say) for one in programme.exercises),
        pain_title=say["pain_title"],
        pain=tuple(line.format(**numbers) for line in say["pain"]),
        progress_title=say["progress_title"],
        progress=tuple(say["progress"]),
        warning_title=say["warning_title"],
        warning_now=say["warning_now"],
        now=tuple(say["now"]),
        warning_soon=say["warning_soon"],
        soon=tuple(say["soon"]),
        review_title=say["review_title"],
        review=say["review"].format(**numbers),
        footer=say["footer"],
        reading=say["reading"],
        sources=say["sources"].format(names="; ".join(names)),
        written_at=written_at,
        left_side=side is Side.LEFT,
        large=large,
        sign_title=say["sign_title"] if sign_picture else "",
        sign=say["sign"] if sign_picture else "",
        sign_picture=sign_picture,
    )


def dose_words(dose: HomeDose, say: Mapping[str, Any]) -> str:
    """How much, in one line of the language."""
    told = {"sets": dose.sets, "repetitions": dose.repetitions, "hold_s": dose.hold_s, "per_day": dose.per_day,
            "days": dose.days_per_week}  # fmt: skip
    often = {1: "once_a_day", 2: "twice_a_day"}.get(dose.per_day, "times_a_day")
    keys = ["sets" if dose.sets > 1 else "one_set", *(["hold"] if dose.hold_s else []), often]
    keys.append("every_day" if dose.days_per_week == 7 else "days_a_week")
    return ", ".join(str(say[key]).format(**told) for key in keys)


def lone_exercise(name: str, language: str) -> HandoutExercise:
    """One exercise without a dose, for its picture. Raises NotFound, CannotRead for an unknown language."""
    say = catalogue(language)
    panels = len(picture_of(name).poses)
    mine = say["exercise"][name]
    labels = (say["start"], mine.get("end", say["end"])) if panels > 1 else (say["hold_here"],)
    return HandoutExercise(name, mine["name"], tuple(mine["steps"]), "", labels)


def _exercise(name: str, dose: HomeDose, say: Mapping[str, Any]) -> HandoutExercise:
    return replace(lone_exercise(name, say["language"]), dose=dose_words(dose, say))


def handout_picture(one: HandoutExercise, *, left: bool, font: str = SCREEN_FONT) -> str:
    """The picture of one exercise, for the side that exercises."""
    return exercise_svg(picture_of(one.id), one.name, one.picture_words, one.labels, left=left, font=font)


def signed_handout(handout: Handout, by: str, at: str) -> Handout:
    """The sheet with the name of who gave it, and when."""
    said = catalogue(handout.language)["given"].format(who=clean(by), when=at)
    return replace(handout, kept=(said,), written_at=at)


def with_more(handout: Handout, addenda: Sequence[tuple[str, str, str]]) -> Handout:
    """A signed sheet with what was added to it (when, by whom, words), below what it was."""
    say = catalogue(handout.language)["added"]
    more = tuple(say.format(who=clean(by), when=when, words=clean(words)) for when, by, words in addenda)
    return replace(handout, kept=(*handout.kept, *more))


def handout_to_dict(handout: Handout) -> dict[str, Any]:
    """The sheet as plain JSON values."""
    return {"handout": FORM, **asdict(handout)}


def handout_from_dict(data: Mapping[str, Any]) -> Handout:
    """The sheet out of its JSON values. Raises CannotRead when they are not a sheet of a known form."""
    if data.get("handout") != FORM:
        raise CannotRead([Fault("not a sheet of a known form", str(data.get("handout")), f"form {FORM}")])
    try:
        given = _tupled(data)
        del given["handout"]
        given["exercises"] = tuple(HandoutExercise(**_tupled(one)) for one in data["exercises"])
        return Handout(**given)
    except (KeyError, TypeError, AttributeError) as error:
        raise CannotRead([Fault("a part of the sheet is missing or of the wrong kind", read=str(error))]) from error


def _tupled(data: Mapping[str, Any]) -> dict[str, Any]:
    """The values of a JSON object as a frozen value takes them."""
    made: dict[str, Any] = {name: tuple(one) if isinstance(one, list) else one for name, one in data.items()}
    return made


def handout_text(handout: Handout) -> str:
    """The sheet as plain text."""
    parts = [handout.title.upper(), handout.subtitle, *([handout.invented] if handout.invented else []), "",
             handout.intro]  # fmt: skip
    for place, one in enumerate(handout.exercises, 1):
        parts += ["", f"{place}. {one.name}", *(f"   {step}" for step in one.steps),
                  f"   {handout.how_much}: {one.dose}."]  # fmt: skip
    if handout.sign:
        parts += ["", handout.sign_title.upper(), handout.sign]
    for title, lines in _boxes(handout):
        parts += ["", title.upper(), *lines]
    parts += ["", *handout.kept, *([""] if handout.kept else []), handout.footer, handout.reading, handout.sources]
    return "\n".join(parts) + "\n"


def _boxes(handout: Handout) -> tuple[tuple[str, tuple[str, ...]], ...]:
    warning = (handout.warning_now, *(f"- {one}" for one in handout.now), handout.warning_soon,
               *(f"- {one}" for one in handout.soon))  # fmt: skip
    return (
        (handout.pain_title, tuple(f"- {one}" for one in handout.pain)),
        (handout.progress_title, tuple(f"- {one}" for one in handout.progress)),
        (handout.warning_title, warning),
        (handout.review_title, (handout.review,)),
    )


def handout_html(handout: Handout) -> str:
    """The sheet as a page of its own that prints on one or two sheets; pictures are inside it."""
    style = (resources.files("endfeel.documents") / "handout.css").read_text(encoding="utf-8")
    exercises = "".join(_exercise_html(place, one, handout) for place, one in enumerate(handout.exercises, 1))
    invented = f'<p class="tag">{escape(handout.invented)}</p>' if handout.invented else ""
    now, soon = (
        f"<ul>{''.join(f'<li>{escape(one)}</li>' for one in part)}</ul>" for part in (handout.now, handout.soon)
    )
    rules = "".join(
        f"<section><h2>{escape(title)}</h2><ul>{''.join(f'<li>{escape(one)}</li>' for one in lines)}</ul></section>"
        for title, lines in ((handout.pain_title, handout.pain), (handout.progress_title, handout.progress))
    )
    return (
        f'<!doctype html>\n<html lang="{escape(handout.language)}"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<title>{escape(handout.title)}</title><style>{style}</style></head>"
        f'<body class="{"large" if handout.large else "usual"}"><main>'
        f"<header><h1>{escape(handout.title)}</h1><p>{escape(handout.subtitle)}</p>{invented}</header>"
        f'<p class="intro">{escape(handout.intro)}</p><ol class="exercises">{exercises}</ol>'
        f'<div class="rules">{rules}</div>{_sign_html(handout)}'
        f'<section class="warning"><h2>{escape(handout.warning_title)}</h2>'
        f"<p>{escape(handout.warning_now)}</p>{now}<p>{escape(handout.warning_soon)}</p>{soon}</section>"
        f"<section><h2>{escape(handout.review_title)}</h2><p>{escape(handout.review)}</p></section>"
        f"{''.join(f'<p>{escape(one)}</p>' for one in handout.kept)}"
        f"<footer><p>{escape(handout.footer)}</p><p>{escape(handout.reading)} {escape(handout.sources)}</p></footer>"
        "</main></body></html>\n"
    )


def _sign_html(handout: Handout) -> str:
    if not handout.sign_picture:
        return ""
    drawn = base64.b64encode(handout.sign_picture.encode()).decode()
    return (
        f'<section class="sign"><h2>{escape(handout.sign_title)}</h2><p>{escape(handout.sign)}</p>'
        f'<img src="data:image/svg+xml;base64,{drawn}" alt="{escape(handout.sign)}"></section>'
    )


def _exercise_html(place: int, one: HandoutExercise, handout: Handout) -> str:
    steps = "".join(f"<li>{escape(step)}</li>" for step in one.steps)
    drawn = base64.b64encode(handout_picture(one, left=handout.left_side).encode()).decode()
    size = "" if len(one.labels) > 1 else ' class="one"'
    picture = f'<img{size} src="data:image/svg+xml;base64,{drawn}" alt="{escape(one.picture_words)}">'
    return (
        f"<li><h2>{place}. {escape(one.name)}</h2><div>{picture}<div><ol>{steps}</ol>"
        f'<p class="dose"><b>{escape(handout.how_much)}:</b> {escape(one.dose)}</p></div></div></li>'
    )


def handout_pdf(handout: Handout) -> bytes:
    """The sheet as PDF, by the typesetter and fonts of the note; the same handout gives the same bytes.

    The picture of the leading sign is left out where it would make a third page.
    """
    from endfeel.documents.pdf import ACCESSIBLE, ARCHIVABLE, compile_pdf, pages_of, written_on

    data: dict[str, Any] = asdict(handout)
    for part, one in zip(data["exercises"], handout.exercises, strict=True):
        part["svg"] = handout_picture(one, left=handout.left_side, font=PRINT_FONT)
        part["alt"] = one.picture_words
    day = written_on(handout.written_at)
    if day:
        data["written_on"] = day
    template = (resources.files("endfeel.documents") / "typst" / "handout.typ").read_bytes()
    standards = (ACCESSIBLE, ARCHIVABLE) if day else (ACCESSIBLE,)
    sizes = LARGE_PT if handout.large else USUAL_PT
    for picture, size in product(dict.fromkeys((handout.sign_picture, "")), sizes):
        data |= {"size_pt": size, "sign_picture": picture}
        told = json.dumps(data, ensure_ascii=False)
        if pages_of(template, told) <= MOST_PAGES:
            break
    return compile_pdf(template, told, standards)
