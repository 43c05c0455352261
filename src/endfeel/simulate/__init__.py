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
from endfeel.simulate.cases import SimulatedCase, draw_case
from endfeel.simulate.codes import CaseWish, Danger, Difficulty, code_of, read_code
from endfeel.simulate.examiner import ASSUMED, Hands, find
from endfeel.simulate.people import Patient, draw_patient, draw_story
from endfeel.simulate.scores import HIDDEN, Scores, Tally
from endfeel.simulate.soreness import Soreness
from endfeel.simulate.telling import Askable, answer, askables, drawn_by, opening

__all__ = [
    "ARMS",
    "ASSUMED",
    "CONDITIONS",
    "FAIR",
    "HIDDEN",
    "LENGTHS",
    "ONE_LENGTH",
    "UNEXAMINED",
    "Askable",
    "CaseWish",
    "Danger",
    "Difficulty",
    "Hands",
    "Patient",
    "Scores",
    "SimulatedCase",
    "Soreness",
    "Tally",
    "answer",
    "askables",
    "code_of",
    "draw_case",
    "draw_patient",
    "draw_story",
    "drawn_by",
    "find",
    "join_blocks",
    "minutes_for",
    "opening",
    "read_code",
    "resampled",
    "run_block",
    "summed",
]
