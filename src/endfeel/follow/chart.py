"""One line over the weeks as SVG, readable without colour: form and words tell what is what, in the text's colour."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

from endfeel.evidence.figures import number
from endfeel.follow.courses import CoursePoint
from endfeel.follow.trajectory import VERDICT_WORDS, Trajectory, interval

WIDTH, HEIGHT = 420, 290
_LEFT, _RIGHT, _TOP, _BOTTOM = 40, 404, 26, 218
_INK = 'stroke="currentColor" fill="none"'
_HALO = 'class="halo" paint-order="stroke" stroke="#ffffff" stroke-width="3" stroke-linejoin="round" font-size="11"'
_STEP, _ROUND = 20, 10
"""An axis of angles begins at a multiple of the one and has marks at multiples of the other."""
_LONGEST_AHEAD_WEEKS = 14
_SHARE_AHEAD = 2
"""A published day is drawn when it lies no farther ahead than so many times what is behind, or so many weeks."""


@dataclass(frozen=True, slots=True)
class _Paper:
    """From weeks and values to the paper."""

    weeks: float
    low: float
    high: float

    def x(self, week: float) -> float:
        return round(_LEFT + 14 + (_RIGHT - _LEFT - 24) * week / max(self.weeks, 1), 1)

    def y(self, value: float) -> float:
        inside = min(max(value, self.low), self.high)
        return round(_BOTTOM - (_BOTTOM - _TOP) * (inside - self.low) / (self.high - self.low), 1)


def line_chart(one: Trajectory) -> str:
    """The chart of one trajectory: values with their error, the limit of error, the true value, the expected course."""
    expected = _expected(one)
    paper = _paper(one, expected)
    hatch = f"hatch-{escape(one.line.id)}"
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" role="img" class="course-chart" viewBox="0 0 {WIDTH} {HEIGHT}" '
        f'font-family="system-ui, sans-serif" font-size="12.5" fill="currentColor">'
        f"<title>{escape(one.line.name)}</title><desc>{escape(chart_words(one))}</desc>",
        f'<defs><pattern id="{hatch}" width="5" height="5" patternUnits="userSpaceOnUse" '
        f'patternTransform="rotate(45)"><line x1="0" y1="0" x2="0" y2="5" stroke="currentColor" '
        f'stroke-width="1" stroke-opacity="0.45"/></pattern></defs>',
        *_axes(one, paper),
        *_error_limits(one, paper),
        *_level(one, paper, hatch),
        *_course(expected, paper),
        *_forecast(one, paper),
        *_readings(one, paper),
        *_key(one, expected, hatch),
    ]
    return "".join(parts) + "</svg>"


def chart_words(one: Trajectory) -> str:
    """The chart in words, for those who cannot see it."""
    values = "; ".join(
        f"week {week:.0f}: {round(reading.value, 1):g}"
        for week, reading in zip(one.weeks, one.line.readings, strict=True)
    )
    told = [f"{values} ({one.unit}, {'less' if one.better == 'down' else 'more'} is better)"]
    if one.band is not None:
        told.append(f"error of one value ±{one.band:.1f}")
    if one.detectable is not None:
        told.append(f"smallest detectable change {number(one.detectable):.1f}")
    if one.level:
        low, high = interval(one.level[-1])
        told.append(f"true value now {one.level[-1].mean:.1f} ({low:.1f} to {high:.1f})")
    told.append(f"verdict: {VERDICT_WORDS[one.verdict]}")
    return ". ".join(told) + "."


def _expected(one: Trajectory) -> tuple[CoursePoint, ...]:
    """The expected group from its start to the next published day worth drawing, with every day between."""
    if not one.courses:
        return ()
    course = one.courses[0]
    last = _last_week(one)
    days = sorted({*(point.weeks for point in course.points if point.weeks <= last), last, 0.0})
    return tuple(point for day in days if (point := course.at(day)) is not None)


def _last_week(one: Trajectory) -> float:
    ahead = max(_LONGEST_AHEAD_WEEKS, _SHARE_AHEAD * one.weeks[-1])
    soon = [made.weeks for made in one.forecasts if made.weeks <= ahead]
    return max([one.weeks[-1], *soon[:1]])


def _paper(one: Trajectory, expected: Sequence[CoursePoint]) -> _Paper:
    if one.line.is_outcome:
        return _Paper(_last_week(one), one.low, one.high)
    band = one.band or 0.0
    values = [reading.value + side * band for reading in one.line.readings for side in (-1, 1)]
    values += [point.mean for point in expected]
    low = max(one.low, _STEP * (min(values) // _STEP))
    steps = max(1, -(-(max(values) - low) // (4 * _ROUND)))
    return _Paper(_last_week(one), low, low + steps * 4 * _ROUND)


def _axes(one: Trajectory, paper: _Paper) -> list[str]:
    better = "less is better ↓" if one.better == "down" else "more is better ↑"
    found = [
        f'<text x="{_LEFT - 34}" y="14">{escape(one.unit)} · {better}</text>',
        f'<path d="M{_LEFT} {_TOP}V{_BOTTOM}H{_RIGHT}" {_INK} stroke-width="1.2"/>',
    ]
    for k in range(5):
        value = paper.low + (paper.high - paper.low) * k / 4
        y = paper.y(value)
        found.append(f'<path d="M{_LEFT - 4} {y}H{_LEFT}" {_INK}/>')
        found.append(f'<text x="{_LEFT - 7}" y="{y + 4}" text-anchor="end">{value:g}</text>')
    shown: list[float] = []
    for week in [*one.weeks, *(made.weeks for made in one.forecasts if made.weeks <= paper.weeks)]:
        x = paper.x(week)
        found.append(f'<path d="M{x} {_BOTTOM}v4" {_INK}/>')
        if all(abs(x - other) > 20 for other in shown):
            shown.append(x)
            found.append(f'<text x="{x}" y="{_BOTTOM + 17}" text-anchor="middle">{week:.0f}</text>')
    found.append(f'<text x="{_LEFT - 34}" y="{_BOTTOM + 17}">week</text>')
    return found


def _error_limits(one: Trajectory, paper: _Paper) -> list[str]:
    """Where a change is beyond error, from the first value."""
    if one.detectable is None:
        return []
    first, limit = one.line.readings[0].value, number(one.detectable)
    found = []
    for value, is_better in ((first - limit, one.better == "down"), (first + limit, one.better == "up")):
        if not paper.low < value < paper.high:
            continue
        y = paper.y(value)
        found.append(f'<path d="M{_LEFT} {y}H{_RIGHT}" {_INK} stroke-dasharray="7 5" stroke-width="1"/>')
        under = value < first and y + 13 < _BOTTOM - 3
        words = "better beyond error" if is_better else "worse beyond error"
        found.append(f'<text x="{_RIGHT}" y="{y + (13 if under else -4)}" text-anchor="end" {_HALO}>{words}</text>')
    return found


def _level(one: Trajectory, paper: _Paper, hatch: str) -> list[str]:
    if not one.level:
        return []
    ends = [interval(level) for level in one.level]
    xs = [paper.x(week) for week in one.weeks]
    there = [f"{x} {paper.y(high)}" for x, (_, high) in zip(xs, ends, strict=True)]
    back = [f"{x} {paper.y(low)}" for x, (low, _) in zip(xs, ends, strict=True)][::-1]
    middle = [f"{x} {paper.y(level.mean)}" for x, level in zip(xs, one.level, strict=True)]
    return [
        f'<path d="M{"L".join([*there, *back])}Z" fill="url(#{hatch})" stroke="none"/>',
        f'<path d="M{"L".join(middle)}" {_INK} stroke-width="2.6"/>',
    ]


def _course(expected: Sequence[CoursePoint], paper: _Paper) -> list[str]:
    if len(expected) < 2:
        return []
    path = "L".join(f"{paper.x(point.weeks)} {paper.y(point.mean)}" for point in expected)
    return [
        f'<path d="M{path}" {_INK} stroke-width="2" stroke-dasharray="1.5 5" stroke-linecap="round"/>',
    ]


def _forecast(one: Trajectory, paper: _Paper) -> list[str]:
    found = []
    for made in one.forecasts:
        if made.weeks > paper.weeks:
            continue
        x, middle = paper.x(made.weeks), paper.y(number(made.middle))
        low, high = paper.y(made.low), paper.y(made.high)
        found.append(f'<path d="M{x - 7} {low}H{x}V{high}H{x - 7}" {_INK} stroke-width="1.6"/>')
        diamond = f"M{x} {middle - 5}l5 5l-5 5l-5 -5z"
        found.append(f'<path d="{diamond}" fill="currentColor" stroke="none"/>')
    return found


def _readings(one: Trajectory, paper: _Paper) -> list[str]:
    found = []
    for week, reading in zip(one.weeks, one.line.readings, strict=True):
        x, y = paper.x(week), paper.y(reading.value)
        if one.band is not None:
            top, bottom = paper.y(reading.value + one.band), paper.y(reading.value - one.band)
            found.append(
                f'<path d="M{x - 4} {top}h8M{x} {top}V{bottom}M{x - 4} {bottom}h8" {_INK} stroke-width="1.2"/>'
            )
        found.append(
            f'<circle cx="{x}" cy="{y}" r="4.5" stroke="currentColor" stroke-width="1.8" class="paper" fill="#ffffff"/>'
        )
        side, anchor = (8, "start") if x < _RIGHT - 40 else (-8, "end")
        halo = _HALO.replace('font-size="11"', f'font-weight="600" text-anchor="{anchor}"')
        found.append(f'<text x="{x + side}" y="{y - 6}" {halo}>{reading.value:.3g}</text>')
    return found


def _key(one: Trajectory, expected: Sequence[CoursePoint], hatch: str) -> list[str]:
    """What the forms mean, under the chart."""
    y, found = _BOTTOM + 38, []
    found.append(
        f'<circle cx="{_LEFT - 24}" cy="{y - 4}" r="4.5" {_INK} stroke-width="1.8"/>'
        f'<text x="{_LEFT - 10}" y="{y}" font-size="11.5">value, bar: its error (95 %)</text>'
    )
    if one.level:
        found.append(
            f'<rect x="212" y="{y - 11}" width="26" height="12" fill="url(#{hatch})"/>'
            f'<path d="M212 {y - 5}h26" {_INK} stroke-width="2.6"/>'
            f'<text x="244" y="{y}" font-size="11.5">true value, estimated</text>'
        )
    y += 20
    if len(expected) > 1:
        found.append(
            f'<path d="M{_LEFT - 36} {y - 4}h26" {_INK} stroke-width="2" stroke-dasharray="1.5 5" '
            f'stroke-linecap="round"/>'
            f'<text x="{_LEFT - 4}" y="{y}" font-size="11.5">a published group</text>'
        )
    if any(made.weeks <= _last_week(one) for made in one.forecasts):
        found.append(
            f'<path d="M218 {y - 11}h7v13h-7" {_INK} stroke-width="1.6"/>'
            f'<path d="M225 {y - 9}l5 5l-5 5l-5 -5z" fill="currentColor"/>'
            f'<text x="244" y="{y}" font-size="11.5">forecast, {one.forecasts[0].percent:.0f} % interval</text>'
        )
    return found
