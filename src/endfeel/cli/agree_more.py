"""`endfeel agree`, beside the file of ratings: examiners simulated, people needed, the picture of differences."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from endfeel.cli.terminal import footer, say, style
from endfeel.vocabulary import CannotRead, Fault

if TYPE_CHECKING:
    from endfeel.measurement.agreement import Agreement

KINDS = {"kappa": "KAPPA PREVALENCE HALF_WIDTH", "icc": "ICC EXAMINERS HALF_WIDTH", "limits": "HALF_WIDTH_IN_SD"}


def configure_more(parser: argparse.ArgumentParser) -> None:
    """Options that need no ratings of one's own, and the picture."""
    parser.add_argument("--svg", type=Path, metavar="FILE", help="limits of agreement as a picture, of the first pair")
    parser.add_argument("--unit", default="", help="the unit of the readings, for the picture")
    size = parser.add_argument_group("how many people are needed")
    size.add_argument(
        "--people-for", nargs="+", metavar="WORD",
        help="; or ".join(f"{kind} {told}" for kind, told in KINDS.items()),
    )  # fmt: skip
    drawn = parser.add_argument_group("simulated examiners on the same simulated people")
    drawn.add_argument("--simulate", metavar="PROCEDURE", help="write their ratings of this test into FILE first")
    drawn.add_argument("--examiners", default="one,two", help="names, comma between (default one,two)")
    drawn.add_argument("--lapses", default="", help="share of reports without looking, one an examiner (default 0)")
    drawn.add_argument("--people", type=int, default=60, help="simulated people (default 60)")
    drawn.add_argument("--seed", type=int, default=1, help="decides who they are (default 1)")


def people_needed(words: list[str], release: str) -> int:
    """`kappa 0.4 0.3 0.15`: print how many people that takes. Raises CannotRead."""
    from endfeel.measurement.sample_size import people_for_icc, people_for_kappa, people_for_limits

    kind, *told = words
    try:
        values = [float(one) for one in told]
        if kind == "kappa":
            people, what = people_for_kappa(*values), f"kappa {values[0]:g} at a prevalence of {values[1]:g}"
            reach = values[2]
        elif kind == "icc":
            people, what = people_for_icc(values[0], int(values[1]), values[2]), f"an ICC of {values[0]:g}"
            reach = values[2]
        elif kind == "limits":
            people, what, reach = people_for_limits(*values), "each limit of agreement", values[0]
        else:
            raise ValueError(f"no such coefficient: {kind}")
    except (ValueError, TypeError, IndexError) as error:
        would = "; or ".join(f"{name} {told}" for name, told in KINDS.items())
        raise CannotRead([Fault(f"cannot be reckoned: {error}", " ".join(words)[:60], would)]) from None
    end = " standard deviations of the differences" if kind == "limits" else ""
    print(f"{people} people, for a 95 % interval of {what} that reaches {reach:g}{end} either way.")
    say("Large-sample formulas: take a few more, and more where anybody may be missing.", kind="dim")
    footer(release)
    return 0


def simulate_file(options: argparse.Namespace) -> None:
    """Write the ratings of simulated examiners into the file. Raises CannotRead, NotFound."""
    from endfeel.evidence.load import load_library
    from endfeel.inference import build_model
    from endfeel.simulate import Hands
    from endfeel.simulate.ratings import simulated_ratings

    names = [one.strip() for one in options.examiners.split(",") if one.strip()]
    try:
        lapses = [float(one) for one in options.lapses.split(",")] if options.lapses else [0.0] * len(names)
    except ValueError:
        lapses = []
    if len(names) < 2 or len(set(names)) < len(names) or len(lapses) != len(names):
        raise CannotRead([Fault("examiners and lapses do not fit", f"{options.examiners}; {options.lapses}",
                                "two names or more, each once, and a share for each")])  # fmt: skip
    if not all(0 <= one <= 1 for one in lapses) or options.people < 3:
        raise CannotRead([Fault("a share lies between 0 and 1, and three people or more are needed", options.lapses)])
    library = load_library()
    hands = {name: Hands(lapse_share=lapse) for name, lapse in zip(names, lapses, strict=True)}
    told = simulated_ratings(library.catalogue[options.simulate], hands, options.people, options.seed, library,
                             build_model(library))  # fmt: skip
    Path(options.file).write_text(told, encoding="utf-8")
    print(f"simulated ratings written: {options.file}", file=sys.stderr)


def write_plot(options: argparse.Namespace, result: Agreement) -> None:
    """The picture of the first pair. Raises CannotRead when there are no readings to draw."""
    from endfeel.pictures.difference_plot import difference_plot

    pair = result.pairs[0] if result.pairs else None
    if pair is None or pair.limits is None:
        raise CannotRead([Fault("only measurements have limits of agreement to draw", would_do="readings, not grades")])
    columns = list(zip(*result.ratings.rows, strict=True))
    at = [result.ratings.raters.index(one) for one in (pair.first, pair.second)]
    first, second = ([float(one) for one in columns[k]] for k in at)
    drawn = difference_plot(first, second, (pair.first, pair.second), pair.limits, options.unit)
    options.svg.write_text(drawn, encoding="utf-8")
    print(f"picture written: {options.svg}", file=sys.stderr)


def print_together(result: Agreement) -> None:
    """Every coefficient for all examiners at once, both intervals beside it."""
    if not result.together:
        return
    subjects = len(result.ratings.gappy)
    print(style(f"All examiners together, {subjects} subjects with two ratings or more", "bold"))
    wide = max(len(one.name) for one in result.together)
    for one in result.together:
        value = one.drawn.value if one.analytic.value != one.analytic.value else one.analytic.value
        print(f"  {one.name:{wide}} {shown(value)}  formula {_ends(one.analytic)}  drawn again {_ends(one.drawn)}")


def shown(value: float) -> str:
    return "not defined" if value != value else f"{value:.2f}"


def _ends(one: object) -> str:
    low, high = getattr(one, "low", float("nan")), getattr(one, "high", float("nan"))
    return "-" if low != low else f"{low:.2f} to {high:.2f}"
