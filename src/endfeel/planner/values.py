"""The nouns of planning: a candidate, a step, a plan."""

from __future__ import annotations

from dataclasses import dataclass

from endfeel.vocabulary import Position, Procedure, Side


@dataclass(frozen=True, slots=True)
class Candidate:
    """One thing that could be done next."""

    procedure: Procedure
    side: Side | None
    level: str | None
    seconds: float

    @property
    def kind(self) -> tuple[str, str]:
        """The way of testing: tests of one kind share their errors."""
        return self.procedure.region, self.procedure.technique

    @property
    def key(self) -> tuple[str, Side | None, str | None]:
        return self.procedure.id, self.side, self.level


@dataclass(frozen=True, slots=True)
class Step:
    """One step of a plan."""

    procedure: str
    name: str
    side: Side | None
    level: str | None
    position: Position
    seconds: float
    information_bits: float
    """What it adds to the steps before it, expected."""
    irritability_load: int
    reason: str
    turn_seconds: float = 0.0
    """Seconds spent turning into this step's position, before it."""
    refines: bool = False
    """Not expected to change what is to be done, alone or with one other step: it only refines."""


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A procedure that did not make it, and why."""

    procedure: str
    name: str
    side: Side | None
    level: str | None
    reason: str
    by_safety: bool = False
    """Ruled out by the verdict, so that not even the therapist's wish puts it in."""


@dataclass(frozen=True, slots=True)
class Plan:
    """Steps in order, with what they cost and what they are expected to teach."""

    steps: tuple[Step, ...]
    positions: tuple[Position, ...]
    position_changes: int
    seconds: float
    irritability_load: float
    load_budget: float
    """What is still allowed."""
    borne_load: float
    """What was provoked before this plan begins."""
    information_bits: float
    value: float
    """What is optimised: points of 100 expected for the choice of treatment, and a little for every bit; bits where no
    decision was given."""
    bound: float
    """No plan of this kind could be expected to bring more than this (proven)."""
    left_out: tuple[LeftOut, ...]
    notes: tuple[str, ...] = ()
    settled: bool = False
    """No test left, alone or with one other, is expected to change what is to be done."""

    @property
    def gap(self) -> float:
        """Share of the proven bound that this plan may be missing, 0 to 1."""
        return 0.0 if self.bound <= 1e-6 else max(0.0, 1 - self.value / self.bound)


@dataclass(frozen=True, slots=True)
class NextTest:
    """A single next test with its price."""

    procedure: str
    name: str
    side: Side | None
    level: str | None
    position: Position
    seconds: float
    """Including the change of position where one is needed."""
    information_bits: float
    bits_per_minute: float
    irritability_load: int
    needs_position_change: bool
    reason: str
    worth_points: float = 0.0
    """Expected gain for the choice of treatment, in points of 100, or its part of what it gains with one other test; 0
    when no decision was given."""
    turn: str = ""
    """The likeliest outcome that would change what is to be done, or the test with which it would; empty when none."""
