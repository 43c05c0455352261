"""What a therapist does in a visit beside its findings: turn, treat, undo, override, sign."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

from sqlalchemy.orm import Session

from endfeel import __version__
from endfeel.assessment import DEFAULT_MINUTES, Assessment, assess
from endfeel.care.checks import entry_id_of, kept_words, name_of
from endfeel.care.desk import Desk, new_id
from endfeel.care.findings import turn
from endfeel.care.hands import Reading, reading_of
from endfeel.care.screen import unspecified
from endfeel.care.writing import open_for_writing
from endfeel.records import Entry, LastTime, Override, SafetyRecord, SignedNote, VisitRecord, queries
from endfeel.records.charts import EarlierChart, KeptArea
from endfeel.records.mapping import newest, retracted, standing
from endfeel.records.queries import NewEntry
from endfeel.records.store import glancing
from endfeel.records.tables import WISHES, AddendumRow, OverrideRow, SignedNoteRow, WishRow
from endfeel.safety import RaisedFlag, Urgency, Verdict, override, verdict
from endfeel.vocabulary import CannotRead, Fault, NotFound, Position, Refused, Treatment
from endfeel.vocabulary.case_files import case_text

if TYPE_CHECKING:
    from endfeel.documents import Note


@dataclass(frozen=True, slots=True)
class VisitView:
    """A visit as it stands: what was recorded and what follows from it."""

    visit_id: str
    person_id: str
    label: str
    entries: tuple[Entry, ...]
    assessment: Assessment
    override: Override | None
    signed: SignedNote | None
    can_undo: bool
    can_redo: bool
    position: Position
    """The one the person is in now."""
    opened_at: datetime
    number: int
    """Which visit of its episode it is, from 1."""
    unspecified: tuple[str, ...]
    """First questions of the screen answered yes of which no single question was."""
    first_answers: Mapping[str, bool]
    screen_number: int
    """Number of the last screen answer this view shows."""
    last_time: LastTime | None
    stories: int
    """How often the story was told again."""
    wishes: Mapping[str, str]
    """What the therapist wants of the plan, by procedure: `must`, `never` or `next`."""
    care_agreed: bool | None = None
    """What the person said about examination and treatment; None while nobody asked."""
    chart: tuple[KeptArea, ...] = ()
    """Areas drawn on the body chart."""
    earlier_chart: EarlierChart | None = None
    mark: str = ""
    """What `visit_mark` said before the visit was read."""


def view_visit(desk: Desk, visit_id: str, minutes: float = DEFAULT_MINUTES) -> VisitView:
    """Read the visit and conclude afresh. Raises NotFound."""
    with desk.transaction() as session:
        record = _recalled(session, desk, visit_id)
        hands = reading_of(session, desk, record)
    return view_of(desk, record, hands, minutes)


def recall_visit(desk: Desk, visit_id: str) -> VisitRecord:
    """What was recorded in a visit, with nothing concluded from it: for pages that only keep. Raises NotFound."""
    with desk.transaction() as session:
        return _recalled(session, desk, visit_id)


def _recalled(session: Session, desk: Desk, visit_id: str) -> VisitRecord:
    record = queries.visit_record(session, visit_id)
    queries.audit(session, desk.clock(), desk.who, "view visit", record.person_id, visit_id)
    return record


def view_of(desk: Desk, record: VisitRecord, hands: Reading, minutes: float = DEFAULT_MINUTES) -> VisitView:
    """What follows from a visit as it was read, with by whose hands (`reading_of`); the store is not asked."""
    position = Position(record.position)

    def conclude() -> Assessment:
        return assess(
            record.case,
            desk.library,
            minutes,
            model=hands.model(desk),
            mind=hands.mind(record.case, desk),
            position=position,
            overridden=_overridden(record),
            wishes=record.wishes,
        )

    asked = (record.case, minutes, position, record.override, tuple(record.wishes.items()), hands)
    assessment = desk.concluded.recall(asked, conclude)
    return VisitView(
        visit_id=record.visit_id,
        person_id=record.person_id,
        label=record.label,
        entries=record.entries,
        assessment=assessment,
        override=record.override,
        signed=record.signed,
        can_undo=record.can_undo,
        can_redo=record.can_redo,
        position=position,
        opened_at=record.opened_at,
        number=record.number,
        unspecified=unspecified(record.first_answers, record.case.screen, desk.library),
        first_answers=record.first_answers,
        screen_number=record.screen_number,
        last_time=record.last_time,
        stories=record.stories,
        wishes=record.wishes,
        care_agreed=record.care_agreed,
        chart=record.chart,
        earlier_chart=record.earlier_chart,
        mark=record.mark,
    )


def _overridden(record: VisitRecord | SafetyRecord) -> Callable[[Verdict], Verdict] | None:
    """An override holds for the flags that stood when it was given, as urgent as they were then: neither a new danger
    nor one that has grown is covered by it. A hold that was overridden is recorded as `monitor`."""
    given = record.override
    if given is None:
        return None

    def apply(found: Verdict) -> Verdict:
        covered = all(_covers(given, flag) for flag in found.raised if flag.urgency.rank >= Urgency.URGENT.rank)
        if found.is_held:
            covered = covered and all(given.flags.get(flag.id) == Urgency.MONITOR for flag in found.held)
        return override(found, given.reason, given.by) if found.stops_plan and covered else found

    return apply


def _covers(given: Override, flag: RaisedFlag) -> bool:
    """An early row kept no urgency for its flags: it covers what is urgent and no more."""
    if flag.id not in given.flags:
        return False
    then = Urgency(given.flags[flag.id] or Urgency.URGENT)
    return flag.urgency.rank <= then.rank


# ---- recording -----------------------------------------------------------------------------------------------------


def has_entry(desk: Desk, visit_id: str, entry_id: str) -> bool:
    """Whether an entry of this id was ever recorded in the visit. Raises NotFound for an unknown visit."""
    with desk.transaction() as session:
        queries.lock_visit(session, visit_id)
        return entry_id in {row.id for row in queries.entry_rows(session, visit_id)}


def visit_mark(desk: Desk, visit_id: str) -> str:
    """A word that changes whenever anything is recorded in the visit. Raises NotFound."""
    with glancing(desk.engine) as connection:
        return queries.mark_seen(connection, visit_id)


def newest_of(desk: Desk, visit_id: str, entry_id: str) -> Entry | None:
    """The entry that stands where this one stood: itself, or what corrected it. None when it was taken back."""
    with desk.transaction() as session:
        rows = queries.entry_rows(session, visit_id)
        found = newest(rows, entry_id)
        if found is not None:
            owner = queries.person_of_visit(session, visit_id)
            queries.audit(session, desk.clock(), desk.who, "view entry", owner, visit_id)
        return found


def turn_person(desk: Desk, visit_id: str, position: Position) -> None:
    """The person is in this position now; the plan goes on from there. The same position twice is kept once."""
    with desk.transaction() as session:
        open_for_writing(session, desk, visit_id, "turn", str(position))
        turn(session, desk, visit_id, position)


def wish_for(desk: Desk, visit_id: str, procedure: str, wish: str) -> None:
    """Keep what the therapist wants of the plan about a procedure: `must`, `never`, `next`, or no wish (`none`).

    Raises NotFound for an unknown procedure, CannotRead for a word that is none of these, Refused when signed.
    """
    desk.library.catalogue[procedure]
    if wish not in WISHES:
        raise CannotRead([Fault("no such wish", wish, " | ".join(WISHES), field="wish")])
    with desk.transaction() as session:
        open_for_writing(session, desk, visit_id, "wish", f"{wish} {procedure}")
        if queries.wishes_of(session, visit_id).get(procedure, "none") != wish:
            session.add(WishRow(visit_id=visit_id, procedure=procedure, wish=wish, at=desk.clock()))


def record_treatment(desk: Desk, visit_id: str, treatment: Treatment, entry_id: str | None = None) -> str:
    """Append a technique that was tried. Refused while an urgent verdict stands without an override."""
    told = Treatment(*(kept_words(getattr(treatment, name), name) for name in ("technique", "dose", "note")))
    if not told.technique:
        raise CannotRead([Fault("no technique named", treatment.technique, "what was done", field="technique")])
    entry = NewEntry(entry_id_of(entry_id), "treatment", treatment=told)
    with desk.transaction() as session:
        queries.lock_visit(session, visit_id)
        if queries.is_kept(session, visit_id, entry):
            return entry.id
        found = standing_verdict(queries.visit_record(session, visit_id), desk)
        if found.withholds_treatment:
            raise Refused(f"treatment is withheld ({found.urgency.words}): {found.action}")
        open_for_writing(session, desk, visit_id, "record treatment")
        queries.add_entry(session, visit_id, desk.clock(), entry)
    return entry.id


def standing_verdict(record: VisitRecord | SafetyRecord, desk: Desk) -> Verdict:
    """The verdict on what is recorded, with the override that holds for it."""
    found, applied = verdict(record.case, desk.library), _overridden(record)
    return applied(found) if applied else found


def undo(desk: Desk, visit_id: str, entry_id: str | None = None) -> str | None:
    """Take back an entry, the newest by default; it stays on record as retracted. None when there is nothing.

    An entry named that is taken back already leaves nothing to do: the same request twice takes back one.
    """
    with desk.transaction() as session:
        queries.lock_visit(session, visit_id)
        rows = queries.entry_rows(session, visit_id)
        target = entry_id or queries.last_to_undo(rows)
        if target is None or target in retracted(rows):
            return None
        if target not in {row.id for row in standing(rows)}:
            raise NotFound(f"no standing entry {target!r} in this visit")
        _retract(session, desk, visit_id, "undo", target)
        return target


def redo(desk: Desk, visit_id: str) -> bool:
    """Undo the last undo, as long as nothing was recorded since. False when there is none."""
    with desk.transaction() as session:
        queries.lock_visit(session, visit_id)
        target = queries.last_to_redo(queries.entry_rows(session, visit_id))
        if target is not None:
            _retract(session, desk, visit_id, "redo", target)
        return target is not None


def _retract(session: Session, desk: Desk, visit_id: str, act: str, target: str) -> None:
    open_for_writing(session, desk, visit_id, act)
    queries.add_entry(session, visit_id, desk.clock(), NewEntry(new_id(), "retraction", retracts=target))


def override_verdict(desk: Desk, visit_id: str, reason: str, by: str) -> None:
    """Go on despite an urgent verdict, for a recorded reason. Refused without name and reason."""
    reason, by = kept_words(reason, "reason"), name_of(desk.signer(by), "by")
    with desk.transaction() as session:
        open_for_writing(session, desk, visit_id, "override")
        record = queries.visit_record(session, visit_id)
        found = override(verdict(record.case, desk.library), reason, by)
        session.add(
            OverrideRow(
                visit_id=visit_id,
                urgency=str(found.urgency),
                flags={flag.id: str(flag.urgency) for flag in found.raised}
                | ({} if found.is_pressing else {flag.id: str(Urgency.MONITOR) for flag in found.held}),
                reason=found.override_reason,
                by=found.override_by,
                at=desk.clock(),
            )
        )


# ---- signing -------------------------------------------------------------------------------------------------------


def sign_note(
    desk: Desk, visit_id: str, by: str, minutes: float = DEFAULT_MINUTES, *, as_follow_up: bool = False
) -> str:
    """Freeze findings, conclusions, evidence release and program version. Refused a second time, or without a name.

    `as_follow_up` keeps a follow-up note as the note of the visit; Refused for a first visit.
    """
    from endfeel.care.documents import WriterWords, compose_from
    from endfeel.documents import note_to_dict

    by = name_of(desk.signer(by), "by")
    if not by:
        raise Refused("a note is signed with a name")
    note_id, now = new_id(), desk.clock()
    with desk.transaction() as session:
        open_for_writing(session, desk, visit_id, "sign note")
        record = queries.visit_record(session, visit_id)
        view = view_of(desk, record, reading_of(session, desk, record), minutes)
        note = (
            compose_from(session, desk, view, "follow-up", WriterWords(), by, now, signed=True)
            if as_follow_up
            else _composed(desk, view, now, by)
        )
        session.add(
            SignedNoteRow(
                id=note_id,
                visit_id=visit_id,
                signed_by=by,
                signed_at=now,
                case_text=case_text(record.case),
                note=note_to_dict(note),
                release=desk.library.release,
                program_version=__version__,
                last_story=queries.last_story(session, record.person_id),
            )
        )
    return note_id


def add_addendum(desk: Desk, visit_id: str, text: str, by: str, addendum_id: str | None = None) -> str:
    """Add words to a signed note; the note itself stays as it was. The same `addendum_id` twice is kept once."""
    text, by, addendum_id = kept_words(text, "text"), name_of(desk.signer(by), "by"), entry_id_of(addendum_id)
    if not text or not by:
        wanted = (("text", text, "what is added"), ("by", by, "your name"))
        raise CannotRead(
            [Fault("nothing written here", "", said, field=name) for name, given, said in wanted if not given]
        )
    with desk.transaction() as session:
        queries.lock_visit(session, visit_id)
        signed = queries.signed_note(session, visit_id)
        if signed is None:
            raise Refused("the note is not signed yet; change the visit itself")
        kept = session.get(AddendumRow, addendum_id)
        if kept is not None:
            if (kept.note_id, kept.text, kept.by) != (signed.id, text, by):
                raise Refused("this addendum was already kept with other words; add another one")
            return addendum_id
        session.add(AddendumRow(id=addendum_id, note_id=signed.id, by=by, at=desk.clock(), text=text))
        queries.audit(session, desk.clock(), desk.who, "addendum", queries.person_of_visit(session, visit_id), visit_id)
    return addendum_id


def note_pdf(desk: Desk, visit_id: str, minutes: float = DEFAULT_MINUTES) -> bytes:
    """The note as PDF: the frozen one when signed, else a draft of what stands now."""
    from endfeel.documents import note_pdf as render

    return render(visit_note(desk, visit_id, minutes))


def note_html(desk: Desk, visit_id: str, minutes: float = DEFAULT_MINUTES) -> str:
    """The note as an HTML fragment."""
    from endfeel.documents import note_html as render

    return render(visit_note(desk, visit_id, minutes))


def visit_note(desk: Desk, visit_id: str, minutes: float = DEFAULT_MINUTES) -> Note:
    """The note value of a visit: frozen when signed, with its addenda after it; else composed now."""
    return note_of(desk, view_visit(desk, visit_id, minutes))


def note_of(desk: Desk, view: VisitView) -> Note:
    """The note value of a visit just viewed."""
    from endfeel.documents import note_from_dict, with_addenda

    if view.signed is None:
        return _composed(desk, view, desk.clock(), "")
    added = tuple((here(at), by, words) for at, by, words in view.signed.addenda)
    return with_addenda(note_from_dict(view.signed.note), added)


def _composed(desk: Desk, view: VisitView, now: datetime, author: str) -> Note:
    """The note of what stands; signed when there is an author."""
    from endfeel.care.body_chart import measured_chart
    from endfeel.care.drawn_sign import drawn_sign, leading_sign
    from endfeel.documents import compose_note, with_body_chart, with_drawn_shoulder, with_unspecified

    note = compose_note(
        view.assessment,
        person_label=view.label,
        written_at=here(now),
        author=author or None,
        signed=bool(author),
        library=desk.library,
    )
    if view.chart or view.earlier_chart:
        chart = measured_chart(desk, view.chart, view.earlier_chart)
        note = with_body_chart(note, chart.areas, chart.before, chart.overlap)
    sign = leading_sign(desk.library, view.assessment.case.findings)
    if sign is not None:
        drawn = drawn_sign(desk.library, sign)
        note = with_drawn_shoulder(note, drawn.caption, drawn.picture, drawn.words)
    return with_unspecified(note, view.unspecified)


def here(moment: datetime) -> str:
    """A moment by the clock on the wall, with its zone, as a note prints it."""
    return f"{moment.astimezone():%Y-%m-%d %H:%M %Z}"
