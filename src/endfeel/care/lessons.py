"""Lessons on simulated patients: open one, go a step, commit, look back, look over many. No real person is involved."""

from __future__ import annotations

import secrets
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import asdict, dataclass, replace
from datetime import datetime
from threading import Lock
from typing import Any
from weakref import WeakValueDictionary

from endfeel.care.desk import Desk, new_id
from endfeel.records.lessons import LessonFiles
from endfeel.simulate import CaseWish, Danger, Difficulty, SimulatedCase, code_of, draw_case, read_code
from endfeel.simulate.codes import SEEDS
from endfeel.teaching import (
    Commitment,
    Examination,
    Feedback,
    Forecast,
    GoodPath,
    Line,
    Outcome,
    Progress,
    Step,
    Worth,
    begin,
    cheapest_good_path,
    feedback,
    go_on,
    progress,
    safety_path,
    step_from,
    worth_of_step,
)
from endfeel.vocabulary import CannotRead, EndfeelError, Fault, Irritability, NotFound

MOST_LETTERS = 60
_KEPT = 32
"""Lessons whose examination is kept at hand."""


@dataclass(frozen=True, slots=True)
class LessonHead:
    """What stands on the first line of a lesson."""

    id: str
    code: str
    learner: str
    minutes: float
    """What the learner has; nothing ends when they are over."""
    opened_at: datetime
    release: str
    foreign: bool = False
    """Whether the code that was given was made under another evidence release: there it may be another person."""
    member: str = ""
    """Key of the learner of a class whose case this is; empty for a case of one's own."""


@dataclass(frozen=True)
class LessonView:
    """A lesson as it stands."""

    head: LessonHead
    examination: Examination
    worths: tuple[Worth | None, ...]
    same_release: bool
    """Whether the evidence is that under which the lesson was opened; else another person may have been drawn."""
    closed: bool
    stuck: str
    """Why kept steps could not be played any more; empty when all were."""


@dataclass(frozen=True, slots=True)
class LessonSummary:
    head: LessonHead
    steps: int
    closed: bool
    outcome: Outcome | None
    """None until it was looked back on."""
    stands_for: Commitment | None = None


class _AtHand:
    """Examinations played already, by lesson and number of steps. One lesson is worked on by one thread at a time;
    nobody waits for the reckoning of another's."""

    def __init__(self) -> None:
        self.lock = Lock()
        """Held for the tables below alone, never while anything is reckoned."""
        self.turns: WeakValueDictionary[object, _Turn] = WeakValueDictionary()
        self.found: dict[tuple[str, str], tuple[tuple[str, ...], Examination, tuple[Worth | None, ...]]] = {}
        self.told: dict[tuple[str, str], Feedback] = {}
        self.good: dict[tuple[str, CaseWish], tuple[GoodPath, GoodPath | None]] = {}

    @contextmanager
    def turn(self, key: object) -> Iterator[None]:
        """Wait until nobody else works on the same."""
        with self.lock:
            mine = self.turns.setdefault(key, _Turn())
        with mine.lock:
            yield

    def keep(self, table: dict[Any, Any], key: object, value: object) -> None:
        """Keep one more, the oldest given up for it."""
        with self.lock:
            while len(table) >= _KEPT:
                table.pop(next(iter(table)))
            table[key] = value


class _Turn:
    """Whose turn it is at one lesson or case."""

    def __init__(self) -> None:
        self.lock = Lock()


_AT_HAND = _AtHand()


def new_wish(difficulty: str = "", irritability: str = "", danger: str = "", seed: int | None = None) -> CaseWish:
    """A wish from plain words, a seed drawn where none is given. Raises CannotRead."""
    faults: list[Fault] = []

    def word(name: str, told: str, kind: Any) -> Any:
        if told and told not in tuple(kind):
            faults.append(Fault(f"no such {name}", told[:40], ", ".join(kind), field=name))
            return None
        return kind(told) if told else None

    level, sore, risk = (
        word(name, told, kind)
        for name, told, kind in (
            ("difficulty", difficulty, Difficulty), ("irritability", irritability, Irritability),
            ("danger", danger, Danger),
        )
    )  # fmt: skip
    if faults:
        raise CannotRead(faults)
    drawn = secrets.randbelow(SEEDS) if seed is None else seed
    return CaseWish(drawn, level or Difficulty.USUAL, sore, risk or Danger.MAYBE)


