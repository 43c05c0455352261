"""What turned out to be so: kept with the episode, counted with those of others who agreed, told to other sites."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from endfeel.care.caseload import AT_A_TIME, PURPOSE, counted_people
from endfeel.care.checks import entry_id_of, kept_words, name_of
from endfeel.care.desk import Desk, new_id
from endfeel.caseload.report import fewest_people
from endfeel.exchange.local_counts import Outgoing, SiteCounts, outgoing, read_site
from endfeel.inference import infer
from endfeel.inference.local_counts import Beside, CountKey, Counts, Followed, Merged, beside, count_tests
from endfeel.inference.local_figures import LocalFigures, local_figures, with_others
from endfeel.measurement.answer_checks import local_day
from endfeel.records import confirmed, counted, queries
from endfeel.records.caseload import episodes_of_people
from endfeel.records.confirmed import KeptOutcome
from endfeel.records.counted import marks_of_people
from endfeel.records.store import glancing, reading
from endfeel.records.tables import EpisodeRow
from endfeel.vocabulary import CannotRead, Case, Fault, NotFound, Refused
from endfeel.vocabulary.confirmed import ConfirmedOutcome


def record_outcome(desk: Desk, episode_id: str, told: ConfirmedOutcome, outcome_id: str | None = None) -> str:
    """Keep what turned out in an episode; the same id twice is kept once, a later word about the same counts instead.

    It may come long after the note was signed. Raises CannotRead with every fault, NotFound for an unknown episode.
    """
    told = replace(told, words=kept_words(told.words, "words"), by=name_of(desk.signer(told.by), "by"))
    outcome_id = entry_id_of(outcome_id)
    with desk.transaction() as session:
        person_id = queries.row_of(session, EpisodeRow, episode_id, "episode").person_id
        row = confirmed.kept_before(session, outcome_id)
        if row is not None:
            if row.episode_id != episode_id or row.takes_back or confirmed.outcome_from_row(row) != told:
                raise Refused("this outcome was already kept with other content; write it anew")
            return outcome_id
        faults = _faults(desk, told)
        if faults:
            raise CannotRead(faults)
        queries.audit(session, desk.clock(), desk.who, "record outcome", person_id, detail=told.contributor)
        confirmed.add_outcome(session, episode_id, desk.clock(), outcome_id, told)
    return outcome_id


def _faults(desk: Desk, told: ConfirmedOutcome) -> list[Fault]:
    known = {one.id: one for one in desk.model.contributors}
    faults = []
    if told.contributor not in known:
        faults.append(Fault("say what it was about", told.contributor, "one of the list", field="contributor"))
    elif known[told.contributor].sided and told.side is None:
        faults.append(Fault("say on which side", "", "right or left", field="side"))
    if told.known_on > local_day(desk.clock()):
        faults.append(Fault("a day that has not come yet", f"{told.known_on}", "today or earlier", field="known_on"))
    if not told.by:
        faults.append(Fault("say who recorded it", "", "your name", field="by"))
    return faults


def outcomes_of(desk: Desk, episode_id: str) -> tuple[KeptOutcome, ...]:
    """What stands in an episode, in the order it was kept. Raises NotFound."""
    with desk.transaction() as session:
        person_id = queries.row_of(session, EpisodeRow, episode_id, "episode").person_id
        queries.audit(session, desk.clock(), desk.who, "view outcomes", person_id)
        return confirmed.outcomes_of(session, [episode_id])


def take_back_outcome(desk: Desk, episode_id: str, outcome_id: str, by: str) -> None:
    """Take one back; it stays on record. Raises NotFound when it does not stand, CannotRead without a name."""
    by = name_of(desk.signer(by), "by")
    if not by:
        raise CannotRead([Fault("say who takes it back", "", "your name", field="by")])
    with desk.transaction() as session:
        person_id = queries.row_of(session, EpisodeRow, episode_id, "episode").person_id
        if outcome_id not in [one.id for one in confirmed.outcomes_of(session, [episode_id])]:
            raise NotFound("that outcome does not stand in this episode")
        queries.audit(session, desk.clock(), desk.who, "take back outcome", person_id)
        confirmed.take_back(session, episode_id, desk.clock(), new_id(), outcome_id, by)


def local_counts(desk: Desk, without: str = "") -> Mapping[CountKey, Counts]:
    """Every test against what turned out, of people who agreed to shared counts and of nobody else; in a
    clinic of those whom who is signed in may see. `without` is a person left out: one's own outcome is no experience
    with others."""
    with desk.transaction() as session:
        people = tuple(one for one in counted_people(session, desk) if one != without)
        owners = confirmed.episodes_with_outcomes(session, people)
        kept: dict[str, list[ConfirmedOutcome]] = {}
        for one in confirmed.outcomes_of(session, owners):
            kept.setdefault(one.episode_id, []).append(one.outcome)
        told = f"{PURPOSE}, {len(set(owners.values()))} people"
        queries.audit(session, desk.clock(), desk.who, "count outcomes", None, detail=told)
        asked = "outcomes", tuple(marks_of_people(session, set(owners.values())).items()), repr(kept)
    return desk.concluded.recall(asked, lambda: _counted(desk, owners, kept))


def _counted(
    desk: Desk, owners: Mapping[str, str], kept: Mapping[str, list[ConfirmedOutcome]]
) -> Mapping[CountKey, Counts]:  # fmt: skip
    found = []
    wanted = sorted({owners[episode_id] for episode_id in kept})
    for start in range(0, len(wanted), AT_A_TIME):
        with reading(desk.engine) as session:
            episodes = episodes_of_people(session, wanted[start : start + AT_A_TIME])
        found += [
            Followed(
                one.person_id,
                tuple((local_day(visit.opened_at), visit.case) for visit in one.visits),
                tuple(kept[one.id]),
            )
            for one in episodes
            if one.id in kept
        ]
    return count_tests(found, desk.model)


def local_evidence(desk: Desk) -> tuple[Beside, ...]:
    """Every local count beside the published figures, the most people first."""
    return beside(local_counts(desk), desk.model)


def counts_to_share(desk: Desk, site: str, earlier: SiteCounts | None = None, fewest: int | None = None) -> Outgoing:
    """The document for other sites: counts, never people; small ones stay. Every table is kept as it was told last, and
    held back the next time where little has come since; `earlier` is what was told where nothing is kept. Raises
    CannotRead, also for another code than before: two codes would tell of who came between."""
    few = fewest_people(desk.library, fewest, "shared_fewest")
    until, mine = f"{desk.clock().astimezone():%Y-%m}", local_counts(desk)
    with desk.transaction() as session:
        queries.audit(session, desk.clock(), desk.who, "send counts", None, detail=site[:60])
        known = counted.sites(session)
        if any(row.site == site and not row.own for row in known):
            raise CannotRead([Fault("this is the code of another site", site, "a code of your own", field="site")])
        sent = next((row.document for row in known if row.own), None)
        before = read_site(json.dumps(sent)) if sent else earlier
        made = outgoing(mine, site, until, desk.library.release, few, before)
        counted.keep_site(session, site, desk.clock(), made.told, own=True)
    return made


@dataclass(frozen=True, slots=True)
class KnownSite:
    """A site whose counts are kept here."""

    told: SiteCounts
    at: datetime
    own: bool


def known_sites(desk: Desk) -> tuple[KnownSite, ...]:
    """The newest counts of every site that sent some, and each table as it was sent from here last, by code."""
    with desk.transaction() as session:
        queries.audit(session, desk.clock(), desk.who, "count outcomes", None, detail="counts of sites")
        return tuple(KnownSite(read_site(json.dumps(row.document)), row.at, row.own) for row in counted.sites(session))


def take_counts(desk: Desk, text: str, file: str = "") -> SiteCounts:
    """Keep what another site sent in place of its earlier counts. Raises CannotRead with every fault."""
    told = read_site(text, file)
    with desk.transaction() as session:
        queries.audit(session, desk.clock(), desk.who, "take counts of a site", None, detail=told.site)
        _not_from_here(told, any(row.own and row.site == told.site for row in counted.sites(session)))
        counted.keep_site(session, told.site, desk.clock(), json.loads(text), own=False)
    return told


def _not_from_here(told: SiteCounts, is_own: bool) -> None:
    if is_own:
        raise CannotRead([Fault("these are the counts sent from here", told.site, "a file of another site")])


def remove_counts(desk: Desk, site: str) -> None:
    """Keep nothing of another site any longer."""
    with desk.transaction() as session:
        queries.audit(session, desk.clock(), desk.who, "remove counts of a site", None, detail=site[:60])
        counted.remove_site(session, site)


def has_local_counts(desk: Desk) -> bool:
    """Whether anything turned out in these records, or another site sent counts: else there is nothing to show."""
    with glancing(desk.engine) as connection:
        return counted.anything_counted(connection)


@dataclass(frozen=True, slots=True)
class LocalEvidence:
    """What was counted here, and told by other sites."""

    here: tuple[Beside, ...]
    """Every local count beside the published figures, the most people first."""
    sites: tuple[KnownSite, ...]
    merged: tuple[Merged, ...]
    """Tests of which another site tells, its counts and those from here put together."""


def local_and_sites(desk: Desk) -> LocalEvidence:
    """Counts from here and of other sites, each read once."""
    mine, sites = local_counts(desk), known_sites(desk)
    others = [one.told.tables for one in sites if not one.own]
    merged = with_others(mine, others, desk.model) if others else ()
    return LocalEvidence(beside(mine, desk.model), sites, merged)


def figures_for(desk: Desk, case: Case, person_id: str = "", more: Sequence[SiteCounts] = ()) -> LocalFigures:
    """What counts here and of other sites, `more` among them, would change for a case, read by the usual hands: counts
    are of everybody's. The own outcome of `person_id` is left out. Raises CannotRead where `more` holds a document sent
    from here: its people would be counted twice."""
    sites = known_sites(desk)
    others = {one.told.site: one.told.tables for one in sites if not one.own}
    for one in more:
        _not_from_here(one, any(known.own and known.told.site == one.site for known in sites))
        others[one.site] = one.tables
    return local_figures(infer(case, desk.model), desk.library, local_counts(desk, person_id), tuple(others.values()))


def label_of_episode(desk: Desk, episode_id: str) -> str:
    """Under which label the person of an episode is kept. Raises NotFound."""
    with desk.transaction() as session:
        person_id = queries.row_of(session, EpisodeRow, episode_id, "episode").person_id
        queries.audit(session, desk.clock(), desk.who, "view label", person_id)
        return queries.label_of(session, person_id)
