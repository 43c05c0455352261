"""Letters, summaries and handouts of a visit: drafted from its episode, signed, kept, added to, printed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields
from datetime import datetime
from typing import TYPE_CHECKING

from sqlalchemy.orm import Session

from endfeel import __version__
from endfeel.assessment import CodeSuggestion, confirmed_codes, suggested_codes
from endfeel.care.checks import entry_id_of, kept_words, name_of
from endfeel.care.desk import Desk
from endfeel.care.follow import RATER, said_last, shares_of, visits_followed, whole_share
from endfeel.care.hands import reading_of
from endfeel.care.home import view_home
from endfeel.care.visit import VisitView, here, standing_verdict, view_of, view_visit
from endfeel.follow import follow, last_examination
from endfeel.measurement.answer_checks import local_day
from endfeel.records import documents, measures, queries
from endfeel.records.documents import SignedDocument
from endfeel.records.tables import DocumentAddendumRow, SignedDocumentRow
from endfeel.vocabulary import REVIEW, CannotRead, Fault, NotFound, Refused

if TYPE_CHECKING:
    from endfeel.documents import DocumentKind, EpisodeOfCare, Handout, LetterWords, Note

FORMS = {"pdf": "application/pdf", "html": "text/html; charset=utf-8", "txt": "text/plain; charset=utf-8"}
"""Forms of a document with their kinds of content."""
HANDOUT = "handout"
NEEDED = {
    "referral": {"to": "who reads it", "told": "what the person was told"},
    "insurer": {"to": "who reads it"},
    "discharge": {"closing": "why the episode ends"},
}
"""What only the writer knows and a signed document must say."""


@dataclass(frozen=True, slots=True)
class WriterWords:
    """What the writer adds to a document."""

    to: str = ""
    reference: str = ""
    asked: str = ""
    told: str = ""
    closing: str = ""
    codes: tuple[str, ...] = ()
    """Codes that are confirmed, by code."""


@dataclass(frozen=True, slots=True)
class Draft:
    """An unsigned document with what its page needs."""

    visit: VisitView
    kind: DocumentKind
    document: Note
    suggested: tuple[CodeSuggestion, ...]


@dataclass(frozen=True, slots=True)
class KeptDocument:
    """A signed document: what it is, and the paper with its addenda."""

    row: SignedDocument
    document: Note | Handout
    person_id: str
    label: str


def document_choices(number: int) -> tuple[tuple[str, str, str], ...]:
    """Word, title and purpose of each document that visit `number` of an episode may have."""
    from endfeel.documents import PURPOSES, TITLES, DocumentKind

    there = [one for one in DocumentKind if number > 1 or one is not DocumentKind.FOLLOW_UP]
    return tuple((one.value, TITLES[one], PURPOSES[one]) for one in there)


def documents_of(desk: Desk, visit_id: str) -> tuple[SignedDocument, ...]:
    """Every signed document of the visit's episode, the newest first. Raises NotFound."""
    with desk.transaction() as session:
        record = queries.visit_record(session, visit_id)
        queries.audit(session, desk.clock(), desk.who, "list documents", record.person_id, visit_id)
        return documents.documents_of(session, record.episode_id)


def newest_visit(desk: Desk, episode_id: str) -> str:
    """The last visit of an episode. Raises NotFound for an unknown episode, or one without a visit."""
    with desk.transaction() as session:
        days = measures.visits_of(session, episode_id)
    if not days:
        raise NotFound(f"no visit of an episode {episode_id!r} in these records")
    return days[-1].id


def draft_document(desk: Desk, visit_id: str, kind: str, said: WriterWords | None = None, by: str = "") -> Draft:
    """A document as it would be now. Raises NotFound for an unknown kind or code, Refused where there is none."""
    view = view_visit(desk, visit_id)
    with desk.transaction() as session:
        episode = _episode(session, desk, view)
        note = _composed(desk, view, episode, kind, said or WriterWords(), by, desk.clock(), signed=False)
    return Draft(view, _kind(kind), note, suggested_codes(episode.thought.posterior, desk.library))


def sign_document(
    desk: Desk, visit_id: str, kind: str, said: WriterWords, by: str, document_id: str | None = None
) -> str:
    """Freeze a letter or summary; the same `document_id` twice is kept once.

    Raises CannotRead with every missing word, Refused for a second one of the same kind and reader in the visit, and
    for a kind that is not kept so.
    """
    from endfeel.documents import note_to_dict

    said, by = _checked(kind, said, desk.signer(by))
    now = desk.clock()
    with desk.transaction() as session:
        record = queries.visit_record(session, visit_id)
        view = view_of(desk, record, reading_of(session, desk, record))
        letter = compose_from(session, desk, view, kind, said, by, now, signed=True)
    return _keep(desk, visit_id, kind, said.to, by, now, note_to_dict(letter), document_id)


