"""Likelihood of each finding, posterior over contributors, explanation, how firmly it stands."""

from endfeel.inference.account import Account, Apart, Reversal, Rival
from endfeel.inference.articular import ArticularJudgement
from endfeel.inference.candidates import Candidate
from endfeel.inference.changes import Change
from endfeel.inference.contradictions import Contradiction, contradictions
from endfeel.inference.contributors import says_trouble
from endfeel.inference.examiner import Examiner, OwnAgreement, OwnError
from endfeel.inference.explanation import ExplanationLine
from endfeel.inference.model import Model, build_model, compile_model
from endfeel.inference.posterior import Belief, Posterior, expected_class_information, expected_information, infer

__all__ = [
    "Account",
    "Apart",
    "ArticularJudgement",
    "Belief",
    "Candidate",
    "Change",
    "Contradiction",
    "Examiner",
    "ExplanationLine",
    "Model",
    "OwnAgreement",
    "OwnError",
    "Posterior",
    "Reversal",
    "Rival",
    "build_model",
    "compile_model",
    "contradictions",
    "expected_class_information",
    "expected_information",
    "infer",
    "says_trouble",
]
