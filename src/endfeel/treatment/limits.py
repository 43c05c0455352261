"""What takes a technique off the list: safety first, then what it must not be done with, then the person's word."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from endfeel.evidence.library import Library
from endfeel.safety import Verdict
from endfeel.treatment.techniques import HANDS_ON, INTENSITIES, KIND_WORDS, Technique, forbidden_kinds, parameter
from endfeel.vocabulary import Case, Irritability, Position

FIRST = "refer_safety"
"""The technique that stands for the action of the verdict."""
ALWAYS = frozenset(("nothing_different", FIRST))
"""What safety never takes away: leaving things as they are, and doing what it says."""
THRUST_ALLOWED = frozenset(("allowed", "modify"))


@dataclass(frozen=True, slots=True)
class Preference:
    """What the person wants, and has agreed to."""

    refused: frozenset[str] = frozenset()
    """Kinds of technique, or ids, that are not wanted; `hands_on` stands for all three kinds of it."""
    consented: frozenset[str] = frozenset()
    """Ids of techniques explained and agreed to."""

    def refuses(self, one: Technique) -> bool:
        wide = one.hands_on and "hands_on" in self.refused
        return one.id not in ALWAYS and (wide or not self.refused.isdisjoint((one.id, one.kind)))


@dataclass(frozen=True, slots=True)
class Bars:
    """Everything that may stand against a technique in this case, gathered once."""

    case: Case
    verdict: Verdict
    probabilities: Mapping[str, float]
    """Contributor id to its highest probability on the side complained of, or in the middle."""
    names: Mapping[str, str]
    preference: Preference
    library: Library

    @property
    def answered(self) -> dict[str, bool]:
        """Answers of the screen; what was noticed counts as yes."""
        return dict(self.case.screen) | {one.cue: True for one in self.verdict.noticed}

    def reason_against(self, one: Technique) -> str:
        """Why it is not to be offered; empty when it may be."""
        if one.id in ALWAYS:
            return ""
        reasons = (self._withheld(), self._forbidden(one), self._hands(one), self._thrust(one), self._limited(one),
                   self._nowhere(one), self._conflict(one), self._unwanted(one))  # fmt: skip
        return next((reason for reason in reasons if reason), "")

    def open_questions(self, one: Technique) -> tuple[str, ...]:
        """Cues of the screen that must be answered "no" and are not answered."""
        return tuple(cue for cue in one.screen_no if cue not in self.answered)

    def cautions(self, one: Technique) -> tuple[str, ...]:
        """What speaks against it here without forbidding it."""
        said = [one.against] if one.against else []
        if one.hands_on:
            said += [
                f"{mark.condition}: {mark.handling}"
                for mark in self.verdict.precautions
                if mark.mobilisation in ("modify", "relative")
            ]
        least = parameter(self.library, "least_probability")
        said += [
            f"{self.names[other]} is not excluded ({self.probabilities[other]:.0%})"
            for other in one.not_with
            if self.probabilities.get(other, 0.0) >= least
        ]
        return tuple(said)

    def gentlest(self, one: Technique, stage: str) -> Irritability:
        """The dose to use: by irritability, gentler where a precaution or a recent onset asks for it."""
        dose = self.case.complaint.irritability or Irritability.MODERATE
        words = {mark.mobilisation for mark in self.verdict.precautions} if one.hands_on else set()
        asked = [dose]
        if "relative" in words:
            asked.append(Irritability.HIGH)
        if "modify" in words or stage == "acute":
            asked.append(Irritability.MODERATE)
        return min(asked, key=INTENSITIES.index)

    def _withheld(self) -> str:
        return f"treatment is withheld ({self.verdict.words})" if self.verdict.withholds_treatment else ""

    def _forbidden(self, one: Technique) -> str:
        return self.verdict.forbidden.get(one.procedure, "")

    def _hands(self, one: Technique) -> str:
        if one.kind not in HANDS_ON or self.verdict.mobilisation != "contraindicated":
            return ""
        flag = next((mark.name for mark in self.verdict.raised if mark.stop_handson), "")
        barring = [m.condition for m in self.verdict.precautions if m.mobilisation == "contraindicated"]
        return "hands-on work is contraindicated: " + "; ".join([flag] * bool(flag) + barring)

    def _thrust(self, one: Technique) -> str:
        if one.kind != "thrust":
            return ""
        if self.verdict.thrust not in THRUST_ALLOWED:
            barring = [m.condition for m in self.verdict.precautions if m.thrust not in THRUST_ALLOWED]
            return f"thrust is {self.verdict.thrust} here: {'; '.join(barring)}"
        if self.case.complaint.irritability is not Irritability.LOW:
            return "no thrust unless irritability is low and said to be so"
        yes = [cue for cue in one.screen_no if self.answered.get(cue)]
        return f"the screen answers yes: {', '.join(cue.replace('_', ' ') for cue in yes)}" if yes else ""

    def _limited(self, one: Technique) -> str:
        for mark in self.verdict.precautions:
            kinds = forbidden_kinds(self.library, mark.id)
            if one.kind in kinds:
                return f"no {KIND_WORDS[one.kind]} with {mark.condition}"
            if one.end_range and "end_range" in kinds:
                return f"nothing at the end of range with {mark.condition}"
        return ""

    def _nowhere(self, one: Technique) -> str:
        return (
            ""
            if self.positions(one)
            else "no position is left to do it in: " + "; ".join(sorted(set(self.verdict.forbidden_positions.values())))
        )

    def positions(self, one: Technique) -> tuple[Position, ...]:
        """Where the person may lie or sit for it."""
        return tuple(where for where in one.positions if where.value not in self.verdict.forbidden_positions)

    def _conflict(self, one: Technique) -> str:
        least = parameter(self.library, "not_with_probability")
        found = [other for other in one.not_with if self.probabilities.get(other, 0.0) >= least]
        worst = max(found, key=self.probabilities.__getitem__, default="")
        return f"not with {self.names[worst]} ({self.probabilities[worst]:.0%})" if worst else ""

    def _unwanted(self, one: Technique) -> str:
        return "the person does not want it" if self.preference.refuses(one) else ""
