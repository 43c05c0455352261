"""Many episodes counted together: of people who agreed to shared counts, and of nobody else."""

from __future__ import annotations

import hashlib
import math
import time
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from sqlalchemy.orm import Session

from endfeel import __version__
from endfeel.care.allowed import sees
from endfeel.care.desk import Desk
from endfeel.caseload.engines import opened
from endfeel.caseload.questions import ask_all
from endfeel.caseload.report import Report, fewest_people, report
from endfeel.caseload.tables import COLUMNS, Rows, age_band, lasting_band, month_number, table_of_rows
from endfeel.evidence.figures import number
from endfeel.evidence.library import Library
from endfeel.follow import FollowedVisit, last_examination
from endfeel.follow.courses import parameter
from endfeel.follow.series import lines_of
from endfeel.inference import Model, Posterior, infer
from endfeel.measurement.answer_checks import local_day
from endfeel.measurement.change import Direction, compare
from endfeel.records import queries
from endfeel.records.caseload import CountedEpisode, CountedVisit, episodes_of_people
from endfeel.records.counted import held_owners, keep_episodes, kept_episodes, marks_of_people, owners_of
from endfeel.records.rights import agreeing, everybody
from endfeel.records.store import reading, transaction
from endfeel.safety import verdict
from endfeel.treatment import decide
from endfeel.vocabulary import Case
from endfeel.vocabulary.outcomes import TRANSITIONS

PURPOSE = "shared_counts"
AT_A_TIME = 200
"""People read in one go."""
AT_ONCE = {False: 20, True: 2}
"""Episodes worked out and kept in one go: without and with which tests changed the choice."""
BY = 2
"""One more whenever an episode tells anything else than before: what was kept until then holds no longer."""
LEAST_PROBABILITY = 0.05
"""A contributor less probable is no row: no question asks for it."""


@dataclass(frozen=True, slots=True)
class CaseloadView:
    """What may be shown of a caseload, and how many were asked."""

    report: Report | None
    """None while episodes are left to be worked out: a report of some of them would tell of those who come next."""
    on_record: int
    """People in the records, whether they agree or not; in a clinic those one may see."""
    agree: int
    """Of those, who agreed to be counted."""
    tests: bool = True
    """Whether it was asked which tests changed the choice."""
    episodes: int = 0
    left: int = 0
    """Of so many episodes, how many are still to be worked out."""


def counted_people(session: Session, desk: Desk) -> tuple[str, ...]:
    """Ids of everybody who agreed to be counted; in a clinic of those whom who is signed in may see."""
    return _seen(session, desk, agreeing(session, PURPOSE))


def _seen(session: Session, desk: Desk, people: tuple[str, ...]) -> tuple[str, ...]:
    open_to = sees(session, desk.staff, desk.clock())
    return people if open_to is None else tuple(one for one in people if one in open_to)


def how_many_agree(desk: Desk) -> int:
    """Of how many people a count would be."""
    with desk.transaction() as session:
        found = len(counted_people(session, desk))
        queries.audit(session, desk.clock(), desk.who, "count caseload", None, detail=f"{found} agree; none counted")
        return found


def view_caseload(
    desk: Desk, engine: str = "", fewest: int | None = None, seconds: float = math.inf, *, tests: bool = True,
    goes_on: bool = False,
) -> CaseloadView:  # fmt: skip
    """Count everybody who agreed to it, on the engine at an address (empty: inside this process).

    What an episode tells is worked out once and kept until something is recorded in it. After so many `seconds` of
    working out the rest is left for the next time; one episode at least is done. Without `tests` it is not asked which
    tests changed the choice, which takes nearly all the time. The audit has a row when a count begins, and one when a
    count that `goes_on` from an earlier call is told; none of the calls between, which tell nothing.
    Raises CannotRead for a number of people below the stated one or no engine, Refused when none answers there.
    """
    few = fewest_people(desk.library, fewest)
    told = _work_out(desk, seconds, tests=tests, goes_on=goes_on)
    if told.left:
        return CaseloadView(None, told.on_record, told.agree, tests, len(told.marks), told.left)
    if goes_on:
        with desk.transaction() as session:
            queries.audit(session, desk.clock(), desk.who, "count caseload", None, detail=told.words)
    asked = "caseload", engine, few, tests, tuple(told.marks.items())
    whole = desk.concluded.recall(asked, lambda: count(desk.library, _tables(desk, told), engine, few))
    return CaseloadView(whole, told.on_record, told.agree, tests, len(told.marks))


