"""Likelihood of each finding, posterior over contributors, explanation, how firmly it stands."""

from endfeel.inference.articular import ArticularJudgement
from endfeel.inference.candidates import Candidate
from endfeel.inference.changes import Change
from endfeel.inference.explanation import ExplanationLine
from endfeel.inference.model import Model, build_model
from endfeel.inference.posterior import Belief, Posterior, expected_class_information, expected_information, infer

__all__ = [
    "ArticularJudgement",
    "Belief",
    "Candidate",
    "Change",
    "ExplanationLine",
    "Model",
    "Posterior",
    "build_model",
    "expected_class_information",
    "expected_information",
    "infer",
]
