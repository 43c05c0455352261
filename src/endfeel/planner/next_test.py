"""The single next test: what the story calls for, what is expected to change what is done, then what only refines."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from endfeel.evidence.library import Library
from endfeel.inference import Posterior
from endfeel.planner.candidates import Settings, gather
from endfeel.planner.learning import Array, Learning
from endfeel.planner.plan import TELLS, Places, learning_of, paired_glides, required, topics_of
from endfeel.planner.values import Candidate, NextTest, Step
from endfeel.safety import Verdict
from endfeel.treatment import PAIRED, Decision, Worth, worth_of
from endfeel.vocabulary import Case, Position


def next_tests(
    case: Case, posterior: Posterior, verdict: Verdict, library: Library, *,
    position: Position = Position.SITTING, most: int = 5, decision: Decision | None = None,
    forbidden: tuple[str, ...] = (), lead: Step | None = None,
) -> tuple[NextTest, ...]:  # fmt: skip
    """The best single next tests; empty when nothing is worth its time.

    `lead`, the plan's first step that bears on what is to be done, comes first.

    First what the story calls for and nobody has done. Then those whose result is expected to gain something for the
    choice of treatment, alone or with one other test, by points over price; then those that only refine, by expected
    bits over price, bits about an open choice counting for more. The price: seconds, a turn included, and provocation
    at the rate at which the budgets of a visit exchange the two. What asks more provocation than is left comes last,
    and says so. Of one procedure only the best level.
    """
    settings = Settings.of(library, case)
    if verdict.stops_plan:
        return ()
    candidates, _ = gather(case, library, verdict, settings, forbidden)
    learning = learning_of(posterior, candidates, settings)
    worth = worth_of(decision, posterior, [one.key for one in candidates]) if decision else None
    near = decision.near(len(learning.uncertain_bits)) if decision else np.ones(len(learning.uncertain_bits))
    offers = _offers(candidates, learning, near, settings, position, worth)
    must = required(case, library, float(settings.data["next"]["rules_for_minutes"])) | paired_glides(posterior)
    topics = topics_of(posterior)
    spare = settings.load_budget(0.0)
    found: dict[str, NextTest] = {}
    heavy = offers.load > spare
    place = {procedure: k for k, procedure in enumerate(must)}
    called = np.array([place.get(candidate.procedure.id, -1) for candidate in candidates], dtype=np.intp)
    leading = [i for i, one in enumerate(candidates) if lead and one.key == (lead.procedure, lead.side, lead.level)]
    for i in (*leading, *offers.order(called, heavy)):
        candidate, where = candidates[i], list(Position)[offers.where[i]]
        if candidate.procedure.id in found or len(found) == most:
            continue
        topic = topics(near * learning.bits[i], candidate.key)
        if called[i] >= 0:
            topic += f"; {must[candidate.procedure.id]}"
        if heavy[i]:
            topic += "; more provocation than is left for this visit"
        if i in leading and lead:
            asked = lead.reason if called[i] < 0 and not lead.reason.startswith(TELLS) else ""
            topic += f"; first in the plan{f': {asked}' if asked else ''}"
        one = _next(candidate, where, float(offers.bits[i]), float(offers.seconds[i]), where is not position, topic)
        found[candidate.procedure.id] = replace(one, **_worth_words(worth, offers, candidates, i)) if worth else one
    return tuple(found.values())


@dataclass(frozen=True, slots=True)
class _Offers:
    """Each candidate in its best position, with what it costs and brings."""

    where: Array
    load: Array
    """Provocation, a turn included."""
    seconds: Array
    price: Array
    bits: Array
    counted: Array
    """Bits, by how near to the complaint what they are about is."""
    enough: NDArray[np.bool_]
    """Whether it teaches enough for its time."""
    points: Array
    """What it is expected to gain for the choice of treatment, alone or in its share of the best pair."""
    partner: NDArray[np.intp]
    """With which other test, where alone it would gain less than is worth it; else -1."""
    turns: NDArray[np.bool_]
    """Whether that gain is worth it."""

    def order(self, called: NDArray[np.intp], heavy: NDArray[np.bool_]) -> list[int]:
        """Those called for, in the order of their rules and whatever they teach, then those worth their time, the best
        first. `called` is the place of the rule, -1 where there is none."""
        rule = np.where(called < 0, called.max(initial=0) + 1, called)
        gain = np.where(self.turns, self.points / self.price, 0.0)
        best = np.lexsort((-self.counted / self.price, -gain, ~self.turns, rule, heavy))
        return [int(i) for i in best if called[i] >= 0 or self.enough[i] or self.turns[i]]


def _offers(
    candidates: list[Candidate], learning: Learning, near: Array, settings: Settings, here: Position,
    worth: Worth | None,
) -> _Offers:  # fmt: skip
    bits = learning.bits @ near
    shares = Places.of(candidates, settings, ()).shares
    gained = shares * bits[:, None]
    turn = np.array([settings.change_seconds(here, there) for there in Position])
    seconds = np.array([candidate.seconds for candidate in candidates])[:, None] + turn
    turned = np.array([0.0 if there is here else settings.change_load for there in Position])
    loads = np.array([candidate.procedure.irritability_load for candidate in candidates], dtype=float)[:, None] + turned
    price = seconds + settings.seconds_per_load * loads
    rows, where = np.arange(len(candidates)), ((gained + 1e-9 * shares) / price).argmax(axis=1)
    gained, seconds, price, load = gained[rows, where], seconds[rows, where], price[rows, where], loads[rows, where]
    stop = settings.data["stop"]
    enough = (gained >= stop["least_bits"]) & (60 * gained / seconds >= stop["least_bits_per_minute"])
    points, partner = np.zeros(len(candidates)), np.full(len(candidates), -1, dtype=np.intp)
    turns = np.zeros(len(candidates), dtype=np.bool_)
    if worth is not None and len(candidates):
        share = gained / np.maximum(bits, 1e-12)
        points, turns = worth.points * share, worth.points * share >= worth.least_points
        if not worth.settled:
            _with_a_partner(worth, learning.kinds, price, points, turns, partner)
    told = shares[rows, where] * learning.bits.sum(axis=1)
    return _Offers(where, load, seconds, price, told, gained, enough, points, partner, turns)


def _with_a_partner(
    worth: Worth, kinds: NDArray[np.intp], price: Array, points: Array, turns: NDArray[np.bool_],
    partner: NDArray[np.intp],
) -> None:  # fmt: skip
    """Tests that alone turn nothing but would with one other of another kind, among those that pull most.

    Such a test counts by what the pair adds to the other alone, and by no more than its part, by price, of the pair.
    """
    some = np.union1d(np.argsort(-worth.pull)[:PAIRED], np.argsort(-points / price)[:PAIRED])
    both = worth.together(some)
    added = both - worth.points[some][None, :]
    part = both * price[some][:, None] / (price[some][:, None] + price[some][None, :])
    credit = np.where(kinds[some][:, None] == kinds[some][None, :], 0.0, np.minimum(added, part))
    best = credit.argmax(axis=1)
    for row, i in enumerate(some):
        k = best[row]
        if not turns[i] and credit[row, k] > points[i] and both[row, k] >= worth.least_points:
            points[i], partner[i], turns[i] = credit[row, k], some[k], True


def _worth_words(worth: Worth, offers: _Offers, candidates: list[Candidate], i: int) -> dict[str, Any]:
    k = int(offers.partner[i])
    if k >= 0:
        turn = f"alone it would change nothing; together with {candidates[k].procedure.name} it may"
    else:
        alone = f"{worth.examines[i]}: so far by the story alone" if worth.examines[i] else ""
        turn = str(worth.turns[i] or alone) if offers.turns[i] else ""
    return {"worth_points": float(offers.points[i]), "turn": turn}


def _next(candidate: Candidate, where: Position, bits: float, seconds: float, turns: bool, topic: str) -> NextTest:
    turn = f"; needs {where.value.replace('_', '-')}" if turns else ""
    return NextTest(
        candidate.procedure.id, candidate.procedure.name, candidate.side, candidate.level, where, seconds, bits,
        60 * bits / seconds, candidate.procedure.irritability_load, turns, f"tells most about {topic}{turn}",
    )  # fmt: skip
