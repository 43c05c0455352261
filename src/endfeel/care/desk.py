"""The desk a therapist works at: the store, the evidence, the compiled links, the clock, and who sits there."""

from __future__ import annotations

import uuid
from collections import deque
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime
from functools import lru_cache
from typing import Any, TypeVar, cast

from sqlalchemy import Engine
from sqlalchemy.orm import Session

from endfeel.care.allowed import Staff, gate
from endfeel.evidence.library import Library
from endfeel.evidence.load import load_library
from endfeel.inference import Model, build_model
from endfeel.records.audit import GATE, audit
from endfeel.records.encryption import Keeper
from endfeel.records.heads import CARED_FOR, STAFF
from endfeel.records.staff import anybody
from endfeel.records.store import open_engine, reading, transaction
from endfeel.safety import forget as forget_verdicts
from endfeel.vocabulary import NotAllowed

Answer = TypeVar("Answer")


class Concluded:
    """The last few assessments and counts by everything they depend on: the next page of a visit, a second device and
    an undone finding ask again what was just answered. Kept in memory alone, as long as the program runs."""

    def __init__(self, most: int = 8) -> None:
        self._kept: deque[tuple[object, Any]] = deque(maxlen=most)

    def forget(self) -> None:
        """Keep nothing any longer in this process, as when somebody is erased."""
        self._kept.clear()
        forget_verdicts()

    def recall(self, asked: object, conclude: Callable[[], Answer]) -> Answer:
        """What was concluded from the same, or concluded now. Safe from several threads."""
        for one, found in tuple(self._kept):
            if one == asked:
                return cast("Answer", found)
        made = conclude()
        self._kept.append((asked, made))
        return made


@dataclass(frozen=True, slots=True)
class Desk:
    """Built once by `open_desk`, handed to every act; in a clinic once more for each who is signed in."""

    engine: Engine
    library: Library
    model: Model
    clock: Callable[[], datetime]
    who: str = "therapist"
    concluded: Concluded = field(default_factory=Concluded, compare=False, repr=False)
    staff: Staff | None = None
    """Who is signed in: every act is held to their rights. None for one therapist alone, and at the terminal."""
    signs_as: str = ""
    """The name every signature of theirs has; empty where a name is written by hand."""

    @contextmanager
    def transaction(self) -> Iterator[Session]:
        """All of an act is kept, or nothing of it. Raises NotAllowed, which is written down, for what is not theirs."""
        try:
            with transaction(self.engine) as session:
                self.sit_down(session)
                yield session
        except NotAllowed as refused:
            with transaction(self.engine) as session:
                audit(session, self.clock(), self.who, "not allowed", refused.person_id, detail=refused.act)
            raise

    def sit_down(self, session: Session) -> None:
        """From now on every act in this transaction is held to the rights of who sits here."""
        for name in (GATE, STAFF, CARED_FOR):
            session.info.pop(name, None)
        if self.staff is not None:
            session.info[GATE], session.info[STAFF] = gate(self.staff, self.clock), self.staff.id

    def signer(self, by: str) -> str:
        """Whose name stands below: of who is signed in, else the one that was written."""
        return self.signs_as or by


def open_desk(
    address: str | None = None,
    *,
    clock: Callable[[], datetime] | None = None,
    keeper: Keeper | None = None,
    unencrypted: bool = False,
) -> Desk:
    """Open the store at `address` (path, database address, or the default place) and load the evidence.

    A new file is encrypted unless `unencrypted`; `keeper` knows the passphrase, by default the environment does.
    Raises StoreFault when the store cannot be opened, EvidenceFault when the data files are inconsistent.
    """
    engine = open_engine(address, keeper, unencrypted=unencrypted)
    with reading(engine) as session:
        who = "at the terminal" if anybody(session) else "therapist"
    return Desk(engine, load_library(), _model(), clock or (lambda: datetime.now(UTC)), who)


@lru_cache(maxsize=1)
def _model() -> Model:
    """The links of the evidence shipped with the program, compiled once however many desks are opened."""
    return build_model(load_library())


def new_id() -> str:
    """An id made here, not by the database, so that an entry keeps its id when it is sent twice."""
    return str(uuid.uuid4())
