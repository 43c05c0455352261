"""Simulated people with hidden contributors, examinations played on them, and how right the program is about them."""

from endfeel.simulate.calibration import (
    ARMS,
    CONDITIONS,
    FAIR,
    LENGTHS,
    ONE_LENGTH,
    UNEXAMINED,
    join_blocks,
    minutes_for,
    resampled,
    run_block,
    summed,
)
from endfeel.simulate.examiner import ASSUMED, Hands, find
from endfeel.simulate.people import Patient, draw_patient, draw_story
from endfeel.simulate.scores import HIDDEN, Scores, Tally

__all__ = [
    "ARMS",
    "ASSUMED",
    "CONDITIONS",
    "FAIR",
    "HIDDEN",
    "LENGTHS",
    "ONE_LENGTH",
    "UNEXAMINED",
    "Hands",
    "Patient",
    "Scores",
    "Tally",
    "draw_patient",
    "draw_story",
    "find",
    "join_blocks",
    "minutes_for",
    "resampled",
    "run_block",
    "summed",
]
