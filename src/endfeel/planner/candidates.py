"""What could still be done, and in which position it teaches how much."""

from __future__ import annotations

from collections.abc import Container, Mapping
from dataclasses import dataclass
from typing import Any

from endfeel.evidence.library import Library
from endfeel.inference import says_trouble
from endfeel.planner.values import Candidate, LeftOut
from endfeel.safety import Verdict
from endfeel.vocabulary import Case, Finding, OutcomeKind, Position, Procedure, Result, Side

_NAMED = 2
"""Of several procedures that may come before, so many are named."""
_COMPARED = {OutcomeKind.ANGULAR, OutcomeKind.ACTIVE, OutcomeKind.RESISTED, OutcomeKind.LENGTH}


@dataclass(frozen=True, slots=True)
class Settings:
    """The planning data of one evidence release, read for one person's irritability."""

    data: Mapping[str, Any]
    irritability: str
    borne_load: float = 0.0
    """Provocation of what was examined already."""
    done_minutes: float = 0.0
    done_procedures: int = 0
    settled: bool = False
    """No test left is expected to change what is to be done: only a few that refine are still planned."""
    may_turn: int | None = None
    """How many tests may change what is to be done; None while all are open."""

    @classmethod
    def of(cls, library: Library, case: Case) -> Settings:
        """Unknown irritability is planned for as moderate; tests of the other side provoke nothing here."""
        done = [library.catalogue[f.procedure] for f in case.findings if f.side in (None, case.complaint.side)]
        return cls(
            library.documents["planning"],
            str(case.complaint.irritability or "moderate"),
            float(sum(procedure.irritability_load for procedure in done)),
            sum(procedure.typical_seconds for procedure in done) / 60,
            len(done),
        )

    def load_budget(self, minutes: float) -> float:
        """Sum of irritability loads still allowed: that of the whole examination, less what was borne already."""
        whole = float(self.data["budget"]["load"][self.irritability]) * self._longer(minutes)
        return max(0.0, whole - self.borne_load)

    def most_procedures(self, minutes: float) -> int:
        """Tests still allowed; a very irritable shoulder bears no more for having more time."""
        budget = self.data["budget"]
        longer = self._longer(minutes) if self.irritability in budget["more_procedures_with_time"] else 1.0
        return max(0, int(budget["most_procedures"][self.irritability] * longer) - self.done_procedures)

    def most_steps(self, minutes: float, required: int) -> int:
        """Tests that a plan may hold: those required, those that may change what is done, and a few that refine."""
        most = self.most_procedures(minutes)
        turning = 0 if self.settled else self.may_turn
        return most if turning is None else min(most, required + turning + int(self.data["stop"]["most_refining"]))

    def _longer(self, minutes: float) -> float:
        return max(1.0, (minutes + self.done_minutes) / float(self.data["budget"]["for_minutes"]))

    @property
    def seconds_per_load(self) -> float:
        """What a unit of provocation is worth in seconds: the budgets of a whole visit exchange the two."""
        budget = self.data["budget"]
        return 60.0 * float(budget["for_minutes"]) / float(budget["load"][self.irritability])

    @property
    def not_planned(self) -> Mapping[str, str]:
        """What is never proposed, only recorded, with the reason."""
        return {entry["procedure"]: entry["says"] for entry in self.data["not_planned"]}

    @property
    def strongest_load(self) -> int:
        return int(self.data["budget"]["strongest_load"][self.irritability])

    @property
    def most_besides_arrival(self) -> int:
        return int(self.data["positions"]["most_besides_arrival"][self.irritability])

    @property
    def change_load(self) -> float:
        return float(self.data["positions"]["change_load"][self.irritability])

    def change_seconds(self, here: Position, there: Position) -> float:
        """Time to turn from one position to another."""
        costs = self.data["positions"]
        if here is there:
            return 0.0
        if Position.PRONE in (here, there):
            return float(costs["change_to_or_from_prone_seconds"])
        if {here, there} == {Position.SITTING, Position.STANDING}:
            return float(costs["sitting_standing_seconds"])
        return float(costs["change_seconds"])

    def share_in(self, procedure: Procedure, position: Position) -> float:
        """Share of a procedure's information that this position leaves; 0 where it cannot be done."""
        if position not in procedure.positions:
            return 0.0
        costs = self.data["positions"]
        if position is Position.SIDE_LYING and procedure.side_lying == "adapted":
            return float(costs["adapted_share"])
        usual = position is procedure.preferred_position or position is Position.SIDE_LYING
        return 1.0 if usual else float(costs["not_preferred_share"])

    def stage(self, procedure: Procedure) -> int:
        """Place in the order inside a position: quiet things first."""
        for number, stage in enumerate(self.data["stage"]):
            if procedure.technique in stage["techniques"]:
                return number
        return len(self.data["stage"])


