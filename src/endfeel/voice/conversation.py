"""What is said, step by step: a draft waits until it is confirmed or dropped, and nothing is kept before that."""

from __future__ import annotations

from dataclasses import dataclass, replace

from endfeel.vocabulary import CannotRead, Side
from endfeel.vocabulary.shorthand import Shorthand
from endfeel.voice.drafts import Command, Draft, Place, on_side, side_of, understood
from endfeel.voice.network import Meaning

UNHEARD = "Not understood: nothing is written. Say it again, or press and type as usual."
NO_DRAFT = "There is no draft to confirm."
WAITS = "A draft waits: say yes confirm, or no again, or press."
DROPPED = "Dropped. Nothing was kept."


@dataclass(frozen=True, slots=True)
class Reply:
    """What the page does next.

    `kind` is `draft` (show it and wait), `asked` (a question stands before it), `keep` (send the line off), `command`
    (`said` is its name), `rejected` or `told` (show `said`).
    """

    kind: str
    said: str = ""
    line: str = ""


@dataclass(frozen=True, slots=True)
class Talk:
    """The draft that waits, if one does."""

    draft: Draft | None = None

    @property
    def waits(self) -> bool:
        """Whether a draft waits to be confirmed."""
        return self.draft is not None


def after_speech(talk: Talk, meaning: Meaning | None, place: Place, shorthand: Shorthand) -> tuple[Talk, Reply]:
    """What follows from a phrase; None stands for a phrase that was rejected."""
    if meaning is None:
        return talk, Reply("rejected", UNHEARD, talk.draft.line if talk.draft else "")
    try:
        got = understood(meaning, place, shorthand)
    except CannotRead as error:
        return talk, Reply("rejected", error.faults[0].sentence())
    if isinstance(got, Command):
        return _after_spoken(talk, got.name, shorthand)
    if talk.draft is not None:
        return talk, Reply("rejected", WAITS, talk.draft.line)
    return Talk(got), _shown(got)


def _after_spoken(talk: Talk, name: str, shorthand: Shorthand) -> tuple[Talk, Reply]:
    """A spoken command never turns a draft to the other side: it makes the page ask, and a hand answers."""
    draft = talk.draft
    if name != "other_side" or draft is None or side_of(draft, shorthand) is None:
        return after_command(talk, name, shorthand)
    asked = replace(draft, question="Heard other side. Press the side that is meant.")
    return Talk(asked), _shown(asked)


def after_command(talk: Talk, name: str, shorthand: Shorthand) -> tuple[Talk, Reply]:
    """What follows from a command that was pressed, or spoken where no side hangs on it."""
    draft = talk.draft
    if name == "confirm":
        if draft is None:
            return talk, Reply("told", NO_DRAFT)
        if draft.question:
            return talk, _shown(draft)
        return Talk(), Reply("keep", "", draft.line)
    if draft is None:
        return talk, Reply("command", name)
    if name in ("again", "undo"):
        return Talk(), Reply("told", DROPPED)
    if name == "other_side":
        side = side_of(draft, shorthand)
        return (talk, _shown(draft)) if side is None else after_side(talk, side.other, shorthand)
    return talk, _shown(draft)


def after_side(talk: Talk, side: Side, shorthand: Shorthand) -> tuple[Talk, Reply]:
    """The side was pressed or asked for: the draft stands on it."""
    if talk.draft is None:
        return talk, Reply("told", NO_DRAFT)
    draft = on_side(replace(talk.draft, question=""), side, shorthand)
    return Talk(draft), _shown(draft)


def _shown(draft: Draft) -> Reply:
    return Reply("asked", draft.question, draft.line) if draft.question else Reply("draft", "", draft.line)
