"""What the visit's templates show, drawn from one view of the visit. Nothing is concluded here."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from itertools import groupby
from typing import Any
from urllib.parse import urlencode

from endfeel.assessment import shorthand_of
from endfeel.care import Desk, Standing, VisitSummary, VisitView, look_again, new_id, stand_visits
from endfeel.inference import Belief, ExplanationLine
from endfeel.inference.words import finding_words
from endfeel.planner import Step
from endfeel.treatment import POINTS
from endfeel.vocabulary import NO_TREATMENTS, Finding, Position, Procedure, Side
from endfeel.voice.ear import HOW_TO_GET, can_hear
from endfeel.web.controls import NORMAL_WORDS, Controls, controls_of
from endfeel.web.drawing import drawn_values
from endfeel.web.forms import finding_fields
from endfeel.web.rendering import REGIONS

MINUTES = (5, 10, 15, 20, 30, 45, 60)
SHOWN = 8
"""Contributors on the visit page; the page of reasons has all."""
WAITING = 6
"""Of those that nothing found can speak about."""
KEPT_VIEWS = 16
_MARKERS = 6


@dataclass(frozen=True, slots=True)
class Choice:
    """Which procedure is in front of the therapist, and whether it is done again after treatment."""

    procedure: str = ""
    side: str = ""
    level: str = ""
    retest: bool = False


@dataclass(frozen=True, slots=True)
class Typed:
    """What was typed and could not be kept, with the faults by field."""

    fields: Mapping[str, str] = field(default_factory=dict)
    line: str = ""
    faults: Mapping[str, list[str]] = field(default_factory=dict)
    line_faults: tuple[str, ...] = ()
    line_offers: tuple[str, ...] = ()


class RecentViews:
    """The last few views by key, so that the reasons of a view just shown are not concluded a second time."""

    def __init__(self) -> None:
        self._kept: OrderedDict[str, VisitView] = OrderedDict()

    def keep(self, view: VisitView) -> str:
        """Keep a view; returns the key under which it can be had for a while."""
        key = new_id()
        self._kept[key] = view
        while len(self._kept) > KEPT_VIEWS:
            self._kept.popitem(last=False)
        return key

    def get(self, desk: Desk, key: str, visit_id: str) -> VisitView | None:
        """The view kept under this key, when it is of this visit; a key opens nothing that is no longer theirs to see.

        Raises NotFound when the visit was erased, NotAllowed.
        """
        view = self._kept.get(key)
        if view is None or view.visit_id != visit_id:
            return None
        look_again(desk, visit_id)
        return view


class Standings:
    """How unsigned visits stand with safety, kept until something is recorded in them."""

    def __init__(self) -> None:
        self._kept: dict[str, tuple[tuple[int, ...], Standing]] = {}

    def of(self, desk: Desk, visits: Iterable[VisitSummary]) -> dict[str, Standing]:
        """Visit id → how it stands; signed visits are left out."""
        open_ = [one for one in visits if not one.signed_by]
        stale = [one for one in open_ if self._kept.get(one.id, ((-1,), None))[0] != one.mark]
        fresh = stand_visits(desk, [one.id for one in stale]) if stale else {}
        self._kept.update({one.id: (one.mark, fresh[one.id]) for one in stale})
        return {one.id: self._kept[one.id][1] for one in open_}


def visit_values(desk: Desk, view: VisitView, minutes: float, choice: Choice, typed: Typed, key: str) -> dict[str, Any]:
    """Everything the visit page and its fragment need."""
    assessment = view.assessment
    made, next_tests = assessment.plan, assessment.next_tests
    first = made.steps[0] if made.steps else None
    now = _chosen(choice, first, next_tests[0] if next_tests else None)
    return {
        "view": view,
        "case": assessment.case,
        "verdict": assessment.verdict,
        "minutes": minutes,
        "chosen": _address_of(choice),
        "minutes_offered": MINUTES,
        "plan": made,
        "left_over": minutes - made.seconds / 60,
        "positions": _by_position(made.steps),
        "all_positions": list(Position),
        "beliefs": assessment.posterior.examined[:SHOWN],
        "waiting": assessment.posterior.not_examined[:WAITING],
        "caveats": assessment.posterior.caveats,
        "contradictions": assessment.contradictions,
        "decision": assessment.decision,
        "points_words": POINTS,
        "library": desk.library,
        "next_tests": next_tests[:3],
        "retests": assessment.retests,
        "groups": _by_region(desk, view),
        "treatments": [one for one in view.entries if one.treatment and one.treatment.technique not in NO_TREATMENTS],
        "markers": _markers(desk, view),
        "record": record_values(desk, view, now, typed),
        "newest": max(view.entries, key=lambda one: one.sequence).id if view.entries else "",
        "then": [step for step in made.steps if now is None or not _is_step(now, step)][:2],
        "step": first if first and now and _is_step(now, first) else None,
        "typed": typed,
        "shorts": shorts_of(desk),
        "last_time": _last_time(desk, view),
        "key": key,
        "can_hear": can_hear(),
        "how_to_get": HOW_TO_GET,
        "entry_id": new_id(),
        "line_id": new_id(),
        "treatment_id": new_id(),
    }


def _address_of(choice: Choice) -> str:
    """What keeps a chosen test in the address."""
    if not choice.procedure:
        return ""
    told = {"do": choice.procedure, "side": choice.side, "level": choice.level, "retest": str(choice.retest).lower()}
    return "&" + urlencode({name: value for name, value in told.items() if value not in ("", "false")})


def _is_step(choice: Choice, step: Step) -> bool:
    return choice == Choice(step.procedure, str(step.side or ""), step.level or "")


def shorts_of(desk: Desk) -> Mapping[str, str]:
    """The trade's short name of each procedure that has one, as it may be typed."""
    phrases: Mapping[str, list[str]] = desk.library.documents["aliases"]["phrase"]
    return {procedure: names[0] for procedure, names in phrases.items() if names}