def gather(
    case: Case,
    library: Library,
    verdict: Verdict,
    settings: Settings,
    forbidden: tuple[str, ...] = (),
    spared: Container[str] = (),
    pinned: Container[str] = (),
    *,
    with_waiting: bool = False,
) -> tuple[list[Candidate], list[LeftOut]]:
    """Everything still open for the complaint's side, and what is ruled out with the reason.

    What is `spared` is not ruled out for its strength; what is `pinned` only by safety and the therapist's refusal.
    What makes sense only after another test has come up waits for it, unless asked for `with_waiting`.
    """
    done = {(f.procedure, f.side, f.level) for f in case.findings}
    candidates: list[Candidate] = []
    left_out: list[LeftOut] = []
    for procedure in library.catalogue:
        reason = _ruled_out(procedure, verdict, settings, forbidden, spared, pinned)
        if not reason and procedure.id not in pinned and not with_waiting:
            reason = _waits(procedure, case, library)
        if reason:
            left_out.append(
                LeftOut(procedure.id, procedure.name, None, None, reason, procedure.id in verdict.forbidden)
            )
            continue
        side = case.complaint.side if procedure.sided else None
        if procedure.sided and side is None:
            side = Side.RIGHT
        candidates += [
            Candidate(procedure, side, level, couch_seconds(procedure, settings))
            for level in procedure.levels or (None,)
            if (procedure.id, side, level) not in done
        ]
    return candidates, left_out


def barred(case: Case, library: Library, verdict: Verdict) -> frozenset[str]:
    """Procedures that safety rules out, that are never proposed, that wait for another, or that are too provoking."""
    settings = Settings.of(library, case)
    return frozenset(
        one.id
        for one in library.catalogue
        if _ruled_out(one, verdict, settings, (), (), ()) or _waits(one, case, library)
    )


def _waits(procedure: Procedure, case: Case, library: Library) -> str:
    """Why it does not make sense yet, or any more: what it follows was not found, or was free."""
    if not procedure.after:
        return ""
    done = [f for f in case.findings if f.procedure in procedure.after and f.side in (None, case.complaint.side)]
    if any(_came_up(finding, library) for finding in done):
        return ""
    names = " or ".join(library.catalogue[one].name for one in procedure.after[:_NAMED])
    more = " and the like" if len(procedure.after) > _NAMED else ""
    return f"{'what it follows was free' if done else 'makes sense only once this came up'}: {names}{more}"


def _came_up(finding: Finding, library: Library) -> bool:
    """Whether a test was positive, or a motion painful or lost."""
    if library.catalogue[finding.procedure].outcomes is OutcomeKind.TEST:
        return finding.result is Result.POSITIVE or finding.apprehension is True
    lost = finding.value is not None and finding.other is not None and finding.value != finding.other
    return lost or says_trouble(finding, measured=finding.other is None)


def couch_seconds(procedure: Procedure, settings: Settings) -> float:
    """How long a procedure takes, the other side for comparison included where one compares."""
    share = float(settings.data["comparison"]["other_side_share"])
    return procedure.typical_seconds * (1 + share if procedure.outcomes in _COMPARED and procedure.sided else 1)


def _ruled_out(
    procedure: Procedure,
    verdict: Verdict,
    settings: Settings,
    forbidden: tuple[str, ...],
    spared: Container[str],
    pinned: Container[str],
) -> str:
    if procedure.id in verdict.forbidden:
        return f"safety: {verdict.forbidden[procedure.id]}"
    if procedure.id in forbidden:
        return "forbidden by the therapist"
    if procedure.id in pinned:
        return ""
    if procedure.id in settings.not_planned:
        return settings.not_planned[procedure.id]
    if procedure.irritability_load > settings.strongest_load and procedure.id not in spared:
        return f"too provoking for {settings.irritability} irritability"
    return ""