def open_lesson(
    desk: Desk,
    wish: CaseWish | str,
    learner: str = "",
    minutes: float = 20.0,
    lesson_id: str | None = None,
    member: str = "",
) -> str:
    """Begin to examine somebody, by wish or by code; the id of the lesson. The same `lesson_id` twice is one lesson.

    Raises CannotRead for what is no code.
    """
    same = True
    if isinstance(wish, str):
        wish, same = read_code(wish, desk.library.release)
    files, told_id = _files(desk), lesson_id or new_id()
    with _AT_HAND.turn(_key(files, told_id)):
        if told_id not in files.ids():
            head = {
                "lesson": told_id, "code": code_of(wish, desk.library.release),
                "learner": " ".join(learner.split())[:MOST_LETTERS], "minutes": minutes,
                "opened_at": desk.clock().isoformat(), "release": desk.library.release,
                "foreign": not same, **({"member": member} if member else {}),
            }  # fmt: skip
            files.add(told_id, head)
    return told_id


def take_step(desk: Desk, lesson_id: str, step: Step) -> LessonView:
    """Go one step more and keep it; a step sent twice is kept once.

    Raises NotFound, Refused or CannotRead when the step cannot be; then nothing is kept.
    """
    files = _files(desk)
    with _AT_HAND.turn(_key(files, lesson_id)):
        view = _view(desk, files, lesson_id)
        if step.id in {one.step.id for one in view.examination.moments} | _committed_id(files, lesson_id):
            return view
        go_on(view.examination, step, desk.library, desk.model)
        files.add(lesson_id, step.as_data())
        return _view(desk, files, lesson_id)


def view_lesson(desk: Desk, lesson_id: str) -> LessonView:
    """A lesson as it stands. Raises NotFound."""
    files = _files(desk)
    with _AT_HAND.turn(_key(files, lesson_id)):
        return _view(desk, files, lesson_id)


def look_back(desk: Desk, lesson_id: str) -> tuple[LessonView, Feedback]:
    """What is said about a closed lesson; its outcome is kept for later. Raises Refused while it is open."""
    files = _files(desk)
    key = _key(files, lesson_id)
    with _AT_HAND.turn(key):
        view, told = _view(desk, files, lesson_id), _AT_HAND.told.get(key)
        if told is None:
            paths = good_paths(desk, view.examination.person)
            told = feedback(view.examination, desk.library, desk.model, view.worths, paths)
            _AT_HAND.keep(_AT_HAND.told, key, told)
        if view.same_release and not any("outcome" in one for one in files.lines(lesson_id)):
            files.add(lesson_id, {"outcome": asdict(Outcome.of(told))})
    return view, told


def good_paths(desk: Desk, person: SimulatedCase) -> tuple[GoodPath, GoodPath | None]:
    """The cheapest good path and the shortest way to the danger: the same for everybody who examines this person, and
    reckoned once."""
    key = (desk.library.release, person.wish)
    with _AT_HAND.turn(key):
        found = _AT_HAND.good.get(key)
        if found is None:
            found = (
                cheapest_good_path(person, desk.library, desk.model), safety_path(person, desk.library, desk.model)
            )  # fmt: skip
            _AT_HAND.keep(_AT_HAND.good, key, found)
    return found


def list_lessons(desk: Desk, learner: str | None = None, member: str = "") -> tuple[LessonSummary, ...]:
    """Lessons, of one learner where one is named, the oldest first; those of a class by its learner's key alone."""
    files = _files(desk)
    found = (_summary(files.lines(one)) for one in files.ids())
    return tuple(one for one in found if one is not None
                 and learner in (None, one.head.learner) and one.head.member == member)  # fmt: skip


def lesson_summary(desk: Desk, lesson_id: str) -> LessonSummary | None:
    """One lesson in short; None while it was not begun. What was closed and never looked back on is looked back on."""
    try:
        found = _summary(_files(desk).lines(lesson_id))
    except NotFound:
        return None
    if found is not None and found.closed and found.outcome is None:
        found = replace(found, outcome=Outcome.of(look_back(desk, lesson_id)[1]))
    return found


def _summary(lines: list[dict[str, Any]]) -> LessonSummary | None:
    head = _head(lines)
    if head is None:
        return None
    outcome = next((line["outcome"] for line in lines if "outcome" in line), None)
    steps = len({line["id"] for line in lines if line.get("kind") not in (None, "commit")})
    closing = next((line for line in lines if line.get("kind") == "commit"), None)
    return LessonSummary(
        head, steps, closing is not None, outcome_from(outcome) if outcome else None,
        step_from(closing).commitment if closing else None,
    )  # fmt: skip


