"""Simulated people with hidden contributors, examinations played on them, and how right the program is about them."""

from endfeel.simulate.calibration import (
    ARMS,
    CONDITIONS,
    LENGTHS,
    UNEXAMINED,
    Scores,
    add_blocks,
    minutes_for,
    run_block,
)
from endfeel.simulate.examiner import ASSUMED, Hands, find
from endfeel.simulate.people import Patient, draw_patient, draw_story
from endfeel.simulate.scores import Tally

__all__ = [
    "ARMS",
    "ASSUMED",
    "CONDITIONS",
    "LENGTHS",
    "UNEXAMINED",
    "Hands",
    "Patient",
    "Scores",
    "Tally",
    "add_blocks",
    "draw_patient",
    "draw_story",
    "find",
    "minutes_for",
    "run_block",
]
