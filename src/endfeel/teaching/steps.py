"""What a learner can do, as plain values that can be kept and sent: ask, examine, turn, rest, commit."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from endfeel.safety import Urgency
from endfeel.vocabulary import CannotRead, Fault, Position

KINDS = ("ask", "examine", "turn", "rest", "commit")
MOST_NAMED = 8
EVERY_LEVEL = "every"


@dataclass(frozen=True, slots=True)
class Named:
    """A contributor a learner names, and how sure he or she is of it."""

    contributor: str
    """Id with its level: `capsule_anterior`, `segment_stiffness.T5`."""
    percent: int


@dataclass(frozen=True, slots=True)
class Commitment:
    """What a learner stands for at the end; it cannot be taken back."""

    ranking: tuple[Named, ...]
    safety: Urgency
    treatment: str
    """`class.region` of a course, `advice`, or `send_on`."""


ADVICE, SEND_ON = "advice", "send_on"


@dataclass(frozen=True, slots=True)
class Step:
    """One thing done. `id` is its sender's, so that a step sent twice is one."""

    id: str
    kind: str
    about: str = ""
    """Question or procedure."""
    level: str = ""
    """A level, or `every`."""
    position: Position | None = None
    """Where it is done, or turned to; None: where the person is, if it can be done there."""
    commitment: Commitment | None = None

    def as_data(self) -> dict[str, Any]:
        """Plain values, empty ones left out."""
        told: dict[str, Any] = {"id": self.id, "kind": self.kind}
        told |= {name: value for name, value in (("about", self.about), ("level", self.level)) if value}
        if self.position is not None:
            told["position"] = str(self.position)
        if self.commitment is not None:
            told["ranking"] = [[one.contributor, one.percent] for one in self.commitment.ranking]
            told["safety"], told["treatment"] = str(self.commitment.safety), self.commitment.treatment
        return told


def step_from(told: Mapping[str, Any]) -> Step:
    """The step in plain values. Raises CannotRead for what is none."""
    try:
        kind = told["kind"]
        if kind not in KINDS:
            raise ValueError(f"kind {kind!r}")
        commitment = None
        if kind == "commit":
            ranking = tuple(Named(str(one), int(percent)) for one, percent in told["ranking"])
            commitment = Commitment(ranking, Urgency(told["safety"]), str(told["treatment"]))
        where = told.get("position")
        return Step(
            str(told["id"]), kind, str(told.get("about", "")), str(told.get("level", "")),
            Position(where) if where else None, commitment,
        )  # fmt: skip
    except (KeyError, ValueError, TypeError) as error:
        raise CannotRead(
            [Fault(f"a step cannot be read: {error}", str(dict(told))[:60], "a step as it was kept")]
        ) from error
