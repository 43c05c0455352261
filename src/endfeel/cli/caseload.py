"""`endfeel caseload`: many episodes counted together: who improves, how long it takes, what decides, waiting."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from endfeel.cli.passphrase import AtTerminal, add_store
from endfeel.cli.terminal import footer, print_json, say, style
from endfeel.vocabulary import CAUTIONS, CannotRead, Fault

if TYPE_CHECKING:
    from endfeel.caseload.report import Report
    from endfeel.caseload.small_numbers import Table


def configure(parser: argparse.ArgumentParser) -> None:
    add_store(parser)
    parser.add_argument("--engine", default="", metavar="ADDRESS",
                        help="where it is counted: duckdb (default, in this process), postgresql://… or spark://… "
                        "(or ENDFEEL_CASELOAD)")  # fmt: skip
    parser.add_argument("--fewest", type=int, metavar="N", help="hide counts of fewer people (never below the stated)")
    parser.add_argument("--from", dest="folder", type=Path, metavar="FOLDER",
                        help="count the Parquet files of a folder instead of the store")  # fmt: skip
    parser.add_argument("--out", type=Path, metavar="FOLDER",
                        help="write the rows as Parquet: numbers for people, no labels, no days of the calendar; they "
                        "are not protected, keep them as you keep records")  # fmt: skip
    parser.add_argument("--invent", type=int, metavar="FINDINGS", help="about so many invented findings instead")
    parser.add_argument("--seed", type=int, default=1, help="of the invented ones")
    parser.add_argument("--svg", type=Path, metavar="FOLDER", help="write every chart there")
    parser.add_argument("--json", action="store_true", help="one JSON object")


def run(options: argparse.Namespace) -> int:
    """Count, protect, print. Of the store nobody is counted who did not agree to it."""
    from endfeel.care.caseload import count
    from endfeel.caseload.charts import charts_of
    from endfeel.caseload.engines import write_parquet
    from endfeel.caseload.json_form import report_json
    from endfeel.caseload.report import fewest_people, names_of
    from endfeel.evidence.load import load_library

    library = load_library()
    fewest = fewest_people(library, options.fewest)
    rows, on_record = _rows(options)
    if options.out and not isinstance(rows, Path):
        write_parquet(rows, options.out)
    told = count(library, rows, options.engine, fewest)
    if options.svg and not told.too_few:
        options.svg.mkdir(parents=True, exist_ok=True)
        for name, drawn in charts_of(told):
            (options.svg / f"{name}.svg").write_text(drawn, encoding="utf-8")
    if options.json:
        print_json(
            {**report_json(told), "on_record": on_record, "release": library.release, "cautions": list(CAUTIONS)}
        )
        return 0
    if on_record is not None:
        say(f"{told.people} of {on_record} people on record agreed to shared counts; nobody else is counted.")
    _print(told, names_of(library))
    footer(library.release)
    return 0


def _rows(options: argparse.Namespace):  # type: ignore[no-untyped-def]
    """The rows to count, and how many people are on record where they come from a store."""
    if options.folder and options.invent is not None:
        raise CannotRead([Fault("either a folder or invented findings", "", "--from or --invent")])
    if options.folder:
        return options.folder, None
    if options.invent is not None:
        return _invented(options), None
    from endfeel.care import open_desk
    from endfeel.care.caseload import caseload_rows

    desk = open_desk(options.store, keeper=AtTerminal())
    try:
        return caseload_rows(desk, _left if sys.stderr.isatty() else None)
    finally:
        desk.engine.dispose()
        if sys.stderr.isatty():
            print("\r\x1b[K", end="", file=sys.stderr, flush=True)


def _left(episodes: int) -> None:
    print(f"\r\x1b[K {episodes} episodes to work out, each once", end="", file=sys.stderr, flush=True)


def _invented(options: argparse.Namespace):  # type: ignore[no-untyped-def]
    from endfeel.care.caseload import invented

    if options.invent < 1 or options.seed < 0:
        raise CannotRead([Fault("at least one finding, a seed of 0 or more", str(options.invent), "10000")])
    return invented(options.invent, options.seed)


def _print(told: Report, names: Mapping[str, str]) -> None:
    print(style(f"{told.episodes} episodes of {told.people} people", "head"))
    if told.too_few:
        say(f"Fewer than {told.fewest} people: nothing is told.", kind="warn")
        return
    _print_table("Better beyond error, by measure", told.improvement, names)
    for words, table in told.who:
        _print_table(f"Better on {names.get(told.main, told.main)}, {words}", table, names)
    for measure, waited in told.until_it_matters:
        print(style(f"Until it matters, {names.get(measure, measure)}", "bold"))
        half = f"half after {waited.median_day} days" if waited.median_day is not None else "less than half so far"
        say(f"{waited.lines} followed; {half}.", "  ")
        for step in waited.steps[:: max(1, len(waited.steps) // 6)]:
            say(f"by day {step.day}: {1 - step.still:.0%} ({1 - step.high:.0%} to {1 - step.low:.0%})", "    ")
    print(style("Probable together", "bold"))
    for pair in told.together[:15]:
        both = f"{names.get(pair.first)} with {names.get(pair.second)}"
        say(f"{both}: {pair.both} episodes, {pair.expected:.1f} expected by chance", "  ")
    say(f"{told.pairs_hidden} further pairs are hidden or too rare to tell.", "  ", "dim")
    _print_table("Tests, and whether the choice of treatment changed with them", told.deciding, names)
    _print_table("Weeks before the first visit", told.waiting_before, names)
    _print_table("Days between visits", told.waiting_between, names)
    _print_table("Changes of position a visit", told.turning, names)
    for chart in told.charts:
        print(style(chart.title, "bold"))
        say(f"{len(chart.values)} months, median {chart.reading.median:.3g} {chart.unit}; "
            f"{chart.left_out} left out for too few people", "  ")  # fmt: skip
        if not chart.reading.enough:
            say("too few points to read it by the rules", "  ", "dim")
        for signal in chart.reading.signals:
            say(signal.says, "  - ")
    say("“hidden” stands for a count that could tell of one person, or would give such a count away.", kind="dim")


def _print_table(title: str, table: Table, names: Mapping[str, str]) -> None:
    print(style(title, "bold"))
    wide = max([len(names.get(name, name)) for name in table.rows] + [6])
    print("  " + " " * wide + "".join(f"{word:>20}" for word in (*table.columns, "all")))
    rows = [*table.inner, *([("all", table.totals)] if table.totals else [])]
    for name, cells in rows:
        print(
            f"  {names.get(name, name):<{wide}}" + "".join(f"{'hidden' if one is None else one:>20}" for one in cells)
        )
