"""A case as plain text: header lines, screen answers, one finding a line.

    case      = { line "\\n" } ;
    line      = blank | comment | header | screen | treated | retest | finding ;
    comment   = "#" anything ;
    header    = key ":" value ;
    screen    = "screen:" | ("yes:" | "no:") cue { "," cue } | cue "=" ("yes" | "no") ;
    treated   = "treated:" technique [ "," dose ] [ ";" note ] ;
    retest    = "retest:" finding ;

The grammar of a finding is in `vocabulary.shorthand`.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from typing import Any

from endfeel.vocabulary.case_header import BY_KEY, FIELDS, NO, YES, near, one_line
from endfeel.vocabulary.cases import Case, Complaint, Person, Treatment
from endfeel.vocabulary.errors import CannotRead, Fault
from endfeel.vocabulary.findings import Finding
from endfeel.vocabulary.shorthand import Shorthand, finding_text, parse_finding, plain
from endfeel.vocabulary.terms import Side

_KEYED = re.compile(r"\s*([A-Za-z][A-Za-z _-]{0,60}?)\s*:\s*(\S.*\S|\S|)\s*$")
_ANSWER = re.compile(r"\s*([A-Za-z][\w -]{0,100}?)\s*=\s*([^=\s][^=]*[^=\s]|[^=\s]|)\s*$")
_TREATED = re.compile(
    r'\s*(?:"(?P<quoted>(?:[^"]|"")*)"|(?P<technique>[^,;"]*))\s*'
    r'(?:,\s*(?:"(?P<quoted_dose>(?:[^"]|"")*)"|(?P<dose>[^;]*?)))?\s*(?:;(?P<note>.*))?$'
)
_OTHER_KEYS = {"screen", "yes", "no", "treated", "treatment", "retest", "re-test", "finding"}


@dataclass(slots=True)
class _Reading:
    """What has been read so far, and every fault."""

    name: str
    shorthand: Shorthand
    cues: tuple[str, ...]
    parts: dict[str, dict[str, Any]] = field(default_factory=lambda: {"case": {}, "person": {}, "complaint": {}})
    screen: dict[str, bool] = field(default_factory=dict)
    treatments: list[Treatment] = field(default_factory=list)
    waiting: list[tuple[str, str, int, int]] = field(default_factory=list)
    """Findings and re-tests as written; read last, because they may need the complaint's side."""
    faults: list[Fault] = field(default_factory=list)

    def fault(self, fault: Fault, line: int, column: int = 1) -> None:
        self.faults.append(replace(fault, file=self.name, line=line, column=column))


def parse_case_lines(text: str, name: str, shorthand: Shorthand, cues: tuple[str, ...]) -> Case:
    """The case written as plain text. Raises CannotRead with every fault of the file."""
    reading = _Reading(name, shorthand, cues)
    for number, line in _joined(text):
        _read_line(line, number, reading)
    side = reading.parts["complaint"].get("side")
    if any(fault.field == "side" for fault in reading.faults):
        side = side or Side.RIGHT  # stands in, so that the one fault is not told again for every finding
    found: dict[str, list[Finding]] = {"finding": [], "retest": []}
    for kind, line, number, offset in reading.waiting:
        try:
            found[kind].append(parse_finding(line, shorthand, side))
        except CannotRead as error:
            for fault in error.faults:
                reading.fault(fault, number, fault.column + offset)
    if reading.faults:
        raise CannotRead(sorted(reading.faults, key=lambda fault: (fault.line, fault.column)))
    return Case(
        person=Person(**reading.parts["person"]),
        complaint=Complaint(**reading.parts["complaint"]),
        screen=reading.screen,
        findings=tuple(found["finding"]),
        treatments=tuple(reading.treatments),
        retests=tuple(found["retest"]),
        **reading.parts["case"],
    )


def _joined(text: str) -> Iterator[tuple[int, str]]:
    """Lines that say something, with their numbers. An indented line after `story:` continues it."""
    held: tuple[int, str] | None = None
    for number, line in enumerate(text.replace("\r\n", "\n").replace("\r", "\n").split("\n"), 1):
        if held and line[:1] in {" ", "\t"} and line.strip() and held[1].lower().startswith(("story", "history")):
            held = (held[0], f"{held[1]} {line.strip()}")
            continue
        if held:
            yield held
        held = (number, line) if line.strip() and not line.lstrip().startswith("#") else None
    if held:
        yield held


def _read_line(line: str, number: int, reading: _Reading) -> None:
    keyed = _KEYED.match(line)
    key = one_line(keyed[1]).lower() if keyed else ""
    if keyed and key in BY_KEY:
        _read_header(key, keyed, number, reading)
    elif keyed and key in _OTHER_KEYS:
        _read_act(key, keyed, number, reading)
    elif answer := _ANSWER.match(line):
        _read_answers(answer[2].lower(), answer[1], number, answer.start(1), reading)
    elif keyed and _is_misspelt_key(key, reading):
        fault = Fault(
            "unknown key", keyed[1], "one of the header's keys", candidates=near(key, (*BY_KEY, *_OTHER_KEYS))
        )
        reading.fault(fault, number, keyed.start(1) + 1)
    else:
        reading.waiting.append(("finding", line, number, 0))


