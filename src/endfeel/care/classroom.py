"""A class: a teacher assigns simulated patients, learners join under a name of their choosing. No patient is in it."""

from __future__ import annotations

import hashlib
import secrets
import uuid
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

import numpy as np
from sqlalchemy.orm import Session

from endfeel.care.allowed import SEES_ALL, TEACH
from endfeel.care.desk import Desk, new_id
from endfeel.care.lessons import (
    LessonSummary,
    case_of_code,
    good_paths,
    lesson_summary,
    new_wish,
    open_lesson,
    played_lesson,
    remove_lesson,
)
from endfeel.records import ClassRecord, Member, queries
from endfeel.records import classes as rows
from endfeel.records.store import reading
from endfeel.safety import Verdict, questions, verdict
from endfeel.simulate import CaseWish, SimulatedCase, code_of, read_code
from endfeel.simulate.codes import LETTERS
from endfeel.teaching import (
    Closed,
    Examination,
    GoodPath,
    GroupResults,
    PathStep,
    course_names,
    group_results,
    known_cues,
    needed,
    path_of,
)
from endfeel.vocabulary import CannotRead, Fault, NotAllowed, NotFound, Refused

JOIN_LETTERS = 6
MOST_CASES, MOST_MEMBERS, MOST_MINUTES = 40, 200, 240
_SPOKEN = str.maketrans("ILOU", "110V")


@dataclass(frozen=True, slots=True)
class MemberCase:
    """One assigned case as its learner sees it."""

    code: str
    minutes: float
    summary: LessonSummary | None
    """None while it was not begun."""
    lesson_id: str


@dataclass(frozen=True, slots=True)
class MemberView:
    """What a learner of a class sees."""

    class_name: str
    teacher: str
    member: Member
    cases: tuple[MemberCase, ...]


@dataclass(frozen=True)
class ClassView:
    """What a teacher sees: who is how far, and what the closed cases say."""

    record: ClassRecord
    sittings: dict[tuple[str, str], LessonSummary | None]
    """Learner's key and code of the case to how far it is."""
    results: GroupResults | None
    """None while no case is closed."""
    wishes: dict[str, CaseWish]
    """Code to what was wished for."""
    mark: str
    """Changes when anything changed."""

    @property
    def closed(self) -> tuple[Closed, ...]:
        return closed_of(self.record, self.sittings)


@dataclass(frozen=True)
class LearnerPath:
    """One learner's examination of one case, played."""

    learner: str
    examination: Examination
    steps: tuple[PathStep, ...]
    summary: LessonSummary


@dataclass(frozen=True)
class ClassCaseView:
    """One case to talk over: everybody's path beside the cheapest good one."""

    record: ClassRecord
    code: str
    person: SimulatedCase
    good: GoodPath
    safety: GoodPath | None
    """The shortest way to the danger; None where there is none."""
    good_steps: tuple[PathStep, ...]
    """Of the way to the danger where there is one, else of the good path."""
    paths: tuple[LearnerPath, ...]
    there: tuple[tuple[str, str], ...]
    """What is there: name and region."""
    verdict: Verdict
    """By everything that can be asked."""
    asked: tuple[tuple[str, frozenset[str]], ...]
    """Each question whose answer is yes, with the learners who came to know it."""
    called_for: tuple[str, ...]
    """Names of the courses that what is there calls for."""
    treatment_names: Mapping[str, str]
    results: GroupResults | None
    """Of this case alone; None while nobody closed it."""


def must_teach(desk: Desk) -> None:
    """Raises NotAllowed for who is signed in and teaches no class: the teacher's pages show what is hidden."""
    if desk.staff is not None and not desk.staff.may(TEACH):
        with desk.transaction() as session:
            queries.audit(session, desk.clock(), desk.who, "teach class", None)


def make_class(desk: Desk, name: str, teacher: str = "", class_id: str | None = None) -> str:
    """A new class; its id. The same `class_id` twice is one class. Raises CannotRead without a name."""
    told = _name(name, "the class needs a name", "name", 200)
    key, owner = class_id or new_id(), desk.staff.id if desk.staff else None
    shown = (" ".join(teacher.split()) or desk.signs_as)[:200]
    with desk.transaction() as session:
        join_code = _drawn()
        while rows.join_code_taken(session, join_code):
            join_code = _drawn()
        rows.add_class(session, key, told, shown, join_code, desk.clock(), owner)
    return key


