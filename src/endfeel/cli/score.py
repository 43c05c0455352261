"""`endfeel score`: the arithmetic of an outcome measure."""

from __future__ import annotations

import argparse
from dataclasses import asdict
from typing import Any

from endfeel.cli.terminal import footer, print_json, style
from endfeel.measurement import Score, score
from endfeel.vocabulary import CAUTIONS, CannotRead, Fault


def configure(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("measure", help="id of the measure, such as spadi (`endfeel vocabulary` lists them)")
    parser.add_argument(
        "answers", nargs="+",
        help="the answers in item order, - for one left blank (SPADI has 13); "
        "a total alone only for a measure whose form is not shipped",
    )  # fmt: skip
    parser.add_argument("--json", action="store_true", help="one JSON object")


def run(options: argparse.Namespace) -> int:
    """Read the answers, print the score with its parts, or refuse."""
    from endfeel.evidence.load import load_library

    library = load_library()
    result = score(options.measure.lower(), read_answers(options.answers), library)
    if options.json:
        print_json({**score_dict(result), "release": library.release, "cautions": list(CAUTIONS)})
    else:
        _print(result)
        footer(library.release)
    return 0


def read_answers(words: list[str]) -> list[float | None]:
    """Numbers, or None for `-`. Raises CannotRead with every word that is neither."""
    answers: list[float | None] = []
    faults = []
    for place, word in enumerate(words, 1):
        try:
            answers.append(None if word in ("-", "–", "_") else float(word.replace(",", ".")))
        except ValueError:
            faults.append(Fault(f"answer {place} is not a number", word, "a number, - for a blank", column=place))
    if faults:
        raise CannotRead(faults)
    return answers


def score_dict(result: Score) -> dict[str, Any]:
    """The score as plain JSON values."""
    return {**asdict(result), "provenance": result.provenance.label}


def _print(result: Score) -> None:
    print(style(result.name, "head"))
    print(f"Total {result.total:.1f} of {result.low:g} to {result.high:g}, {result.direction}")
    for part in result.parts if len(result.parts) > 1 else ():
        share = f"{part.score:.1f} of {part.maximum:g} ({part.percent:.0f} %)"
        print(f"  {part.name}: {share}, {part.answered} of {part.items} answered")
    print(style(f"Arithmetic: {result.formula} [{result.provenance.label}; {result.source or 'no source'}]", "dim"))
    for caveat in result.caveats:
        print(style(f"Note: {caveat}", "warn"))
