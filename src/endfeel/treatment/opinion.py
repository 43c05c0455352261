"""When a further opinion is asked for beside treatment, by stated rules. Safety has its own and comes first."""

from __future__ import annotations

from dataclasses import dataclass

from endfeel.evidence.figures import number
from endfeel.evidence.library import Library, Row
from endfeel.inference import Posterior
from endfeel.vocabulary import Side

RULES = "opinion_rules"


@dataclass(frozen=True, slots=True)
class Asked:
    """One rule that holds here."""

    rule: str
    region: str
    side: Side | None
    members: tuple[int, ...]
    """Instances it is asked for."""
    says: str
    figures: tuple[str, ...]
    provenance: str


def opinions(posterior: Posterior, library: Library) -> tuple[Asked, ...]:
    """Every rule whose story holds and whose contributors are probable enough, by side."""
    found = []
    for row in library.tables[RULES]:
        for side, members in _members(row, posterior).items():
            sure = float(max(posterior.solution.probability[list(members)]))
            lost = row.figures.get("least_lost_deg")
            if sure < number(row.figures["least_share"]) or (lost and not _lost(posterior, side, number(lost))):
                continue
            region = posterior.solution.network.instances[members[0]].contributor.region
            figures = (row.figures["least_share"].id, *row.text.get("basis", "").split())
            found.append(Asked(row.id, region, side, members, row.text["says"], figures, row.provenance.label))
    return tuple(found)


def _members(row: Row, posterior: Posterior) -> dict[Side | None, tuple[int, ...]]:
    """Instances of the rule's contributors by side; none where the story does not hold, or is not known to."""
    if not _story_holds(row, posterior):
        return {}
    wanted = row.text["contributors"].split()
    found: dict[Side | None, tuple[int, ...]] = {}
    for i, instance in enumerate(posterior.solution.network.instances):
        if instance.contributor.id in wanted:
            found[instance.side] = (*found.get(instance.side, ()), i)
    return found


def _story_holds(row: Row, posterior: Posterior) -> bool:
    person, complaint = posterior.case.person, posterior.case.complaint
    for name, told, at_least in (
        ("age_from", person.age, True),
        ("age_below", person.age, False),
        ("weeks_from", complaint.weeks, True),
    ):
        bound = row.figures.get(name)
        if bound is not None and (told is None or (told >= number(bound)) is not at_least):
            return False
    onset = row.text.get("onset", "")
    return not onset or (complaint.onset is not None and str(complaint.onset) in onset.split())


def _lost(posterior: Posterior, side: Side | None, degrees: float) -> bool:
    """Whether any motion of this side misses so many degrees."""
    return any(
        one.observation.deficit_deg >= degrees and one.observation.side is side
        for one in posterior.solution.network.angles
    )
