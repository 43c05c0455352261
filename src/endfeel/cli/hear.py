"""`endfeel hear`: how well spoken findings are heard, on synthetic voices."""

from __future__ import annotations

import argparse
import json
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

from endfeel.cli.terminal import footer, print_json, say, style
from endfeel.vocabulary import CannotRead, Fault, Refused

if TYPE_CHECKING:
    from endfeel.vocabulary.shorthand import Shorthand
    from endfeel.voice.hearing_report import Condition, Trial
    from endfeel.voice.network import Network

CAUTION = "Synthetic voices are not the therapist's: the microphone check of the voice page gives your own figure."


def configure(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--phrases", type=int, default=700, help="phrases of the grammar (default 700)")
    parser.add_argument("--unrelated", type=int, default=500, help="unrelated sentences (default 500)")
    parser.add_argument("--noisy", type=int, help="phrases in each noise condition (default: all)")
    parser.add_argument("--noise", nargs="*", default=["white", "pink", "babble"], help="kinds: white, pink, babble")
    parser.add_argument("--ratios", nargs="*", type=float, default=[20, 15, 10], help="decibels (default 20 15 10)")
    parser.add_argument("--seed", type=int, default=2025, help="which phrases are drawn (default 2025)")
    parser.add_argument(
        "--base-only", action="store_true", help="leave the better recogniser out where it is installed"
    )
    parser.add_argument(
        "--part", default="1/1", help="the part of the phrases to try, such as 2/3, to run parts at once"
    )
    parser.add_argument(
        "--keep", help="file that keeps what was heard, as text: a run broken off goes on, what it has is a fair sample"
    )
    parser.add_argument("--only-kept", nargs="+", metavar="FILE", help="summarise kept files and try nothing")
    parser.add_argument("--json", action="store_true", help="one JSON object")


def run(options: argparse.Namespace) -> int:
    """Speak, listen, count."""
    from endfeel.assessment import shorthand_of
    from endfeel.evidence.load import load_library
    from endfeel.voice.hearing_report import as_row, decided, summary

    library = load_library()
    network = _network(shorthand_of(library))
    kept = _read_kept(options.only_kept or [options.keep] * bool(options.keep))
    trials = [decided(trial, network) for trial in kept]
    if not options.only_kept:
        for trial in _try_all(options, frozenset((one.condition, one.said) for one in kept)):
            trials.append(trial)
            if options.keep:
                with Path(options.keep).open("a", encoding="utf-8") as file:
                    file.write(json.dumps(as_row(trial)) + "\n")
    rows = [row | _intervals(row) for row in summary(trials)]
    voices = sorted({trial.voice for trial in trials})
    if options.json:
        print_json(
            {"rows": rows, "voices": voices, "misses": misses(rows), "release": library.release, "note": CAUTION}
        )
        return 0
    _print(rows, voices)
    footer(library.release)
    return 0


def _try_all(options: argparse.Namespace, done: frozenset[tuple[str, str]]) -> Iterator[Trial]:
    from endfeel.assessment import shorthand_of
    from endfeel.evidence.load import load_library
    from endfeel.voice.ear import HOW_TO_GET, Ear, can_hear
    from endfeel.voice.hearing_report import fair_order, try_phrases
    from endfeel.voice.load import load_unrelated
    from endfeel.voice.noise import TALKERS
    from endfeel.voice.synthesis import REPORTED, TUNED, missing_programs, speak
    from endfeel.voice.trial import draw_phrases, draw_unrelated

    if not can_hear():
        raise Refused(f"no recogniser is installed: {HOW_TO_GET}")
    if missing_programs():
        raise Refused(f"the synthetic voices need the Debian packages: {' '.join(missing_programs())}")
    shorthand = shorthand_of(load_library())
    network = _network(shorthand)
    phrases = draw_phrases(network, options.phrases, options.seed)
    unrelated = load_unrelated()
    crowd = draw_unrelated(unrelated["tune"], 2 * TALKERS, options.seed)
    talkers = [speak(TUNED[place % len(TUNED)], text) for place, text in enumerate(crowd)] if options.noise else []
    ear = Ear(shorthand, better=not options.base_only)
    ear.warm()
    strangers = draw_unrelated(unrelated["report"], options.unrelated, options.seed)
    most = len(phrases) if options.noisy is None else options.noisy
    planned = fair_order(phrases, strangers, tuple(_noisy(options)), most, len(REPORTED))
    yield from try_phrases(ear, network, planned, REPORTED, talkers, done=done, part=_part(options.part))


def _network(shorthand: Shorthand) -> Network:
    from endfeel.voice.grammar import whole_grammar
    from endfeel.voice.load import load_spoken

    return whole_grammar(shorthand.catalogue, shorthand.limits, load_spoken())


def _noisy(options: argparse.Namespace) -> Iterator[Condition]:
    from endfeel.voice.hearing_report import Condition

    for ratio in sorted(options.ratios, key=lambda one: abs(one - 15)):
        for kind in options.noise:
            yield Condition.noisy(kind, ratio)


def _read_kept(paths: list[str]) -> list[Trial]:
    from endfeel.voice.hearing_report import Trial

    lines = [line for path in paths if Path(path).exists() for line in Path(path).read_text("utf-8").splitlines()]
    return [Trial(**json.loads(line)) for line in lines]


def _part(written: str) -> tuple[int, int]:
    number, _, of = written.partition("/")
    if not (number.isdecimal() and of.isdecimal() and 1 <= int(number) <= int(of)):
        raise CannotRead([Fault("no such part", written, "such as 2/3")])
    return int(number) - 1, int(of)


def _intervals(row: dict[str, Any]) -> dict[str, Any]:
    """95 % Wilson intervals of the shares that the aims speak of."""
    from endfeel.measurement.kappa import wilson

    found = {name: wilson(row[name], row["phrases"]) for name in ("right", "wrong")}
    return {f"{name}_between": [round(one.low, 4), round(one.high, 4)] for name, one in found.items()}


def misses(rows: list[dict[str, Any]]) -> list[str]:
    """Every aim that was missed, in a sentence; nothing is left out."""
    found = []
    for row in rows:
        for outcome, limit, least in _aims(row["condition"]):
            share = row[outcome] / row["phrases"]
            if (share < limit) if least else (share >= limit and row[outcome] > 0):
                aim = f"at least {limit:.0%}" if least else f"under {limit:.0%}"
                found.append(f"{row['condition']}, {row['engines']}: {outcome} {share:.1%}, aim {aim}")
    return found


def _aims(condition: str) -> tuple[tuple[str, float, bool], ...]:
    """Outcome, limit, and whether it is the least or the most."""
    if condition == "clean":
        return (("right", 0.95, True), ("wrong", 0.0101, False))
    if condition == "unrelated":
        return (("wrong", 0.01, False),)
    return (("right", 0.85, True),) if condition.endswith("15 dB") else ()


def _print(rows: list[dict[str, Any]], voices: list[str]) -> None:
    print(style("How well synthetic voices are heard", "head"))
    heads = ("phrases", "right", "95 %", "wrong", "95 %", "refused", "asked", "median s", "p95 s", "processor s")
    print(f"{'condition':<14}{'engines':<9}" + "".join(f"{head:>13}" for head in heads))
    for row in rows:
        between = {name: "{:.1%}-{:.1%}".format(*row[f"{name}_between"]) for name in ("right", "wrong")}
        share = {name: f"{row[name] / row['phrases']:.1%}" for name in ("right", "wrong", "refused", "asked")}
        times = [f"{row[name]:.2f}" for name in ("median_seconds", "p95_seconds", "median_processor_seconds")]
        cells = (row["phrases"], share["right"], between["right"], share["wrong"], between["wrong"])
        cells = (*cells, share["refused"], share["asked"], *times)
        print(f"{row['condition']:<14}{row['engines']:<9}" + "".join(f"{cell:>13}" for cell in cells))
    say("wrong: taken and not what was said. refused: nothing written. asked: only the side was misheard.", kind="dim")
    say("engines: base is pocketsphinx alone; better is both, times are of both together.", kind="dim")
    say(f"Voices: {', '.join(voices)}", kind="dim")
    for miss in misses(rows):
        say(f"MISSED: {miss}", kind="warn")
    say(CAUTION, kind="warn")
