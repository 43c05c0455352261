"""How well synthetic voices are heard: phrases right, wrong and taken, unrelated speech taken, time to a draft."""

from __future__ import annotations

import time
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import asdict, dataclass, replace
from typing import Any

from endfeel.voice.decide import Large, Small, decide
from endfeel.voice.ear import Ear
from endfeel.voice.network import Meaning, Network
from endfeel.voice.noise import noise_of, with_noise
from endfeel.voice.sound import Samples
from endfeel.voice.synthesis import MARGIN, Voice, speak

BASE, BETTER = "base", "better"
CLEAN, UNRELATED = "clean", "unrelated"


@dataclass(frozen=True, slots=True)
class Condition:
    """Clean sound, or one kind of noise at a ratio in decibels; `name` is what the report calls it."""

    name: str
    noise: str = ""
    ratio_db: float = 0.0

    @classmethod
    def noisy(cls, noise: str, ratio_db: float) -> Condition:
        """Such as `babble 15 dB`."""
        return cls(f"{noise} {ratio_db:g} dB", noise, ratio_db)


@dataclass(frozen=True, slots=True)
class Trial:
    """One phrase in one condition by one voice, and what came of it with each set of recognisers."""

    condition: str
    voice: str
    said: str
    heard: dict[str, str]
    """By recognisers: the phrase that was taken; empty where it was refused."""
    outcome: dict[str, str]
    """By recognisers: `right`, `wrong`, `refused`, or `asked` where only the side was misheard."""
    seconds: float
    """From the end of the sound to the answer, with every recogniser that is there."""
    processor_seconds: float
    evidence: dict[str, Any] | None = None
    """What each recogniser made of it, undecided: later rules can be tried on it without hearing it again."""


@dataclass(frozen=True, slots=True)
class Planned:
    """One phrase to try in one condition; by its place are chosen the voice that speaks and the noise."""

    condition: Condition
    place: int
    said: str