def list_classes(desk: Desk) -> tuple[ClassRecord, ...]:
    """The classes of who is signed in, the newest first; every class for a lead, and where nobody signs in."""
    everybody = desk.staff is None or desk.staff.role == SEES_ALL
    with reading(desk.engine) as session:
        return rows.all_classes(session, None if everybody else desk.staff.id if desk.staff else "")


def _own_class(desk: Desk, session: Session, class_id: str) -> ClassRecord:
    """The class, if it is theirs. Raises NotFound, NotAllowed for another teacher's."""
    record = rows.class_record(session, class_id)
    if desk.staff is not None and desk.staff.role != SEES_ALL and record.staff_id != desk.staff.id:
        raise NotAllowed("this class is another teacher's", "teach class")
    return record


def class_by_code(desk: Desk, join_code: str) -> str:
    """The id of the class that is joined by this code, however it was written. Raises NotFound."""
    plain = "".join(sign for sign in join_code.upper().translate(_SPOKEN) if sign in LETTERS)
    with reading(desk.engine) as session:
        return rows.class_id_of(session, plain)


def assign_cases(desk: Desk, class_id: str, codes: Iterable[str], minutes: float = 20.0) -> tuple[str, ...]:
    """Assign cases by their codes; the codes as they are kept. A case assigned twice is assigned once.

    Raises CannotRead for what is no code, or too many; NotFound for an unknown class.
    """
    made = [code_of(read_code(one, desk.library.release)[0], desk.library.release) for one in codes if one.strip()]
    if not made:
        raise CannotRead([Fault("no case was named", would_do="a code such as those of a lesson", field="codes")])
    if not 0 < minutes <= MOST_MINUTES:
        raise CannotRead([Fault("so many minutes cannot be", f"{minutes:g}", f"1 to {MOST_MINUTES}", field="minutes")])
    with desk.transaction() as session:
        record = _own_class(desk, session, class_id)
        if len({*made, *(one.code for one in record.cases)}) > MOST_CASES:
            raise CannotRead([Fault("more cases than a class holds", would_do=f"at most {MOST_CASES}", field="codes")])
        rows.add_cases(session, class_id, made, minutes, desk.clock())
    return tuple(dict.fromkeys(made))


def draw_codes(desk: Desk, count: int, difficulty: str = "", irritability: str = "", danger: str = "") -> list[str]:
    """Codes of new people by wish. Raises CannotRead."""
    if not 1 <= count <= MOST_CASES:
        raise CannotRead([Fault("so many cases cannot be", str(count), f"1 to {MOST_CASES}", field="count")])
    return [code_of(new_wish(difficulty, irritability, danger), desk.library.release) for _ in range(count)]


def join_class(desk: Desk, join_code: str, name: str, member_id: str | None = None) -> str:
    """Come in by the class's code under a name; the learner's own key. The same `member_id` twice is one learner.

    Raises CannotRead without a name, NotFound for a code of no class, Refused when the name is taken.
    """
    told = _name(name, "choose a name; it need not be yours", "name", 60)
    key, class_id = member_id or new_id(), class_by_code(desk, join_code)
    with desk.transaction() as session:
        record = rows.class_record(session, class_id)
        if any(one.id == key for one in record.members):
            return key
        if any(one.name.casefold() == told.casefold() for one in record.members):
            raise Refused(f"somebody called {told} is in this class already; choose another name")
        if len(record.members) >= MOST_MEMBERS:
            raise Refused("this class is full")
        rows.add_member(session, class_id, key, told, desk.clock())
    return key


def view_member(desk: Desk, member_id: str) -> MemberView:
    """What a learner sees. Raises NotFound for nobody's key."""
    record, member = _member(desk, member_id)
    cases = []
    for one in record.cases:
        lesson = lesson_of(member_id, one.code)
        cases.append(MemberCase(one.code, one.minutes, lesson_summary(desk, lesson), lesson))
    return MemberView(record.name, record.teacher, member, tuple(cases))


def open_class_case(desk: Desk, member_id: str, code: str) -> str:
    """Begin an assigned case, or go on with it; the id of the lesson. Raises NotFound."""
    record, member = _member(desk, member_id)
    assigned = next((one for one in record.cases if one.code == code), None)
    if assigned is None:
        raise NotFound("this case is not one of this class")
    lesson = lesson_of(member_id, code)
    return open_lesson(desk, code, member.name, assigned.minutes, lesson, member=member_id)


