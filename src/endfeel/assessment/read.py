"""Text to case, with the words of one evidence release."""

from __future__ import annotations

from endfeel.evidence.library import Library
from endfeel.vocabulary import Case
from endfeel.vocabulary.case_files import parse_case
from endfeel.vocabulary.shorthand import Shorthand

_KEPT: dict[str, Shorthand] = {}


def shorthand_of(library: Library) -> Shorthand:
    """The grammar built from this release's procedures and synonyms; kept, because building it takes a moment."""
    if library.release not in _KEPT:
        _KEPT[library.release] = Shorthand.of(
            library.catalogue, library.documents["aliases"], library.documents["ranges"]
        )
    return _KEPT[library.release]


def read_case(text: str, name: str, library: Library) -> Case:
    """The case written in `text`; `name` decides the form (`.toml` or plain) and stands in faults.

    Raises CannotRead with every fault of the file.
    """
    return parse_case(text, name=name, shorthand=shorthand_of(library), cues=cue_ids(library))


def cue_ids(library: Library) -> tuple[str, ...]:
    """Ids of the screen's cues, in screening order."""
    return tuple(cue["id"] for cue in library.documents["safety_rules"]["cue"])
