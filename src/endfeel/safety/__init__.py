"""Red flags, precautions, what must not be tested: the verdict that stops the examination and refers on."""

from endfeel.safety.noticing import Noticed, notice
from endfeel.safety.questions import Question, ScreenItem, first_screen, questions
from endfeel.safety.rules import cues_of, holds
from endfeel.safety.said import Advice, Precaution, RaisedFlag, Reason, Urgency, Verdict
from endfeel.safety.verdict import forget, override, verdict

__all__ = [
    "Advice",
    "Noticed",
    "Precaution",
    "Question",
    "RaisedFlag",
    "Reason",
    "ScreenItem",
    "Urgency",
    "Verdict",
    "cues_of",
    "first_screen",
    "forget",
    "holds",
    "notice",
    "override",
    "questions",
    "verdict",
]