def _last_time(desk: Desk, view: VisitView) -> dict[str, Any] | None:
    """The visit before this one, its findings in words."""
    if view.last_time is None:
        return None
    catalogue = desk.library.catalogue
    rows = [
        {"name": catalogue[one.procedure].name, "finding": one, "told": _told(one, desk)}
        for one in view.last_time.findings
    ]
    return {"visit_id": view.last_time.visit_id, "opened_at": view.last_time.opened_at, "rows": rows}


def _told(finding: Finding, desk: Desk) -> str:
    return finding_words(finding, desk.library.catalogue).partition(": ")[2]


def _chosen(choice: Choice, step: Step | None, test: Any) -> Choice | None:
    if choice.procedure:
        return choice
    best = step or test
    return Choice(best.procedure, str(best.side or ""), best.level or "") if best else None


def record_values(desk: Desk, view: VisitView, choice: Choice | None, typed: Typed) -> dict[str, Any] | None:
    """The controls of one procedure, filled with what was typed before. Raises NotFound for an unknown procedure."""
    if choice is None:
        return None
    procedure = desk.library.catalogue[choice.procedure]
    side = choice.side or str(view.assessment.case.complaint.side or "")
    given = {"side": side if procedure.sided else "", "level": choice.level, **typed.fields}
    controls = controls_of(procedure, desk.library, shorthand_of(desk.library).limits)
    return {
        "procedure": procedure,
        "drawn": drawn_values(desk.library, procedure.id, given["side"], choice.level, view.visit_id),
        "short": shorts_of(desk).get(procedure.id, ""),
        "controls": controls,
        "open_more": any(given.get(name) or typed.faults.get(name) for name in (*controls.more, *_closed(controls))),
        "normal": NORMAL_WORDS.get(procedure.outcomes, ""),
        "levels_left": _levels_left(view.assessment.case.findings, procedure, given),
        "as_other": _as_other(desk, view, procedure, given),
        "found": _found(desk, view, procedure),
        "given": given,
        "faults": typed.faults,
        "retest": choice.retest,
        "before": _last(view.assessment.case.findings, procedure, given),
        "last_time": _last(view.last_time.findings, procedure, given) if view.last_time else None,
        "forbidden": view.assessment.verdict.forbidden.get(procedure.id, ""),
    }


def _closed(controls: Controls) -> tuple[str, ...]:
    """What a press on pain says; shown one by one under "more" where a press ends the finding."""
    return ("pain", "familiar") if controls.closes else ()


def _levels_left(findings: Iterable[Finding], procedure: Procedure, given: Mapping[str, str]) -> tuple[str, ...]:
    """Levels of the procedure at which nothing is found yet on this side."""
    side = given.get("side", "")
    done = {f.level for f in findings if f.procedure == procedure.id and str(f.side or "") == side}
    return tuple(level for level in procedure.levels if level not in done)


