"""Body chart: a figure from four sides, what is drawn on it measured, pictured and said."""

from endfeel.body_chart.areas import (
    MeasuredArea,
    Overlap,
    Rule,
    areas_touched,
    measured,
    overlap,
    region_path,
    surface,
    total_share,
)
from endfeel.body_chart.figure import FigureView, Region, figure
from endfeel.body_chart.picture import chart_picture, comparison_picture, view_picture
from endfeel.body_chart.words import area_words, chart_words, overlap_words

__all__ = [
    "FigureView",
    "MeasuredArea",
    "Overlap",
    "Region",
    "Rule",
    "area_words",
    "areas_touched",
    "chart_picture",
    "chart_words",
    "comparison_picture",
    "figure",
    "measured",
    "overlap",
    "overlap_words",
    "region_path",
    "surface",
    "total_share",
    "view_picture",
]