def lesson_head(desk: Desk, lesson_id: str) -> LessonHead:
    """What stands on the first line of a lesson. Raises NotFound."""
    head = _head(_files(desk).lines(lesson_id))
    if head is None:
        raise NotFound("there is no such lesson")
    return head


def played_lesson(desk: Desk, lesson_id: str) -> Examination:
    """The kept steps played, without what they were worth; as far as they can be. Raises NotFound."""
    lines = _files(desk).lines(lesson_id)
    head = _head(lines)
    if head is None:
        raise NotFound("there is no such lesson")
    found = begin(case_of_code(desk, head.code)[0], desk.library)
    for step in {one["id"]: step_from(one) for one in lines if "kind" in one}.values():
        try:
            found = go_on(found, step, desk.library, desk.model)
        except EndfeelError:
            break
    return found


def remove_lesson(desk: Desk, lesson_id: str) -> None:
    """Take a lesson away for good."""
    _files(desk).remove(lesson_id)


def learner_progress(desk: Desk, learner: str | None = None, member: str = "") -> Progress:
    """What a learner's closed lessons say together."""
    closed = [one.outcome for one in list_lessons(desk, learner, member) if one.outcome]
    return progress(closed, desk.library)


def case_of_code(desk: Desk, code: str) -> tuple[SimulatedCase, bool]:
    """Who a code stands for, and whether it was made under this evidence. Raises CannotRead."""
    wish, same = read_code(code, desk.library.release)
    return draw_case(wish, desk.library, desk.model), same


def outcome_from(told: Mapping[str, Any]) -> Outcome:
    """An outcome as it was kept."""
    return Outcome(
        tuple(Forecast(**one) for one in told["forecasts"]),
        tuple((str(a), str(b), float(c), bool(d)) for a, b, c, d in told["hidden"]),
        tuple(Line(**one) for one in told["lines"]),
        told["minutes"], told["turns"], told["refusals"], told["bits"], told["lost_bits"],
        tuple(told.get("missed", ())), told.get("not_asked", 0), tuple(told.get("against", ())),
        told.get("stirred", 0.0),
    )  # fmt: skip


def _files(desk: Desk) -> LessonFiles:
    return LessonFiles.beside(desk.engine)


def _key(files: LessonFiles, lesson_id: str) -> tuple[str, str]:
    return str(files.folder), lesson_id


def _head(lines: list[dict[str, Any]]) -> LessonHead | None:
    told = next((one for one in lines if "lesson" in one), None)
    if told is None:
        return None
    return LessonHead(
        told["lesson"], told["code"], told["learner"], float(told["minutes"]),
        datetime.fromisoformat(told["opened_at"]), told["release"], bool(told.get("foreign")),
        told.get("member", ""),
    )  # fmt: skip


def _committed_id(files: LessonFiles, lesson_id: str) -> set[str]:
    return {one["id"] for one in files.lines(lesson_id) if one.get("kind") == "commit"}


def _view(desk: Desk, files: LessonFiles, lesson_id: str) -> LessonView:
    """The kept steps played; what was played before is not played again."""
    lines = files.lines(lesson_id)
    head = _head(lines)
    if head is None:
        raise NotFound("there is no such lesson")
    steps = list({one["id"]: step_from(one) for one in lines if "kind" in one}.values())
    key, ids = _key(files, lesson_id), tuple(one.id for one in steps)
    with _AT_HAND.lock:
        played, examination, worths = _AT_HAND.found.pop(key, ((), None, ()))
    if examination is None or ids[: len(played)] != played:
        wish, _ = read_code(head.code, desk.library.release)
        played, worths = (), ()
        examination = begin(draw_case(wish, desk.library, desk.model), desk.library)
    stuck = ""
    for step in steps[len(played) :]:
        try:
            after = go_on(examination, step, desk.library, desk.model)
        except EndfeelError as error:
            stuck = str(error)
            break
        if len(after.moments) > len(examination.moments):
            worths = (*worths, worth_of_step(after.moments[-1], after.known, desk.library, desk.model))
        examination = after
        played = (*played, step.id)
    _AT_HAND.keep(_AT_HAND.found, key, (played, examination, worths))
    same = head.release == desk.library.release
    return LessonView(head, examination, worths, same, examination.commitment is not None, stuck)
