"""Techniques that may be offered, as the evidence lists them, with their doses and limits."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from endfeel.evidence.figures import Figure, number
from endfeel.evidence.library import Library, Row
from endfeel.vocabulary import Irritability, NotFound, Position

TABLE, DOSES, LIMITS, PARAMETERS = "techniques", "technique_doses", "technique_limits", "treatment_parameters"
HANDS_ON = frozenset(("mobilisation", "thrust", "soft_tissue"))
"""Kinds in which the therapist's hands move the person."""
OPEN_TO_ALL = frozenset(("wait", "education"))
"""Kinds that need no contributor."""
KIND_WORDS: Mapping[str, str] = {
    "mobilisation": "joint mobilisation",
    "thrust": "thrust",
    "soft_tissue": "soft tissue",
    "motor_control": "control of movement",
    "loading": "loading",
    "education": "education",
    "wait": "nothing different",
    "referral": "referral",
}
INTENSITIES = (Irritability.HIGH, Irritability.MODERATE, Irritability.LOW)
"""From the gentlest dose to the strongest."""


@dataclass(frozen=True, slots=True)
class Technique:
    """One thing that can be done about a contributor. Read from `evidence/data/techniques.csv`."""

    id: str
    name: str
    kind: str
    region: str
    joint: str
    direction: str
    treatment_class: str
    """Whose expected benefit and harm it shares; empty for what needs no contributor."""
    contributors: tuple[str, ...]
    not_with: tuple[str, ...]
    """Contributors with which it should not be done."""
    procedure: str
    """The examination procedure it is done like: what forbids that forbids this. Empty when there is none."""
    positions: tuple[Position, ...]
    """Of the person, the preferred one first."""
    load: int
    """How much it provokes, 0 to 3."""
    end_range: bool
    family: str
    evidence: tuple[str, ...]
    """Rows of `treatment_evidence`."""
    retest: tuple[str, ...]
    """Procedures that would show its effect, the best first."""
    screen_no: tuple[str, ...]
    """Questions of the screen that must be answered "no" first."""
    against: str
    source: str
    provenance: str

    @property
    def hands_on(self) -> bool:
        return self.kind in HANDS_ON

    @property
    def needs_consent(self) -> bool:
        """Consent to this one technique, asked and recorded."""
        return self.kind == "thrust"


@dataclass(frozen=True, slots=True)
class Dose:
    """How much, for one irritability."""

    grade: str
    words: Figure
    basis: tuple[str, ...]
    """Figures it leans on."""

    @property
    def text(self) -> str:
        """`grade II to III, 3 x 60 s`."""
        said = self.words.text
        return f"grade {self.grade}, {said}" if self.grade else said


def techniques(library: Library) -> tuple[Technique, ...]:
    """Every technique of the evidence, in its order."""
    return tuple(_technique(row) for row in library.tables[TABLE])


def technique(library: Library, technique_id: str) -> Technique:
    """One technique. Raises NotFound."""
    try:
        return _technique(library.tables[TABLE].rows[technique_id])
    except KeyError:
        raise NotFound(f"no technique {technique_id!r}") from None


def dose_of(library: Library, family: str, irritability: Irritability) -> Dose:
    """The dose of a family of techniques at one irritability."""
    for row in library.tables[DOSES]:
        if (row.text["family"], row.text["irritability"]) == (family, irritability):
            return Dose(row.text["grade"], row.statements["dose"], tuple(row.text["basis"].split()))
    raise NotFound(f"no dose of {family!r} at irritability {irritability}")


def forbidden_kinds(library: Library, precaution: str) -> frozenset[str]:
    """What a precaution takes off the list: kinds of technique, and `end_range`."""
    for row in library.tables[LIMITS]:
        if row.text["precaution"] == precaution:
            return frozenset(row.statements["forbids"].text.split())
    return frozenset()


def parameter(library: Library, quantity: str) -> float:
    """One number that steers the choice, from the evidence. Raises NotFound."""
    return number(parameter_figure(library, quantity))


def parameter_figure(library: Library, quantity: str) -> Figure:
    """The same with its source."""
    for row in library.tables[PARAMETERS]:
        if row.text["quantity"] == quantity:
            return row.figures["value"]
    raise NotFound(f"no parameter of treatment {quantity!r}")


def _technique(row: Row) -> Technique:
    text = row.text
    against = row.statements.get("against")
    return Technique(
        id=row.id,
        name=text["name"],
        kind=text["kind"],
        region=text["region"],
        joint=text["joint"],
        direction=text["direction"],
        treatment_class=text["treatment_class"],
        contributors=tuple(text["contributors"].split()),
        not_with=tuple(text["not_with"].split()),
        procedure=text["procedure"],
        positions=tuple(map(Position, text["positions"].split())),
        load=int(number(row.figures["load"])),
        end_range=text["end_range"] == "yes",
        family=text["family"],
        evidence=tuple(text["evidence"].split()),
        retest=tuple(text["retest"].split()),
        screen_no=tuple(text["screen_no"].split()),
        against=against.text if against else "",
        source=row.source.id,
        provenance=row.provenance.label,
    )
