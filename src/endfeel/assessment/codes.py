"""Codes of the WHO classifications that may fit what was found: suggestions for the clinician to confirm."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from endfeel.evidence.library import Library
from endfeel.inference import Posterior
from endfeel.treatment.techniques import parameter
from endfeel.vocabulary import NotFound

TABLE = "classification_codes"
ANY = "any"
SYSTEMS = {"icd10": "ICD-10", "icf": "ICF"}
"""Word in the table to the name of the classification."""


@dataclass(frozen=True, slots=True)
class CodeSuggestion:
    """One code with our own short label. It says what may be coded, not what is."""

    id: str
    system: str
    """`ICD-10` or `ICF`."""
    code: str
    label: str
    because: tuple[tuple[str, float], ...]
    """Contributors it stands for here, with their probabilities; empty for a code that goes with any complaint."""
    provenance: str
    figure: str
    """Id of the figure that holds the code."""
    note: str

    @property
    def words(self) -> str:
        """`ICD-10 M75.0, stiff, frozen shoulder`."""
        return f"{self.system} {self.code}, {self.label}"


def suggested_codes(posterior: Posterior, library: Library) -> tuple[CodeSuggestion, ...]:
    """Codes of contributors that are at least as likely there as not, the most probable first within each
    classification; then those that go with any complaint. Nothing without a finding."""
    if not posterior.case.findings:
        return ()
    least = parameter(library, "code_probability")
    likely = [one for one in posterior.beliefs if one.examined and one.probability >= least]
    found = []
    for row in library.tables[TABLE]:
        wanted = row.text["contributors"].split()
        because = {one.name: one.probability for one in reversed(likely) if one.contributor in wanted}
        if because or ANY in wanted:
            told = tuple(sorted(because.items(), key=lambda pair: -pair[1]))
            found.append(
                CodeSuggestion(
                    row.id, SYSTEMS[row.text["system"]], row.statements["code"].text, row.text["label"], told,
                    row.provenance.label, row.statements["code"].id, row.note,
                )
            )  # fmt: skip
    systems = list(SYSTEMS.values())
    return tuple(sorted(found, key=lambda one: (systems.index(one.system), -_most(one))))


def _most(one: CodeSuggestion) -> float:
    return one.because[0][1] if one.because else -1.0


def confirmed_codes(suggested: Iterable[CodeSuggestion], wanted: Iterable[str]) -> tuple[CodeSuggestion, ...]:
    """Those of the suggested codes that the clinician confirmed, by code. Raises NotFound for one not suggested."""
    by_code = {one.code: one for one in suggested}
    for code in wanted:
        if code not in by_code:
            raise NotFound(f"the code {code!r} is not among those suggested here: {', '.join(by_code) or 'none'}")
    chosen = frozenset(wanted)
    return tuple(one for one in by_code.values() if one.code in chosen)
