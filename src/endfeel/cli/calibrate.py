"""`endfeel calibrate`: simulated people examined in several ways; whether probabilities are as right as they say."""

from __future__ import annotations

import argparse
import os
import time
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from endfeel.cli.processes import check_jobs, configure_jobs, run_jobs
from endfeel.cli.terminal import footer, print_json, say, style

if TYPE_CHECKING:
    from endfeel.simulate.calibration import Key, Scores

BLOCK = 50
FEWER = 5
"""Conditions beside the first are played on so many times fewer people, at one length."""
ONE_LENGTH = 20.0


def configure(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--people", type=int, default=500, metavar="N", help="simulated people (default 500)")
    parser.add_argument("--seed", type=int, default=1, help="decides who they are (default 1)")
    configure_jobs(parser)
    parser.add_argument(
        "--write", type=Path, metavar="FILE", help="put tables and pictures into this page and beside it"
    )
    parser.add_argument("--json", action="store_true", help="one JSON object")


def run(options: argparse.Namespace) -> int:
    """Play the examinations and print the scores. The same people and seed give the same, however many processes."""
    check_jobs(options, 500)
    from endfeel.evidence.load import load_library
    from endfeel.simulate import add_blocks

    began = time.perf_counter()
    jobs = list(_jobs(options.people, options.seed))
    found = add_blocks(run_jobs(play_block, jobs, options.workers, options.scheduler))
    seconds, release = time.perf_counter() - began, load_library().release
    if options.json:
        print_json({"release": release, "people": options.people, "seed": options.seed, "scores": as_data(found)})
    else:
        print_scores(found)
        print()
        say(f"{options.people} people in {seconds:.0f} s. Truth is drawn from the program's own links: it checks the "
            "reasoning, not medicine.", kind="dim")  # fmt: skip
        footer(release)
    if options.write:
        from endfeel.cli.calibration_page import write_page

        write_page(options.write, found, options.people, options.seed, release)
    return 0


def _jobs(people: int, seed: int) -> list[tuple[int, int, str, tuple[float, ...]]]:
    from endfeel.simulate import CONDITIONS, LENGTHS

    jobs: list[tuple[int, int, str, tuple[float, ...]]] = []
    for number, condition in enumerate(CONDITIONS):
        wanted = people if number == 0 else max(1, people // FEWER)
        lengths = LENGTHS if number == 0 else (ONE_LENGTH,)
        jobs.extend(
            (1000 * seed + start // BLOCK, min(BLOCK, wanted - start), condition, lengths)
            for start in range(0, wanted, BLOCK)
        )
    return jobs


def play_block(seed: int, people: int, condition: str, lengths: tuple[float, ...]) -> dict[Key, Scores]:
    """One block, wherever it is computed."""
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    from endfeel.evidence.load import load_library
    from endfeel.inference import build_model
    from endfeel.simulate import run_block

    library = load_library()
    return run_block(library, build_model(library), seed, people, condition, lengths)


def rows(found: Mapping[Key, Scores]) -> list[tuple[str, ...]]:
    """Condition, minutes, way, then the scores in words, in a fixed order."""
    from endfeel.simulate import ARMS, CONDITIONS, UNEXAMINED

    conditions, ways = list(CONDITIONS), (UNEXAMINED, *ARMS)
    order = sorted(found, key=lambda key: (conditions.index(key[0]), key[1], ways.index(key[2])))
    return [(key[0], f"{key[1]:g}", key[2], *_cells(found[key])) for key in order]


COLUMNS = (
    "condition", "minutes", "way", "calibration error", "Brier", "first is there", "one of three there",
    "of three there", "of the first: said", "so", "minutes used", "turns", "tests",
)  # fmt: skip


def _cells(scores: Scores) -> tuple[str, ...]:
    return (
        f"{scores.everything.calibration_error:.3f}",
        f"{scores.everything.brier:.4f}",
        f"{scores.share(scores.first_right):.0%}",
        f"{scores.share(scores.one_of_three):.0%}",
        f"{scores.share(scores.right_of_three) / 3:.0%}",
        f"{scores.leading.mean_said:.0%}",
        f"{scores.leading.share_so:.0%}",
        f"{scores.each(scores.minutes):.1f}",
        f"{scores.each(scores.turns):.1f}",
        f"{scores.each(scores.tests):.1f}",
    )


def print_scores(found: Mapping[Key, Scores]) -> None:
    """One line a way and length."""
    table = [COLUMNS, *rows(found)]
    wide = [max(len(row[k]) for row in table) for k in range(len(COLUMNS))]
    for number, row in enumerate(table):
        line = "  ".join(cell.ljust(wide[k]) if k in (0, 2) else cell.rjust(wide[k]) for k, cell in enumerate(row))
        print(style(line, "head") if number == 0 else line)
    for sentence in conclusions(found):
        say(sentence)


def conclusions(found: Mapping[Key, Scores]) -> list[str]:
    """What the table says about the aims, in sentences."""
    from endfeel.simulate import LENGTHS, UNEXAMINED

    first = "as assumed"
    start = found[first, 0.0, UNEXAMINED]
    at_20 = found[first, ONE_LENGTH, "planned"]
    errors = [found[first, minutes, "planned"].everything.calibration_error for minutes in LENGTHS]
    flat = found[first, ONE_LENGTH, "nuisances ignored"].everything.calibration_error
    calibrated = _met(max(errors) <= 0.03)
    share, without = at_20.share(at_20.one_of_three), start.share(start.one_of_three)
    said = [
        f"People have {start.each(start.hidden):.1f} hidden contributors on average.",
        f"Calibration error of the planned examination: at most {max(errors):.3f} (aim 0.03: {calibrated}). "
        f"It is {start.everything.calibration_error:.3f} with nothing examined: most forecasts are low, so alone it "
        "says little.",
        f"Forecasts of the one ranked first, planned, 20 minutes: said {at_20.leading.mean_said:.0%}, so "
        f"{at_20.leading.share_so:.0%}; their own calibration error is {at_20.leading.calibration_error:.3f}.",
        f"Nuisances ignored, 20 minutes: calibration error {flat:.3f} instead of "
        f"{at_20.everything.calibration_error:.3f} on the same findings.",
        f"At 20 minutes one of the first three is there in {share:.0%} of people (aim 90 %: {_met(share >= 0.9)}); "
        f"with nothing examined in {without:.0%}.",
        *_times_saved(found, first, "textbook order", " (aim a third less: {})"),
        *_times_saved(found, first, "random order", ""),
    ]
    for condition in ("links drawn from the evidence", "examiner worse than assumed"):
        scores = found.get((condition, ONE_LENGTH, "planned"))
        if scores:
            said.append(
                f"{condition.capitalize()}, 20 minutes: calibration error {scores.everything.calibration_error:.3f}; "
                f"of the one ranked first {scores.leading.mean_said:.0%} is said and {scores.leading.share_so:.0%} so."
            )
    return said


def _met(reached: bool) -> str:
    return "met" if reached else "NOT met"


def _times_saved(found: Mapping[Key, Scores], condition: str, way: str, aim: str) -> list[str]:
    """What another order reaches by its minutes, and when the plan is as far: by how many of three are there."""
    from endfeel.simulate import LENGTHS, UNEXAMINED, minutes_for

    curve = [
        (one.each(one.minutes), one.share(one.right_of_three))
        for one in (found[condition, 0.0, UNEXAMINED], *(found[condition, m, "planned"] for m in LENGTHS))
    ]
    said = []
    for minutes in LENGTHS:
        other = found[condition, minutes, way]
        used = other.each(other.minutes)
        needed = minutes_for(curve, other.share(other.right_of_three))
        reached = f"in {needed:.1f}" + aim.format(_met(needed <= used * 2 / 3)) if needed is not None else "never"
        said.append(f"What the {way} reaches in {used:.0f} minutes, the plan reaches {reached}.")
    return said


def as_data(found: Mapping[Key, Scores]) -> list[dict[str, Any]]:
    """Every score as numbers."""
    return [
        {
            "condition": key[0], "minutes": key[1], "way": key[2], "people": s.people, "affected": s.affected,
            "calibration_error": s.everything.calibration_error, "brier": s.everything.brier,
            "leading_calibration_error": s.leading.calibration_error, "leading_said": s.leading.mean_said,
            "leading_so": s.leading.share_so, "hidden": s.each(s.hidden),
            "first_right": s.share(s.first_right), "one_of_three": s.share(s.one_of_three),
            "of_three": s.share(s.right_of_three) / 3,
            "minutes_used": s.each(s.minutes), "turns": s.each(s.turns),
            "tests": s.each(s.tests), "curve": [list(point) for point in s.everything.curve],
        }
        for key, s in found.items()
    ]  # fmt: skip
