"""Templates, and the few filters they use."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import datetime
from pathlib import Path
from typing import Any

from fastapi import Request
from fastapi.responses import HTMLResponse
from fastapi.templating import Jinja2Templates

from endfeel.evidence.cite import LEGEND, MARKS, cite, interval_text, short_citation, value_text
from endfeel.evidence.figures import Figure, Provenance
from endfeel.vocabulary import AREAS, CAUTIONS, MOBILITY_NAMES, SHORT_CAUTION
from endfeel.vocabulary.shorthand import finding_text
from endfeel.web.plain import capital

REGIONS: Mapping[str, str] = {
    "active_motion": "Active motion and observation",
    "thoracic": "Mid-thoracic spine and ribs",
    "cervicothoracic": "Neck and cervicothoracic junction",
    "scapulothoracic": "Shoulder blade on the thorax",
    "sternoclavicular": "Sternoclavicular joint",
    "acromioclavicular": "Acromioclavicular joint",
    "glenohumeral": "Glenohumeral joint",
    "cuff_strength": "Cuff and strength",
    "neuro_vascular": "Nerves and vessels",
}
"""Regions in reading order, with their names."""
templates = Jinja2Templates(directory=Path(__file__).parent / "templates")
templates.env.trim_blocks = templates.env.lstrip_blocks = True


def percent(probability: float) -> str:
    """Whole per cent, never 0 or 100: certainty is not on offer."""
    if probability < 0.01:
        return "< 1 %"
    return "> 99 %" if probability > 0.99 else f"{100 * probability:.0f} %"


def words(text: object) -> str:
    """An id as words."""
    return "side-lying" if str(text) == "side_lying" else str(text).replace("_", " ")


def clock(seconds: float) -> str:
    """`4:05`."""
    minutes, rest = divmod(round(seconds), 60)
    return f"{minutes}:{rest:02d}"


def place(thing: Any) -> str:
    """Side and level of anything that has them: `right T5`."""
    return " ".join(str(part) for part in (thing.side, thing.level) if part)


def mark(label: str) -> str:
    """The sign that stands before what was not read."""
    return MARKS[Provenance.from_label(label)]


def links(source: Figure) -> str:
    """The web address of a figure's source, when it is one that a browser may open."""
    address = source.source.address
    return address if address.startswith(("https://", "http://")) else ""


def day(moment: datetime) -> str:
    """`25 Nov 2026`, by the clock of this machine."""
    return f"{moment.astimezone():%-d %b %Y}"


def moment(at: datetime) -> str:
    """`25 Nov 2026, 15:30 CET`: by the clock of this machine, with its zone."""
    return f"{at.astimezone():%-d %b %Y, %H:%M %Z}"


def of(count: int, noun: str) -> str:
    """`1 finding`, `2 findings`, `3 entries`, `2 wishes`."""
    many = f"{noun[:-1]}ies" if noun.endswith("y") else f"{noun}es" if noun.endswith("sh") else f"{noun}s"
    return f"{count} {noun if count == 1 else many}"


def twice(options: Iterable[str]) -> list[tuple[str, str]]:
    """Options whose label is their value."""
    return [(one, one) for one in options]


templates.env.filters.update(
    percent=percent,
    words=words,
    clock=clock,
    line=finding_text,
    cite=cite,
    place=place,
    day=day,
    moment=moment,
    of=of,
    mark=mark,
    interval=interval_text,
    value_of=value_text,
    citation=short_citation,
    address=links,
    twice=twice,
    capital=capital,
)
templates.env.globals.update(
    cautions=CAUTIONS,
    short_caution=SHORT_CAUTION,
    mobility_names=MOBILITY_NAMES,
    regions=REGIONS,
    areas=AREAS,
    legend=LEGEND,
)


def code_picture(address: str, title: str = "Code for the phone") -> str:
    """An address as a square code to scan, as SVG."""
    import segno

    drawn: str = segno.make(address, error="m", micro=False).svg_inline(scale=6, border=4, light="#ffffff", title=title)
    return drawn


def wants_fragment(request: Request) -> bool:
    """Whether a part of the page is asked for, to be put in place; a restored page is asked for whole."""
    return request.headers.get("hx-request") == "true" and "hx-history-restore-request" not in request.headers


def page(
    request: Request, name: str, values: dict[str, Any], status: int = 200, headers: Mapping[str, str] | None = None
) -> HTMLResponse:
    """A whole page or a fragment, from its template."""
    desk = request.app.state.desk
    here = getattr(getattr(request.state, "desk", None), "staff", None)
    shared: dict[str, Any] = {
        "sources": desk.library.sources,
        "release": desk.library.release,
        "version": request.app.version,
        "fragment": wants_fragment(request),
        "for_learners": getattr(request.app.state, "for_learners", False),
        "staff_here": here,
        "may": lambda right: here is None or here.may(right),
        "supervised": here is not None and here.role == "student",
    }
    minutes = values.get("minutes")
    if isinstance(minutes, float) and minutes.is_integer():
        shared["minutes"] = int(minutes)
    return templates.TemplateResponse(
        request, name, {**values, **shared}, status_code=status, headers=dict(headers or {})
    )


def part(request: Request, name: str, values: Mapping[str, Any]) -> str:
    """A piece of a page as text, for an answer that holds more than the page."""
    shared = {"sources": request.app.state.desk.library.sources}
    return templates.get_template(name).render({**shared, **values})
