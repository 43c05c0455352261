# ruff: noqa: N999 - the module has the name of its command
"""`endfeel class`: make a class, assign simulated patients, read who did what and how right it was, export."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from endfeel.cli.terminal import footer, print_json, say, style
from endfeel.vocabulary import Refused

if TYPE_CHECKING:
    from endfeel import care


def configure(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("join_code", nargs="?", metavar="CODE", help="the class, by the code it is joined by")
    parser.add_argument("--new", metavar="NAME", help="make a class of this name")
    parser.add_argument("--teacher", default="", help="who teaches it; learners see it")
    parser.add_argument("--assign", metavar="CASE", nargs="+", default=[], help="assign cases by their codes")
    parser.add_argument("--draw", type=int, default=0, metavar="N", help="assign so many new cases")
    parser.add_argument("--difficulty", default="", help="of those: clear, usual (default) or hard")
    parser.add_argument("--irritability", default="", help="of those: low, moderate or high (default: as it comes)")
    parser.add_argument("--danger", default="", help="of those: maybe (default), never or always")
    parser.add_argument("--minutes", type=float, default=20.0, help="minutes for each assigned case (default 20)")
    parser.add_argument("--case", metavar="CASE", help="one case: everybody's path beside the cheapest good one")
    parser.add_argument("--out", metavar="FILE", help="write results: .json has all, .csv one table")
    parser.add_argument("--table", default="results", help="for .csv: steps, results (default) or percentages")
    parser.add_argument("--remove", action="store_true", help="remove the class with all its learners did")
    parser.add_argument("--store", help="database address or SQLite file (default: your own store)")
    parser.add_argument("--json", action="store_true", help="everything as one JSON object")


def run(options: argparse.Namespace) -> int:
    """Make or find the class, do what was asked, show how it stands."""
    from endfeel import care

    desk = care.open_desk(options.store)
    if options.new is None and options.join_code is None:
        return _list(desk, as_json=options.json)
    if options.new is not None and options.join_code is not None:
        raise Refused("either a new class or one there is: leave out the code or --new")
    if options.new is not None:
        class_id = care.make_class(desk, options.new, options.teacher)
    else:
        class_id = care.class_by_code(desk, options.join_code)
    if options.remove:
        if options.new is not None:
            raise Refused("a class that is made now is not removed")
        care.remove_class(desk, class_id)
        say("Removed, with its learners and all they did in it.")
        return 0
    codes = list(options.assign)
    if options.draw:
        codes += care.draw_codes(desk, options.draw, options.difficulty, options.irritability, options.danger)
    if codes:
        care.assign_cases(desk, class_id, codes, options.minutes)
    if options.out:
        return _write(desk, class_id, Path(options.out), options.table)
    if options.json:
        print(care.class_json(desk, class_id).decode(), end="")
    elif options.case:
        _print_case(care.view_class_case(desk, class_id, options.case.upper()))
        footer(desk.library.release)
    else:
        _print_class(care.view_class(desk, class_id))
        footer(desk.library.release)
    return 0


def _list(desk: care.Desk, *, as_json: bool) -> int:
    from endfeel import care

    classes = care.list_classes(desk)
    if as_json:
        print_json([{"name": one.name, "join_code": one.join_code, "cases": len(one.cases),
                     "learners": len(one.members)} for one in classes])  # fmt: skip
        return 0
    for one in classes:
        say(f"{one.name}: {len(one.cases)} cases, {len(one.members)} learners", f"{one.join_code}  ")
    if not classes:
        say("No class yet: endfeel class --new NAME --draw 3")
    return 0


def _write(desk: care.Desk, class_id: str, path: Path, table: str) -> int:
    from endfeel import care

    kinds = {".json": lambda: care.class_json(desk, class_id), ".csv": lambda: care.class_csv(desk, class_id, table)}
    if path.suffix not in kinds:
        raise Refused(f"a file ends in .json or .csv, not {path.suffix or 'in nothing'}")
    path.write_bytes(kinds[path.suffix]())
    say(f"Written: {path}")
    return 0


def _print_class(view: care.ClassView) -> None:
    print(style(f"{view.record.name}; join by {view.record.join_code}", "head"))
    for case in view.record.cases:
        wish = view.wishes[case.code]
        say(f"{case.minutes:g} min, {wish.difficulty}, danger {wish.danger}", f"  {case.code}  ")
        for who in view.record.members:
            one = view.sittings[who.id, case.code]
            told = "not begun"
            if one is not None:
                told = f"{one.steps} steps, {'closed' if one.closed else 'open'}"
                if one.outcome:
                    told += f", {one.outcome.minutes:.0f} min, {one.outcome.turns} turns, "
                    told += f"{len(one.outcome.missed)} safety items missed"
            say(told, f"    {who.name}: ")
    if view.results is None:
        say("Nobody has closed a case yet.", kind="dim")
        return
    print(style("Right as often as they say?", "head"))
    for band in view.results.together.bands:
        say(band.words.replace("you said", "they said"), "  ")
    for true in view.results.truth:
        say(f"of {true.hidden} hidden {true.stood_for} stood for, {true.false} stood for and not there",
            f"  {true.learner}: ")  # fmt: skip
    print(style("Agreement among them", "head"))
    for about in view.results.comparisons:
        say(f"{about.about}: {about.caution}" if about.caution else about.about, "  ")
        for said in about.statistics:
            value = said.analytic.value if said.analytic.value == said.analytic.value else said.drawn.value
            say(f"{said.name} {value:.2f}", "    ")


def _print_case(view: care.ClassCaseView) -> None:
    best = "Shortest way to the danger" if view.safety else "Cheapest good path"
    for name, steps in ((best, view.good_steps), *((one.learner, one.steps) for one in view.paths)):
        minutes = (steps[-1].at_seconds + steps[-1].lasts_seconds) / 60 if steps else 0.0
        print(style(f"{name}: {minutes:.1f} min, {sum(one.turned for one in steps)} turns", "head"))
        for one in steps:
            turned = f" (turned to {one.position.replace('_', ' ')})" if one.turned else ""
            say(f"{one.words}{turned}{', refused' if one.refused else ''}", f"  {one.at_seconds / 60:5.1f}  ")
    print(style("What was there", "head"))
    for name, _ in view.there:
        said = [f"{path.learner} {told.said:.0%}" for path in view.paths if path.summary.outcome
                for told in path.summary.outcome.forecasts if told.name == name]  # fmt: skip
        say(f"{name}: {', '.join(said) or 'named by nobody'}", "  ")
    for question, who in view.asked:
        missed = [path.learner for path in view.paths if path.learner not in who]
        if missed:
            say(f"{question} Missed by {', '.join(missed)}.", "  ", "warn")
