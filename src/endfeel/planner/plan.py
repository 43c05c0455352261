"""The examination plan: few positions, little provocation, much learned in the minutes there are."""

from __future__ import annotations

from collections.abc import Callable, Container, Sequence
from dataclasses import dataclass, replace
from itertools import combinations, pairwise, permutations
from typing import Any

import numpy as np
from numpy.typing import NDArray

from endfeel.evidence.library import Library
from endfeel.inference import Posterior
from endfeel.planner.candidates import Settings, gather
from endfeel.planner.learning import Array, Learning
from endfeel.planner.search import LAST_EFFORT, Choice, Limits, choose
from endfeel.planner.values import Candidate, LeftOut, Plan, Step
from endfeel.safety import Verdict
from endfeel.treatment import Decision, Worth, points_told, worth_of
from endfeel.vocabulary import LEVELS, Case, Position, Side

SECOND_TOPIC = 1 / 3
"""A second contributor is named when a test tells at least this share as much about it: a matter of wording."""


SETTLED = "No test left, alone or with one other, is expected to change what is to be done; what follows only refines."
QUIET = ("observation", "vital", "neuro")
"""Techniques after which an examination still stands at its start."""

TELLS = "tells about"
"""How the reason of a step begins that no rule asks for."""


def plan(
    case: Case, posterior: Posterior, verdict: Verdict, library: Library, minutes: float, *,
    position: Position = Position.SITTING, pinned: tuple[str, ...] = (), forbidden: tuple[str, ...] = (),
    decision: Decision | None = None, first: tuple[str, ...] = (), tight_bound: bool = True,
) -> Plan:  # fmt: skip
    """What to examine next, in which position and order.

    Parameters
    ----------
    minutes : time there is.
    position : the position the person is in now; it costs nothing.
    pinned, forbidden : procedure ids the therapist insists on, or refuses.
    decision : what the contributors call for; tests that bear on an open choice then count for more.
    first : procedure ids in the order the therapist wants them done before the rest; what that costs is said.
    tight_bound : whether time is spent on bringing the bound near; the plan is the same without.

    With a verdict of urgent or more the plan holds only the safe checks of the raised flags.
    """
    settings = Settings.of(library, case)
    if verdict.stops_plan:
        return _stopped(verdict, settings, minutes)
    must = (
        dict.fromkeys(pinned, "asked for by the therapist")
        | required(case, library, minutes)
        | paired_glides(posterior)
    )
    spared = {rule["procedure"] for rule in settings.data["required"] if rule.get("as_far_as_it_goes")}
    candidates, left_out = gather(case, library, verdict, settings, forbidden, spared, pinned)
    keys = [one.key for one in candidates]
    learning = learning_of(posterior, candidates, settings)
    worth = worth_of(decision, posterior, keys) if decision else None
    settled = worth is not None and worth.settled
    value = value_of(posterior, candidates, settings, decision, learning)
    if worth is not None and decision is not None and _begun(case, library):
        near = decision.near(len(learning.uncertain_bits))
        value = replace(
            value, bits=value.bits * _worth_while(worth, learning.bits @ near, candidates, settings)[:, None]
        )
    pins = pins_of(candidates, must)
    places = Places.of(candidates, settings, must)
    limited = replace(settings, settled=settled, may_turn=_may_turn(worth, candidates, must, case, library))
    asked = frozenset(pinned)
    best = best_choice(
        candidates, value, limited, position, minutes, pins, places, tight_bound=tight_bound, asked=asked,
        least=least_of(settings, decision),
    )  # fmt: skip
    notes = [] if case.complaint.side else ["The story names no side; the plan assumes the right."]
    chosen = {candidates[i].procedure.id for i in best[1].chosen}
    notes += _missed_pins(case, must, pinned, chosen, left_out, library, limited, minutes)
    refining = _refining(worth, best[1].chosen, candidates, must)
    made = compose(
        best, candidates, learning, limited, minutes, left_out, must, notes, topics_of(posterior), places, refining
    )
    made = replace(made, notes=(*made.notes, *_beyond(made, minutes)))
    if first:
        made = reordered(made, first, settings, position, minutes)
    return replace(made, settled=True, notes=(SETTLED, *made.notes)) if settled else made


def _begun(case: Case, library: Library) -> bool:
    """Whether hands were laid on, or the person was asked to move."""
    return any(library.catalogue[f.procedure].technique not in QUIET for f in case.findings)


