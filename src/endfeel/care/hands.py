"""One's own hands: agreement with others on the same people, kept, and used in the reading of what one found."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from sqlalchemy.orm import Session

from endfeel.care.desk import Desk
from endfeel.evidence.library import Library
from endfeel.evidence.load import load_library
from endfeel.inference import Examiner, Model, OwnAgreement, OwnError, build_model
from endfeel.inference.hands_file import measured_angles, read_hands, with_rows
from endfeel.inference.own_agreement import own_rows
from endfeel.inference.own_words import own_words
from endfeel.measurement.agreement import Ratings
from endfeel.records import VisitRecord, queries
from endfeel.records import hands as kept
from endfeel.vocabulary import CannotRead, Case, Fault

FILE = "own hands"
BY_OTHERS = "somebody else found something in this visit too"
BY_A_FILE = "something about this person came from a file, and whose hands found it is not known"
UNREADABLE = "it names what this evidence does not know; keep it anew"


@dataclass(frozen=True, slots=True)
class Reading:
    """By whose hands a visit is read."""

    told: str = ""
    """The kept words; empty for the usual hands."""
    why_not: str = ""
    """Why one's own hands do not read it, where some are kept."""

    def model(self, desk: Desk) -> Model:
        """The model of these hands."""
        return _model_of(self.told, desk.library.release) if self.told else desk.model

    def mind(self, case: Case, desk: Desk) -> tuple[str, ...]:
        """What is to be said on screen and paper."""
        if self.why_not:
            return (f"your own hands' agreement is not used: {self.why_not}",)
        if not self.told:
            return ()
        return own_words(case, desk.library, desk.model, read_hands(self.told, FILE, desk.library))


@lru_cache(maxsize=8)
def _model_of(told: str, _release: str) -> Model:
    library = load_library()
    return build_model(library, read_hands(told, FILE, library))


def reading_of(session: Session, desk: Desk, record: VisitRecord) -> Reading:
    """By whose hands who is signed in reads a visit that was read in the same transaction."""
    told = kept.hands_of(session, _owner(desk))
    if not told:
        return Reading()
    act = kept.not_by_own_hands(session, record.person_id, record.visit_id, desk.who)
    if act:
        return Reading(why_not=BY_A_FILE if act in kept.FROM_A_FILE else BY_OTHERS)
    return Reading(told) if _readable(told, desk.library) else Reading(why_not=UNREADABLE)


def _readable(told: str, library: Library) -> bool:
    """Whether every test in it is still one of this evidence."""
    try:
        read_hands(told, FILE, library)
    except CannotRead:
        return False
    return True


def own_hands(desk: Desk) -> Examiner | None:
    """What is kept of one's hands; None where nothing is, an empty one where this evidence cannot read it."""
    with desk.transaction() as session:
        queries.audit(session, desk.clock(), desk.who, "view own hands", None)
        told = kept.hands_of(session, _owner(desk))
    if told and not _readable(told, desk.library):
        return Examiner((), (), UNREADABLE)
    return read_hands(told, FILE, desk.library) if told else None


def keep_own_hands(
    desk: Desk, ratings: Ratings, examiner: str, procedure: str, outcome: str = ""
) -> tuple[OwnAgreement | OwnError, ...]:
    """Reckon one examiner's agreement from ratings and keep it as one's own; of the same test and outcome the newest
    counts. Raises CannotRead; then nothing is kept."""
    if procedure not in desk.library.catalogue.by_id:
        raise CannotRead([Fault("say which test was rated", procedure, "one of the list", field="procedure")])
    rows = own_rows(
        ratings, examiner, desk.library.catalogue[procedure], outcome or None, desk.model.parameters,
        measured=not outcome and procedure in measured_angles(desk.library),
    )  # fmt: skip
    with desk.transaction() as session:
        queries.audit(session, desk.clock(), desk.who, "keep own hands", None, detail=procedure)
        before = kept.hands_of(session, _owner(desk))
        before = before if _readable(before, desk.library) else ""
        name = read_hands(before, FILE, desk.library).name if before else examiner
        told = with_rows(before, rows, name, FILE, desk.library)
        kept.keep_hands(session, _owner(desk), desk.clock(), told)
    return rows


def remove_own_hands(desk: Desk) -> None:
    """Read with the usual hands again."""
    with desk.transaction() as session:
        queries.audit(session, desk.clock(), desk.who, "remove own hands", None)
        kept.remove_hands(session, _owner(desk))


def _owner(desk: Desk) -> str:
    return desk.staff.id if desk.staff else ""
