"""People to hand over: one written by hand with everything in it, and any that can be drawn."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

from hypothesis import strategies as st

from endfeel.evidence.library import Library
from endfeel.exchange import EpisodeTold, Measured, PersonTold, Planned, Recorded, SafetyTold, Signed, Visited
from endfeel.exchange.elements import derived_id
from endfeel.safety import verdict
from endfeel.vocabulary import Case
from endfeel.vocabulary.outcomes import Answering, Occasion
from endfeel.vocabulary.shorthand import Shorthand
from strategies import WORDS, cases

NOON = datetime(2026, 1, 5, 12, tzinfo=UTC)


def visited(case: Case, library: Library, name: str, at: datetime = NOON, *, signed: Signed | None = None) -> Visited:
    """A case as a visit."""
    told = [("finding", one) for one in case.findings] + [("treatment", one) for one in case.treatments]
    told += [("retest", one) for one in case.retests]
    entries = [
        Recorded(
            derived_id(name, str(k)),
            kind,
            at + timedelta(minutes=k),
            **{"treatment" if kind == "treatment" else "finding": what},  # type: ignore[arg-type]
        )
        for k, (kind, what) in enumerate(told)
    ]
    found = verdict(case, library)
    safety = SafetyTold(str(found.urgency), found.words, found.action, tuple(flag.name for flag in found.raised))
    return Visited(
        derived_id(name), at, 1, case.person, case.complaint, case.screen, tuple(entries), safety, signed=signed
    )


def whole_person(case: Case, library: Library) -> PersonTold:
    """Everything that can be handed over, once."""
    note = Signed(derived_id("note"), "A. Therapist", NOON + timedelta(hours=1), "The note.", b"%PDF-", "r1", "0.1")
    measures = (
        Measured(derived_id("m1"), "spadi", "SPADI", date(2026, 1, 5), 43.8, (4.0, None, 5.0), ("at worst", "", "")),
        Measured(derived_id("m2"), "dash", "DASH", date(2026, 1, 5), 40.0, words="total scored elsewhere"),
        Measured(
            derived_id("m3"), "nprs", "Pain", date(2026, 1, 5), 7.0, (7.0,), occasion=Occasion.NIGHT,
            answering=Answering.PROXY, instrument="numbers",
        ),
        Measured(derived_id("m4"), "ases", "ASES", date(2026, 1, 5), None, (7.0, None), no_score="too few items"),
    )  # fmt: skip
    first = visited(case, library, "first", signed=note)
    letter = replace(
        note, id=derived_id("letter"), by="B. Another", kind="referral", title="referral letter", recipient="Dr X"
    )
    first = replace(first, measures=measures, letters=(letter,))
    second = visited(case, library, "second", NOON + timedelta(days=7))
    plan = Planned("Home programme", "Review in six weeks.", (("pendulum", "Arm swing", "3 rounds of 10"),))
    episode = EpisodeTold(derived_id("episode"), "Right shoulder", NOON, case.complaint, (first, second), plan)
    return PersonTold(derived_id("person"), "Invented person", case.person, NOON, invented=True, episodes=(episode,))


@st.composite
def people(draw: st.DrawFn, library: Library, shorthand: Shorthand, cues: tuple[str, ...]) -> PersonTold:
    """Anybody with up to two episodes of up to two visits."""
    episodes = []
    for number in range(draw(st.integers(0, 2))):
        visits = []
        for k in range(draw(st.integers(0, 2))):
            case = draw(cases(shorthand, cues))
            at = NOON + timedelta(days=draw(st.integers(0, 400)))
            by = draw(WORDS.filter(bool))
            signed = Signed(derived_id("n", str(number), str(k)), by, at, draw(WORDS) or "-", b"%PDF-", "r", "0")
            visits.append(visited(case, library, f"{number}.{k}", at, signed=signed if draw(st.booleans()) else None))
        case = draw(cases(shorthand, cues))
        plan = Planned(draw(WORDS), draw(WORDS), (("pendulum", "Swing", draw(WORDS)),)) if draw(st.booleans()) else None
        episodes.append(
            EpisodeTold(derived_id("e", str(number)), draw(WORDS), NOON, case.complaint, tuple(visits), plan)
        )
    who = draw(cases(shorthand, cues)).person
    label = draw(WORDS.filter(bool))
    return PersonTold(derived_id("somebody"), label, who, NOON, draw(st.booleans()), tuple(episodes))
