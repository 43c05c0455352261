"""A learner examines a simulated patient, commits, is told what each step was worth and how many cases go."""

from endfeel.teaching.examination import Examination, Moment, begin, go_on, play, treatments
from endfeel.teaching.feedback import Feedback, Forecast, Line, course_names, feedback, known_cues, worths_of
from endfeel.teaching.group import (
    STANDS_FROM,
    Closed,
    Comparison,
    GroupResults,
    PathStep,
    contributors_of,
    group_results,
    path_of,
)
from endfeel.teaching.paths import GoodPath, cheapest_good_path, needed, safety_path
from endfeel.teaching.progress import Band, JointRecord, Outcome, Progress, progress
from endfeel.teaching.steps import ADVICE, EVERY_LEVEL, SEND_ON, Commitment, Named, Step, step_from
from endfeel.teaching.worth import Worth, worth_of_step

__all__ = [
    "ADVICE",
    "EVERY_LEVEL",
    "SEND_ON",
    "STANDS_FROM",
    "Band",
    "Closed",
    "Commitment",
    "Comparison",
    "Examination",
    "Feedback",
    "Forecast",
    "GoodPath",
    "GroupResults",
    "JointRecord",
    "Line",
    "Moment",
    "Named",
    "Outcome",
    "PathStep",
    "Progress",
    "Step",
    "Worth",
    "begin",
    "cheapest_good_path",
    "contributors_of",
    "course_names",
    "feedback",
    "go_on",
    "group_results",
    "known_cues",
    "needed",
    "path_of",
    "play",
    "progress",
    "safety_path",
    "step_from",
    "treatments",
    "worth_of_step",
    "worths_of",
]