def _worth_while(worth: Worth, bits: Array, candidates: Sequence[Candidate], settings: Settings) -> NDArray[np.bool_]:
    """(candidates,) what may change what is to be done, and what teaches enough for its time by itself."""
    stop = settings.data["stop"]
    seconds = np.array([one.seconds for one in candidates])
    rate = 60.0 * bits / np.maximum(seconds, 1.0)
    teaches = (bits >= stop["least_bits"]) & (rate >= stop["least_bits_per_minute"])
    return np.asarray(worth.bearing | teaches)


def _may_turn(
    worth: Worth | None, candidates: Sequence[Candidate], must: dict[str, str], case: Case, library: Library
) -> int | None:
    """How many of the tests not required may change what is to be done; None at the start of an examination, when all
    are open."""
    if worth is None or not _begun(case, library):
        return None
    return sum(
        bool(bears) and one.procedure.id not in must for one, bears in zip(candidates, worth.bearing, strict=True)
    )


def pins_of(candidates: Sequence[Candidate], must: dict[str, str]) -> tuple[int, ...]:
    """What is required, in the order of its reasons: one level of each, then the other levels."""
    first: dict[str, int] = {}
    for i, one in enumerate(candidates):
        if one.procedure.id in must:
            first.setdefault(one.procedure.id, i)
    leading = [first[procedure] for procedure in must if procedure in first]
    others = [i for i, one in enumerate(candidates) if one.procedure.id in must and i not in first.values()]
    return (*leading, *others)


def _refining(
    worth: Worth | None, chosen: Sequence[int], candidates: Sequence[Candidate], must: dict[str, str]
) -> frozenset[int]:
    """Those of the chosen that are not expected to change what is to be done, alone or with one other of them."""
    if worth is None or not chosen:
        return frozenset()
    some = np.array(chosen, dtype=np.intp)
    alone = worth.points[some]
    adds = (worth.together(some) - alone[None, :]).max(axis=1)
    refines = np.maximum(alone, adds) < worth.least_points
    return frozenset(int(i) for i, r in zip(some, refines, strict=True) if r and candidates[i].procedure.id not in must)


def _beyond(made: Plan, minutes: float) -> list[str]:
    """What was asked for in any case may ask more than there is: said."""
    said = []
    if made.irritability_load > made.load_budget + 1e-9:
        said.append(
            f"What was asked for takes {made.irritability_load:g} of provocation; "
            f"{made.load_budget:g} is still allowed."
        )
    if made.seconds > 60.0 * minutes + 0.5:
        said.append(f"What was asked for takes {made.seconds / 60 - minutes:.1f} min more than there are.")
    return said


def reordered(made: Plan, first: tuple[str, ...], settings: Settings, here: Position, minutes: float) -> Plan:
    """The same steps, these procedures before the rest and in this order; what its turns cost more is said."""
    wanted = {procedure: place for place, procedure in enumerate(first)}
    arranged = sorted(made.steps, key=lambda step: wanted.get(step.procedure, len(wanted)))
    steps: list[Step] = []
    for step in arranged:
        turn = settings.change_seconds(steps[-1].position if steps else here, step.position)
        steps.append(replace(step, turn_seconds=turn))
    turns = sum(one.turn_seconds > 0.0 for one in steps)
    seconds = sum(one.seconds + one.turn_seconds for one in steps)
    more, longer = turns - made.position_changes, seconds - made.seconds
    notes = list(made.notes)
    if more > 0 or longer > 0.5:
        notes.append(f"The order asked for costs {more} more change(s) of position and {longer:.0f} s.")
    if seconds > 60.0 * minutes + 0.5:
        notes.append(f"In this order it takes {seconds / 60 - minutes:.1f} min more than there are.")
    load = made.irritability_load + more * settings.change_load
    if load > made.load_budget:
        notes.append(f"In this order it asks {load:.1f} of provocation; {made.load_budget:.1f} is still allowed.")
    positions = tuple(dict.fromkeys((here, *(one.position for one in steps))))
    return replace(
        made, steps=tuple(steps), positions=positions, position_changes=turns, seconds=seconds,
        irritability_load=load, notes=tuple(notes),
    )  # fmt: skip


def _missed_pins(
    case: Case, must: dict[str, str], pinned: tuple[str, ...], chosen: set[str], left_out: list[LeftOut],
    library: Library, settings: Settings, minutes: float,
) -> list[str]:  # fmt: skip
    """What was required or asked for and is not in the plan, each with the reason."""
    reasons = {left.procedure: left.reason for left in left_out}
    done = {finding.procedure for finding in case.findings}
    no_room = "no room in the time, provocation or positions there are"
    spare = settings.load_budget(minutes)
    notes = []
    for wanted in must:
        if wanted in chosen or (wanted in done and wanted not in pinned):
            continue
        load = library.catalogue[wanted].irritability_load
        if load > spare:
            no_room = f"it asks {load:g} of provocation, {spare:g} is still allowed"
        elif load + settings.change_load > spare:
            no_room = f"with a turn it asks {load + settings.change_load:g} of provocation, {spare:g} is still allowed"
        why = reasons.get(wanted, "already recorded" if wanted in done else no_room)
        notes.append(f"{wanted} was {'asked for' if wanted in pinned else 'required'} but is not in the plan: {why}")
    return notes


