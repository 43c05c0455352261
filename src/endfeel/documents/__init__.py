"""Every document as a plain value, each with three renderings of the same content."""

from endfeel.documents.amend import with_addenda, with_unspecified
from endfeel.documents.body_chart_section import with_body_chart
from endfeel.documents.compose import compose_note
from endfeel.documents.drawn_section import with_drawn_shoulder
from endfeel.documents.frame import Written
from endfeel.documents.handout import (
    Handout,
    HandoutExercise,
    catalogue,
    compose_handout,
    handout_from_dict,
    handout_html,
    handout_pdf,
    handout_picture,
    handout_text,
    handout_to_dict,
    languages,
    lone_exercise,
    signed_handout,
    with_more,
)
from endfeel.documents.html import note_html
from endfeel.documents.kinds import (
    LETTERS,
    PURPOSES,
    TITLES,
    DocumentKind,
    EpisodeOfCare,
    LetterWords,
    PastVisit,
)
from endfeel.documents.letters import compose_letter
from endfeel.documents.note import Note, note_from_dict, note_to_dict
from endfeel.documents.pdf import note_pdf
from endfeel.documents.text import note_text

__all__ = [
    "LETTERS",
    "PURPOSES",
    "TITLES",
    "DocumentKind",
    "EpisodeOfCare",
    "Handout",
    "HandoutExercise",
    "LetterWords",
    "Note",
    "PastVisit",
    "Written",
    "catalogue",
    "compose_handout",
    "compose_letter",
    "compose_note",
    "handout_from_dict",
    "handout_html",
    "handout_pdf",
    "handout_picture",
    "handout_text",
    "handout_to_dict",
    "languages",
    "lone_exercise",
    "note_from_dict",
    "note_html",
    "note_pdf",
    "note_text",
    "note_to_dict",
    "signed_handout",
    "with_addenda",
    "with_body_chart",
    "with_drawn_shoulder",
    "with_more",
    "with_unspecified",
]
