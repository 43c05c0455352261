"""`endfeel calibrate`: simulated people examined in several ways; whether probabilities are as right as they say."""

from __future__ import annotations

import argparse
import math
import time
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from endfeel.cli.processes import check_jobs, configure_jobs, run_jobs
from endfeel.cli.terminal import footer, print_json, say, style

if TYPE_CHECKING:
    from endfeel.simulate import Scores
    from endfeel.simulate.calibration import Found, Key

BLOCK = 50
FEWER = 5
"""Conditions beside the first are played on so many times fewer people, at one length."""
DRAWS = 400
"""Bootstrap samples behind every interval."""
MINUTES_WAYS = ("textbook without screening", "textbook order", "random order")
"""Orders against which the minutes for the same accuracy are reckoned; the fair one first."""


def configure(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--people", type=int, default=500, metavar="N", help="simulated people (default 500)")
    parser.add_argument("--seed", type=int, default=1, help="decides who they are (default 1)")
    configure_jobs(parser)
    parser.add_argument(
        "--write", type=Path, metavar="FILE", help="put tables and pictures into this page and beside it"
    )
    parser.add_argument(
        "--ranks", action="store_true", help="instead: whether truth takes every rank among draws of the posterior"
    )
    parser.add_argument("--json", action="store_true", help="one JSON object")


def run(options: argparse.Namespace) -> int:
    """Play the examinations and print the scores. The same people and seed give the same, however many processes."""
    check_jobs(options, 500)
    if options.ranks:
        return _ranks(options)
    from endfeel.evidence.load import load_library
    from endfeel.simulate import join_blocks, resampled, summed

    began = time.perf_counter()
    jobs = list(_jobs(options.people, options.seed))
    stories = join_blocks(run_jobs(play_block, jobs, options.workers, options.scheduler))
    found, draws = summed(stories), resampled(stories, DRAWS, options.seed)
    seconds, release = time.perf_counter() - began, load_library().release
    if options.json:
        print_json(
            {"release": release, "people": options.people, "seed": options.seed, "scores": as_data(found, draws)}
        )
    else:
        print_scores(found, draws)
        print()
        say(f"{options.people} people in {seconds:.0f} s. Truth is drawn from the program's own links: it checks the "
            "reasoning, not medicine.", kind="dim")  # fmt: skip
        footer(release)
    if options.write:
        from endfeel.cli.calibration_page import write_page

        write_page(options.write, found, draws, options.people, options.seed, release)
    return 0


FALSE_ALARM = 0.01
"""Chance that `--ranks` gives alarm although all is well, over all quantities together."""


def _ranks(options: argparse.Namespace) -> int:
    """Ranks of the truth over many people, block by block; the same however many processes."""
    from endfeel.evidence.load import load_library
    from endfeel.simulate.ranks import QUANTITIES, joined, uniformity

    began = time.perf_counter()
    starts = range(0, options.people, BLOCK)
    jobs = [(1000 * options.seed + start // BLOCK, min(BLOCK, options.people - start)) for start in starts]
    counts = joined(list(run_jobs(rank_block, jobs, options.workers, options.scheduler)))
    found, limit = uniformity(counts), FALSE_ALARM / len(QUANTITIES)
    release = load_library().release
    if options.json:
        told = [{"quantity": one.quantity, "people": one.people, "chi_square": one.chi_square, "p": one.p_value,
                 "ranks": counts[one.quantity].tolist()} for one in found]  # fmt: skip
        print_json({"release": release, "seed": options.seed, "alarm_below": limit, "quantities": told})
        return 0
    print(style(f"Ranks of the truth among draws of the posterior, {options.people} people", "head"))
    for one in found:
        word = "NOT UNIFORM" if one.p_value < limit else "uniform as far as can be seen"
        print(f"  {one.quantity:24} chi-square {one.chi_square:6.1f}, p {one.p_value:.3f}: {word}")
        print(f"  {'':24} {' '.join(map(str, counts[one.quantity]))}")
    say(f"Alarm below p = {limit:g}: one run in {1 / FALSE_ALARM:.0f} gives alarm although all is well. "
        f"{time.perf_counter() - began:.0f} s. Truth is drawn from the program's own links.", kind="dim")  # fmt: skip
    footer(release)
    return 0


def rank_block(seed: int, people: int) -> dict[str, Any]:
    """One block, wherever it is computed."""
    from endfeel.evidence.load import load_library
    from endfeel.inference import build_model
    from endfeel.simulate.ranks import rank_counts

    library = load_library()
    return dict(rank_counts(library, build_model(library), seed, people))


def _jobs(people: int, seed: int) -> list[tuple[int, int, str, tuple[float, ...]]]:
    from endfeel.simulate import CONDITIONS, LENGTHS, ONE_LENGTH

    jobs: list[tuple[int, int, str, tuple[float, ...]]] = []
    for number, condition in enumerate(CONDITIONS):
        wanted = people if number == 0 else max(1, people // FEWER)
        lengths = LENGTHS if number == 0 else (ONE_LENGTH,)
        jobs.extend(
            (1000 * seed + start // BLOCK, min(BLOCK, wanted - start), condition, lengths)
            for start in range(0, wanted, BLOCK)
        )
    return jobs


def play_block(seed: int, people: int, condition: str, lengths: tuple[float, ...]) -> Found:
    """One block, wherever it is computed."""
    from endfeel.evidence.load import load_library
    from endfeel.inference import build_model
    from endfeel.simulate import run_block

    library = load_library()
    return run_block(library, build_model(library), seed, people, condition, lengths)


def rows(found: Mapping[Key, Scores]) -> list[tuple[str, ...]]:
    """Condition, minutes, way, then the scores in words, in a fixed order."""
    return [(key[0], f"{key[1]:g}", key[2], *_cells(found[key])) for key in _in_order(found)]


def _in_order(found: Mapping[Key, Scores]) -> list[Key]:
    from endfeel.simulate import ARMS, CONDITIONS, UNEXAMINED

    conditions, ways = list(CONDITIONS), (UNEXAMINED, *ARMS)
    return sorted(found, key=lambda key: (conditions.index(key[0]), key[1], ways.index(key[2])))


COLUMNS = (
    "condition", "minutes", "way", "calibration error", "Brier", "first is there", "one of three there",
    "of three there", "of the first: said", "so", "minutes used", "turns", "tests",
)  # fmt: skip


def _cells(scores: Scores) -> tuple[str, ...]:
    return (
        f"{scores.everything.calibration_error:.3f}",
        f"{scores.everything.brier:.4f}",
        f"{scores.share('first_right'):.0%}",
        f"{scores.share('one_of_three'):.0%}",
        f"{scores.share('right_of_three'):.0%}",
        f"{scores.leading.mean_said:.0%}",
        f"{scores.leading.share_so:.0%}",
        f"{scores.each('minutes'):.1f}",
        f"{scores.each('turns'):.1f}",
        f"{scores.each('tests'):.1f}",
    )


def accuracy(scores: Scores) -> float:
    """Share of people in whom one of the first three is there."""
    return scores.share("one_of_three")


def of_three(scores: Scores) -> float:
    """Of the first three, the share that is there."""
    return scores.share("right_of_three")


def error(scores: Scores) -> float:
    """Calibration error over all contributors."""
    return scores.everything.calibration_error


def ends(values: Sequence[float]) -> tuple[float, float]:
    """The 90 % interval of bootstrap values; infinite where a sample has none."""
    ordered = sorted(values)
    return ordered[int(0.05 * (len(ordered) - 1))], ordered[math.ceil(0.95 * (len(ordered) - 1))]


def interval_rows(found: Mapping[Key, Scores], draws: Sequence[Mapping[Key, Scores]]) -> list[tuple[str, ...]]:
    """Every way with 90 % intervals, and what the plan is better by on the same people."""
    from endfeel.simulate import UNEXAMINED

    made = []
    for key in _in_order(found):
        planned = key[0], key[1], "planned"
        cells = []
        for measure in (accuracy, of_three, error):
            low, high = ends([measure(one[key]) for one in draws])
            cells.append(f"{measure(found[key]):.3f} [{low:.3f} to {high:.3f}]")
        for measure in (accuracy, of_three, error):
            if key[2] in ("planned", UNEXAMINED):
                cells.append("")
                continue
            low, high = ends([measure(one[planned]) - measure(one[key]) for one in draws])
            cells.append(f"{measure(found[planned]) - measure(found[key]):+.3f} [{low:+.3f} to {high:+.3f}]")
        made.append((key[0], f"{key[1]:g}", key[2], *cells))
    return made


INTERVAL_COLUMNS = (
    "condition", "minutes", "way", "one of three there", "of three there", "calibration error",
    "planned less this: one of three", "of three", "calibration error",
)  # fmt: skip
HIDDEN_COLUMNS = ("hidden contributors", "people", "way", "first is there", "one of three there", "of three there")


def hidden_rows(found: Mapping[Key, Scores]) -> list[tuple[str, ...]]:
    """Accuracy at twenty minutes by how many contributors are hidden in the person."""
    from endfeel.simulate import ARMS, CONDITIONS, HIDDEN, ONE_LENGTH

    first = next(iter(CONDITIONS))
    made = []
    for k, (low, high) in enumerate(HIDDEN):
        group = f"{low} to {high}" if (low, high) != HIDDEN[-1] else f"{low} or more"
        for arm in ARMS:
            people, *shares = found[first, ONE_LENGTH, arm].by_hidden[k]
            made.append((group, str(people), arm, *(f"{one:.0%}" for one in shares)))
    return made


def print_scores(found: Mapping[Key, Scores], draws: Sequence[Mapping[Key, Scores]]) -> None:
    """One line a way and length."""
    table = [COLUMNS, *rows(found)]
    wide = [max(len(row[k]) for row in table) for k in range(len(COLUMNS))]
    for number, row in enumerate(table):
        line = "  ".join(cell.ljust(wide[k]) if k in (0, 2) else cell.rjust(wide[k]) for k, cell in enumerate(row))
        print(style(line, "head") if number == 0 else line)
    for sentence in conclusions(found, draws):
        say(sentence)


def conclusions(found: Mapping[Key, Scores], draws: Sequence[Mapping[Key, Scores]]) -> list[str]:
    """What the table says about the aims, in sentences."""
    from endfeel.simulate import LENGTHS, ONE_LENGTH, UNEXAMINED

    first = "as assumed"
    start, at_20 = found[first, 0.0, UNEXAMINED], found[first, ONE_LENGTH, "planned"]
    errors = [error(found[first, minutes, "planned"]) for minutes in LENGTHS]
    flat = error(found[first, ONE_LENGTH, "nuisances ignored"])
    share = accuracy(at_20)
    low, high = ends([accuracy(one[first, ONE_LENGTH, "planned"]) for one in draws])
    strict = at_20.share("right_of_three")
    under, over = ends([one[first, ONE_LENGTH, "planned"].share("right_of_three") for one in draws])
    least, most = ends([error(one[first, ONE_LENGTH, "planned"]) for one in draws])
    said = [
        f"People have {start.each('hidden'):.1f} hidden contributors on average.",
        f"Calibration error of the planned examination: at most {max(errors):.3f} (aim 0.03: "
        f"{_met(max(errors) <= 0.03)}); at 20 minutes {error(at_20):.3f} [{least:.3f} to {most:.3f}]. It is "
        f"{error(start):.3f} with nothing examined: most forecasts are low, so alone it says little.",
        f"Forecasts of the one ranked first, planned, 20 minutes: said {at_20.leading.mean_said:.0%}, so "
        f"{at_20.leading.share_so:.0%}; their own calibration error is {at_20.leading.calibration_error:.3f}.",
        f"Nuisances ignored, 20 minutes: calibration error {flat:.3f} instead of {error(at_20):.3f} on the same "
        "findings.",
        f"Top three at 20 minutes, the lenient reading (one of the three named is there): so in {share:.1%} of "
        f"people [{low:.1%} to {high:.1%}] (aim 90 %: {_met(share >= 0.9)}); with nothing examined in "
        f"{accuracy(start):.0%}, so that the story tells most of it.",
        f"Top three at 20 minutes, the strict reading (each of the three named is there): {strict:.0%} of them are "
        f"[{under:.0%} to {over:.0%}] (aim 90 %: {_met(strict >= 0.9)}); with nothing examined "
        f"{start.share('right_of_three'):.0%}.",
    ]
    for way in MINUTES_WAYS:
        said += _times_saved(found, draws, first, way)
    for condition in ("links drawn from the evidence", "examiner worse than assumed"):
        scores = found.get((condition, ONE_LENGTH, "planned"))
        if scores:
            said.append(
                f"{condition.capitalize()}, 20 minutes: calibration error {error(scores):.3f}; "
                f"of the one ranked first {scores.leading.mean_said:.0%} is said and {scores.leading.share_so:.0%} so."
            )
    return said


def _met(reached: bool) -> str:
    return "met" if reached else "NOT met"


def _times_saved(
    found: Mapping[Key, Scores], draws: Sequence[Mapping[Key, Scores]], condition: str, way: str
) -> list[str]:
    """Minutes needed for the same accuracy as another order, by how many of the first three are there."""
    from endfeel.simulate import LENGTHS

    said = []
    for minutes in LENGTHS:
        used = found[condition, minutes, way].each("minutes")
        needed = _needed(found, condition, minutes, way)
        low, high = (_minutes(one) for one in ends([_needed(one, condition, minutes, way) for one in draws]))
        aim = f" (aim a third less: {_met(needed <= used * 2 / 3)})" if way != "random order" else ""
        said.append(
            f"Minutes needed for the same accuracy: {way} {used:.1f}, planned {_minutes(needed)} "
            f"[{low} to {high}]{aim}."
        )
    return said


def _minutes(value: float) -> str:
    return f"{value:.1f}" if math.isfinite(value) else "not reached"


def _needed(found: Mapping[Key, Scores], condition: str, minutes: float, way: str) -> float:
    """When the plan is as far as another order by its minutes; infinite when never."""
    from endfeel.simulate import LENGTHS, UNEXAMINED, minutes_for

    curve = [
        (one.each("minutes"), of_three(one))
        for one in (found[condition, 0.0, UNEXAMINED], *(found[condition, m, "planned"] for m in LENGTHS))
    ]
    needed = minutes_for(curve, of_three(found[condition, minutes, way]))
    return math.inf if needed is None else needed


def as_data(found: Mapping[Key, Scores], draws: Sequence[Mapping[Key, Scores]]) -> list[dict[str, Any]]:
    """Every score as numbers, two of them with their 90 % intervals."""
    return [
        {
            "condition": key[0], "minutes": key[1], "way": key[2],
            "people": int(s.total("people")), "affected": int(s.total("affected")),
            "calibration_error": error(s), "brier": s.everything.brier,
            "calibration_error_interval": list(ends([error(one[key]) for one in draws])),
            "leading_calibration_error": s.leading.calibration_error, "leading_said": s.leading.mean_said,
            "leading_so": s.leading.share_so, "hidden": s.each("hidden"),
            "first_right": s.share("first_right"), "one_of_three": accuracy(s), "of_three": of_three(s),
            "one_of_three_interval": list(ends([accuracy(one[key]) for one in draws])),
            "minutes_used": s.each("minutes"), "turns": s.each("turns"), "tests": s.each("tests"),
            "by_hidden": [list(one) for one in s.by_hidden], "curve": [list(point) for point in s.everything.curve],
        }
        for key, s in found.items()
    ]  # fmt: skip
