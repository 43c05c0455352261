"""`endfeel change`: within error, changed, or changed and matters."""

from __future__ import annotations

import argparse
from typing import Any

from endfeel.cli.terminal import footer, print_json, style
from endfeel.evidence.figures import number
from endfeel.measurement import Change, ChangeVerdict, ErrorFigure, compare
from endfeel.vocabulary import CAUTIONS

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
    parser.add_argument("before", type=float)
    parser.add_argument("after", type=float)
    parser.add_argument("--instrument", help="words of the instrument used both times, such as goniometer")
    parser.add_argument("--rater", choices=["intra", "inter"], default="intra", help="same examiner, or two")
    parser.add_argument("--population", help="words that must stand in the population of the figure used")
    parser.add_argument("--json", action="store_true", help="one JSON object")


def run(options: argparse.Namespace) -> int:
    """Compare and print the verdict with the figures it rests on."""
    from endfeel.evidence.load import load_library

    library = load_library()
    change = compare(
        options.measure,
        options.before,
        options.after,
        library,
        instrument=options.instrument,
        rater=options.rater,
        population=options.population,
    )
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
