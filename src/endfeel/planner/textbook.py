"""The order a textbook gives, region by region, on the same procedures and the same information."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from endfeel.evidence.library import Library
from endfeel.inference import Posterior
from endfeel.planner.candidates import Settings, gather
from endfeel.planner.plan import learning_of, plan
from endfeel.planner.values import Candidate, Plan
from endfeel.safety import Verdict
from endfeel.vocabulary import Case, Position


@dataclass(frozen=True, slots=True)
class Road:
    """One way through an examination, summed up."""

    name: str
    procedures: int
    position_changes: int
    minutes: float
    information_bits: float


def textbook_road(
    case: Case, posterior: Posterior, verdict: Verdict, library: Library, minutes: float, position: Position
) -> Road:
    """Walk the textbook order until the minutes are over. Common practice, no source."""
    settings = Settings.of(library, case)
    candidates, _ = gather(case, library, verdict, settings)
    learning = learning_of(posterior, candidates, settings)
    here, spent, changes, load = position, 0.0, 0, 0.0
    chosen: list[int] = []
    share = np.zeros(len(candidates))
    for block in settings.data["textbook"]:
        there = Position(block["position"])
        for i, candidate in enumerate(candidates):
            if i in chosen or not _in_block(candidate, block, there):
                continue
            turn = settings.change_seconds(here, there)
            cost = candidate.seconds + turn
            heavier = load + candidate.procedure.irritability_load
            if spent + cost > minutes * 60 or heavier > settings.load_budget(minutes):
                continue
            changes += here is not there
            here, spent, load = there, spent + cost, heavier
            chosen.append(i)
            share[i] = settings.share_in(candidate.procedure, there)
    return Road("textbook order", len(chosen), changes, spent / 60, learning.of(chosen, share))


def _in_block(candidate: Candidate, block: dict[str, list[str]], position: Position) -> bool:
    procedure = candidate.procedure
    fits_region = procedure.region in block.get("regions", [procedure.region])
    fits_technique = procedure.technique in block.get("techniques", [procedure.technique])
    return position in procedure.positions and fits_region and fits_technique


def road_of(made: Plan) -> Road:
    """A plan, summed up in the same terms."""
    return Road("planned", len(made.steps), made.position_changes, made.seconds / 60, made.information_bits)


def compare_with_textbook(
    case: Case, posterior: Posterior, verdict: Verdict, library: Library,
    minutes: tuple[float, ...] = (10.0, 20.0, 30.0, 120.0), position: Position = Position.SITTING,
) -> tuple[tuple[float, Road, Road], ...]:  # fmt: skip
    """Planned and textbook road side by side for each number of minutes."""
    return tuple(
        (
            available,
            road_of(plan(case, posterior, verdict, library, available, position=position)),
            textbook_road(case, posterior, verdict, library, available, position),
        )
        for available in minutes
    )
