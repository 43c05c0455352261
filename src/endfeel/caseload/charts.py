"""The charts of a report, drawn; each told in words too."""

from __future__ import annotations

from collections.abc import Iterator

from endfeel.caseload.report import Report, RunChart
from endfeel.caseload.survival import Waited
from endfeel.pictures.small_chart import RunPoints, Steps, run_chart, step_chart

DAYS_A_WEEK = 7


def charts_of(told: Report) -> Iterator[tuple[str, str]]:
    """Name and SVG of every chart that may be shown."""
    for measure, waited in told.until_it_matters:
        if waited.steps:
            yield f"until_it_matters_{measure}", waiting_picture(measure, waited)
    for chart in told.charts:
        yield chart.id, run_picture(chart)


def run_picture(chart: RunChart) -> str:
    """SVG of one run chart."""
    signals = tuple((signal.rule, signal.points) for signal in chart.reading.signals)
    points = RunPoints(chart.values, chart.months, chart.reading.median, signals)
    return run_chart(points, chart.title, chart.unit, run_words(chart))


def run_words(chart: RunChart) -> str:
    """What the chart shows, in sentences."""
    reading = chart.reading
    told = f"{len(chart.values)} months, {chart.months[0]} to {chart.months[-1]}; median {reading.median:.3g}"
    if not reading.enough:
        return f"{told}. Too few points to read it by the rules."
    runs = f"{reading.runs} runs, where chance allows {reading.runs_low} to {reading.runs_high}"
    signals = "; ".join(_with_months(chart, place) for place in range(len(reading.signals)))
    return f"{told}. {runs}. {f'Signals: {signals}' if signals else 'No signal: as chance has it'}."


def _with_months(chart: RunChart, place: int) -> str:
    signal = chart.reading.signals[place]
    first, last = chart.months[signal.points[0]], chart.months[signal.points[-1]]
    if signal.rule == "far":
        return f"{first} lies far from the others"
    return signal.says if signal.rule == "runs" else f"{signal.says}, {first} to {last}"


def waiting_picture(measure: str, waited: Waited) -> str:
    """SVG of the share for whom it mattered already, with its 95 % interval."""
    weeks = tuple(step.day / DAYS_A_WEEK for step in waited.steps)
    steps = Steps(
        weeks,
        tuple(1 - step.still for step in waited.steps),
        tuple(1 - step.high for step in waited.steps),
        tuple(1 - step.low for step in waited.steps),
    )
    title = f"Until it matters: {measure}"
    return step_chart(steps, title, "weeks since the first value", "per cent of those followed", waiting_words(waited))


def waiting_words(waited: Waited) -> str:
    """What the curve shows, in sentences."""
    if not waited.steps:
        return f"{waited.lines} followed; too few changed to draw it."
    last = waited.steps[-1]
    half = f"Half by day {waited.median_day}" if waited.median_day is not None else "Less than half so far"
    return (
        f"{waited.lines} followed. {half}; by day {last.day} {1 - last.still:.0%} ({1 - last.high:.0%} to "
        f"{1 - last.low:.0%}, 95 % interval). Whoever came no more counts as long as they were followed."
    )