def learning_of(posterior: Posterior, candidates: list[Candidate], settings: Settings) -> Learning:
    """Ask the posterior what each candidate would teach about each contributor, in bits."""
    bits, uncertain = posterior.information([candidate.key for candidate in candidates])
    numbers: dict[tuple[str, str], int] = {}
    kinds = [numbers.setdefault(candidate.kind, len(numbers)) for candidate in candidates]
    return Learning(
        np.asarray(bits, dtype=float), np.asarray(uncertain, dtype=float), np.array(kinds, dtype=np.intp),
        float(settings.data["repeats"]["most_share"]),
    )  # fmt: skip


def value_of(
    posterior: Posterior,
    candidates: list[Candidate],
    settings: Settings,
    decision: Decision | None,
    learning: Learning,
) -> Learning:
    """What a plan is chosen by: points for the choice of courses, and a little for every bit that only refines.

    Without a decision the bits themselves.
    """
    if decision is None:
        return learning
    told, most = points_told(decision, posterior, [candidate.key for candidate in candidates])
    rate = float(settings.data["decision"]["points_per_bit"]) * decision.near(len(learning.uncertain_bits))
    return Learning(
        np.concatenate((told, rate * learning.bits), axis=1),
        np.concatenate((most, rate * learning.uncertain_bits)),
        learning.kinds,
        learning.most_share,
    )


def topics_of(posterior: Posterior) -> Callable[[Array, tuple[str, Side | None, str | None]], str]:
    names = posterior.information_names()

    def name(bits: Array, key: tuple[str, Side | None, str | None]) -> str:
        told = bits >= max(SECOND_TOPIC * bits.max(initial=0.0), 1e-9)
        named = list(dict.fromkeys(names[i] for i in np.argsort(-bits) if told[i]))[:2]
        prospect = posterior.prospect(key)
        if prospect is None or not named:
            return " and ".join(named) or "what is left"
        others = [one for one in named if one != prospect.contributor]
        return " and ".join([*others, f"{prospect.contributor} ({prospect})"])

    return name


def required(case: Case, library: Library, minutes: float) -> dict[str, str]:
    """What this story calls for before anything else, when there is the time: procedure id and why."""
    rules = library.documents["planning"]["required"]
    begun = _begun(case, library)
    return {
        rule["procedure"]: rule["says"]
        for rule in rules
        if minutes >= rule.get("minutes_at_least", 0) and _calls_for(rule, case, begun)
    }


def paired_glides(posterior: Posterior) -> dict[str, str]:
    """For every restricted motion whose accessory glide nobody has felt, the first glide of its pair, and why."""
    found: dict[str, str] = {}
    for judgement in posterior.articular:
        if judgement.verdict == "not tested" and not found.keys() & set(judgement.to_test):
            found[judgement.to_test[0]] = f"{judgement.name} is restricted: joint or soft tissue? its glide tells"
    return found


def _calls_for(rule: dict[str, Any], case: Case, begun: bool) -> bool:
    complaint = case.complaint
    if rule.get("at_start"):
        return not begun
    if any(case.screen.get(cue) for cue in rule.get("cues", ())):
        return True
    if any(area in complaint.areas for area in rule.get("areas", ())):
        return True
    weeks = rule.get("weeks_at_most")
    recent = weeks is None or (complaint.weeks is not None and complaint.weeks <= weeks)
    return complaint.onset in rule.get("onset", ()) and recent


def orders(here: Position, settings: Settings) -> list[tuple[Position, ...]]:
    """Every cheapest visiting order that starts where the person is, up to the allowed number of turns."""
    others = [p for p in Position if p is not here]
    found: list[tuple[Position, ...]] = [(here,)]
    for count in range(1, settings.most_besides_arrival + 1):
        for some in combinations(others, count):
            cheapest = min(permutations(some), key=lambda order: _cost_of_order((here, *order), settings))
            found.append((here, *cheapest))
    return found


