"""`endfeel learn`: examine a simulated patient line by line, commit, look back. Every line is kept as it is typed."""

from __future__ import annotations

import argparse
import sys
import uuid
from collections.abc import Callable, Iterable
from dataclasses import asdict
from typing import TYPE_CHECKING

from endfeel.cli.case_file import checked_minutes
from endfeel.cli.terminal import footer, print_json, say, style
from endfeel.vocabulary import CannotRead, EndfeelError, Fault, Position
from endfeel.vocabulary.shorthand import finding_text

if TYPE_CHECKING:
    from endfeel import care
    from endfeel.teaching import Commitment, Feedback, Moment, Progress, Step

HELP = """\
ask QUESTION                 story, where, chart, onset, weeks, stirring, hand, rest_pain; health:0 to health:13; cue:ID
questions [WORD]             what can be asked
do TEST [LEVEL] [POSITION]   an id of `tests`; LEVEL or every; where the person is, if it can be done there
tests [WORD]                 what can be done
turn POSITION, rest          sitting, standing, supine, side_lying, prone; a minute of quiet
known                        everything asked and found so far
commit NAME PERCENT, ... ; SAFETY ; TREATMENT
                             commit cuff_pain 70, capsule_global 20; none; load.glenohumeral
                             SAFETY: none, refer, urgent, same_day, emergency; TREATMENT: an id of `treatments`
names [WORD], treatments     what can be named and chosen
quit                         leave; the same code goes on where you left"""