def fair_order(
    phrases: Sequence[str], strangers: Sequence[str], noisy: Sequence[Condition], most_noisy: int, voices: int
) -> Iterator[Planned]:
    """Every trial in an order that may be broken off anywhere: what was done by then is a fair sample of the whole.

    Blocks of one phrase by each of the voices go round the conditions. In the first round each phrase is heard clean
    and each noise has its own share of the blocks; later rounds give every noise the phrases it has not had, up to
    `most_noisy` each.
    """
    blocks = [range(at, min(at + voices, len(phrases))) for at in range(0, len(phrases), voices)]
    left = dict.fromkeys(noisy, most_noisy)
    for turn in range(len(noisy) + 1):
        for number, block in enumerate(blocks):
            if turn == 0:
                yield from (Planned(Condition(CLEAN), place, phrases[place]) for place in block)
                some = range(len(strangers) * number // len(blocks), len(strangers) * (number + 1) // len(blocks))
                yield from (Planned(Condition(UNRELATED), place, strangers[place]) for place in some)
            which = (number + turn) % (len(noisy) + 1)
            if which < len(noisy):
                condition = noisy[which]
                for place in block[: left[condition]]:
                    left[condition] -= 1
                    yield Planned(condition, place, phrases[place])
    if not blocks:
        yield from (Planned(Condition(UNRELATED), place, said) for place, said in enumerate(strangers))


def try_phrases(
    ear: Ear,
    network: Network,
    planned: Iterable[Planned],
    voices: Sequence[Voice],
    talkers: Sequence[Samples],
    *,
    done: frozenset[tuple[str, str]] = frozenset(),
    part: tuple[int, int] = (0, 1),
) -> Iterator[Trial]:
    """Each phrase by the voice of its place. `done` are pairs of condition and phrase that need no second trial;
    `part` is a number from 0 and how many parts there are, for several processes side by side.

    An unrelated phrase is one that the network does not hold: it is right only when it is refused.
    """
    for number, one in enumerate(planned):
        condition, said = one.condition, one.said
        if (condition.name, said) in done or number % part[1] != part[0]:
            continue
        voice = voices[one.place % len(voices)]
        sound = speak(voice, said)
        if condition.noise:
            noise = noise_of(condition.noise, len(sound), one.place, talkers)
            sound = with_noise(sound, noise, condition.ratio_db, MARGIN)
        wall, processor = time.perf_counter(), time.process_time()
        found = ear.evidence(sound)
        seconds, spent = time.perf_counter() - wall, time.process_time() - processor
        times = round(seconds, 3), round(spent, 3)
        kept = _kept(found.small, found.large)
        undecided = Trial(
            condition.name, voice.name, said, {}, {BASE: "", **({BETTER: ""} if ear.is_better else {})}, *times, kept
        )
        yield decided(undecided, network)


def decided(trial: Trial, network: Network) -> Trial:
    """The trial as the rules decide it now; one of which no evidence was kept stays as it is. Of evidence without the
    rival's own fit the rival is judged by the fit of the phrase."""
    if trial.evidence is None:
        return trial
    small, large = _small(trial.evidence["small"]), _large(trial.evidence["large"])
    taken = {name: decide(small, large if name == BETTER else None) for name in trial.outcome}
    heard = {name: " ".join(words or ()) for name, words in taken.items()}
    truth = network.read(trial.said.split())
    outcome = {name: outcome_of(truth, network.read(words) if words else None) for name, words in taken.items()}
    return replace(trial, heard=heard, outcome=outcome)


def _kept(small: Small | None, large: Large | None) -> dict[str, Any]:
    """As plain values of JSON."""
    rating = {} if large is None else {" ".join(words): value for words, value in large.rating.items()}
    return {"small": small and asdict(small), "large": large and asdict(large) | {"rating": rating}}


def _small(kept: dict[str, Any] | None) -> Small | None:
    if kept is None:
        return None
    return Small(**kept | {name: tuple(kept[name]) for name in ("words", "rival")})


def _large(kept: dict[str, Any] | None) -> Large | None:
    if kept is None:
        return None
    rating = {tuple(phrase.split()): value for phrase, value in kept["rating"].items()}
    return Large(**kept | {"words": tuple(kept["words"]), "rating": rating})


def outcome_of(truth: Meaning | None, heard: Meaning | None) -> str:
    """What the draft would be worth. The side is the visit's: one that was said but not heard harms nothing."""
    if heard is None:
        return "refused"
    if truth is None:
        return "wrong"
    meant, got = dict(truth), dict(heard)
    side = got.pop("side", None)
    if got != {name: value for name, value in meant.items() if name != "side"}:
        return "wrong"
    return "right" if side in (None, meant.get("side")) else "asked"


def summary(trials: Sequence[Trial]) -> list[dict[str, Any]]:
    """Counts by condition and recognisers. A phrase that was tried twice with the same recognisers counts once."""
    by_row: dict[tuple[str, str], dict[str, Trial]] = {}
    for trial in trials:
        for engines in trial.outcome:
            by_row.setdefault((trial.condition, engines), {}).setdefault(trial.said, trial)
    return [_row(condition, engines, list(of_it.values())) for (condition, engines), of_it in sorted(by_row.items())]


def _row(condition: str, engines: str, trials: Sequence[Trial]) -> dict[str, Any]:
    outcomes = [trial.outcome[engines] for trial in trials]
    spent = sorted(trial.processor_seconds for trial in trials)
    row: dict[str, Any] = {"condition": condition, "engines": engines, "phrases": len(outcomes)}
    row |= {name: outcomes.count(name) for name in ("right", "wrong", "refused", "asked")}
    seconds = sorted(trial.seconds for trial in trials)
    row |= {"median_seconds": seconds[len(seconds) // 2], "p95_seconds": seconds[int(len(seconds) * 0.95)]}
    return row | {"median_processor_seconds": spent[len(spent) // 2]}


def as_row(trial: Trial) -> dict[str, Any]:
    """The trial as plain values, without any sound."""
    return asdict(trial)