def sign_handout(
    desk: Desk, visit_id: str, by: str, wanted: Sequence[str] | None = None, *, language: str = "en",
    large: bool = False, document_id: str | None = None,
) -> str:  # fmt: skip
    """Freeze the sheet of the home programme as it was given. Refused while treatment is withheld, or twice."""
    from endfeel.documents import handout_to_dict, signed_handout

    by = _signer(desk.signer(by))
    sheet = view_home(desk, visit_id, wanted, language=language, large=large).sheet
    if sheet is None:
        raise Refused("there is no home programme to sign: nothing calls for one, or treatment is withheld")
    now = desk.clock()
    given = signed_handout(sheet, by, f"{now.astimezone():%Y-%m-%d}")
    return _keep(desk, visit_id, HANDOUT, "", by, now, handout_to_dict(given), document_id)


def kept_document(desk: Desk, document_id: str) -> KeptDocument:
    """A signed document with its addenda below it. Raises NotFound."""
    from endfeel.documents import handout_from_dict, note_from_dict, with_addenda, with_more

    with desk.transaction() as session:
        row = documents.signed_document(session, document_id)
        person_id = queries.person_of_visit(session, row.visit_id)
        label = queries.label_of(session, person_id)
        queries.audit(session, desk.clock(), desk.who, "view document", person_id, row.visit_id, row.kind)
    added = tuple((here(at), by, words) for at, by, words in row.addenda)
    paper: Note | Handout
    if row.kind == HANDOUT:
        paper = with_more(handout_from_dict(row.document), added)
    else:
        paper = with_addenda(note_from_dict(row.document), added)
    return KeptDocument(row, paper, person_id, label)


def add_to_document(desk: Desk, document_id: str, text: str, by: str, addendum_id: str | None = None) -> str:
    """Add words to a signed document; it stays as it was. The same `addendum_id` twice is kept once."""
    text, by, addendum_id = kept_words(text, "text"), name_of(desk.signer(by), "by"), entry_id_of(addendum_id)
    wanted = (("text", text, "what is added"), ("by", by, "your name"))
    faults = [Fault("nothing written here", "", would, field=name) for name, given, would in wanted if not given]
    if faults:
        raise CannotRead(faults)
    with desk.transaction() as session:
        row = documents.signed_document(session, document_id)
        queries.lock_visit(session, row.visit_id)
        kept = session.get(DocumentAddendumRow, addendum_id)
        if kept is not None:
            if (kept.document_id, kept.text, kept.by) != (document_id, text, by):
                raise Refused("this addendum was already kept with other words; add another one")
            return addendum_id
        session.add(DocumentAddendumRow(id=addendum_id, document_id=document_id, by=by, at=desk.clock(), text=text))
        person_id = queries.person_of_visit(session, row.visit_id)
        queries.audit(session, desk.clock(), desk.who, "document addendum", person_id, row.visit_id, row.kind)
    return addendum_id


def document_file(document: Note | Handout, form: str) -> bytes:
    """A document as `pdf`, `html` or `txt`. Raises NotFound for another form."""
    from endfeel.documents import Handout, handout_html, handout_pdf, handout_text, note_html, note_pdf, note_text

    if form not in FORMS:
        raise NotFound(f"no document as {form!r}; {', '.join(FORMS)} there are")
    if isinstance(document, Handout):
        if form == "pdf":
            return handout_pdf(document)
        return (handout_html(document) if form == "html" else handout_text(document)).encode()
    if form == "pdf":
        return note_pdf(document)
    return (note_html(document) if form == "html" else note_text(document)).encode()


# ---- from the record to the value -------------------------------------------------------------------------------


def _kind(kind: str) -> DocumentKind:
    from endfeel.documents import LETTERS, DocumentKind

    if kind not in LETTERS:
        raise NotFound(f"no document {kind!r}; {', '.join(LETTERS)} there are")
    return DocumentKind(kind)


def compose_from(
    session: Session, desk: Desk, view: VisitView, kind: str, said: WriterWords, by: str, now: datetime, *,
    signed: bool,
) -> Note:  # fmt: skip
    """One letter of the episode up to the visit just viewed, inside a transaction of the caller."""
    return _composed(desk, view, _episode(session, desk, view), kind, said, by, now, signed=signed)


def _composed(
    desk: Desk, view: VisitView, episode: EpisodeOfCare, kind: str, said: WriterWords, by: str, now: datetime, *,
    signed: bool,
) -> Note:  # fmt: skip
    from endfeel.documents import DocumentKind, Written, compose_letter, with_body_chart

    wanted = _kind(kind)
    words = _words(said, suggested_codes(episode.thought.posterior, desk.library))
    written = Written(here(now), by, signed, view.label)
    letter = compose_letter(wanted, episode, words, written, desk.library)
    pressing = view.assessment.verdict.is_pressing
    if wanted is DocumentKind.INSURER or pressing or not (view.chart or view.earlier_chart):
        return letter
    from endfeel.care.body_chart import measured_chart

    chart = measured_chart(desk, view.chart, view.earlier_chart)
    after = "measures" if wanted is DocumentKind.FOLLOW_UP else "story"
    return with_body_chart(letter, chart.areas, chart.before, chart.overlap, after, brief=True)