def configure(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("code", nargs="?", help="the code of a case; without it somebody new comes")
    parser.add_argument("--seed", type=int, help="draws the same person again")
    parser.add_argument("--difficulty", default="", help="clear, usual (default) or hard")
    parser.add_argument("--irritability", default="", help="low, moderate or high (default: as it comes)")
    parser.add_argument("--danger", default="", help="maybe (default), never or always")
    parser.add_argument("--learner", default="", help="whose case it is; progress is told by it")
    parser.add_argument("--minutes", type=float, default=20.0, help="minutes there are (default 20)")
    parser.add_argument("--store", help="beside which store lessons are kept (default: your own)")
    parser.add_argument("--progress", action="store_true", help="look over all closed cases instead")
    parser.add_argument("--json", action="store_true", help="one JSON object when the input ends")


def run(options: argparse.Namespace) -> int:
    """Open the lesson or go on with it, take a line at a time, look back when it is closed."""
    from endfeel import care
    from endfeel.simulate import code_of

    desk = care.open_desk(options.store)
    if options.progress:
        return _progress(desk, options)
    minutes = checked_minutes(options.minutes)
    wish = options.code or care.new_wish(options.difficulty, options.irritability, options.danger, options.seed)
    code = options.code or code_of(wish, desk.library.release)
    if options.code:
        person, same = care.case_of_code(desk, options.code)
        code = code_of(person.wish, desk.library.release)
        if not same:
            said = "The code was made under another evidence release: there it may stand for another person."
            print(style(said, "warn", sys.stderr), file=sys.stderr)
    lesson = care.open_lesson(desk, wish, options.learner, minutes, _lesson_of(code, options.learner))
    talk = _Talk(desk, lesson, quiet=options.json)
    talk.begin(code)
    for line in sys.stdin if not sys.stdin.isatty() else _typed():
        if line.strip() and not talk.hear(line.strip()):
            break
    return talk.end()


def _lesson_of(code: str, learner: str) -> str:
    """One lesson for one learner and code, so that the code goes on where it was left."""
    return str(uuid.uuid5(uuid.NAMESPACE_OID, f"{code}|{learner}"))


def _typed() -> Iterable[str]:
    while True:
        try:
            yield input("> ")
        except EOFError:
            return


class _Talk:
    """The lines of one sitting."""

    def __init__(self, desk: care.Desk, lesson: str, *, quiet: bool) -> None:
        self.desk, self.lesson, self.quiet = desk, lesson, quiet
        self.faults = 0

    def say(self, text: str, lead: str = "", kind: str = "") -> None:
        if not self.quiet:
            say(text, lead, kind)

    def begin(self, code: str) -> None:
        from endfeel import care
        from endfeel.simulate import opening

        view = care.view_lesson(self.desk, self.lesson)
        self.say(f"{opening(view.examination.person)}  Simulated; code {code}.", kind="head")
        self.say("`help` says what can be typed.", kind="dim")
        for one in view.examination.moments:
            self.tell(one)

    def hear(self, line: str) -> bool:
        """One line; False when it was the last. What does not do is said, and nothing is kept of it."""
        from endfeel import care

        word, _, rest = line.partition(" ")
        shows: dict[str, Callable[[str], None]] = {
            "help": lambda _: None if self.quiet else print(HELP),
            "questions": self.questions, "tests": self.tests, "names": self.names, "treatments": self.treatments,
            "known": self.known,
        }  # fmt: skip
        if word in ("quit", "exit"):
            return False
        try:
            if word in shows:
                shows[word](rest.strip().lower())
                return True
            view = care.take_step(self.desk, self.lesson, self.step(word, rest.strip()))
        except EndfeelError as error:
            self.faults += 1
            told = [one.sentence() for one in error.faults] if isinstance(error, CannotRead) else [str(error)]
            for one in told:
                print(one, file=sys.stderr)
            return True
        if view.closed:
            return False
        self.tell(view.examination.moments[-1])
        found = view.examination
        self.say(f"{found.seconds / 60:.1f} of {view.head.minutes:g} min, {found.position}, {found.turns} turns.",
                 kind="dim")  # fmt: skip
        return True

    def step(self, word: str, rest: str) -> Step:
        """A line as a step. Raises CannotRead."""
        from endfeel import care
        from endfeel.teaching import EVERY_LEVEL, Step

        key = care.new_id()
        if word == "ask":
            return Step(key, "ask", rest)
        if word == "rest":
            return Step(key, "rest")
        if word == "turn" and rest in tuple(Position):
            return Step(key, "turn", position=Position(rest))
        if word == "do" and rest:
            name, *more = rest.split()
            where = next((Position(one) for one in more if one in tuple(Position)), None)
            level = next((one for one in more if one not in tuple(Position)), "")
            return Step(key, "examine", name, level if level == EVERY_LEVEL else level.upper(), where)
        if word == "commit":
            return Step(key, "commit", commitment=commitment_of(rest))
        raise CannotRead([Fault("not understood", f"{word} {rest}"[:60], "a line as `help` has them")])

    def tell(self, moment: Moment) -> None:
        self.say(f"{moment.words}: {moment.said}" if moment.said else moment.words, "  ",
                 "warn" if moment.refused else "")  # fmt: skip
        for one in moment.findings:
            self.say(finding_text(one), "    ")

    def questions(self, word: str) -> None:
        from endfeel.simulate import askables

        for one in askables(self.desk.library):
            if word in f"{one.id} {one.words} {one.group}".lower():
                self.say(f"{one.words} ({one.seconds:g} s)", f"{one.id:28} ")

    def tests(self, word: str) -> None:
        for one in self.desk.library.catalogue:
            if word in f"{one.id} {one.name} {one.region}".lower():
                where = ", ".join(one.positions) + (f"; {one.levels[0]} to {one.levels[-1]}" if one.levels else "")
                self.say(f"{one.name} ({one.typical_seconds:g} s; {where})", f"{one.id:28} ")

    def names(self, word: str) -> None:
        from endfeel import care

        view = care.view_lesson(self.desk, self.lesson)
        for one in view.examination.person.patient.network.instances:
            if word in f"{one.id} {one.name}".lower():
                self.say(one.name, f"{one.id:32} ")

    def treatments(self, _: str) -> None:
        from endfeel import care
        from endfeel.teaching import ADVICE, SEND_ON, course_names

        view = care.view_lesson(self.desk, self.lesson)
        told = {ADVICE: "advice and time", SEND_ON: "none: send on first", **course_names(view.examination.person)}
        for key, name in told.items():
            self.say(name, f"{key:36} ")

    def known(self, _: str) -> None:
        from endfeel import care

        for one in care.view_lesson(self.desk, self.lesson).examination.moments:
            self.tell(one)

    def end(self) -> int:
        """Look back where the case is closed."""
        from endfeel import care

        view = care.view_lesson(self.desk, self.lesson)
        told = care.look_back(self.desk, self.lesson)[1] if view.closed else None
        if self.quiet:
            print_json(lesson_dict(view, told))
        elif told:
            print_feedback(told)
            footer(self.desk.library.release)
        else:
            self.say(f"Kept. `endfeel learn {view.head.code}` goes on with it.", kind="dim")
        return 1 if self.faults and not sys.stdin.isatty() else 0


def commitment_of(text: str) -> Commitment:
    """`cuff_pain 70, capsule_global 20; none; load.glenohumeral`. Raises CannotRead."""
    from endfeel.safety import Urgency
    from endfeel.teaching import Commitment, Named

    parts = [part.strip() for part in text.split(";")]
    if len(parts) != 3 or parts[1] not in tuple(Urgency):
        raise CannotRead([Fault("not a commitment", text[:60], "NAME PERCENT, ... ; SAFETY ; TREATMENT")])
    ranking = []
    for one in parts[0].split(","):
        name, _, percent = one.strip().rpartition(" ")
        if not percent.rstrip("%").isdecimal():
            raise CannotRead([Fault("how sure, in per cent", one.strip()[:40], "cuff_pain 70")])
        ranking.append(Named(name.strip(), int(percent.rstrip("%"))))
    return Commitment(tuple(ranking), Urgency(parts[1]), parts[2])


def print_feedback(told: Feedback) -> None:
    """The first minute, then what was there and every step."""
    print(style("In a minute", "head"))
    for line in told.lines:
        sign = "+" if line.good else "-" if line.good is False else " "
        say(line.words, f"{sign} {line.about:16} ", "warn" if line.good is False else "")
    print(style("What was there", "head"))
    for name, region, probability, named in told.hidden:
        say(f"{name} ({region.replace('_', ' ')}): {'named' if named else 'not named'}; the program on your findings "
            f"{probability:.0%}", "  ")  # fmt: skip
    for one in told.missed:
        say(one, "  answered yes, not asked: ", "warn")
    for name, why in told.against:
        say(f"{name}: {why}", "  done although it must not be: ", "warn")
    print(style("Step by step: bits expected when it was done", "head"))
    for moment, worth in zip(told.examination.moments, told.worths, strict=True):
        if worth:
            moved = f"{worth.moved} {worth.before:.0%} to {worth.after:.0%}" if worth.moved else "moved nothing"
            say(f"{worth.bits:5.2f} bits, {worth.bits_per_minute:5.2f} a minute  {moment.words}: {moved}", "  ")


def lesson_dict(view: care.LessonView, told: Feedback | None) -> dict[str, object]:
    """A lesson as plain values; what is hidden only once it is closed."""
    from endfeel.teaching import Outcome

    found = view.examination
    return {
        "code": view.head.code, "learner": view.head.learner, "closed": view.closed,
        "seconds": found.seconds, "turns": found.turns, "position": str(found.position), "refusals": found.refusals,
        "steps": [{"words": one.words, "said": one.said, "findings": [finding_text(f) for f in one.findings],
                   "seconds": one.seconds + one.turn_seconds} for one in found.moments],
        "outcome": asdict(Outcome.of(told)) if told else None,
        "release": view.head.release,
    }  # fmt: skip


def _progress(desk: care.Desk, options: argparse.Namespace) -> int:
    from endfeel import care

    found = care.learner_progress(desk, options.learner or None)
    if options.json:
        print_json(asdict(found))
        return 0
    print_progress(found)
    footer(desk.library.release)
    return 0


def print_progress(found: Progress) -> None:
    """Percentages against what was so, then how often it went well, then joint by joint."""
    print(style(f"{found.cases} closed cases, {found.forecasts} percentages", "head"))
    for band in found.bands:
        say(band.words, "  ")
    if found.forecasts:
        say(f"Squared error {found.brier:.3f}; the program on the same findings {found.program_brier:.3f}.", "  ")
    for name, good, of in found.about:
        say(f"{name}: well in {good} of {of}", "  ")
    for joint in found.joints:
        share = f"{joint.found.value:.0%} named" if joint.hidden else "none hidden"
        say(
            f"{joint.region.replace('_', ' ')}: {joint.hidden} hidden, {share}; {joint.false} named and not there", "  "
        )
