"""What the contributors call for, with expected benefit and harm, and what a further test is worth for that choice."""

from endfeel.treatment.decision import POINTS, Course, Decision, decide
from endfeel.treatment.worth import PAIRED, Turn, Worth, worth_of

__all__ = ["PAIRED", "POINTS", "Course", "Decision", "Turn", "Worth", "decide", "worth_of"]
