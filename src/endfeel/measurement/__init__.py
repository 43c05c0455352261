"""Measurement: error and change, outcome-measure arithmetic, agreement between examiners."""

from endfeel.measurement.change import Change, ChangeVerdict, Direction, compare
from endfeel.measurement.error_figures import ErrorFigure
from endfeel.measurement.retest import FieldChange, RetestComparison, compare_findings
from endfeel.measurement.score import Score, ScorePart, score

__all__ = [
    "Change",
    "ChangeVerdict",
    "Direction",
    "ErrorFigure",
    "FieldChange",
    "RetestComparison",
    "Score",
    "ScorePart",
    "compare",
    "compare_findings",
    "score",
]