def _episode(session: Session, desk: Desk, view: VisitView) -> EpisodeOfCare:
    """The visits of the episode up to this one, with their measures and the last sheet taken home."""
    from endfeel.documents import EpisodeOfCare, PastVisit, handout_from_dict

    episode_id = queries.episode_of_visit(session, view.visit_id)
    days = [one for one in measures.visits_of(session, episode_id) if one.number <= view.number]
    there = {one.id for one in days}
    by_visit, wishes = queries.visit_records(session, there), measures.preferences_by_visit(session, days)
    records = [by_visit[day.id] for day in days]
    last = last_examination([one.case.findings for one in records], whole_share(desk))
    seen = records[last]
    examined = None if seen is records[-1] else view_of(desk, seen, reading_of(session, desk, seen))
    told = follow(
        visits_followed(session, days, by_visit, wishes), local_day(desk.clock()), desk.library,
        case=view.assessment.case, first=records[0].case, contributors=shares_of(examined or view),
        rater=wishes[days[-1].id].rater or RATER,
    )  # fmt: skip
    kept = documents.documents_of(session, episode_id)
    sheet = next((one for one in kept if one.kind == HANDOUT and one.visit_id in there), None)
    return EpisodeOfCare(
        tuple(
            PastVisit(
                f"{one.opened_at.astimezone():%Y-%m-%d}",
                one.case,
                standing_verdict(one, desk),
                said_last(one.entries, REVIEW),
            )
            for one in records
        ),
        view.assessment,
        tuple(one for one in told.trajectories if one.line.is_outcome),
        told.decisions if any(one.line.is_outcome for one in told.trajectories) else (),
        tuple(one.name for one in handout_from_dict(sheet.document).exercises) if sheet else (),
        (last + 1, examined.assessment) if examined else None,
    )


def _words(said: WriterWords, suggested: Sequence[CodeSuggestion]) -> LetterWords:
    from endfeel.documents import LetterWords

    return LetterWords(
        said.to, said.reference, said.asked, said.told, said.closing, confirmed_codes(suggested, said.codes)
    )


# ---- keeping ----------------------------------------------------------------------------------------------------


def _signer(by: str) -> str:
    by = name_of(by, "by")
    if not by:
        raise CannotRead([Fault("a document is signed with a name", "", "your name", field="by")])
    return by


def _checked(kind: str, said: WriterWords, by: str) -> tuple[WriterWords, str]:
    """Words as they can be kept. Raises CannotRead with everything that is missing, Refused for what is not kept so."""
    if kind == "follow-up":
        raise Refused("a follow-up note is the note of its visit: sign it as the note")
    _kind(kind)
    words = WriterWords(
        **{one.name: kept_words(getattr(said, one.name), one.name) for one in fields(said) if one.name != "codes"},
        codes=said.codes,
    )
    words = WriterWords(name_of(words.to, "to"), name_of(words.reference, "reference"), words.asked, words.told,
                        words.closing, words.codes)  # fmt: skip
    missing = [(name, would) for name, would in NEEDED.get(kind, {}).items() if not getattr(words, name)]
    by = name_of(by, "by")
    missing += [] if by else [("by", "your name: a document is signed with a name")]
    if missing:
        raise CannotRead([Fault("nothing written here", "", would, field=name) for name, would in missing])
    return words, by


def _keep(
    desk: Desk, visit_id: str, kind: str, recipient: str, by: str, now: datetime, told: dict[str, object],
    document_id: str | None,
) -> str:  # fmt: skip
    document_id = entry_id_of(document_id)
    with desk.transaction() as session:
        queries.lock_visit(session, visit_id)
        already = documents.there_already(session, visit_id, kind, recipient)
        if already is not None:
            if already.id == document_id:
                return document_id
            raise Refused(_second(already))
        if session.get(SignedDocumentRow, document_id) is not None:
            raise Refused("this form was sent before for another document; open the page again")
        session.add(
            SignedDocumentRow(
                id=document_id, visit_id=visit_id, kind=kind, recipient=recipient, signed_by=by, signed_at=now,
                document=told, release=desk.library.release, program_version=__version__,
            )
        )  # fmt: skip
        person_id = queries.person_of_visit(session, visit_id)
        queries.audit(session, desk.clock(), desk.who, "sign document", person_id, visit_id, kind)
    return document_id


def _second(already: SignedDocument) -> str:
    from endfeel.documents import TITLES, DocumentKind

    name = TITLES[DocumentKind(already.kind)].lower()
    to = f" to {already.recipient}" if already.recipient else ""
    other = ", or write to another reader" if already.recipient else ""
    return (
        f"the {name}{to} of this visit was signed by {already.signed_by} on {here(already.signed_at)} and cannot "
        f"change; add an addendum to it{other}"
    )
