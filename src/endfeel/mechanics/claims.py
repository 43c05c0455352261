"""What the trade says, what publications say and what the model says, side by side; where they part is left to stand.

Stress tests: the trade claims that a band is taut in a position; the model says in how many people it is; publications
say taut, slack, or both. Clavicle and glides: each claim answered by geometry and, where there is one, by the springs
of the joint.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np

from endfeel.anatomy.rhythm import find_rhythm
from endfeel.anatomy.sizes import default_sizes
from endfeel.anatomy.sternal_glide import answers
from endfeel.anatomy.units import Floats
from endfeel.evidence.figures import number
from endfeel.evidence.library import Library, Row
from endfeel.mechanics.changes import REGIONS
from endfeel.mechanics.cuff import of_cuff
from endfeel.mechanics.shoulder import Shoulders, arm
from endfeel.mechanics.stress_table import TAUT, Stress
from endfeel.mechanics.study_bench import setting

Says = Literal["taut", "slack", "both"]
CORACOHUMERAL = "coracohumeral"
GLIDES = {"glide forward": "anterior", "glide backward": "posterior"}


@dataclass(frozen=True, slots=True)
class StressCell:
    """One structure in one stress test."""

    position: str
    turn: str
    structure: str
    claim: str
    """Id of the trade's claim that it is taut; empty where the trade does not name it."""
    taut_probability: float
    median_share: float
    mean_share: float
    model: Says
    """taut where it is so in most people."""
    published: Says | None
    studies: tuple[tuple[str, str], ...]
    """Rows of the restraint studies with what each says."""
    answered: int
    """People in whom the turn found an end; probability and shares are of these."""

    @property
    def model_agrees_with_trade(self) -> bool | None:
        """None where the trade says nothing."""
        return None if not self.claim else self.model == "taut"

    @property
    def publications_agree_with_trade(self) -> bool | None:
        """None where either says nothing, or publications say both."""
        if not self.claim or self.published in (None, "both"):
            return None
        return self.published == "taut"

    @property
    def model_agrees_with_publications(self) -> bool | None:
        """None where publications say nothing, or both."""
        if self.published in (None, "both"):
            return None
        return self.published == self.model


@dataclass(frozen=True, slots=True)
class ClaimAnswer:
    """A claim of the trade about clavicle or glide, and what the model says."""

    claim: str
    """Id of its row."""
    says: str
    computed: str
    agrees: bool
    rests_on: str


def stress_cells(library: Library, stresses: Mapping[str, Stress]) -> tuple[StressCell, ...]:
    """Every band in every stress test; the two bands of the coracohumeral ligament also together, as the trade names
    them. A test in which nobody's turn found an end has no cells."""
    taut_n = number(library.figure(TAUT))
    majority = setting(library, "majority")
    claimed = {_key(row): row.id for row in library.tables["claims"] if row.text.get("rotation")}
    told: dict[tuple[str, str, str], list[tuple[str, str]]] = {}
    for row in library.tables["stress_publications"]:
        told.setdefault(_key(row), []).append((row.text["study_row"], row.statements["says"].text))
    cells = []
    for stress in stresses.values():
        answered = len(stress.rotation_deg)
        if not answered:
            continue
        for structure in (*stress.bands, CORACOHUMERAL):
            key = (stress.test.position, stress.test.turn, structure)
            likely = stress.taut_probability(structure, taut_n)
            studies = tuple(told.get(key, ()))
            cells.append(
                StressCell(
                    *key,
                    claimed.get(key, ""),
                    likely,
                    stress.median_share(structure),
                    stress.mean_share(structure),
                    "taut" if likely >= majority else "slack",
                    _together({says for _, says in studies}),
                    studies,
                    answered,
                )
            )
    return tuple(cells)


def named_by(cells: tuple[StressCell, ...]) -> tuple[StressCell, ...]:
    """The cells that anybody names: the trade, publications, or the model as taut; parts of a named whole left out, and
    the cuff, which is never slack all over."""
    wholes = {(cell.position, cell.turn) for cell in cells if cell.structure == CORACOHUMERAL and _is_named(cell)}
    parts = REGIONS[CORACOHUMERAL]
    return tuple(
        cell
        for cell in cells
        if _is_named(cell)
        and not of_cuff(cell.structure)
        and not (cell.structure in parts and (cell.position, cell.turn) in wholes)
    )


def claim_answers(library: Library, living: Shoulders) -> tuple[ClaimAnswer, ...]:
    """The claims about the clavicle answered by geometry, those about glides by pushing the head of drawn people."""
    geometry = {one.claim: one for one in answers(library, find_rhythm(library), default_sizes(library))}
    found = []
    for row in library.tables["claims"]:
        says = f"{row.text['position']}: {row.text['structure']} {row.statements['claim'].text}"
        if row.text["joint"] == "SC":
            one = geometry[row.text["question"]]
            found.append(ClaimAnswer(row.id, says, one.computed, one.agrees, one.holds_on))
        elif row.text["position"] in GLIDES:
            computed, agrees, rests = _path(library, living, GLIDES[row.text["position"]])
            found.append(ClaimAnswer(row.id, says, computed, agrees, rests))
    return tuple(found)


def _path(library: Library, living: Shoulders, direction: str) -> tuple[str, bool, str]:
    """The path of the middle of the head: the circle through its place at rest, under half the push and under all.
    (How far it rises alone would not tell: it rests beside the middle of the socket, and may cross the hollow.)"""
    pushed = setting(library, "arc_force_N")
    half, glide = (living.translation(arm(0.0), direction, force) for force in (pushed / 2.0, pushed))
    ok = half.converged & glide.converged & glide.seated
    radii = arc_radius_mm((half.along_mm[ok], half.out_mm[ok]), (glide.along_mm[ok], glide.out_mm[ok]))
    along, out, radius = (float(np.median(values)) for values in (glide.along_mm[ok], glide.out_mm[ok], radii))
    computed = (
        f"{along:.1f} mm along and {out:.2f} mm out of the socket: the head's middle on an arc of about {radius:.0f} mm"
    )
    rests = f"{pushed:g} N, arm hanging, median of {int(ok.sum())} people whose head stays seated"
    return computed, radius < setting(library, "arc_radius_mm"), rests


def arc_radius_mm(halfway: tuple[Floats, Floats], end: tuple[Floats, Floats]) -> Floats:
    """The radius (n,) of the circle through a start and two later places, each (along, out) from it; infinite where the
    path is straight or bends into the socket."""
    bend = halfway[0] * end[1] - halfway[1] * end[0]
    sides = np.hypot(*halfway) * np.hypot(*end) * np.hypot(end[0] - halfway[0], end[1] - halfway[1])
    radius: Floats = np.divide(sides, 2.0 * bend, out=np.full_like(sides, np.inf), where=bend > 0.0)
    return radius


def _is_named(cell: StressCell) -> bool:
    return bool(cell.claim) or cell.published is not None or cell.model == "taut"


def _together(says: set[str]) -> Says | None:
    if not says:
        return None
    if len(says) > 1:
        return "both"
    return "taut" if "taut" in says else "slack"


def _key(row: Row) -> tuple[str, str, str]:
    return row.text["position"], row.text["rotation"], row.text["structure"]
