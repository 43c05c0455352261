"""`endfeel plan CASE --minutes N`: what to examine, in which position and order."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING, Any

from endfeel.cli.own_hands import add_hands, model_for, print_own
from endfeel.cli.terminal import bar, footer, print_json, say, style
from endfeel.vocabulary import CAUTIONS, CannotRead, Fault

if TYPE_CHECKING:
    from endfeel.assessment import Assessment
    from endfeel.planner import Plan, Road
    from endfeel.vocabulary import Case

_MOST_LEFT_OUT = 6


def configure(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("case", metavar="CASE", help="a case file (.txt or .toml), or - for standard input")
    parser.add_argument("--minutes", type=float, default=20.0, help="examination time there is (default 20)")
    parser.add_argument("--position", default="sitting",
                        choices=["standing", "sitting", "side_lying", "supine", "prone"],
                        help="position the person is in now (default sitting)")  # fmt: skip
    parser.add_argument("--pin", action="append", default=[], metavar="PROCEDURE", help="a procedure you insist on")
    parser.add_argument("--forbid", action="append", default=[], metavar="PROCEDURE", help="a procedure you refuse")
    parser.add_argument("--first", action="append", default=[], metavar="PROCEDURE", help="do this before the rest; "
                        "several keep their order")  # fmt: skip
    parser.add_argument("--afresh", action="store_true", help="from the story alone, as if nothing had been examined")
    add_hands(parser)
    parser.add_argument("--compare", action="store_true", help="beside the order a textbook gives")
    parser.add_argument("--json", action="store_true", help="one JSON object")


def run(options: argparse.Namespace) -> int:
    """Print the plan; with --compare the table against the textbook order."""
    from endfeel.assessment import assess
    from endfeel.cli.case_file import checked_minutes, open_case
    from endfeel.evidence.load import load_library
    from endfeel.planner import compare_with_textbook
    from endfeel.vocabulary import Position

    minutes = checked_minutes(options.minutes)
    library = load_library()
    for wanted in (*options.pin, *options.forbid, *options.first):
        library.catalogue[wanted]
    clash = [one for one in (*options.pin, *options.first) if one in options.forbid]
    if clash:
        why = "asked for (--pin or --first) and refused (--forbid) at once"
        raise CannotRead([Fault(why, one, "one of the two only") for one in dict.fromkeys(clash)])
    case = open_case(options.case, library)
    if options.afresh:
        case = before_hands(case)
    position = Position(options.position)
    named = (("must", options.pin), ("never", options.forbid), ("next", options.first))
    wishes = {procedure: wish for wish, procedures in named for procedure in procedures}
    model, own = model_for(options, case, library)
    assessment = assess(case, library, minutes, model=model, position=position, wishes=wishes, tight_bound=True)
    rows: tuple[tuple[float, Road, Road], ...] = ()
    if options.compare:
        rows = compare_with_textbook(
            case, assessment.posterior, assessment.verdict, library, position=position, decision=assessment.decision
        )
    if options.json:
        print_json(plan_json(assessment, rows) | ({"own_hands": list(own)} if own else {}))
        return 0
    print_plan(assessment)
    print_own(own)
    if rows:
        print_comparison(rows)
    print()
    footer(assessment.release)
    return 0


def before_hands(case: Case) -> Case:
    """The same person and story with nothing examined, treated or tested again."""
    from dataclasses import replace

    return replace(case, findings=(), treatments=(), retests=())


def plan_json(assessment: Assessment, rows: tuple[tuple[float, Road, Road], ...] = ()) -> dict[str, Any]:
    """The plan as plain data, with the table against the textbook order where it was asked for."""
    made, verdict = assessment.plan, assessment.verdict
    return {
        "steps": [
            {
                "procedure": s.procedure, "name": s.name, "side": s.side, "level": s.level, "position": s.position,
                "seconds": s.seconds, "information_bits": round(s.information_bits, 4),
                "irritability_load": s.irritability_load, "reason": s.reason, "refines": s.refines,
            }
            for s in made.steps
        ],
        "position_changes": made.position_changes,
        "positions": list(made.positions),
        "seconds": made.seconds,
        "irritability_load": made.irritability_load,
        "load_budget": made.load_budget,
        "borne_load": made.borne_load,
        "compared": [
            {
                "minutes": available, "road": road.name, "tests": road.procedures, "changes": road.position_changes,
                "used_minutes": round(road.minutes, 2), "information_bits": round(road.information_bits, 4),
                "points": round(road.value, 4),
            }
            for available, planned, textbook in rows
            for road in (planned, textbook)
        ],
        "information_bits": round(made.information_bits, 4),
        "value": round(made.value, 4),
        "bound": round(made.bound, 4),
        "gap": round(made.gap, 4),
        "left_out": [
            {"procedure": x.procedure, "side": x.side, "level": x.level, "reason": x.reason} for x in made.left_out
        ],
        "notes": list(made.notes),
        "on_hold": [{"id": f.id, "name": f.name} for f in verdict.held] if verdict.is_held else [],
        "ask_first": [
            {"cue": cue, "question": words} for cue, words in zip(verdict.ask_now, verdict.ask_words, strict=True)
        ],
        "urgent": [{"id": f.id, "name": f.name, "urgency": f.urgency, "action": f.action}
                   for f in verdict.raised
                   if verdict.is_pressing],
        "release": assessment.release,
        "cautions": list(CAUTIONS),
    }  # fmt: skip


def print_plan(assessment: Assessment) -> None:
    """The plan, position by position, with a running clock."""
    from endfeel.evidence.load import load_library

    catalogue = load_library().catalogue
    made = assessment.plan
    print(style(f"\nPLAN for {assessment.minutes:g} minutes", "head"))
    for note in made.notes:
        say(catalogue.with_names(note), "  ", "danger" if assessment.verdict.stops_plan else "warn")
    if assessment.verdict.is_held:
        for cue, question in zip(assessment.verdict.ask_now, assessment.verdict.ask_words, strict=True):
            say(f"{question} ({cue})", "  ask first: ")
    if not made.steps:
        if not assessment.verdict.stops_plan:
            print("  Nothing left that is worth its time.")
        return
    _print_steps(made)
    used = made.irritability_load / made.load_budget if made.load_budget else 0.0
    bears = sum(not step.refines for step in made.steps)
    serves = "" if made.settled else f"{bears} of them bear on what is to be done, or are called for; "
    say(f"{len(made.steps)} steps, {made.position_changes} change(s) of position, {made.seconds / 60:.1f} "
        f"min; {serves}expected to teach {made.information_bits:.2f} bits; no plan could serve the choice of treatment "
        f"better by more than {made.gap:.0%} (proven bound).", "  ")  # fmt: skip
    borne = f", {round(made.borne_load, 1):g} borne already" if made.borne_load else ""
    say(f"Provocation {bar(used)} takes {round(made.irritability_load, 1):g} of the {round(made.load_budget, 1):g} "
        f"still allowed{borne} (custom of the trade, no source).", "  ")  # fmt: skip
    reasons: dict[str, list[str]] = {}
    for left in made.left_out:
        name = catalogue[left.procedure].name + (f", {left.level}" if left.level else "")
        reasons.setdefault(left.reason, []).append(name)
    for reason, names in reasons.items():
        more = f"; and {len(names) - _MOST_LEFT_OUT} more" if len(names) > _MOST_LEFT_OUT else ""
        said = f"left out, {catalogue.with_names(reason)}: {'; '.join(names[:_MOST_LEFT_OUT])}{more}"
        say(said, "  ", "dim")


def _print_steps(made: Plan) -> None:
    clock, here = 0.0, None
    for step in made.steps:
        if step.position is not here:
            here = step.position
            print(style(f"  {here.value.replace('_', '-')}", "bold"))
        clock += step.turn_seconds
        minute, second = divmod(int(clock), 60)
        where = " ".join(str(part) for part in (step.side, step.level) if part)
        name = " ".join(part for part in (step.name, where) if part)
        mark = "only refines: " if step.refines and not made.settled else ""
        text = f"{name}  [{step.procedure}, {step.seconds:.0f} s] {mark}{step.reason}"
        say(text, f"    {minute:2d}:{second:02d}  ", strong=where)
        clock += step.seconds


def print_comparison(rows: tuple[tuple[float, Road, Road], ...]) -> None:
    """Planned against textbook order."""
    print(style("\nBeside the order a textbook gives (common practice, no source)", "head"))
    print("  minutes  road            tests  changes  used min  points  points/min   bits")
    for available, *roads in rows:
        for road in roads:
            rate = road.value / road.minutes if road.minutes else 0.0
            print(f"  {available:7g}  {road.name:14s} {road.procedures:6d} {road.position_changes:8d} "
                  f"{road.minutes:9.1f} {road.value:7.2f} {rate:11.3f} {road.information_bits:6.2f}")  # fmt: skip