def _is_misspelt_key(key: str, reading: _Reading) -> bool:
    """Whether `key:` is a header gone wrong and not the first words of a procedure's name."""
    return not any(part in reading.shorthand.words for part in reading.shorthand.spelling.key(key))


def _read_header(key: str, keyed: re.Match[str], number: int, reading: _Reading) -> None:
    header = BY_KEY[key]
    part = reading.parts[header.part]
    value = header.read(keyed[2])
    if not keyed[2]:
        reading.fault(Fault(f"{header.key} is empty", keyed[0].strip(), "a value, or no such line"), number)
    elif isinstance(value, Fault):
        reading.fault(replace(value, field=header.key), number, keyed.start(2) + 1)
    elif header.key in part:
        reading.fault(Fault(f"{header.key} given twice", keyed[0].strip(), "one line", field=header.key), number)
    else:
        part[header.key] = value


def _read_act(key: str, keyed: re.Match[str], number: int, reading: _Reading) -> None:
    rest, column = keyed[2], keyed.start(2)
    if key == "screen":
        for item in filter(str.strip, rest.split(",")):
            answer = _ANSWER.match(item)
            if answer is None:
                reading.fault(Fault("not a screen answer", item.strip(), "cue = yes, or cue = no"), number, column + 1)
            else:
                _read_answers(answer[2].lower(), answer[1], number, keyed[0].find(answer[1]), reading)
    elif key in {"yes", "no"}:
        at = column
        for item in rest.split(","):
            if item.strip():
                _read_answers(key, item.strip(), number, at + len(item) - len(item.lstrip()), reading)
            at += len(item) + 1
    elif key in {"treated", "treatment"}:
        _read_treatment(rest, number, column, reading)
    else:
        reading.waiting.append(("finding" if key == "finding" else "retest", rest, number, column))


def _read_answers(word: str, cue: str, number: int, at: int, reading: _Reading) -> None:
    known = re.sub(r"[\s-]+", "_", cue.strip()).lower()
    if reading.cues and known not in reading.cues:
        fault = Fault(
            "no such cue", cue, "endfeel vocabulary cues", candidates=near(known, reading.cues), field="screen"
        )
        reading.fault(fault, number, at + 1)
    elif word not in YES | NO:
        if word not in {"?", "unanswered"}:
            reading.fault(Fault("neither yes nor no", word, "yes or no", field="screen"), number, at + 1)
    elif known in reading.screen:
        reading.fault(Fault("cue answered twice", cue, "one answer", field="screen"), number, at + 1)
    else:
        reading.screen[known] = word in YES


def _read_treatment(rest: str, number: int, column: int, reading: _Reading) -> None:
    found = _TREATED.match(rest)
    words = {} if found is None else {k: one_line((v or "").replace('""', '"')) for k, v in found.groupdict().items()}
    technique = words.get("quoted") or words.get("technique", "")
    if not technique:
        fault = Fault("no technique named", rest, "technique, dose; note", field="treatment")
        reading.fault(fault, number, column + 1)
        return
    reading.treatments.append(Treatment(technique, words["quoted_dose"] or words["dose"], words["note"]))


def case_text(case: Case) -> str:
    """The canonical text of a case: reading it gives the same case back."""
    lines = [line for header in FIELDS if (line := _header_line(header.key, header.part, case))]
    if case.screen:
        lines += ["", "screen:"]
        for answer, word in ((True, "yes"), (False, "no")):
            cues = [cue for cue, given in case.screen.items() if given is answer]
            lines += [f"{word}: {', '.join(cues)}"] if cues else []
    for block in (
        [finding_text(finding) for finding in case.findings],
        [_treatment_line(treatment) for treatment in case.treatments],
        [f"retest: {finding_text(finding)}" for finding in case.retests],
    ):
        lines += ["", *block] if block else []
    return "\n".join(lines) + "\n"


def header_values(case: Case) -> dict[str, dict[str, Any]]:
    """What the header says, by part and key; what was not stated is left out."""
    parts: dict[str, Any] = {"case": case, "person": case.person, "complaint": case.complaint}
    return {
        part: {
            header.key: value
            for header in FIELDS
            if header.part == part and _is_stated(value := getattr(parts[part], header.key))
        }
        for part in parts
    }


def _is_stated(value: object) -> bool:
    return value is not None and value is not False and value not in ("", ())


def _header_line(key: str, part: str, case: Case) -> str:
    value = header_values(case)[part].get(key)
    if value is None:
        return ""
    if value is True:
        return f"{key}: yes"
    if isinstance(value, tuple):
        return f"{key}: {', '.join(value)}"
    return f"{key}: {plain(value) if isinstance(value, (int, float)) else one_line(value)}"


def _treatment_line(treatment: Treatment) -> str:
    line = f"treated: {_quoted(treatment.technique, ',;')}"
    line += f", {_quoted(treatment.dose, ';')}" if treatment.dose else ""
    return line + (f"; {one_line(treatment.note)}" if treatment.note else "")


def _quoted(text: str, breaks: str) -> str:
    text = one_line(text)
    if any(sign in text for sign in (*breaks, '"')):
        return '"' + text.replace('"', '""') + '"'
    return text
