"""`endfeel follow`: an episode over its visits: verdicts beyond error, what was to be expected, what now."""

from __future__ import annotations

import argparse
from dataclasses import replace
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from endfeel.cli.terminal import footer, print_json, say
from endfeel.vocabulary import CAUTIONS, CannotRead, Fault, Side

if TYPE_CHECKING:
    from endfeel.evidence.library import Library
    from endfeel.follow import Followed, FollowedVisit, Trajectory
    from endfeel.vocabulary import Case

_IN = "    "
"""What belongs to a line stands under it."""


def configure(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "file", nargs="?", metavar="FILE",
        help="the visits as CSV (date,measure,total or answers, occasion, activities, instrument) or JSON, - for "
        "standard input",
    )  # fmt: skip
    parser.add_argument("--visit", action="append", default=[], metavar="DATE=CASE",
                        help="a case file as the visit of a day, as 2026-03-02=first.txt; once for each")  # fmt: skip
    parser.add_argument("--today", type=_day, default=None, metavar="DATE", help="the day it is (default: today)")
    parser.add_argument("--instrument", default="", help="by what angles of the case files were measured")
    parser.add_argument("--rater", default="intra", choices=["intra", "inter"],
                        help="whether the same hands measured (default) or others")  # fmt: skip
    parser.add_argument("--outlook", action="append", default=[], metavar="QUESTION=ANSWER",
                        help="what else foretells, as expectation=slight; once for each")  # fmt: skip
    parser.add_argument("--svg", metavar="FOLDER", help="write the chart of every line there")
    parser.add_argument("--json", action="store_true", help="one JSON object")


def run(options: argparse.Namespace) -> int:
    """Print what may be said; with --json all of it as data."""
    from endfeel.evidence.load import load_library
    from endfeel.follow import follow
    from endfeel.follow.chart import line_chart
    from endfeel.follow.json_form import followed_json
    from endfeel.safety import verdict

    library = load_library()
    visits, cases = _visits(options, library)
    first, last = (cases[0], cases[-1]) if cases else (None, None)
    today = options.today or datetime.now().astimezone().date()
    try:
        shares = _shares(cases, library)
        told = follow(visits, today, library, case=last, first=first, contributors=shares, rater=options.rater)
    except CannotRead as error:
        raise CannotRead([replace(one, file=one.file or _name(options)) for one in error.faults]) from None
    if options.svg:
        for one in told.trajectories:
            path = Path(options.svg) / f"{one.line.id}.svg"
            path.write_text(line_chart(one), encoding="utf-8")
    safety = verdict(last, library) if last else None
    if options.json:
        urgent = {"urgency": safety.urgency, "action": safety.action} if safety else {}
        print_json({**urgent, **followed_json(told, library), "release": library.release, "cautions": list(CAUTIONS)})
    else:
        if safety and safety.stops_plan:
            say(f"Safety comes before every rule: {safety.action}", "", "danger")
        _print(told)
        footer(library.release)
    return 0


def _day(word: str) -> date:
    return date.fromisoformat(word)


def _name(options: argparse.Namespace) -> str:
    return "-" if options.file in (None, "-") else Path(options.file).name


def _visits(options: argparse.Namespace, library: Library) -> tuple[list[FollowedVisit], list[Case]]:
    from endfeel.assessment import shorthand_of
    from endfeel.cli.case_file import case_text_of, open_case
    from endfeel.follow import FollowedVisit
    from endfeel.follow.outlook import read_outlook
    from endfeel.vocabulary.followed_files import read_visits
    from endfeel.vocabulary.shorthand import parse_finding

    found: list[FollowedVisit] = []
    cases: list[Case] = []
    if options.file:
        name = _name(options)
        shorthand = shorthand_of(library)
        for one in read_visits(case_text_of(options.file, "a CSV or JSON file"), name):
            findings = tuple(parse_finding(line, shorthand, Side.RIGHT) for line in one.findings)
            found.append(
                FollowedVisit(
                    one.day,
                    one.answers,
                    findings,
                    one.instrument,
                    review=one.review,
                    line=one.line,
                    outlook=one.outlook,
                )
            )
    for told in options.visit:
        word, _, path = told.partition("=")
        try:
            day = _day(word)
        except ValueError:
            raise CannotRead([Fault("not a day", word, "2026-03-02=first.txt", field="visit")]) from None
        cases.append(open_case(path, library))
        found.append(FollowedVisit(day, (), cases[-1].findings, options.instrument))
    if not found:
        raise CannotRead([Fault("no visits", would_do="a CSV or JSON file, or --visit 2026-03-02=first.txt")])
    if options.outlook:
        told = read_outlook(options.outlook, library)
        answered = [place for place, one in enumerate(found) if one.outlook]
        last = answered[-1] if answered else -1  # the answers of one visit count, as a whole
        found[last] = replace(found[last], outlook={**found[last].outlook, **told})
    return found, cases