def count(library: Library, rows: Rows | Path, engine: str, fewest: int) -> Report:
    """The protected report of rows, wherever they come from."""
    with opened(engine, rows) as tables:
        return report(ask_all(tables), library, fewest)


def caseload_rows(desk: Desk, left: Callable[[int], None] | None = None) -> tuple[Rows, int]:
    """The rows of everybody who agreed to be counted, and how many people are on record. No label, no id of the
    records and no day of the calendar is in them; people and episodes are numbered anew each time. `left` is told how
    many episodes are still to be worked out."""
    told = _work_out(desk, math.inf, left, tests=True)
    return _tables(desk, told), told.on_record


@dataclass(frozen=True)
class _WorkedOut:
    """What each episode tells, of whom, and how many are left."""

    tests: bool
    on_record: int
    agree: int
    owners: dict[str, str]
    """Episode to person, in the order they are numbered."""
    marks: dict[str, str]
    rows: dict[str, list[list[Any]]]

    @property
    def left(self) -> int:
        return len(self.marks) - len(self.rows)

    @property
    def words(self) -> str:
        return f"{PURPOSE}, {self.agree} of {self.on_record} people"


def _work_out(
    desk: Desk, seconds: float, left: Callable[[int], None] | None = None, *, tests: bool, goes_on: bool = False
) -> _WorkedOut:  # fmt: skip
    """Take what is kept and still so; work out the rest for so long, and keep it of who agrees still."""
    with desk.transaction() as session:
        people, on_record = counted_people(session, desk), len(_seen(session, desk, everybody(session)))
        found = _WorkedOut(tests, on_record, len(people), {}, {}, {})
        if goes_on:
            queries.may(session, "count caseload", None)
        else:
            queries.audit(session, desk.clock(), desk.who, "count caseload", None, detail=found.words)
    for start in range(0, len(people), AT_A_TIME):
        with reading(desk.engine) as session:
            marks = marks_of_people(session, people[start : start + AT_A_TIME])
            found.owners.update(owners_of(session, marks))
            kept = kept_episodes(session, marks, tests=tests)
        for episode_id, words in marks.items():
            mark = found.marks[episode_id] = _mark(words, desk)
            if kept.get(episode_id, ("", []))[0] == mark:
                found.rows[episode_id] = kept[episode_id][1]
    missing = [one for one in found.marks if one not in found.rows]
    began, first = time.monotonic(), True
    while missing and (first or time.monotonic() - began < seconds):
        first = False
        if left:
            left(len(missing))
        now, missing = missing[: AT_ONCE[tests]], missing[AT_ONCE[tests] :]
        with reading(desk.engine) as session:
            told_episodes = episodes_of_people(session, {found.owners[one] for one in now})
        made = {
            one.id: [[name, row] for name, row in _rows_of(one, desk.library, desk.model, tests=tests)]
            for one in told_episodes if one.id in now
        }  # fmt: skip
        with transaction(desk.engine) as session:
            owners, agreed = held_owners(session, made), set(agreeing(session, PURPOSE))
            made = {one: rows for one, rows in made.items() if owners.get(one) in agreed}
            keep_episodes(session, {one: (found.marks[one], rows) for one, rows in made.items()}, tests=tests)
        found.rows.update(made)
        for gone in set(now) - set(made):
            del found.marks[gone]
    return found


def _mark(words: str, desk: Desk) -> str:
    """What is kept holds for this evidence and this program alone."""
    return hashlib.sha256("\n".join((words, desk.library.release, __version__, str(BY))).encode()).hexdigest()


def _tables(desk: Desk, told: _WorkedOut) -> Rows:
    """The rows of all episodes, people and episodes numbered."""
    found: dict[str, list[dict[str, Any]]] = {name: [] for name in COLUMNS}
    found["threshold"] = thresholds(desk.library)
    numbers: dict[str, int] = {}
    for place, episode_id in enumerate(one for one in told.owners if one in told.rows):
        who = numbers.setdefault(told.owners[episode_id], len(numbers))
        for name, row in told.rows[episode_id]:
            if name == "finding" and not told.tests:
                continue
            found[name].append({"episode": place, "person": who, **row})
    return {name: table_of_rows(name, rows) for name, rows in found.items()}


