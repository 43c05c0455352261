"""What safety says, as values: flags with their reasons, precautions, advice, and the verdict that holds them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from endfeel.safety.noticing import Noticed

HANDLING = ("allowed", "modify", "relative", "contraindicated")
"""What a precaution says of mobilisation or thrust, from free to forbidden."""


class Urgency(StrEnum):
    """How soon somebody else must see the person; later members are more urgent."""

    NONE = "none"
    MONITOR = "monitor"
    REFER = "refer"
    URGENT = "urgent"
    SAME_DAY = "same_day"
    EMERGENCY = "emergency"

    @property
    def rank(self) -> int:
        return list(Urgency).index(self)

    @property
    def words(self) -> str:
        return self.value.replace("_", " ")


@dataclass(frozen=True, slots=True)
class Reason:
    """One cue that speaks for a flag: the question, and how its answer is known."""

    cue: str
    question: str
    known_from: str


@dataclass(frozen=True, slots=True)
class RaisedFlag:
    """A red flag whose rule is met, or cannot be excluded."""

    id: str
    name: str
    urgency: Urgency
    action: str
    reasons: tuple[Reason, ...]
    unanswered: tuple[str, ...]
    stop_handson: bool
    safe_checks: tuple[str, ...]
    source: str
    urgency_provenance: str
    cues_provenance: str
    action_provenance: str


@dataclass(frozen=True, slots=True)
class Precaution:
    """A condition that changes how hands may be used."""

    id: str
    condition: str
    handling: str
    mobilisation: str
    thrust: str
    because: str
    source: str
    provenance: str


@dataclass(frozen=True, slots=True)
class Advice:
    """What a medicine, a group of people or an operation asks of the hands."""

    kind: str
    """`drug`, `population` or `post_operative`."""
    name: str
    lines: tuple[str, ...]
    because: str
    source: str
    provenance: str


@dataclass(frozen=True, slots=True)
class Verdict:
    """What safety says about one case. Unanswered is never "no"."""

    urgency: Urgency
    action: str
    raised: tuple[RaisedFlag, ...]
    not_excluded: tuple[RaisedFlag, ...]
    """Flags with at least one cue met whose rule hangs on unanswered cues; those the story speaks for first."""
    precautions: tuple[Precaution, ...]
    noticed: tuple[Noticed, ...]
    conflicts: tuple[Noticed, ...]
    """Answered "no" but noticed all the same; the danger wins."""
    unanswered: tuple[str, ...]
    forbidden: Mapping[str, str]
    """Procedure id → why it must not be done."""
    unscreened: tuple[str, ...] = ()
    """Ids of flags of which nothing is known that could exclude them: their items were not answered."""
    held: tuple[RaisedFlag, ...] = ()
    """Emergencies that the story, a finding or an answer makes suspected and unanswered items leave open."""
    ask_now: tuple[str, ...] = ()
    """Cues to ask before anything else: those the story told, and those that would complete the flags it speaks for."""
    ask_words: tuple[str, ...] = ()
    """The same as plain questions."""
    advice: tuple[Advice, ...] = ()
    forbidden_positions: Mapping[str, str] = field(default_factory=dict)
    """Position → why the person must not lie or sit so."""
    override_reason: str = ""
    override_by: str = ""

    @property
    def is_pressing(self) -> bool:
        """Urgent or more."""
        return self.urgency.rank >= Urgency.URGENT.rank

    @property
    def words(self) -> str:
        """The urgency as it is said everywhere: below urgent a hold and an incomplete screen are part of the words."""
        if self.is_held:
            return f"{self.urgency.words}, on hold until asked"
        incomplete = " so far (screen incomplete)" if self.unscreened and not self.is_pressing else ""
        return self.urgency.words + incomplete

    @property
    def is_overridden(self) -> bool:
        return bool(self.override_reason)

    @property
    def is_held(self) -> bool:
        """Nothing pressing is raised, but an emergency is suspected and its questions are not answered."""
        return bool(self.held) and not self.is_pressing and not self.is_overridden

    @property
    def stops_plan(self) -> bool:
        return (self.is_pressing or self.is_held) and not self.is_overridden

    @property
    def withholds_treatment(self) -> bool:
        return self.stops_plan

    @property
    def stops_handson(self) -> bool:
        return any(flag.stop_handson for flag in self.raised) and not self.is_overridden

    @property
    def mobilisation(self) -> str:
        """The strictest word on mobilisation: allowed, modify, relative or contraindicated."""
        return self._strictest([one.mobilisation for one in self.precautions])

    @property
    def thrust(self) -> str:
        """The strictest word on thrust techniques."""
        return self._strictest([one.thrust for one in self.precautions])

    def _strictest(self, words: list[str]) -> str:
        if any(flag.stop_handson for flag in self.raised):
            return HANDLING[-1]
        return max(words, key=HANDLING.index, default=HANDLING[0])
