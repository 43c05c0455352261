"""Which way to glide for a lost motion: what the rule says, what publications say, what the model computes."""

from __future__ import annotations

from dataclasses import dataclass

from endfeel.evidence.figures import Figure, number
from endfeel.evidence.library import Library, Row
from endfeel.inference import Posterior
from endfeel.treatment.techniques import parameter
from endfeel.vocabulary import Case, Finding

MODEL_WORDS = (
    "The model takes a tight shoulder near the end of the motion and pushes the head each way: what the glide adds to "
    "the strain of the bands that stop the motion. It knows tissue alone: no pain, no muscle, no time."
)


@dataclass(frozen=True, slots=True)
class ModelGlide:
    """What one glide does in the model."""

    direction: str
    added: Figure
    """Percentage points of strain in what stops the motion."""
    best: Figure
    """In what share of the drawn people it loads that most."""


@dataclass(frozen=True, slots=True)
class GlideDirection:
    """Three answers for one lost motion, side by side."""

    procedure: str
    name: str
    lost_deg: float
    against: str
    """What the loss is counted from."""
    rule: str
    rule_figure: Figure
    favours: Figure
    evidence: tuple[Figure, ...]
    model: tuple[ModelGlide, ...]
    """The direction that loads most first."""
    contributor: str
    """Name of what was tight in the model's shoulders."""

    @property
    def model_direction(self) -> str:
        return self.model[0].direction if self.model else ""

    @property
    def verdict(self) -> str:
        """Whether the three agree, in words."""
        told = {"rule": self.rule, "publications": self.favours.text, "model": self.model_direction or "no answer"}
        said = ", ".join(f"{who} {way}" for who, way in told.items())
        ways = [way for way in told.values() if stems(way)]
        apart = any(stems(one).isdisjoint(stems(other)) for one in ways for other in ways)
        if apart:
            return f"They do not all agree ({said})."
        decided = bool(stems(self.favours.text))
        return f"They point the same way ({said})." if decided else f"Publications do not decide ({said})."

    def support(self, direction: str) -> int:
        """How far the three support a glide this way: publications count most, then the model, then the rule."""
        way = stems(direction)
        return (
            4 * (bool(way) and way == stems(self.favours.text))
            + 2 * (not way.isdisjoint(stems(self.model_direction)))
            + (not way.isdisjoint(stems(self.rule)))
        )


def stems(direction: str) -> frozenset[str]:
    """The plain directions in a word or words: front and below of `anteroinferior`; none of `mixed`."""
    return frozenset(one for one in ("anter", "poster", "infer", "super", "later", "medial") if one in direction)


def glide_directions(case: Case, posterior: Posterior, library: Library) -> tuple[GlideDirection, ...]:
    """Every limited motion of the shoulder joint, the largest loss first."""
    least = parameter(library, "limited_deg")
    side = case.complaint.side
    found = []
    for row in library.tables["motion_directions"]:
        losses = [
            loss
            for finding in case.findings
            if finding.procedure in row.text["measured_by"].split() and finding.side in (side, None)
            and (loss := loss_of(finding, library)) is not None
        ]  # fmt: skip
        lost, against = max(losses, key=lambda one: one[0], default=(0.0, ""))
        if lost >= least:
            found.append(_answer(row, lost, against, posterior, library))
    return tuple(sorted(found, key=lambda one: -one.lost_deg))


def loss_of(finding: Finding, library: Library) -> tuple[float, str] | None:
    """Degrees below the other side, or below the usual range where the other was not measured."""
    if finding.value is None or finding.unit is None or finding.unit.value != "deg":
        return None
    if finding.other is not None:
        return finding.other - finding.value, "the other side"
    for row in library.tables["angle_reference"]:
        if row.text["procedure"] == finding.procedure and "normal_deg" in row.figures:
            return number(row.figures["normal_deg"]) - finding.value, "the usual range"
    return None


def _answer(row: Row, lost: float, against: str, posterior: Posterior, library: Library) -> GlideDirection:
    rule = library.figure(f"joint_rules.{row.text['rule']}.glide")
    tight, name = _tightest(posterior, library)
    counted = parameter(library, "least_counted_share")
    answers = [
        one
        for one in library.tables["computed_glides"]
        if (one.text["contributor"], one.text["procedure"]) == (tight, row.text["procedure"])
        and number(one.figures["counted_share"]) >= counted
    ]
    answers.sort(key=lambda one: -number(one.figures["added_strain"]))
    return GlideDirection(
        row.text["procedure"],
        library.catalogue[row.text["procedure"]].name,
        lost,
        against,
        row.text["rule_direction"],
        rule,
        row.statements["favours"],
        tuple(library.figure(f"joint_rules.{one}") for one in row.text["evidence"].split()),
        tuple(
            ModelGlide(one.text["direction"], one.figures["added_strain"], one.figures["best_share"])
            for one in answers
        ),
        name,
    )  # fmt: skip


def _tightest(posterior: Posterior, library: Library) -> tuple[str, str]:
    """The tight region that is most probable here, and its name; the whole capsule when none stands out."""
    known = {one.text["contributor"] for one in library.tables["computed_glides"]}
    beliefs = [one for one in posterior.beliefs if one.contributor in known]
    best = max(beliefs, key=lambda one: one.probability)
    if best.probability >= parameter(library, "least_probability"):
        return best.contributor, best.name
    whole = next(one for one in beliefs if one.contributor == "capsule_global")
    return whole.contributor, whole.name