def view_class(desk: Desk, class_id: str) -> ClassView:
    """What the teacher sees. Raises NotFound."""
    with desk.transaction() as session:
        record = _own_class(desk, session, class_id)
    sittings = {
        (member.id, case.code): lesson_summary(desk, lesson_of(member.id, case.code))
        for member in record.members for case in record.cases
    }  # fmt: skip
    closed = closed_of(record, sittings)
    told = [f"{key} {one.steps} {one.closed}" for key, one in sittings.items() if one is not None]
    told += [one.id for one in record.members] + [one.code for one in record.cases]
    mark = hashlib.sha256("\n".join(told).encode()).hexdigest()[:16]
    wishes = {one.code: read_code(one.code, desk.library.release)[0] for one in record.cases}
    return ClassView(record, sittings, group_results(closed, desk.library) if closed else None, wishes, mark)


def closed_of(
    record: ClassRecord, sittings: dict[tuple[str, str], LessonSummary | None]
) -> tuple[Closed, ...]:  # fmt: skip
    """The closed cases, learner by learner."""
    names = {one.id: one.name for one in record.members}
    return tuple(
        Closed(names[member], code, one.stands_for, one.outcome)
        for (member, code), one in sittings.items()
        if one is not None and one.stands_for is not None and one.outcome is not None
    )


def view_class_case(desk: Desk, class_id: str, code: str) -> ClassCaseView:
    """One case to talk over. It shows what was hidden. Raises NotFound."""
    with desk.transaction() as session:
        record = _own_class(desk, session, class_id)
    if code not in [one.code for one in record.cases]:
        raise NotFound("this case is not one of this class")
    person, _ = case_of_code(desk, code)
    good, safety = good_paths(desk, person)
    paths = learner_paths(desk, record, code)
    instances = person.patient.network.instances
    there = tuple((instances[i].name, instances[i].contributor.region) for i in np.flatnonzero(person.patient.present))
    names = course_names(person)
    known = {path.learner: known_cues(path.examination, desk.library) for path in paths}
    asked = tuple(
        (one.question, frozenset(who for who, cues in known.items() if one.id in cues))
        for one in questions(desk.library) if person.case.screen.get(one.id)
    )  # fmt: skip
    closed = [
        Closed(one.learner, code, one.summary.stands_for, one.summary.outcome)
        for one in paths if one.summary.stands_for is not None and one.summary.outcome is not None
    ]  # fmt: skip
    signs = person.danger.signs if person.danger else ()
    return ClassCaseView(
        record, code, person, good, safety, path_of((safety or good).moments), paths, there,
        verdict(replace(person.case, findings=signs), desk.library), asked,
        tuple(names[key] for key in sorted(needed(person))), names,
        group_results(closed, desk.library) if closed else None,
    )  # fmt: skip


def learner_paths(desk: Desk, record: ClassRecord, code: str) -> tuple[LearnerPath, ...]:
    """Everybody's examination of one case who began it."""
    made = []
    for member in record.members:
        lesson = lesson_of(member.id, code)
        summary = lesson_summary(desk, lesson)
        if summary is not None:
            found = played_lesson(desk, lesson)
            made.append(LearnerPath(member.name, found, path_of(found.moments), summary))
    return tuple(made)


def remove_class(desk: Desk, class_id: str) -> None:
    """Take a class away with its learners and all they did in it. Raises NotFound."""
    with desk.transaction() as session:
        record = _own_class(desk, session, class_id)
        rows.remove_class(session, class_id)
    for member in record.members:
        for case in record.cases:
            remove_lesson(desk, lesson_of(member.id, case.code))


def lesson_of(member_id: str, code: str) -> str:
    """One lesson for one learner and case, however often it is opened."""
    return str(uuid.uuid5(uuid.UUID(member_id), code))


def _member(desk: Desk, member_id: str) -> tuple[ClassRecord, Member]:
    with reading(desk.engine) as session:
        record = rows.class_record(session, rows.class_of_member(session, member_id))
    return record, next(one for one in record.members if one.id == member_id)


def _drawn() -> str:
    return "".join(secrets.choice(LETTERS) for _ in range(JOIN_LETTERS))


def _name(told: str, fault: str, field: str, most: int) -> str:
    name = " ".join(told.split())
    if not name or len(name) > most:
        raise CannotRead([Fault(fault, name[:40], f"1 to {most} letters", field=field)])
    return name