def _cost_of_order(order: tuple[Position, ...], settings: Settings) -> tuple[float, int]:
    """Cheapest first; side-lying as early as it can be at the same price."""
    return turning_seconds(order, settings), order.index(Position.SIDE_LYING) if Position.SIDE_LYING in order else 0


def turning_seconds(order: tuple[Position, ...], settings: Settings) -> float:
    """Seconds spent changing position along an order."""
    return sum(settings.change_seconds(a, b) for a, b in pairwise(order))


def best_choice(
    candidates: list[Candidate],
    learning: Learning,
    settings: Settings,
    here: Position,
    minutes: float,
    pins: tuple[int, ...],
    places: Places,
    *,
    tight_bound: bool = True,
    asked: Container[str] = (),
    least: float = 0.0,
) -> tuple[tuple[Position, ...], Choice]:
    """The best order of positions and its choice; what was `asked` for may go beyond time, provocation and number.

    `least` is what a test must bring to be considered.
    """
    seconds = np.array([c.seconds for c in candidates])
    load = np.array([float(c.procedure.irritability_load) for c in candidates])
    insisted = {candidates[i].procedure.id: i for i in reversed(pins) if candidates[i].procedure.id in asked}
    wanted = list(insisted.values())
    least_seconds, least_load = float(seconds[wanted].sum()), float(load[wanted].sum())
    tried: list[tuple[Position, ...]] = []
    limits: list[Limits] = []
    for order in orders(here, settings):
        time_left = minutes * 60 - turning_seconds(order, settings)
        load_left = settings.load_budget(minutes) - (len(order) - 1) * settings.change_load
        if wanted or (time_left > 0 and load_left >= 0):
            tried.append(order)
            count = max(len(wanted), settings.most_steps(minutes, len(pins)))
            limits.append(Limits(max(time_left, least_seconds), max(load_left, least_load), count))
    if not tried or not candidates:
        return (here,), Choice(0, (), 0.0, 0.0)
    shares = np.stack([places.along(order)[1] for order in tried])
    choice = choose(
        learning, shares, seconds, load, limits, pins, least,
        lambda choices: _preferred([tried[one.order] for one in choices], choices, settings),
        LAST_EFFORT if tight_bound else 0,
    )  # fmt: skip
    return tried[choice.order], choice


def least_of(settings: Settings, decision: Decision | None) -> float:
    """What a test must bring at least, in the terms that a plan is chosen by."""
    rate = float(settings.data["decision"]["points_per_bit"]) if decision is not None else 1.0
    return rate * float(settings.data["stop"]["least_bits"])


def _preferred(orders: list[tuple[Position, ...]], choices: Sequence[Choice], settings: Settings) -> int:
    """Side-lying where it costs little, then few turns."""
    best = max(choice.bits for choice in choices)
    given_up = float(settings.data["positions"]["given_up_for_side_lying_share"])
    turn_bits = float(settings.data["positions"]["turn_must_earn_share"]) * best
    found = range(len(choices))
    lying = [k for k in found if Position.SIDE_LYING in orders[k] and choices[k].bits >= (1 - given_up) * best]
    return max(lying or found, key=lambda k: (round(choices[k].bits - turn_bits * len(orders[k]), 9), -len(orders[k])))


