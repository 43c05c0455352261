"""The whole pure road for one case: safety, contributors, plan, next test, re-tests."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from endfeel import __version__
from endfeel.evidence.library import Library
from endfeel.inference import Change, Contradiction, Model, Posterior, build_model, contradictions, infer
from endfeel.measurement import RetestComparison, compare_findings
from endfeel.planner import NextTest, Plan, barred, next_tests, plan
from endfeel.safety import Verdict, verdict
from endfeel.treatment import Decision, decide
from endfeel.vocabulary import Case, Finding, Position

DEFAULT_MINUTES = 20.0


@dataclass(frozen=True, slots=True)
class Assessment:
    """What the program concludes from one case under one evidence release. Recomputed, never stored as truth."""

    case: Case
    verdict: Verdict
    posterior: Posterior
    decision: Decision
    """What the contributors call for, with expected benefit and harm."""
    plan: Plan
    next_tests: tuple[NextTest, ...]
    """Best next tests, the plan's first that bears on the choice before them; empty when nothing left is worth its time
    or safety stops the examination."""
    retests: tuple[RetestComparison, ...]
    contradictions: tuple[Contradiction, ...]
    """Findings that cannot both be so as recorded, or seldom are, by rule; the posterior adds what it finds odd."""
    minutes: float
    release: str
    program_version: str

    barred: frozenset[str] = frozenset()
    """Tests that safety rules out, or that ask too much of this shoulder."""

    @property
    def what_would_change(self) -> tuple[Change, ...]:
        """Findings that carry the order, and tests that may be done and could turn it; none while safety stops it."""
        tests = () if self.verdict.stops_plan else self.posterior.turned_by(self.barred)
        return *self.posterior.carried_by, *tests

    @property
    def unfit(self) -> tuple[Contradiction, ...]:
        """Everything that does not fit together as recorded: by rule, then what the posterior finds odd and no rule has
        said already."""
        told = [set(one.findings) for one in self.contradictions]
        odd = (one for one in self.posterior.odd_together if not any(set(one.findings) <= said for said in told))
        return *self.contradictions, *odd


def assess(
    case: Case,
    library: Library,
    minutes: float = DEFAULT_MINUTES,
    *,
    model: Model | None = None,
    position: Position = Position.SITTING,
    overridden: Callable[[Verdict], Verdict] | None = None,
    wishes: Mapping[str, str] | None = None,
    tight_bound: bool = False,
    mind: tuple[str, ...] = (),
) -> Assessment:
    """Safety verdict, ranked contributors, plan for the minutes left, next tests and re-test verdicts.

    Parameters
    ----------
    case : what is known so far; nothing in it is changed.
    minutes : examination time still available.
    model : the compiled links of this evidence release; built when not given.
    position : the position the person is in now.
    overridden : applies a recorded override to the verdict, where there is one.
    wishes : what the therapist wants of the plan, by procedure: `must`, `never` or `next`, the latest last.
    mind : what is to be said of the model, beside the caveats of the reasoning.
    tight_bound : whether to spend time on how near the plan comes to the best there could be.
    """
    model = model or build_model(library)
    found = verdict(case, library)
    safe = overridden(found) if overridden else found
    posterior = infer(case, model)
    if mind:
        posterior = replace(posterior, caveats=(*posterior.caveats, *mind))
    decision = decide(posterior, library, safe)
    wanted = {wish: tuple(p for p, w in (wishes or {}).items() if w == wish) for wish in ("must", "never", "next")}
    planned = plan(
        case, posterior, safe, library, minutes, position=position, decision=decision,
        pinned=(*wanted["must"], *wanted["next"]), forbidden=wanted["never"], first=wanted["next"],
        tight_bound=tight_bound,
    )  # fmt: skip
    return Assessment(
        case=case,
        verdict=safe,
        posterior=posterior,
        decision=decision,
        plan=planned,
        next_tests=next_tests(
            case,
            posterior,
            safe,
            library,
            position=position,
            decision=decision,
            forbidden=wanted["never"],
            lead=next((step for step in planned.steps if not step.refines), next(iter(planned.steps), None)),
        ),
        retests=compare_retests(case, library),
        contradictions=contradictions(case, library, model),
        minutes=minutes,
        release=library.release,
        program_version=__version__,
        barred=barred(case, library, safe),
    )


def compare_retests(
    case: Case, library: Library, instrument: str | None = None, rater: str = "intra"
) -> tuple[RetestComparison, ...]:
    """Each re-test against the last finding of the same procedure, side and level before treatment, by the error of
    this instrument (words of it, None when not stated) and rater design."""
    before = {_what(finding): finding for finding in case.findings}
    return tuple(
        compare_findings(
            before.get(_what(after)),
            after,
            library.catalogue[after.procedure],
            library,
            instrument=instrument,
            rater=rater,
        )
        for after in case.retests
    )


def _what(finding: Finding) -> tuple[str, object, object]:
    return finding.procedure, finding.side, finding.level
