"""Contributors, their priors and what moves them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from endfeel.evidence.figures import number
from endfeel.evidence.library import Library
from endfeel.inference.parameters import Parameters
from endfeel.inference.pooling import Beta
from endfeel.vocabulary import Case, Finding, Result, Side


@dataclass(frozen=True, slots=True)
class Contributor:
    """One thing that may be wrong, before side and level."""

    id: str
    name: str
    sentence: str
    region: str
    sided: bool
    levels: tuple[str, ...]
    prior: Beta
    prior_figures: tuple[str, ...]
    treatment_class: str
    tissue: str
    provenance: str
    brings_complaint: bool = False
    """Whether somebody may come for it alone."""
    bilateral: bool = False
    """Usually there on both sides, so that the other side is no control for it."""


@dataclass(frozen=True, slots=True)
class Modifier:
    """Multiplies the prior odds of some contributors when the story says so."""

    id: str
    contributors: frozenset[str]
    odds_ratio: float
    conditions: Mapping[str, Any]
    why: str
    figures: tuple[str, ...]

    def applies(self, case: Case) -> bool:
        """True when every condition is known to hold; an unknown fact moves nothing."""
        return all(_holds(name, wanted, case) for name, wanted in self.conditions.items())

    def ratio(self, case: Case) -> float:
        """What it multiplies the odds by in a case it applies to: a score of general laxity counts point by point."""
        score, usual = laxity_score(case), self.conditions.get(_BY_POINT)
        return self.odds_ratio if usual is None or score is None else self.odds_ratio ** (score - usual)


@dataclass(frozen=True, slots=True)
class Instance:
    """A contributor at one side and level, with its prior in this case."""

    index: int
    """Position of the contributor in the model."""
    contributor: Contributor
    side: Side | None
    level: str | None
    prior: float
    odds_ratio: float
    """What story and side did to the base odds."""

    @property
    def id(self) -> str:
        return f"{self.contributor.id}.{self.level}" if self.level else self.contributor.id

    @property
    def name(self) -> str:
        return f"{self.contributor.name} {self.level}" if self.level else self.contributor.name


_CONDITIONS = (
    "age_from", "age_below", "onset", "weeks_from", "weeks_below", "areas", "areas_without", "cue_yes", "cue_no",
    "beighton_from",
)  # fmt: skip
_BY_POINT = "beighton_from"
"""The score at which the ratio is one; the odds ratio is then that of one point more."""


def laxity_score(case: Case) -> float | None:
    """The last recorded score of general laxity (Beighton), 0 to 9."""
    scores = [f.value for f in case.findings if f.procedure == "beighton" and f.value is not None]
    return scores[-1] if scores else None


def _holds(name: str, wanted: Any, case: Case) -> bool:
    person, complaint = case.person, case.complaint
    match name:
        case "age_from":
            return person.age is not None and person.age >= wanted
        case "age_below":
            return person.age is not None and person.age < wanted
        case "onset":
            return complaint.onset in wanted
        case "weeks_from":
            return complaint.weeks is not None and complaint.weeks >= wanted
        case "weeks_below":
            return complaint.weeks is not None and complaint.weeks < wanted
        case "beighton_from":
            return laxity_score(case) is not None
        case "cue_yes":
            return case.screen.get(wanted) is True
        case "cue_no":
            return case.screen.get(wanted) is False
        case "areas_without":
            return bool(complaint.areas) and not any(area in wanted for area in complaint.areas)
        case _:
            return any(area in wanted for area in complaint.areas)


def read_contributors(library: Library) -> tuple[tuple[Contributor, ...], tuple[Modifier, ...]]:
    """Contributors and modifiers of contributors.toml. Raises NotFound for an unknown figure."""
    document = library.documents["contributors"]
    contributors = tuple(_contributor(entry, library) for entry in document["contributor"])
    return contributors, tuple(_modifier(entry, library) for entry in document["modifier"])


def _contributor(entry: Mapping[str, Any], library: Library) -> Contributor:
    figures = tuple(entry.get("prior_figures", ()))
    shares = [number(library.figure(figure)) for figure in figures]
    mean = sum(shares) / len(shares) if shares else float(entry["prior"])
    return Contributor(
        id=entry["id"],
        name=entry["name"],
        sentence=entry["sentence"],
        region=entry["region"],
        sided=entry["sided"],
        levels=tuple(entry.get("levels", ())),
        prior=Beta(mean, float(entry["prior_weight"])),
        prior_figures=figures,
        treatment_class=entry["treatment_class"],
        tissue=entry["tissue"],
        provenance=entry["provenance"],
        brings_complaint=entry.get("brings_complaint", False),
        bilateral=entry.get("bilateral", False),
    )


def _modifier(entry: Mapping[str, Any], library: Library) -> Modifier:
    figures: tuple[str, ...] = ()
    if "ratio_figure" in entry:
        figures = (entry["ratio_figure"], entry["reference_figure"])
        over, under = (number(library.figure(figure)) for figure in figures)
        ratio = over / (1.0 - over) / (under / (1.0 - under))
    elif "odds_ratio_figure" in entry:
        figures = (entry["odds_ratio_figure"],)
        published = number(library.figure(figures[0]))
        average = 1.0 + float(entry["share_with"]) * (published - 1.0)
        ratio = (published if "cue_yes" in entry else 1.0) / average
    else:
        ratio, figures = float(entry["odds_ratio"]), tuple(entry.get("beside_figures", ()))
    return Modifier(
        id=entry["id"],
        contributors=frozenset(entry["contributors"]),
        odds_ratio=ratio,
        conditions={name: entry[name] for name in _CONDITIONS if name in entry},
        why=entry["why"],
        figures=figures,
    )


def says_trouble(finding: Finding, *, measured: bool) -> bool:
    """Whether anything recorded is abnormal, sore, stiff or slack; an angle by itself (`measured`) counts as such."""
    told = (finding.result, finding.mobility, finding.pain, finding.end_feel, finding.familiar, finding.strength)
    plain = (
        finding.result in (None, Result.NEGATIVE, Result.NORMAL)
        and finding.mobility in (None, 3)
        and not finding.pain
        and not finding.familiar
        and not finding.apprehension
        and finding.strength in (None, 5)
    )
    return not plain or (measured and finding.value is not None and all(one is None for one in told))


def controls(case: Case) -> dict[int, int]:
    """Measurements of the side not complained of, to the same one of the side complained of: what that is compared
    with. Of several the last counts, on either side; units must be the same."""
    here = case.complaint.side
    if here is None:
        return {}
    measured = {
        (f.procedure, f.level, f.unit, f.side or here): i for i, f in enumerate(case.findings) if f.value is not None
    }
    mine = {key[:3]: i for key, i in measured.items() if key[3] is here}
    return {i: mine[key[:3]] for key, i in measured.items() if key[3] is not here and key[:3] in mine}


def sides_of(case: Case) -> tuple[Side | None, ...]:
    """The sides to reason about: the one complained of first, then any where something was not as it should be.

    A side examined for comparison and found free says nothing is wrong there; it needs no contributors. An angle that
    only serves to compare says nothing of its own side.
    """
    free = controls(case)
    troubled = (f.side for i, f in enumerate(case.findings) if says_trouble(f, measured=i not in free))
    sides = dict.fromkeys([case.complaint.side, *troubled])
    sides.pop(None, None)
    return tuple(sides) or (None,)


def told_by_story(case: Case) -> tuple[object, ...]:
    """Everything of a case that `instances_of` depends on."""
    complaint = case.complaint
    return (
        case.person.age, complaint.side, complaint.onset, complaint.weeks, tuple(complaint.areas), laxity_score(case),
        frozenset(case.screen.items()), sides_of(case),
    )  # fmt: skip


def instances_of(
    case: Case, contributors: tuple[Contributor, ...], modifiers: tuple[Modifier, ...], parameters: Parameters
) -> tuple[Instance, ...]:
    """Every contributor by side and level, with its prior after the story."""
    limit = parameters["modifier_limit"]
    active = [modifier for modifier in modifiers if modifier.applies(case)]
    sides = sides_of(case)
    made: list[Instance] = []
    for index, contributor in enumerate(contributors):
        ratio = 1.0
        for modifier in active:
            if contributor.id in modifier.contributors:
                ratio *= modifier.ratio(case)
        ratio = min(limit, max(1.0 / limit, ratio))
        for side in sides if contributor.sided else (None,):
            away = contributor.sided and case.complaint.side is not None and side is not case.complaint.side
            here = ratio * (parameters["other_side_odds"] if away else 1.0)
            odds = here * contributor.prior.mean / (1.0 - contributor.prior.mean)
            made.extend(
                Instance(index, contributor, side, level, odds / (1.0 + odds), here)
                for level in contributor.levels or (None,)
            )
    return tuple(made)