def compose(
    best: tuple[tuple[Position, ...], Choice], candidates: list[Candidate], learning: Learning,
    settings: Settings, minutes: float, left_out: list[LeftOut], must: dict[str, str], notes: list[str],
    topics: Callable[[Array, tuple[str, Side | None, str | None]], str], places: Places,
    refining: Container[int] = (),
) -> Plan:  # fmt: skip
    """The choice as steps in their order, each with its reason, and what is left out."""
    order, choice = best
    where, share = places.along(order)
    placed = {i: where[i] for i in choice.chosen}
    arranged = sorted(
        choice.chosen,
        key=lambda i: (order.index(placed[i]), *_order_key(candidates[i], settings, must, refines=i in refining)),
    )
    visited = tuple(p for p in order if p is order[0] or p in placed.values())
    steps: list[Step] = []
    before, taught = 0.0, learning.growing(arranged, share)
    for i, after in zip(arranged, taught, strict=True):
        turn = settings.change_seconds(steps[-1].position if steps else order[0], placed[i])
        steps.append(
            replace(
                _step(
                    candidates[i], placed[i], after - before, must, topics(learning.bits[i], candidates[i].key), turn
                ),
                refines=i in refining,
            )
        )
        before = after
    spent = sum(step.seconds for step in steps) + turning_seconds(visited, settings)
    load = sum(step.irritability_load for step in steps) + (len(visited) - 1) * settings.change_load
    return Plan(
        steps=tuple(steps), positions=visited, position_changes=len(visited) - 1, seconds=spent, irritability_load=load,
        load_budget=settings.load_budget(minutes), borne_load=settings.borne_load,
        information_bits=before, value=choice.bits, bound=choice.bound_bits,
        left_out=tuple(left_out + _not_chosen(candidates, learning, choice, order, settings, minutes)),
        notes=tuple(notes),
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class Places:
    """Where each candidate could be done, and what each position leaves of its information."""

    shares: Array
    """(candidates, positions) in the order of `Position`; 0 where it cannot be done."""
    must: NDArray[np.bool_]
    """(candidates,) what is required: done in the first position that allows it."""

    @classmethod
    def of(cls, candidates: list[Candidate], settings: Settings, must: Container[str]) -> Places:
        """The table for these candidates."""
        column = {position: k for k, position in enumerate(Position)}
        shares = np.zeros((len(candidates), len(column)))
        for i, candidate in enumerate(candidates):
            for position in candidate.procedure.positions:
                shares[i, column[position]] = settings.share_in(candidate.procedure, position)
        return cls(shares, np.array([c.procedure.id in must for c in candidates], dtype=np.bool_))

    def along(self, order: tuple[Position, ...]) -> tuple[list[Position], Array]:
        """The best visited position of each candidate, side-lying where as good, and the share left there."""
        all_positions = list(Position)
        visited = self.shares[:, [all_positions.index(p) for p in order]]
        liking = visited + np.array([1e-9 if p is Position.SIDE_LYING else 0.0 for p in order])
        chosen = np.where(self.must, (visited > 0).argmax(axis=1), liking.argmax(axis=1))
        return [order[k] for k in chosen], visited[np.arange(len(visited)), chosen]


def _order_key(
    candidate: Candidate, settings: Settings, must: Container[str], *, refines: bool = False
) -> tuple[Any, ...]:
    procedure = candidate.procedure
    level = LEVELS.index(candidate.level) if candidate.level in LEVELS else 0
    strong = procedure.irritability_load >= 3
    quiet_first = (strong, refines, settings.stage(procedure), procedure.irritability_load)
    return procedure.id not in must, *quiet_first, procedure.region, procedure.id, level


def _step(candidate: Candidate, where: Position, bits: float, must: dict[str, str], topic: str, turn: float) -> Step:
    procedure = candidate.procedure
    reason = must.get(procedure.id, f"{TELLS} {topic}")
    return Step(
        procedure.id, procedure.name, candidate.side, candidate.level, where, candidate.seconds, max(0.0, bits),
        procedure.irritability_load, reason, turn,
    )  # fmt: skip


def _not_chosen(
    candidates: list[Candidate],
    learning: Learning,
    choice: Choice,
    order: tuple[Position, ...],
    settings: Settings,
    minutes: float,
) -> list[LeftOut]:
    """Why the rest did not make it, most informative first."""
    bits = learning.bits.sum(axis=1)
    left = []
    turns = (len(order) - 1) * settings.change_load
    load = turns + sum(candidates[i].procedure.irritability_load for i in choice.chosen)
    full = len(choice.chosen) >= settings.most_procedures(minutes)
    left_seconds = 60.0 * minutes - turning_seconds(order, settings) - sum(candidates[i].seconds for i in choice.chosen)
    for i in np.argsort(-bits):
        if int(i) in choice.chosen:
            continue
        candidate = candidates[int(i)]
        if bits[i] < settings.data["stop"]["least_bits"]:
            break
        possible = any(settings.share_in(candidate.procedure, p) > 0 for p in order)
        heavy = load + candidate.procedure.irritability_load > settings.load_budget(minutes)
        spent = "enough tests for one visit" if full else "provocation used up" if heavy else "no time left"
        if settings.settled or not (full or heavy or candidate.seconds > left_seconds):
            spent = "would only refine"
        reason = spent if possible else "would need another position"
        left.append(LeftOut(candidate.procedure.id, candidate.procedure.name, candidate.side, candidate.level, reason))
    return left


def _stopped(verdict: Verdict, settings: Settings, minutes: float) -> Plan:
    checks = tuple(dict.fromkeys(check for flag in verdict.raised for check in flag.safe_checks))
    notes: tuple[str, ...] = (f"{verdict.urgency.words.upper()}: {verdict.action}",)
    notes += (f"Safe to check meanwhile if it delays nothing: {', '.join(checks)}.",) if checks else ()
    return Plan((), (), 0, 0.0, 0.0, settings.load_budget(minutes), settings.borne_load, 0.0, 0.0, 0.0, (), notes)
