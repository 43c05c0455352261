"""Capsule and ligaments as fibres: strain, tension, joint play and passive range."""

from endfeel.mechanics.changes import Change, cut, lengthened, shortened, stiffened
from endfeel.mechanics.people import People, draw_people
from endfeel.mechanics.shoulder import (
    Bands,
    End,
    Glide,
    Shoulders,
    arm,
    arm_on_thorax,
    default_shoulder,
    draw_population,
)

__all__ = [
    "Bands",
    "Change",
    "End",
    "Glide",
    "People",
    "Shoulders",
    "arm",
    "arm_on_thorax",
    "cut",
    "default_shoulder",
    "draw_people",
    "draw_population",
    "lengthened",
    "shortened",
    "stiffened",
]