def _shares(cases: list[Case], library: Library) -> dict[str, float]:
    """Probability of each contributor in the last case file that is an examination; nothing without a file."""
    if not cases:
        return {}
    from endfeel.assessment import assess
    from endfeel.follow import last_examination
    from endfeel.follow.courses import parameter

    case = cases[last_examination([one.findings for one in cases], parameter(library, "whole_share"))]

    shares: dict[str, float] = {}
    for one in assess(case, library).posterior.beliefs:
        shares[one.contributor] = max(one.probability, shares.get(one.contributor, 0.0))
    return shares


def _print(told: Followed) -> None:
    from endfeel.follow import HOW_ADDED
    from endfeel.follow.predictors import NOT_SO

    visits = "1 visit" if len(told.visits) == 1 else f"{len(told.visits)} visits"
    say(f"{visits} over {told.weeks:.0f} weeks", "", "head")
    for one in told.trajectories:
        _print_line(one)
    for words in told.left_out:
        say(f"Left out: {words}", "", "warn")
    if told.decisions:
        say("What now", "", "head")
        for rule in told.decisions:
            say(f"{rule.kind.replace('_', ' ').upper()}: {rule.says}", "  ")
            say(f"because {rule.because} [{rule.provenance}; {rule.basis.source.citation}]", _IN, "dim")
    known = [one for one in told.predictors if one.here not in ("", NOT_SO)]
    if known:
        say("Published predictors the record tells", "", "head")
        for each in known:
            per = f" per {each.per}" if each.per else ""
            say(
                f"{each.says} ({each.here}): {each.direction}; {each.kind} {each.effect.text}{per}, {each.outcome}; "
                f"{each.role}",
                "  ",
            )
            say(f"[{each.effect.provenance.label}; {each.effect.source.citation}]", _IN, "dim")
        say(HOW_ADDED, "  ", "dim")


def _print_line(one: Trajectory) -> None:
    from endfeel.evidence.figures import number
    from endfeel.follow import VERDICT_SIGNS, VERDICT_WORDS
    from endfeel.follow.outlook import pull_words, shift_words
    from endfeel.follow.trajectory import interval

    values = ", ".join(f"{round(reading.value, 1):g}" for reading in one.line.readings)
    matters = ", and it matters" if one.matters and len(one.line.readings) > 1 else ""
    say(f"{VERDICT_SIGNS[one.verdict]} {one.line.name}: {values} {one.unit} - {VERDICT_WORDS[one.verdict]}{matters}")
    if one.band is not None and one.detectable is not None:
        important = f", important change {number(one.important):.1f}" if one.important else ""
        say(f"error of one value ±{one.band:.1f}, detectable change {number(one.detectable):.1f}{important}", _IN)
    if one.level and one.true_change:
        low, high = interval(one.level[-1])
        down, up = interval(one.true_change)
        now = f"true value now {one.level[-1].mean:.1f} ({low:.1f} to {high:.1f})"
        say(f"{now}, changed by {one.true_change.mean:+.1f} ({down:+.1f} to {up:+.1f})", _IN)
    for made in one.forecasts:
        ends = f"{made.percent:.0f} % interval {made.low:.1f} to {made.high:.1f} [{made.middle.provenance.label}]"
        say(f"week {made.weeks:g}: {number(made.middle):.1f} expected, {ends}", _IN)
        if made.shift:
            why = "; ".join(pull_words(pull) for pull in made.shift.pulls)
            say(f"moved {shift_words(made.shift, one.unit)} by what else foretells: {why}", _IN * 2, "dim")
    for course in one.courses[:1]:
        where = f"[{course.provenance.label}; {course.source}]"
        say(f"expected as: {course.name} ({course.weakness}) {where}", _IN, "dim")
    for figure in one.change.figures:
        where = f"[{figure.value.provenance.label}; {figure.source.citation}]"
        say(f"{figure.kind} {figure.printed} {where}", _IN, "dim")
    for words in one.remarks:
        say(f"Note: {words}", _IN, "warn")