def _as_other(desk: Desk, view: VisitView, procedure: Procedure, given: Mapping[str, str]) -> dict[str, str] | None:
    """What was found on the other side, to be said of this one: where from, in words, and as fields."""
    if given.get("side") not in tuple(Side):
        return None
    away = Side.LEFT if given["side"] == Side.RIGHT else Side.RIGHT
    found = _last(view.assessment.case.findings, procedure, {**given, "side": str(away)})
    if found is None:
        return None
    found = replace(found, other=None, note=None)
    fields = {k: v for k, v in finding_fields(found).items() if v and k not in ("procedure", "side", "level")}
    return {"side": str(away), "told": _told(found, desk), "fields": urlencode(fields)} if fields else None


def _found(desk: Desk, view: VisitView, procedure: Procedure) -> list[tuple[Finding, str]]:
    """What this visit found by the procedure so far, on both sides and at every level, in words."""
    case = view.assessment.case
    return [(one, _told(one, desk)) for one in (*case.findings, *case.retests) if one.procedure == procedure.id]


def corrected(finding: Finding) -> tuple[Choice, Typed]:
    """The choice and the fields that show a finding as it was recorded."""
    return Choice(finding.procedure, str(finding.side or ""), finding.level or ""), Typed(finding_fields(finding))


def _last(findings: tuple[Finding, ...], procedure: Procedure, given: Mapping[str, str]) -> Finding | None:
    """The last finding of the same thing, shown beside what is recorded now."""
    wanted = (procedure.id, given.get("side", ""), given.get("level", ""))
    found = [f for f in findings if (f.procedure, str(f.side or ""), f.level or "") == wanted]
    return found[-1] if found else None


def _by_position(steps: tuple[Step, ...]) -> list[tuple[str, list[tuple[float, Step]]]]:
    """Steps by position, each with the clock at its start."""
    clock, timed = 0.0, []
    for step in steps:
        clock += step.turn_seconds
        timed.append((clock, step))
        clock += step.seconds
    return [(str(where), list(part)) for where, part in groupby(timed, key=lambda one: one[1].position)]


def _by_region(desk: Desk, view: VisitView) -> list[tuple[str, list[dict[str, Any]]]]:
    """Findings and re-tests by region in reading order, each in words."""
    catalogue, shorts = desk.library.catalogue, shorts_of(desk)
    found: dict[str, list[dict[str, Any]]] = {name: [] for name in REGIONS.values()}
    for entry in view.entries:
        if entry.finding is None:
            continue
        procedure = catalogue[entry.finding.procedure]
        region = REGIONS.get(procedure.region, procedure.region)
        row = {
            "id": entry.id,
            "name": procedure.name,
            "finding": entry.finding,
            "short": shorts.get(procedure.id, ""),
            "told": _told(entry.finding, desk),
            "retest": entry.kind == "retest" and entry.finding in view.assessment.case.retests,
        }
        found.setdefault(region, []).append(row)
    return [(region, rows) for region, rows in found.items() if rows]


def _markers(desk: Desk, view: VisitView) -> list[tuple[str, Finding]]:
    """Signs worth doing again after treatment: those that gave the familiar symptom, then those that were measured."""
    last = {(f.procedure, f.side, f.level): f for f in view.assessment.case.findings}
    signs = [f for f in last.values() if f.familiar or f.value is not None or f.pain]
    signs.sort(key=lambda f: (not f.familiar, f.value is None, -(f.pain or 0)))
    return [(desk.library.catalogue[f.procedure].name, f) for f in signs[:_MARKERS]]


@dataclass(frozen=True, slots=True)
class Why:
    """A contributor with the lines that moved it."""

    belief: Belief
    lines: tuple[ExplanationLine, ...]
    hidden: int


def reasons(view: VisitView, most_beliefs: int, most_lines: int) -> list[Why]:
    """The leading contributors, each with its strongest lines."""
    lines = view.assessment.posterior.explanation
    told = []
    for belief in view.assessment.posterior.beliefs[:most_beliefs]:
        mine = tuple(
            one for one in lines if (one.contributor, one.side, one.level) == (belief.id, belief.side, belief.level)
        )
        told.append(Why(belief, mine[:most_lines], max(0, len(mine) - most_lines)))
    return told
