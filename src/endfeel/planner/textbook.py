"""The order a textbook gives, region by region, on the same procedures and the same information."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from endfeel.evidence.library import Library
from endfeel.inference import Posterior
from endfeel.planner.candidates import Settings, gather
from endfeel.planner.plan import learning_of, plan, value_of
from endfeel.planner.values import Candidate, Plan
from endfeel.safety import Verdict
from endfeel.treatment import Decision
from endfeel.vocabulary import Case, Position, Side

Test = tuple[str, Side | None, str | None]


@dataclass(frozen=True, slots=True)
class Road:
    """One way through an examination, summed up."""

    name: str
    procedures: int
    position_changes: int
    minutes: float
    information_bits: float
    tests: tuple[Test, ...] = ()
    """Procedure, side and level, in the order in which they are done."""
    value: float = 0.0
    """What the plan is chosen by, reckoned for this road; bits where no decision was given."""


def textbook_road(
    case: Case, posterior: Posterior, verdict: Verdict, library: Library, minutes: float, position: Position,
    decision: Decision | None = None,
) -> Road:  # fmt: skip
    """Walk the textbook order until the minutes are over. Common practice, no source."""
    settings = Settings.of(library, case)
    candidates, _ = gather(case, library, verdict, settings)
    wanted = [
        (i, there)
        for block in settings.data["textbook"]
        for there in [Position(block["position"])]
        for i, candidate in enumerate(candidates)
        if _in_block(candidate, block, there)
    ]
    return _walked("textbook order", wanted, candidates, posterior, settings, minutes, position, decision)


def random_road(
    case: Case, posterior: Posterior, verdict: Verdict, library: Library, minutes: float, position: Position,
    generator: np.random.Generator,
) -> Road:  # fmt: skip
    """Walk the same tests in an order drawn at random, without turning where the person can stay."""
    settings = Settings.of(library, case)
    candidates, _ = gather(case, library, verdict, settings)
    here, wanted = position, []
    for i in generator.permutation(len(candidates)).tolist():
        positions = candidates[i].procedure.positions
        here = here if here in positions else positions[0]
        wanted.append((i, here))
    return _walked("random order", wanted, candidates, posterior, settings, minutes, position)


def _walked(
    name: str, wanted: list[tuple[int, Position]], candidates: list[Candidate], posterior: Posterior,
    settings: Settings, minutes: float, position: Position, decision: Decision | None = None,
) -> Road:  # fmt: skip
    """Do what is wanted one after the other, leaving out what time or provocation no longer allow."""
    learning = learning_of(posterior, candidates, settings)
    value = value_of(posterior, candidates, settings, decision, learning)
    here, spent, changes, load = position, 0.0, 0, 0.0
    chosen: list[int] = []
    share = np.zeros(len(candidates))
    for i, there in wanted:
        candidate = candidates[i]
        cost = candidate.seconds + settings.change_seconds(here, there)
        heavier = load + candidate.procedure.irritability_load
        if i in chosen or spent + cost > minutes * 60 or heavier > settings.load_budget(minutes):
            continue
        changes += here is not there
        here, spent, load = there, spent + cost, heavier
        chosen.append(i)
        share[i] = settings.share_in(candidate.procedure, there)
    tests = tuple(candidates[i].key for i in chosen)
    return Road(name, len(chosen), changes, spent / 60, learning.of(chosen, share), tests, value.of(chosen, share))


def _in_block(candidate: Candidate, block: dict[str, list[str]], position: Position) -> bool:
    procedure = candidate.procedure
    fits_region = procedure.region in block.get("regions", [procedure.region])
    fits_technique = procedure.technique in block.get("techniques", [procedure.technique])
    return position in procedure.positions and fits_region and fits_technique


def road_of(made: Plan) -> Road:
    """A plan, summed up in the same terms."""
    tests = tuple((step.procedure, step.side, step.level) for step in made.steps)
    return Road(
        "planned", len(made.steps), made.position_changes, made.seconds / 60, made.information_bits, tests, made.value
    )


def compare_with_textbook(
    case: Case, posterior: Posterior, verdict: Verdict, library: Library,
    minutes: tuple[float, ...] = (10.0, 20.0, 30.0, 120.0), position: Position = Position.SITTING,
    decision: Decision | None = None,
) -> tuple[tuple[float, Road, Road], ...]:  # fmt: skip
    """Planned and textbook road side by side for each number of minutes."""
    return tuple(
        (
            available,
            road_of(plan(case, posterior, verdict, library, available, position=position, decision=decision)),
            textbook_road(case, posterior, verdict, library, available, position, decision),
        )
        for available in minutes
    )
