"""From what was said to a draft that can be read back: a line of shorthand, or a question, or a command."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from endfeel.vocabulary import CannotRead, Fault, Procedure, Side
from endfeel.vocabulary.shorthand import Shorthand, finding_text, parse_finding
from endfeel.voice.grammar import ARC
from endfeel.voice.network import Meaning


@dataclass(frozen=True, slots=True)
class Place:
    """What the page shows while something is said: the side of the visit, the test in front and its level."""

    side: Side | None = None
    front: Procedure | None = None
    level: str = ""


@dataclass(frozen=True, slots=True)
class Draft:
    """A finding that is not kept yet. While `question` is not empty it cannot be kept."""

    line: str
    """Canonical shorthand."""
    question: str = ""
    said_side: Side | None = None


@dataclass(frozen=True, slots=True)
class Command:
    """One of the commands of the spoken words."""

    name: str


_WRITTEN: dict[str, Callable[[str], str]] = {
    "level": str,
    "mobility": "mobility {}".format,
    "end_feel": str,
    "value": str,
    "other": "other {}".format,
    "pain": "pain {}".format,
    "pain_onset": "pain@{}".format,
    "strength": "strength {}/5".format,
    "result": "result {}".format,
    "familiar": {"yes": "familiar", "no": "not familiar"}.__getitem__,
    "apprehension": {"yes": "apprehensive", "no": "not apprehensive"}.__getitem__,
}


def understood(meaning: Meaning, place: Place, shorthand: Shorthand) -> Draft | Command:
    """The draft or the command. The side is that of the visit; a spoken one only confirms it, another is asked about.

    Raises CannotRead when what was said is no finding of the procedure, or no side is known.
    """
    said = dict(meaning)
    if "command" in said:
        return Command(said["command"])
    procedure = said.pop("procedure", place.front.id if place.front else "")
    if not procedure:
        raise CannotRead([Fault("no test is named, and none is in front", would_do="the name of the test first")])
    spoken = Side(said.pop("side")) if "side" in said else None
    if place.level and place.front and procedure == place.front.id and shorthand.catalogue[procedure].levels:
        said.setdefault("level", place.level)
    parts = [_WRITTEN[name](value) for name, value in said.items()]
    if procedure == ARC and "pain_onset" in said:
        parts.append("positive")
    finding = parse_finding(" ".join((procedure, *parts)), shorthand, place.side or spoken)
    if not shorthand.catalogue[procedure].sided:
        return Draft(finding_text(finding))
    if place.side is None:
        return Draft(finding_text(finding), f"Heard {spoken}, and the visit names no side. Which side?", spoken)
    asked = f"Heard {spoken}, but this visit is about the {place.side}. Which side?" if _differs(spoken, place) else ""
    return Draft(finding_text(finding), asked, spoken)


def _differs(spoken: Side | None, place: Place) -> bool:
    return spoken is not None and spoken is not place.side


def on_side(draft: Draft, side: Side, shorthand: Shorthand) -> Draft:
    """The same finding on the side that was pressed or asked for; nothing is left to ask."""
    finding = parse_finding(draft.line, shorthand)
    if not shorthand.catalogue[finding.procedure].sided:
        return replace(draft, question="")
    return Draft(finding_text(replace(finding, side=side)), "", side)


def side_of(draft: Draft, shorthand: Shorthand) -> Side | None:
    """The side the draft stands on; None for a finding without one."""
    return parse_finding(draft.line, shorthand).side
