"""The scanner: what stands on a line beside the procedure's own words."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import Any

from endfeel.vocabulary.errors import Fault
from endfeel.vocabulary.terms import LEVELS, RIBS, EndFeel, Result, Side, Unit

NUMBER = r"[-−]?\d+(?:[.,]\d+)?"
UNIT_WORDS = {
    "°": Unit.DEGREES, "deg": Unit.DEGREES, "degs": Unit.DEGREES, "degree": Unit.DEGREES, "degrees": Unit.DEGREES,
    "n": Unit.NEWTONS, "newton": Unit.NEWTONS, "newtons": Unit.NEWTONS, "mm": Unit.MILLIMETRES,
    "cm": Unit.CENTIMETRES, "s": Unit.SECONDS, "sec": Unit.SECONDS, "secs": Unit.SECONDS, "seconds": Unit.SECONDS,
    "mmhg": Unit.MMHG, "/min": Unit.PER_MINUTE, "bpm": Unit.PER_MINUTE, "%": Unit.PERCENT, "kg": Unit.KILOGRAMS,
    "points": Unit.GRADE,
}  # fmt: skip
END_FEEL_WORDS = {
    "soft apposition": EndFeel.SOFT_APPOSITION, "soft tissue apposition": EndFeel.SOFT_APPOSITION,
    "soft": EndFeel.SOFT_APPOSITION, "early firm capsular": EndFeel.EARLY_CAPSULAR,
    "early capsular": EndFeel.EARLY_CAPSULAR, "early firm": EndFeel.EARLY_CAPSULAR,
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
    "yes": Result.POSITIVE, "negative": Result.NEGATIVE, "neg": Result.NEGATIVE, "-ve": Result.NEGATIVE,
    "-": Result.NEGATIVE, "unclear": Result.UNCLEAR, "equivocal": Result.UNCLEAR, "reduced": Result.REDUCED,
    "diminished": Result.REDUCED, "weak": Result.REDUCED, "absent": Result.ABSENT, "increased": Result.INCREASED,
    "brisk": Result.INCREASED, "not done": Result.NOT_DONE, "not tested": Result.NOT_DONE,
}  # fmt: skip
MOBILITY_WORDS = {
    "ankylosed": 0, "considerably hypomobile": 1, "markedly hypomobile": 1, "slightly hypomobile": 2,
    "slightly hypermobile": 4, "considerably hypermobile": 5, "markedly hypermobile": 5, "unstable": 6,
}  # fmt: skip
VAGUE_MOBILITY = {
    "hypomobile": ("considerably hypomobile (grade 1)", "slightly hypomobile (grade 2)"),
    "stiff": ("considerably hypomobile (grade 1)", "slightly hypomobile (grade 2)"),
    "hypermobile": ("slightly hypermobile (grade 4)", "considerably hypermobile (grade 5)"),
    "firm": ("firm_capsular", "firm_muscular", "firm_ligament"),
}
"""Words that could mean two grades or end feels: a fault that offers them. (`firm` alone is settled by the kind.)"""


@dataclass(slots=True)
class Scan:
    """What the scanner has read so far from one line."""

    text: str
    given: dict[str, Any] = field(default_factory=dict)
    columns: dict[str, int] = field(default_factory=dict)
    words: list[tuple[str, int]] = field(default_factory=list)
    """Words and bare numbers left for the procedure, each with its column."""
    faults: list[Fault] = field(default_factory=list)

    def put(self, name: str, value: Any, start: int) -> None:
        """Keep a detail; the same detail twice with another value is a fault."""
        if name in self.given and self.given[name] != value:
            self.faults.append(
                Fault(
                    f"{name.replace('_', ' ')} given twice", self.text.strip(), "one of the two", column=start + 1,
                    candidates=(str(self.given[name]), str(value)),
                )
            )  # fmt: skip
            return
        self.given[name] = value
        self.columns.setdefault(name, start + 1)

    def unit(self, word: str | None, start: int) -> None:
        if word:
            self.put("unit", UNIT_WORDS[word.lower()], start)


Reader = Callable[[Scan, re.Match[str]], None]


def number_of(text: str) -> float:
    """A written number; comma or point, typographic minus allowed."""
    return float(text.replace("−", "-").replace(",", "."))


def _side(scan: Scan, found: re.Match[str]) -> None:
    scan.put("side", Side.RIGHT if found[1][0].lower() == "r" else Side.LEFT, found.start())


def _level(scan: Scan, found: re.Match[str]) -> None:
    upper = f"{found[1].upper()}{int(found[2])}"
    if found[4] and (int(found[4]) - int(found[2])) % 12 != 1 and (found[1].upper(), found[2], found[4]) != ("C", "7", "1"):
        scan.faults.append(
            Fault("a segment joins two neighbouring vertebrae", found[0], f"{upper} alone", column=found.start() + 1)
        )
    scan.put("level", upper, found.start())
    if upper not in LEVELS and upper not in RIBS:
        offer = f"{LEVELS[0]} to {LEVELS[-1]}, R1 to R8"
        scan.faults.append(Fault("no such level in this examination", found[0], offer, column=found.start() + 1))


def _rib(scan: Scan, found: re.Match[str]) -> None:
    scan.words.append(("rib", found.start()))
    scan.put("level", f"R{found[1]}", found.start())


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


def _vague(scan: Scan, found: re.Match[str]) -> None:
    word = _squeeze(found[0])
    if word == "firm":
        scan.given.setdefault("firm", found.start())
        return
    scan.faults.append(
        Fault("could mean two grades", found[0], "a grade 0 to 6", column=found.start() + 1, candidates=VAGUE_MOBILITY[word])
    )


def _whole(text: str) -> int | float:
    value = number_of(text)
    return int(value) if value.is_integer() else value


def _note(scan: Scan, found: re.Match[str]) -> None:
    text = (found["n"] or "").strip()
    if text:
        scan.put("note", text, found.start())


def _arm_position(scan: Scan, found: re.Match[str]) -> None:
    scan.words.append((f"@{found['n']}", found.start()))


def _word(scan: Scan, found: re.Match[str]) -> None:
    scan.words.append((found[0], found.start()))


def _end_feel(scan: Scan, found: re.Match[str]) -> None:
    words = _squeeze(re.sub(r"\s+end[\s-]?feel$", "", found[0], flags=re.IGNORECASE))
    scan.put("end_feel", END_FEEL_WORDS[words], found.start())


def _squeeze(text: str) -> str:
    return text.lower() if text[0] == "-" else " ".join(re.split(r"[\s_-]+", text.lower().strip()))


def _any(words: dict[str, Any]) -> str:
    return "|".join(re.escape(word).replace(r"\ ", r"[\s_-]+") for word in sorted(words, key=len, reverse=True))


_U = r"\s*(?P<u>°|degrees?|degs?|newtons?|n|mmhg|mm|cm|seconds|secs?|s|/min|bpm|%|kg|points)?"
_END = r"(?![\w])"

PATTERNS: tuple[tuple[re.Pattern[str], Reader], ...] = tuple(
    (re.compile(pattern, re.IGNORECASE), reader)
    for pattern, reader in (
        (r";(?P<n>.*)$", _note),
        (r'"(?P<n>[^"]*)"', _note),
        (rf"(?:pain|p)\s*(?:@|at|from)\s*(?P<n>{NUMBER}){_U}{_END}", _measured("pain_onset")),
        (rf"(?:resistance|resist|r)\s*(?:@|at|from)\s*(?P<n>{NUMBER}){_U}{_END}", _measured("resistance_onset")),
        (rf"(?:pain|p)\s*[:=]?\s*(?P<n>{NUMBER})(?:\s*/\s*10)?{_END}", _plain("pain", number_of)),
        (rf"(?:pain[\s-]?free|painless|no\s+pain){_END}", _fixed("pain", 0.0)),
        (rf"(?:other(?:\s+side)?|opposite|opp|contralateral)\s*[:=]?\s*(?P<n>{NUMBER}){_U}{_END}", _measured("other")),
        (rf"\(\s*(?:other(?:\s+side)?\s*[:=]?\s*)?(?P<n>{NUMBER}){_U}\s*\)", _measured("other")),
        (rf"(?:strength\s*)?(?P<n>{NUMBER})\s*/\s*5{_END}", _plain("strength", _whole)),
        (rf"(?:mobility|mob|grade|gr|m)\s*[:=]?\s*(?P<n>{NUMBER})(?:\s*/\s*6)?{_END}", _plain("mobility", _whole)),
        (rf"(?:{_any(MOBILITY_WORDS)}){_END}", _looked_up("mobility", MOBILITY_WORDS)),
        (rf"(?:not\s+familiar|unfamiliar|not\s+fam){_END}", _fixed("familiar", False)),
        (rf"(?:familiar|fam|reproduces|concordant){_END}", _fixed("familiar", True)),
        (rf"(?:not\s+apprehensive|no\s+apprehension|appr-){_END}", _fixed("apprehension", False)),
        (rf"(?:apprehensive|with\s+apprehension|appr\+){_END}", _fixed("apprehension", True)),
        (rf"(?:@|at)\s*(?P<n>\d+)\s*(?:°|degrees?|deg)?{_END}", _arm_position),
        (rf"(?P<n>{NUMBER})\s*(?P<u>°|degrees?|degs?|newtons?|n|mmhg|mm|cm|seconds|secs?|s|/min|bpm|%|kg|points){_END}",
         _measured("value")),
        (rf"ribs?\s*([3-8]){_END}", _rib),
        (rf"([CTR])(\d{{1,2}})(?:\s*[-–/]\s*([CT]?)(\d{{1,2}}))?{_END}", _level),
        (rf"\(?(right|left|rt|lt|r|l){_END}\)?", _side),
        (rf"(?!empty\s+can)(?:{_any(END_FEEL_WORDS)}){_END}(?:\s+end[\s-]?feel)?", _end_feel),
        (rf"(?:{_any(VAGUE_MOBILITY)}){_END}", _vague),
        (rf"(?:normal|wnl|nad){_END}", _fixed("normal", True)),
        (rf"(?:{_any(RESULT_WORDS)})(?=\s|$|[;,)])", _looked_up("result", RESULT_WORDS)),
        (rf"{NUMBER}(?![\w°%])", _word),
        (r"\d+|[^\W\d_]+(?:_\w+)*", _word),
    )
)  # fmt: skip


def scan_line(line: str, known: Callable[[str], bool]) -> Scan:
    """Read one line into details and left-over words. `known` says whether a word is a procedure id."""
    scan = Scan(line)
    for at, found, reader in _matches(line, known):
        if reader is None:
            scan.faults.append(Fault("cannot read this", line[at], "words, numbers, or ; before a note", column=at + 1))
        else:
            reader(scan, found)
    return scan


def _joins(line: str, at: int) -> bool:
    """A hyphen between letters joins words; elsewhere it may be a result."""
    return line[at] in "-/–" and 0 < at < len(line) - 1 and line[at - 1].isalnum() and line[at + 1].isalpha()


_ID = re.compile(r"[A-Za-z][A-Za-z0-9]*(?:_[A-Za-z0-9]+)*")


def _matches(line: str, known: Callable[[str], bool]) -> Iterator[tuple[int, Any, Reader | None]]:
    at = 0
    while at < len(line):
        if line[at].isspace() or line[at] in ",:|()[]" or _joins(line, at):
            if not (line[at] == "(" and PATTERNS[7][0].match(line, at)):
                at += 1
                continue
        word = _ID.match(line, at)
        if word and known(word[0]):
            yield at, word, _word
            at = word.end()
            continue
        for pattern, reader in PATTERNS:
            found = pattern.match(line, at)
            if found and found.end() > at:
                yield at, found, reader
                at = found.end()
                break
        else:
            yield at, None, None
            at += 1