def thresholds(library: Library) -> list[dict[str, Any]]:
    """Of every outcome measure with a smallest detectable change: that, what matters, and which way is better."""
    found = []
    for entry in library.documents["outcome_measures"]["measure"]:
        low = float(entry["score_min"])
        if entry["id"] in TRANSITIONS:
            continue
        told = compare(entry["id"], low, float(entry["score_max"]), library)
        if told.mdc95 is not None:
            found.append({
                "measure": entry["id"], "detectable": number(told.mdc95.value),
                "important": number(told.mcid.value) if told.mcid else None,
                "better": 1 if told.direction is Direction.BETTER else -1,
            })  # fmt: skip
    return found


def _rows_of(
    episode: CountedEpisode, library: Library, model: Model, *, tests: bool = True
) -> Iterator[tuple[str, dict[str, Any]]]:  # fmt: skip
    first = episode.visits[0]
    started = local_day(first.opened_at)
    person, complaint = first.case.person, first.case.complaint
    shares = _shares(infer(_whole(episode, library), model, with_intervals=False))
    yield "episode", {
        "month": month_number(started.year, started.month),
        "age_band": age_band(person.age),
        "lasting": lasting_band(complaint.weeks),
        "leading": _leading(_shares(infer(first.case, model, with_intervals=False))),
        "weeks_before": None if complaint.weeks is None else int(complaint.weeks),
    }  # fmt: skip
    for contributor, probability in shares.items():
        if probability >= LEAST_PROBABILITY:
            yield "contributor", {"contributor": contributor, "probability": probability}
    before = None
    for visit in episode.visits:
        day = local_day(visit.opened_at)
        yield "visit", {
            "month": month_number(day.year, day.month), "turns": visit.turns,
            "gap_days": None if before is None else (day - before).days,
        }  # fmt: skip
        before = day
        for procedure, decided in _deciding(visit, library, model) if tests else ():
            yield "finding", {"procedure": procedure, "decided": decided}
    for row in _readings(episode, library):
        yield "reading", {**row, "day": (row["day"] - started).days}


def _whole(episode: CountedEpisode, library: Library) -> Case:
    """The last visit that was an examination, as on the course page and in letters."""
    cases = [one.case for one in episode.visits]
    return cases[last_examination([one.findings for one in cases], parameter(library, "whole_share"))]


def _shares(posterior: Posterior) -> Mapping[str, float]:
    """Each contributor with its largest probability over sides and levels."""
    shares: dict[str, float] = {}
    for one in posterior.beliefs:
        shares[one.contributor] = max(one.probability, shares.get(one.contributor, 0.0))
    return shares


def _leading(shares: Mapping[str, float]) -> str:
    return max(sorted(shares), key=lambda name: shares[name], default="none")


def _deciding(visit: CountedVisit, library: Library, model: Model) -> Iterator[tuple[str, bool]]:
    """Each finding in the order it was recorded, and whether what is worth starting was another thing after it."""
    case = visit.case
    if not case.findings:
        return
    before = _choice(case, 0, library, model)
    for done, finding in enumerate(case.findings, 1):
        after = _choice(case, done, library, model)
        yield finding.procedure, after != before
        before = after


def _choice(case: Case, done: int, library: Library, model: Model) -> frozenset[tuple[object, ...]]:
    known = replace(case, findings=case.findings[:done], treatments=(), retests=())
    posterior = infer(known, model, with_intervals=False)
    found = decide(posterior, library, verdict(known, library)).worthwhile
    return frozenset((one.treatment_class, one.region, one.side) for one in found)


def _readings(episode: CountedEpisode, library: Library) -> Iterator[dict[str, Any]]:
    """Values of outcome measures, as they are followed: the same lines as on the course page."""
    visits = [
        FollowedVisit(local_day(one.opened_at), tuple(kept.answer for kept in one.answers), id=one.id)
        for one in episode.visits
    ]
    for line in lines_of(visits, library):
        for value in line.readings:
            yield {
                "measure": _measure_of(line.measure, library), "line": line.id, "visit": value.visit,
                "day": value.day, "value": value.value,
            }  # fmt: skip


def _measure_of(name: str, library: Library) -> str:
    """The outcome measure a form is a form of."""
    from endfeel.measurement.score import form_of

    form = form_of(name, library)
    return str(form["measure"]) if form else name


def invented(findings: int, seed: int) -> Rows:
    """Invented rows about the procedures and contributors of the evidence: nobody in them exists."""
    from endfeel.caseload.invented import invented_rows
    from endfeel.evidence.load import load_library
    from endfeel.inference import build_model

    library = load_library()
    contributors = [one.id for one in build_model(library).contributors]
    return invented_rows(findings, seed, sorted(library.catalogue.by_id), contributors, thresholds(library))
