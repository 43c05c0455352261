"""A learner examines a simulated patient, commits, is told what each step was worth and how many cases go."""

from endfeel.teaching.examination import Examination, Moment, begin, go_on, play, treatments
from endfeel.teaching.feedback import Feedback, Forecast, Line, course_names, feedback, worths_of
from endfeel.teaching.progress import Band, JointRecord, Outcome, Progress, progress
from endfeel.teaching.steps import ADVICE, EVERY_LEVEL, SEND_ON, Commitment, Named, Step, step_from
from endfeel.teaching.worth import Worth, worth_of_step

__all__ = [
    "ADVICE",
    "EVERY_LEVEL",
    "SEND_ON",
    "Band",
    "Commitment",
    "Examination",
    "Feedback",
    "Forecast",
    "JointRecord",
    "Line",
    "Moment",
    "Named",
    "Outcome",
    "Progress",
    "Step",
    "Worth",
    "begin",
    "course_names",
    "feedback",
    "go_on",
    "play",
    "progress",
    "step_from",
    "treatments",
    "worth_of_step",
    "worths_of",
]
