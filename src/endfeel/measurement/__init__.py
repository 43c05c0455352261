"""Measurement: error and change, outcome-measure arithmetic, agreement between examiners."""

from endfeel.measurement.change import Change, ChangeVerdict, Direction, compare
from endfeel.measurement.error_figures import ErrorFigure
from endfeel.measurement.items import Form, Item, form, forms
from endfeel.measurement.retest import FieldChange, RetestComparison, compare_findings
from endfeel.measurement.score import Score, ScorePart, score, score_of
from endfeel.measurement.signs import STEERS, STEERS_FIGURES, Sign, comparable_signs, line_of

__all__ = [
    "STEERS",
    "STEERS_FIGURES",
    "Change",
    "ChangeVerdict",
    "Direction",
    "ErrorFigure",
    "FieldChange",
    "Form",
    "Item",
    "RetestComparison",
    "Score",
    "ScorePart",
    "Sign",
    "comparable_signs",
    "compare",
    "compare_findings",
    "form",
    "forms",
    "line_of",
    "score",
    "score_of",
]
