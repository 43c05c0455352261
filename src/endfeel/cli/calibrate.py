"""`endfeel calibrate`: simulated people examined in several ways; whether probabilities are as right as they say."""

from __future__ import annotations

import argparse
import os
import time
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from endfeel.cli.processes import run_jobs
from endfeel.cli.terminal import footer, print_json, say, style
from endfeel.vocabulary import CannotRead, Fault

if TYPE_CHECKING:
    from endfeel.simulate.calibration import Key, Scores

BLOCK = 50
FEWER = 5
"""Conditions beside the first are played on so many times fewer people, at one length."""
ARMS = ("planned", "nuisances ignored", "independent ratios", "textbook order", "random order")
ONE_LENGTH = 20.0


def configure(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--people", type=int, default=500, metavar="N", help="simulated people (default 500)")
    parser.add_argument("--seed", type=int, default=1, help="decides who they are (default 1)")
    parser.add_argument(
        "--workers", type=int, default=os.cpu_count() or 1, metavar="N", help="processes on this machine"
    )
    parser.add_argument("--scheduler", default=os.environ.get("ENDFEEL_SCHEDULER", ""), metavar="ADDRESS",
                        help="a dask.distributed scheduler to use instead (or ENDFEEL_SCHEDULER)")  # fmt: skip
    parser.add_argument(
        "--write", type=Path, metavar="FILE", help="put tables and pictures into this page and beside it"
    )
    parser.add_argument("--json", action="store_true", help="one JSON object")


def run(options: argparse.Namespace) -> int:
    """Play the examinations and print the scores. The same people and seed give the same, however many processes."""
    faults = [
        Fault(f"--{name} must be at least 1", str(value), "for instance 500" if name == "people" else "1")
        for name, value in (("people", options.people), ("workers", options.workers))
        if value < 1
    ]
    if faults:
        raise CannotRead(faults)
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
    order = sorted(found, key=lambda key: (_place(key[0]), key[1], ARMS.index(key[2])))
    return [(key[0], f"{key[1]:g}", key[2], *_cells(found[key])) for key in order]


COLUMNS = (
    "condition", "minutes", "way", "calibration error", "Brier", "first is there", "one of three there",
    "of three there", "minutes used", "turns", "tests",
)  # fmt: skip


def _cells(scores: Scores) -> tuple[str, ...]:
    people = max(1, scores.people)
    return (
        f"{scores.everything.calibration_error:.3f}",
        f"{scores.everything.brier:.4f}",
        f"{scores.share(scores.first_right):.0%}",
        f"{scores.share(scores.one_of_three):.0%}",
        f"{scores.share(scores.right_of_three) / 3:.0%}",
        f"{scores.minutes / people:.1f}",
        f"{scores.turns / people:.1f}",
        f"{scores.tests / people:.1f}",
    )


def _place(condition: str) -> int:
    from endfeel.simulate import CONDITIONS

    return list(CONDITIONS).index(condition)


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
    from endfeel.simulate import LENGTHS, minutes_for

    first = "as assumed"
    said = []
    errors = [found[first, minutes, "planned"].everything.calibration_error for minutes in LENGTHS]
    verdict = "met" if max(errors) <= 0.03 else "NOT met"
    said.append(f"Calibration error of the planned examination: at most {max(errors):.3f} (aim 0.03: {verdict}).")
    flat = found[first, ONE_LENGTH, "nuisances ignored"].everything.calibration_error
    said.append(
        f"Nuisances ignored, 20 minutes: calibration error {flat:.3f} instead of "
        f"{found[first, ONE_LENGTH, 'planned'].everything.calibration_error:.3f} on the same findings."
    )
    at_20 = found[first, ONE_LENGTH, "planned"]
    share = at_20.share(at_20.one_of_three)
    verdict = "met" if share >= 0.9 else "NOT met"
    said.append(f"At 20 minutes one of the first three is there in {share:.0%} of people (aim 90 %: {verdict}).")
    curve = [
        (s.minutes / max(1, s.people), s.share(s.right_of_three))
        for s in (found[first, minutes, "planned"] for minutes in LENGTHS)
    ]
    for minutes in LENGTHS:
        book = found[first, minutes, "textbook order"]
        used = book.minutes / max(1, book.people)
        needed = minutes_for(curve, book.share(book.right_of_three))
        if needed is None:
            said.append(f"What the textbook order reaches in {used:.0f} minutes, the plan does not reach.")
        else:
            verdict = "met" if needed <= used * 2 / 3 else "NOT met"
            said.append(
                f"What the textbook order reaches in {used:.0f} minutes, the plan reaches in {needed:.0f} "
                f"(aim a third less: {verdict})."
            )
    for condition in ("links drawn from the evidence", "examiner worse than assumed"):
        scores = found.get((condition, ONE_LENGTH, "planned"))
        if scores:
            said.append(
                f"{condition.capitalize()}, 20 minutes: calibration error {scores.everything.calibration_error:.3f}, "
                f"first is there in {scores.share(scores.first_right):.0%}."
            )
    return said


def as_data(found: Mapping[Key, Scores]) -> list[dict[str, Any]]:
    """Every score as numbers."""
    return [
        {
            "condition": key[0], "minutes": key[1], "way": key[2], "people": s.people, "affected": s.affected,
            "calibration_error": s.everything.calibration_error, "brier": s.everything.brier,
            "leading_calibration_error": s.leading.calibration_error, "first_right": s.share(s.first_right),
            "one_of_three": s.share(s.one_of_three), "of_three": s.share(s.right_of_three) / 3,
            "minutes_used": s.minutes / max(1, s.people), "turns": s.turns / max(1, s.people),
            "tests": s.tests / max(1, s.people), "curve": [list(point) for point in s.everything.curve],
        }
        for key, s in found.items()
    ]  # fmt: skip
