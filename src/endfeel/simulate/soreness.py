"""How a simulated person bears being handled: provocation adds up, settles in quiet, makes sore and unwilling.

Budgets are those of planning (practice); how much sorer and from where on refused is custom too (teaching.toml).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from endfeel.evidence.library import Library
from endfeel.simulate.dangers import DOCUMENT
from endfeel.simulate.people import Patient
from endfeel.vocabulary import Irritability


@dataclass(frozen=True, slots=True)
class Soreness:
    """How much was stirred up and has not settled yet, against what this person bears."""

    budget: float
    settles_per_second: float
    rule: Mapping[str, Any]
    pain_rule: Mapping[str, Any]
    stirred: float = 0.0
    borne: float = 0.0
    """All that was provoked, settled or not."""

    @classmethod
    def of(cls, irritability: Irritability, library: Library) -> Soreness:
        """Before anything is done."""
        teaching = library.documents[DOCUMENT]
        budget = float(library.documents["planning"]["budget"]["load"][irritability])
        settles = float(teaching["soreness"]["settles_per_minute"][irritability]) / 60.0
        return cls(budget, settles, teaching["soreness"], teaching["pain"])

    @property
    def share(self) -> float:
        """What is stirred up, in budgets."""
        return self.stirred / self.budget

    def after(self, seconds: float, load: float) -> Soreness:
        """So many seconds later, with so much provoked on the way; nothing settles while it is provoked."""
        settled = self.stirred if load > 0 else max(0.0, self.stirred - self.settles_per_second * seconds)
        return replace(self, stirred=settled + load, borne=self.borne + load)

    def refuses(self, load: float) -> bool:
        """Whether the person does not let this be done any more."""
        rule = self.rule
        strong = load >= rule["strong_load"] and self.share >= rule["refuses_strong_from"]
        return strong or (load > 0 and self.share >= rule["refuses_all_from"])

    def pain(self, at_rest: float) -> float:
        """Pain at rest by now, at most 10."""
        return min(10.0, at_rest + float(self.pain_rule["added_by_a_budget"]) * self.share)

    def sorer(self, patient: Patient) -> Patient:
        """The person as he or she is by now: more is provoked, whatever is there."""
        more = self.rule["sorer_sd"] * max(0.0, self.share - self.rule["sorer_from"])
        return replace(patient, provocation=patient.provocation + more) if more else patient
