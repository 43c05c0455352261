"""`endfeel change`: within error, changed, or changed and matters."""

from __future__ import annotations

import argparse
from typing import Any

from endfeel.cli.terminal import footer, print_json, style
from endfeel.evidence.figures import number
from endfeel.measurement import Change, ChangeVerdict, ErrorFigure, compare
from endfeel.vocabulary import CAUTIONS, CannotRead, Fault, Unit, level_reached

WORDS = {
    ChangeVerdict.WITHIN_ERROR: ("within measurement error", "warn"),
    ChangeVerdict.CHANGED: ("changed beyond measurement error", "good"),
    ChangeVerdict.CHANGED_AND_MATTERS: ("changed, and by an amount that matters", "good"),
    ChangeVerdict.UNKNOWN: ("cannot be judged", "warn"),
}
FIGURE_NAMES = {
    "SEM": "standard error of measurement",
    "MDC95": "smallest detectable change at 95 %",
    "MCID": "change that matters to people",
    "custom": "taken for error by custom",
}


def configure(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("measure", help="a measure (spadi), a procedure (gh_er_0), pain, mobility or strength")
    parser.add_argument("before", type=measured, help="a number, or the place a hand reached (T7)")
    parser.add_argument("after", type=measured)
    parser.add_argument("--instrument", help="words of the instrument used both times, such as goniometer")
    parser.add_argument("--rater", choices=["intra", "inter"], default="intra", help="same examiner, or two")
    parser.add_argument("--population", help="words that must stand in the population of the figure used")
    parser.add_argument("--json", action="store_true", help="one JSON object")


def measured(word: str) -> float:
    """A number as written, or the step of the place a hand reached. Raises ValueError."""
    from endfeel.vocabulary.ranges import Reached
    from endfeel.vocabulary.shorthand.details import REACH_WORDS

    step = REACH_WORDS.get(word.lower())
    return float(word.replace(",", ".")) if step is None else Reached(step)


def _refuse_mixture(change: Change) -> None:
    """A place where a number is wanted, or a number where a place is."""
    from endfeel.vocabulary.ranges import Reached

    wanted = change.unit == Unit.LEVEL
    for name, value in (("before", change.before), ("after", change.after)):
        if isinstance(value, Reached) != wanted:
            read = level_reached(value) if isinstance(value, Reached) else f"{value:g}"
            would = "a place the hand reaches, such as T7 or buttock" if wanted else f"a number of {change.unit}"
            raise CannotRead([Fault(f"{change.name} is not compared so", read, would, field=name)])


def run(options: argparse.Namespace) -> int:
    """Compare and print the verdict with the figures it rests on."""
    from endfeel.evidence.load import load_library

    library = load_library()
    change = compare(
        options.measure.lower(),
        options.before,
        options.after,
        library,
        instrument=options.instrument,
        rater=options.rater,
        population=options.population,
    )
    _refuse_mixture(change)
    if options.json:
        print_json({**change_dict(change), "release": library.release, "cautions": list(CAUTIONS)})
    else:
        _print(change)
        footer(library.release)
    return 0


def change_dict(change: Change) -> dict[str, Any]:
    """The change as plain JSON values, every figure with its source and label."""
    return {
        "measure": change.measure,
        "name": change.name,
        "unit": change.unit,
        "before": change.before,
        "after": change.after,
        "difference": change.difference,
        "verdict": change.verdict.value,
        "direction": change.direction.value,
        "figures": [_figure_dict(figure) for figure in change.figures],
        "row": change.row,
        "why": change.why,
        "caveats": list(change.caveats),
    }


def _figure_dict(figure: ErrorFigure) -> dict[str, Any]:
    return {
        "kind": figure.kind,
        "value": number(figure.value),
        "unit": figure.unit,
        "printed": figure.printed,
        "population": figure.population,
        "source": figure.source.citation,
        "address": figure.source.address,
        "provenance": figure.value.provenance.label,
        "figures": list(figure.value.figures),
    }


def _print(change: Change) -> None:
    words, kind = WORDS[change.verdict]
    print(style(change.name, "head"))
    if change.unit == Unit.LEVEL:
        places = f"{level_reached(change.before)} to {level_reached(change.after)}"
        print(f"{places}: {change.difference:+g} levels ({change.direction})")
    else:
        print(f"{change.before:g} to {change.after:g} {change.unit}: {change.difference:+g} ({change.direction})")
    print(style(words, kind))
    for figure in change.figures:
        label = figure.value.provenance.label
        print(f"  {FIGURE_NAMES[figure.kind]}: {number(figure.value):.3g} {figure.unit}  [{label}]")
        print(style(f"    {figure.printed}; {figure.population}; {figure.source.citation}", "dim"))
    if change.why:
        print(style(f"  Row: {change.why}", "dim"))
    for caveat in change.caveats:
        print(f"  Note: {caveat}")
