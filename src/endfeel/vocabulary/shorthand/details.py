"""The scanner: what stands on a line beside the procedure's own words."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from itertools import pairwise
from typing import Any

from endfeel.vocabulary.errors import Fault
from endfeel.vocabulary.ranges import Reached
from endfeel.vocabulary.terms import LEVELS, REACHED, RIBS, EndFeel, Result, Side, Unit

NUMBER = r"[-−]?\d+(?:[.,]\d+)?"
UNIT_WORDS = {
    "°": Unit.DEGREES, "deg": Unit.DEGREES, "degs": Unit.DEGREES, "degree": Unit.DEGREES, "degrees": Unit.DEGREES,
    "n": Unit.NEWTONS, "newton": Unit.NEWTONS, "newtons": Unit.NEWTONS, "mm": Unit.MILLIMETRES,
    "cm": Unit.CENTIMETRES, "s": Unit.SECONDS, "sec": Unit.SECONDS, "secs": Unit.SECONDS, "seconds": Unit.SECONDS,
    "mmhg": Unit.MMHG, "/min": Unit.PER_MINUTE, "bpm": Unit.PER_MINUTE, "%": Unit.PERCENT, "kg": Unit.KILOGRAMS,
    "points": Unit.GRADE, "point": Unit.GRADE, "grade": Unit.GRADE,
    "level": Unit.LEVEL,
}  # fmt: skip
END_FEEL_WORDS = {
    "soft apposition": EndFeel.SOFT_APPOSITION, "soft tissue apposition": EndFeel.SOFT_APPOSITION,
    "soft": EndFeel.SOFT_APPOSITION, "early firm capsular": EndFeel.EARLY_CAPSULAR,
    "early capsular": EndFeel.EARLY_CAPSULAR, "early firm": EndFeel.EARLY_CAPSULAR,
    "early leathery": EndFeel.EARLY_CAPSULAR, "guarding": EndFeel.SPASM, "muscle spasm": EndFeel.SPASM,
    "firm capsular": EndFeel.FIRM_CAPSULAR, "capsular": EndFeel.FIRM_CAPSULAR, "leathery": EndFeel.FIRM_CAPSULAR,
    "firm muscular": EndFeel.FIRM_MUSCULAR, "muscular": EndFeel.FIRM_MUSCULAR, "elastic": EndFeel.FIRM_MUSCULAR,
    "firm ligamentous": EndFeel.FIRM_LIGAMENT, "firm ligament": EndFeel.FIRM_LIGAMENT,
    "ligamentous": EndFeel.FIRM_LIGAMENT, "hard bony": EndFeel.HARD_BONE, "hard bone": EndFeel.HARD_BONE,
    "hard": EndFeel.HARD_BONE, "bony": EndFeel.HARD_BONE, "protective spasm": EndFeel.SPASM, "spasm": EndFeel.SPASM,
    "empty": EndFeel.EMPTY, "springy block": EndFeel.SPRINGY_BLOCK, "springy": EndFeel.SPRINGY_BLOCK,
    "rebound": EndFeel.SPRINGY_BLOCK, "loose": EndFeel.LOOSE, "boggy": EndFeel.BOGGY, "fluid": EndFeel.BOGGY,
}  # fmt: skip
RESULT_WORDS = {
    "positive": Result.POSITIVE, "pos": Result.POSITIVE, "+ve": Result.POSITIVE, "+": Result.POSITIVE,
    "yes": Result.POSITIVE, "present": Result.POSITIVE, "no": Result.NEGATIVE, "−": Result.NEGATIVE,
    "–": Result.NEGATIVE, "normal": Result.NORMAL, "wnl": Result.NORMAL, "nad": Result.NORMAL, "strong": Result.NORMAL,
    "negative": Result.NEGATIVE, "neg": Result.NEGATIVE, "-ve": Result.NEGATIVE,
    "-": Result.NEGATIVE, "unclear": Result.UNCLEAR, "equivocal": Result.UNCLEAR, "reduced": Result.REDUCED,
    "diminished": Result.REDUCED, "weak": Result.REDUCED, "absent": Result.ABSENT, "increased": Result.INCREASED,
    "brisk": Result.INCREASED, "not done": Result.NOT_DONE, "not tested": Result.NOT_DONE,
}  # fmt: skip
MOBILITY_WORDS = {
    "ankylosed": 0, "fused": 0, "considerably hypomobile": 1, "markedly hypomobile": 1, "slightly hypomobile": 2,
    "slightly hypermobile": 4, "considerably hypermobile": 5, "markedly hypermobile": 5, "unstable": 6,
}  # fmt: skip
VAGUE_MOBILITY = {
    "hypomobile": ("considerably hypomobile (grade 1)", "slightly hypomobile (grade 2)"),
    "stiff": ("considerably hypomobile (grade 1)", "slightly hypomobile (grade 2)"),
    "hypermobile": ("slightly hypermobile (grade 4)", "considerably hypermobile (grade 5)"),
    "firm": ("firm_capsular", "firm_muscular", "firm_ligament"),
}
"""Words that could mean two grades or end feels: a fault that offers them. (`firm` alone is settled by the kind.)"""


DETAIL_WORDS: tuple[str, ...] = tuple(
    dict.fromkeys(
        word
        for phrase in (
            *END_FEEL_WORDS, *RESULT_WORDS, *MOBILITY_WORDS, "hypomobile", "hypermobile", "painfree", "familiar",
            "reproduces", "apprehensive", "right", "left", "other", "strength", "mobility", "laxity", "score",
        )
        for word in phrase.split()
        if len(word) > 2
    )
)  # fmt: skip
"""Single words of the details, offered when a word is misspelt."""


@dataclass(slots=True)
class Scan:
    """What the scanner has read so far from one line."""

    text: str
    given: dict[str, Any] = field(default_factory=dict)
    columns: dict[str, int] = field(default_factory=dict)
    words: list[tuple[str, int]] = field(default_factory=list)
    """Words and bare numbers left for the procedure, each with its column."""
    named: list[tuple[str, int]] = field(default_factory=list)
    """Procedures written by id or by their full name, each with its column."""
    faults: list[Fault] = field(default_factory=list)

    def put(self, name: str, value: Any, start: int) -> None:
        """Keep a detail; the same detail twice with another value is a fault."""
        if name in self.given and self.given[name] != value:
            self.faults.append(
                Fault(
                    f"{name.replace('_', ' ')} given twice", self.text.strip(), "one of the two", column=start + 1,
                    candidates=tuple(f"{one:g}" if isinstance(one, float) else str(one)
                                     for one in (self.given[name], value)),
                )
            )  # fmt: skip
            return
        self.given[name] = value
        self.columns.setdefault(name, start + 1)

    def unit(self, word: str | None, start: int) -> None:
        if word:
            self.put("unit", UNIT_WORDS[word.lower()], start)


REACH_WORDS = {
    **{place.lower(): step for step, place in enumerate(REACHED)},
    "buttocks": REACHED.index("buttock"), "s1": REACHED.index("sacrum"), "lateral thigh": REACHED.index("thigh"),
}  # fmt: skip
"""A place the hand reached, as written, to its step."""


Reader = Callable[[Scan, re.Match[str]], None]


def number_of(text: str) -> float:
    """A written number; comma or point, typographic minus allowed."""
    return float(text.replace("−", "-").replace(",", "."))


def _side(scan: Scan, found: re.Match[str]) -> None:
    scan.put("side", Side.RIGHT if found[1][0].lower() == "r" else Side.LEFT, found.start())


NO_SUCH_LEVEL = "no such level in this examination"
NO_SEGMENT = "a segment joins two neighbouring vertebrae"
SPINE = tuple(f"C{n}" for n in range(1, 8)) + tuple(f"T{n}" for n in range(1, 13)) + ("L1",)


def _level(scan: Scan, found: re.Match[str]) -> None:
    letter = {"TH": "T", "D": "T"}.get(found[1].upper(), found[1].upper())
    upper = f"{letter}{int(found[2])}"
    if upper not in LEVELS and upper not in RIBS:
        scan.faults.append(no_such_level(found[0], found.start() + 1))
        scan.put("level", upper, found.start())
        return
    if found[4]:
        lower = f"{found[3].upper()[:1] or ('T' if upper == 'C7' else letter)}{int(found[4])}".replace("D", "T")
        if lower != dict(pairwise(SPINE)).get(upper):
            scan.faults.append(
                Fault(NO_SEGMENT, found[0], f"{upper} alone, one line a level",
                      column=found.start() + 1)
            )  # fmt: skip
    scan.put("level", upper, found.start())


def no_such_level(word: str, column: int) -> Fault:
    """A level that the examination does not name; a hand may still reach it."""
    return Fault(NO_SUCH_LEVEL, word, f"{LEVELS[0]} to {LEVELS[-1]}, R1 to R8", column=column, field="level")


def _reached(name: str) -> Reader:
    def read(scan: Scan, found: re.Match[str]) -> None:
        scan.put(name, Reached(REACH_WORDS[_squeeze(found["n"])]), found.start())
        scan.put("unit", Unit.LEVEL, found.start())

    return read


def _rib(scan: Scan, found: re.Match[str]) -> None:
    scan.words.append(("rib", found.start()))
    level = f"R{int(found[1])}"
    if level not in RIBS:
        fault = Fault("no such rib in this examination", found[0], f"{RIBS[0]} to {RIBS[-1]}")
        scan.faults.append(replace(fault, column=found.start() + 1, field="level"))
    scan.put("level", level, found.start())


def _pressure(scan: Scan, found: re.Match[str]) -> None:
    """Two numbers with a stroke: the upper is the value, both stay readable in the note."""
    scan.given["pressure"] = (number_of(found["n"]), number_of(found["d"]), found.start())


def _range(scan: Scan, found: re.Match[str]) -> None:
    scan.given["range"] = (number_of(found["n"]), number_of(found["d"]), found.start())


def _sign(scan: Scan, found: re.Match[str]) -> None:
    """A result of one sign. Right behind a number it could belong to the number: the trade writes `2+` for a grade."""
    start = found.start()
    if not (start and scan.text[start - 1].isdigit()):
        scan.put("result", RESULT_WORDS[found[0]], start)
        return
    number = re.search(r"[\w.,/]+$", scan.text[:start])
    read = number[0] if number else ""
    word = RESULT_WORDS[found[0]].value
    fault = Fault("a sign right behind a number", f"{read}{found[0]}", f"whole grades only: {read}; or {read} {word}")
    scan.faults.append(replace(fault, column=start + 1))


def _half_strength(scan: Scan, found: re.Match[str]) -> None:
    offers = (f"{found['n']}/5", "the half grade in a note, after ;")
    fault = Fault("strength is a whole grade", found[0], "0/5 to 5/5", candidates=offers)
    scan.faults.append(replace(fault, column=found.start() + 1, field="strength"))
    scan.given["half_grade"] = True


def _roman(scan: Scan, found: re.Match[str]) -> None:
    fault = Fault("a grade in Roman figures", found[0], "m0 to m6, the accessory-motion scale in plain figures")
    scan.faults.append(replace(fault, column=found.start() + 1, field="mobility"))
    scan.given["half_grade"] = True


def _muscle_test(scan: Scan, found: re.Match[str]) -> None:
    """`mmt` before the motion: an isometric test, and a bare number is its strength."""
    scan.words.append(("isometric", found.start()))
    scan.given["strength_next"] = True


def _nothing_on_the_other_side(scan: Scan, found: re.Match[str]) -> None:
    fault = Fault("the other side without a value", found[0], "a value behind it, such as: other 65")
    scan.faults.append(replace(fault, column=found.start() + 1, field="other"))


def _measured(name: str) -> Reader:
    def read(scan: Scan, found: re.Match[str]) -> None:
        scan.put(name, number_of(found["n"]), found.start())
        scan.unit(found["u"], found.start("u"))

    return read


def _plain(name: str, cast: Callable[[str], Any]) -> Reader:
    def read(scan: Scan, found: re.Match[str]) -> None:
        scan.put(name, cast(found["n"]), found.start())

    return read


def _fixed(name: str, value: Any) -> Reader:
    return lambda scan, found: scan.put(name, value, found.start())


def _looked_up(name: str, table: dict[str, Any]) -> Reader:
    return lambda scan, found: scan.put(name, table[_squeeze(found[0])], found.start())


def _graded(scan: Scan, found: re.Match[str]) -> None:
    scan.put("value", number_of(found["n"]), found.start())
    scan.put("unit", Unit.GRADE, found.start())


def _vague_grade(scan: Scan, found: re.Match[str]) -> None:
    """`grade` is the 0 to 6 scale, save in stress tests, which have a laxity grade of their own."""
    scan.put("mobility", _whole(found["n"]), found.start())
    scan.given["vague_grade"] = found.start()


def _vague(scan: Scan, found: re.Match[str]) -> None:
    word = _squeeze(found["n"])
    if word == "firm":
        scan.given.setdefault("firm", found.start())
        return
    scan.faults.append(
        Fault(
            "could mean two grades",
            found[0],
            "a grade 0 to 6",
            column=found.start() + 1,
            candidates=VAGUE_MOBILITY[word],
        )
    )


def _whole(text: str) -> int | float:
    value = number_of(text)
    return int(value) if value.is_integer() else value


def _note(scan: Scan, found: re.Match[str]) -> None:
    text = (found["n"] or "").strip()
    if text:
        scan.put("note", " ".join(text.split()), found.start())


def _arm_position(scan: Scan, found: re.Match[str]) -> None:
    scan.words.append((f"@{found['n']}", found.start()))


def _ordinal(scan: Scan, found: re.Match[str]) -> None:
    scan.words.append(({"1": "first", "2": "second"}[found["n"][0]], found.start()))


def _turned(scan: Scan, found: re.Match[str]) -> None:
    """`ext rot` is external rotation, though `ext` alone is extension."""
    scan.words.append(({"e": "er", "i": "ir"}[found["n"][0].lower()], found.start()))


def _silent(scan: Scan, found: re.Match[str]) -> None:
    """A comment, or a word that only announces what follows."""


def _word(scan: Scan, found: re.Match[str]) -> None:
    scan.words.append((found[0], found.start()))


def _end_feel(scan: Scan, found: re.Match[str]) -> None:
    words = _squeeze(re.sub(r"\s+end[\s-]?feel$", "", found[0], flags=re.IGNORECASE))
    scan.put("end_feel", END_FEEL_WORDS[words], found.start())


def _squeeze(text: str) -> str:
    return text.lower() if text[0] == "-" else " ".join(re.split(r"[\s_-]+", text.lower().strip()))


def _any(words: dict[str, Any]) -> str:
    return "|".join(re.escape(word).replace(r"\ ", r"[\s_-]+") for word in sorted(words, key=len, reverse=True))


_UNITS = r"°|degrees?|degs?|newtons?|n|mmhg|mm|cm|seconds|secs?|s|/min|bpm|%|kg|points?"
_U = rf"\s*(?P<u>{_UNITS})?"
_END = r"(?![\w])"
_POSTURE = r"(?:abd|abduction|flex|flexion|scaption)"
_SYMPTOM = r"(?:(?:familiar|the)\s+)?(?:symptoms?|pain)"
_OTHER_SIDE = r"other(?:\s+side)?|opposite|opp|contralateral|vs\.?|versus"
_DEG = r"\s*(?:°|degrees?|deg)?"

PATTERNS: tuple[tuple[re.Pattern[str], Reader], ...] = tuple(
    (re.compile(pattern, re.IGNORECASE), reader)
    for pattern, reader in (
        (r";(?P<n>.*)$", _note),
        (r'"(?P<n>[^"]*)"', _note),
        (r"#.*$", _silent),
        (rf"(?:pain\s*(?:@|at|from)|p\s*@|p\s+from)\s*(?P<n>{NUMBER}){_U}{_END}", _measured("pain_onset")),
        (rf"(?:resistance\s*(?:@|at|from)|resist\s*(?:@|at|from)|r\s*@|r\s+from)\s*(?P<n>{NUMBER}){_U}{_END}",
         _measured("resistance_onset")),
        (rf"(?:pain|p|nrs|vas|tenderness)\s*[:=]?\s*(?P<n>{NUMBER})(?:\s*(?:/|out\s+of)\s*10)?{_END}",
         _plain("pain", number_of)),
        (rf"(?P<n>{NUMBER})\s*/\s*10(?:\s*pain)?{_END}", _plain("pain", number_of)),
        (rf"(?:pain[\s-]?free|painless|no\s+pain|without\s+pain|not\s+tender){_END}", _fixed("pain", 0.0)),
        (rf"(?:{_OTHER_SIDE})\s*[:=]?\s*(?P<n>{NUMBER}){_U}{_END}", _measured("other")),
        (rf"\(\s*(?:other(?:\s+side)?\s*[:=]?\s*)?(?P<n>{NUMBER}){_U}\s*\)", _measured("other")),
        (rf"(?:{_OTHER_SIDE})\s*[:=]?\s*(?P<n>{_any(REACH_WORDS)}){_END}", _reached("other")),
        (rf"(?:strength\s*)?(?P<n>{NUMBER})\s*/\s*5{_END}", _plain("strength", _whole)),
        (rf"(?:strength|mmt)\s*[:=]?\s*(?P<n>{NUMBER}){_END}", _plain("strength", _whole)),
        (rf"(?:strength\s*|mmt\s*)?(?P<n>\d)\s*[-+−–]\s*/\s*5{_END}", _half_strength),
        (rf"mmt{_END}", _muscle_test),
        (rf"(?P<n>\d+)\s*/\s*9{_END}", _graded),
        (rf"(?:laxity|score)\s*[:=]?\s*(?P<n>{NUMBER})(?:\s*/\s*\d+)?{_END}", _graded),
        (rf"(?:mobility|mob|m)\s*[:=]?\s*(?P<n>{NUMBER})(?:\s*/\s*6)?{_END}", _plain("mobility", _whole)),
        (rf"(?P<n>{NUMBER})\s*/\s*6{_END}", _plain("mobility", _whole)),
        (rf"(?:grade|gr|mobility|mob)\s*[:=]?\s*(?:iii|ii|iv|vi|v|i)[-+]*{_END}", _roman),
        (rf"(?:mobility\s+)?(?:grade|gr)\.?\s*[:=]?\s*(?P<n>{NUMBER}){_END}", _vague_grade),
        (rf"(?P<n>\d{{2,3}})\s*/\s*(?P<d>\d{{2,3}})(?:\s*mmhg)?{_END}", _pressure),
        (rf"(?P<n>\d{{1,3}})(?:{_DEG}\s+to\s+|{_DEG}\s+[-–−]\s+|°?[-–−])(?P<d>\d{{1,3}}){_DEG}{_END}", _range),
        (rf"(?:{_any(MOBILITY_WORDS)}){_END}", _looked_up("mobility", MOBILITY_WORDS)),
        (rf"(?:(?:not|non|no)[\s-]+(?:familiar|fam|reproduced|concordant)|unfamiliar|fam-"
         rf"|(?:does\s+not|doesn['’]t)\s+reproduce|(?:familiar|fam)[\s:=]+no)(?:\s+{_SYMPTOM})?{_END}",
         _fixed("familiar", False)),
        (rf"(?:(?:familiar|fam)(?:[\s:=]+yes)?|reproduce[sd]?|concordant)(?:\+|(?:\s+{_SYMPTOM})?{_END})",
         _fixed("familiar", True)),
        (rf"(?:not\s+apprehensive|(?:no|without)\s+apprehension|appr-){_END}", _fixed("apprehension", False)),
        (rf"(?:apprehensive|with\s+apprehension|appr\+|appr){_END}", _fixed("apprehension", True)),
        (rf"(?:@|at|in)\s*(?P<n>\d+){_DEG}{_END}", _arm_position),
        (rf"(?P<n>\d+){_DEG}(?=\s*{_POSTURE}{_END})", _arm_position),
        (rf"(?P<n>{NUMBER})\s*(?P<u>{_UNITS}){_END}", _measured("value")),
        (rf"(?P<n>1st|2nd){_END}", _ordinal),
        (rf"(?P<n>ext|int)\.?[\s-]+rot(?:ation)?{_END}", _turned),
        (rf"(?:end[\s-]?feel|ef)\s*[:=]?{_END}", _silent),
        (rf"ribs?\s*(0\d*|[3-9]|[1-9]\d){_END}(?!\s*(?:n\b|newton|°|deg))", _rib),
        (rf"(TH|[CTRD])(\d{{1,2}})(?:\s*[-–/]\s*(TH|[CTD]?)(\d{{1,2}}))?{_END}", _level),
        (rf"(?P<n>{_any({word: 0 for word in REACH_WORDS if not word.startswith('t') or len(word) > 3})}){_END}",
         _reached("value")),
        (rf"\(?(right|left|rt|lt|r|l){_END}\)?", _side),
        (rf"(?:{_any(END_FEEL_WORDS)}){_END}(?:\s+end[\s-]?feel)?", _end_feel),
        (rf"(?P<n>{_any(VAGUE_MOBILITY)}){_END}(?:\s+end[\s-]?feel)?", _vague),
        (rf"result[\s:=]+(?P<n>{_any(RESULT_WORDS)})(?=\s|$|[;,.)])",
         lambda scan, found: scan.put("result", RESULT_WORDS[_squeeze(found["n"])], found.start())),
        (rf"(?:normal|wnl|nad){_END}", _fixed("normal", True)),
        (r"no(?=\s*(?:$|[;,.)\"]))", _fixed("result", Result.NEGATIVE)),
        (r"[-+−–](?=\s|$|[;,.)])", _sign),
        (rf"(?!no\b)(?:{_any(RESULT_WORDS)})(?=\s|$|[;,.)])", _looked_up("result", RESULT_WORDS)),
        (rf"(?:{_OTHER_SIDE}){_END}", _nothing_on_the_other_side),
        (rf"{NUMBER}(?![\w°%])", _word),
        (r"\d+|[^\W\d_]+(?:_\w+)*", _word),
    )
)  # fmt: skip
_OTHER_IN_BRACKETS = next(pattern for pattern, reader in PATTERNS if pattern.pattern.startswith(r"\(\s*(?:other"))


LONGEST_LINE = 1000
TOO_LONG = "too long for one finding"
_QUOTED = re.compile(r'"[^"]*"')


Names = Callable[[str, int], "tuple[int, str] | None"]
"""Given a line and a place: the end of a procedure's id or written name that stands there, and the id."""


def scan_line(line: str, names: Names) -> Scan:
    """Read one line into details and left-over words. `names` recognises ids and full names."""
    scan = Scan(line)
    letters = len(_QUOTED.sub("", line.partition(";")[0]))
    if letters > LONGEST_LINE:
        would = f"at most {LONGEST_LINE} letters before the note"
        scan.faults.append(Fault(f"{TOO_LONG} ({letters} letters)", line[:40], would, column=1))
        return scan
    at = 0
    while at < len(line):
        if _is_skipped(line, at):
            at += 1
        elif named := names(line, at):
            scan.named.append((named[1], at))
            at = named[0]
        else:
            at = _read_one(line, at, scan)
    return scan


def _is_skipped(line: str, at: int) -> bool:
    """White space, separators, and the hyphen or stroke that joins two words."""
    sign = line[at]
    if sign == "(" and _OTHER_IN_BRACKETS.match(line, at):
        return False
    if sign in "-/–'’":
        return 0 < at < len(line) - 1 and line[at - 1].isalnum() and line[at + 1].isalpha()
    if sign == ".":
        return not line[at + 1 : at + 2].isdigit()
    return sign.isspace() or sign in ",:|()[]"


def _read_one(line: str, at: int, scan: Scan) -> int:
    for pattern, reader in PATTERNS:
        found = pattern.match(line, at)
        if found and found.end() > at:
            reader(scan, found)
            return found.end()
    scan.faults.append(Fault("cannot read this", line[at], "words, numbers, or ; before a note", column=at + 1))
    return at + 1
