"""`hands.toml`: one examiner's own agreement as a file a person can write.

    name = "Anna"

    [[agreement]]
    procedure = "gh_post"     # or: region = "glenohumeral"
    outcome = "hypo"
    kappa = 0.42
    subjects = 40
    lean = 0.6                # optional; above 0: reports it more readily than the others

    [[angle]]
    procedure = "gh_er_0"
    sd_deg = 4.1
    subjects = 25

`note` may stand anywhere. Text goes in and comes out; the rim opens files.
"""

from __future__ import annotations

import difflib
import json
import math
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from endfeel.evidence.library import Library
from endfeel.inference.examiner import ONLY_KAPPA, OUTCOMES, REGION, Examiner, OwnAgreement, OwnError
from endfeel.vocabulary import CannotRead, Fault
from endfeel.vocabulary.case_places import Places, places_in, read_toml

AGREEMENT, ANGLE = "agreement", "angle"
_KEYS: Mapping[str, tuple[str, ...]] = {
    "": ("name", "note", AGREEMENT, ANGLE),
    AGREEMENT: ("procedure", "region", "outcome", "kappa", "subjects", "lean", "note"),
    ANGLE: ("procedure", "sd_deg", "subjects", "note"),
}
_FARTHEST_LEAN = 10.0
"""Logits: a factor of 22,000 in the odds, beyond what any real number of people gives."""
_WIDEST_ERROR_DEG = 90.0
_KEY_LINE = re.compile(r"(\s*[A-Za-z_]+\s*=\s*)([^#\n]*?)(\s*(?:#.*)?)$")


@dataclass(slots=True)
class _Reading:
    """One file being read: where things stand, and the faults found so far."""

    file: str
    places: Places
    library: Library
    faults: list[Fault] = field(default_factory=list)

    def fault(self, table: str, number: int, key: str, message: str, read: object, would_do: str,
              candidates: Iterable[str] = ()) -> None:  # fmt: skip
        row = f"row {number + 1} of [[{table}]]: " if table else ""
        line, column = self.places.of(table, number, key)
        told = "" if read is None else str(read)
        self.faults.append(Fault(row + message, told, would_do, line, column, self.file, key, tuple(candidates)))

    def number(self, table: str, at: int, row: Mapping[str, Any], key: str, low: float, high: float) -> float:
        """A number between two others; 0 and a fault where there is none."""
        value, wanted = row.get(key), f"a number from {low:g} to {high:g}"
        if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
            self.fault(table, at, key, f"{key} is {'missing' if key not in row else 'not a number'}", value, wanted)
            return 0.0
        if not low <= value <= high:
            self.fault(table, at, key, f"{key} cannot be", value, wanted)
        return float(value)

    def subjects(self, table: str, at: int, row: Mapping[str, Any]) -> int:
        value = row.get("subjects")
        if isinstance(value, bool) or not isinstance(value, int) or value < 1:
            self.fault(table, at, "subjects", f"subjects {'is missing' if value is None else 'cannot be'}", value,
                       "how many people both examined: a whole number from 1")  # fmt: skip
            return 0
        return value

    def one_of(self, table: str, at: int, row: Mapping[str, Any], key: str, known: Sequence[str], what: str) -> str:
        value = row.get(key)
        if value not in known:
            message = f"{key} is missing" if value is None else f"unknown {key}"
            self.fault(table, at, key, message, value, what, difflib.get_close_matches(str(value), known, 3))
        return str(value)

    def unknown_words(self, table: str, at: int, row: Mapping[str, Any]) -> None:
        for key in row:
            if key not in _KEYS[table]:
                self.fault(table, at, key, "unknown word", key, f"one of {', '.join(_KEYS[table])}",
                           difflib.get_close_matches(key, _KEYS[table], 2))  # fmt: skip


def read_hands(text: str, file: str, library: Library) -> Examiner:
    """The examiner written in `text`. Raises CannotRead with every fault, each with line and row."""
    document, slips = read_toml(text)
    of = _Reading(file, places_in(text), library)
    of.faults += [Fault(s.message, s.read, s.would_do, s.line, s.column, file) for s in slips]
    of.unknown_words("", 0, document)
    name = document.get("name")
    if not isinstance(name, str) or not name.strip():
        of.fault("", 0, "name", "no name of the examiner", name, 'name = "Anna"')
    agreements = [_agreement(of, at, row) for at, row in enumerate(_rows(of, document, AGREEMENT))]
    errors = [_error(of, at, row) for at, row in enumerate(_rows(of, document, ANGLE))]
    _twice(of, AGREEMENT, [(row.place, row.outcome) for row in agreements])
    _twice(of, ANGLE, [(row.procedure,) for row in errors])
    if of.faults:
        raise CannotRead(of.faults)
    return Examiner(tuple(agreements), tuple(errors), str(name).strip())


def _rows(of: _Reading, document: Mapping[str, Any], table: str) -> list[Mapping[str, Any]]:
    rows = document.get(table, [])
    if not isinstance(rows, list) or not all(isinstance(row, dict) for row in rows):
        of.fault("", 0, table, f"{table} is no list of rows", rows, f"rows that begin with [[{table}]]")
        return []
    return rows


def _agreement(of: _Reading, at: int, row: Mapping[str, Any]) -> OwnAgreement:
    of.unknown_words(AGREEMENT, at, row)
    catalogue = of.library.catalogue
    if ("procedure" in row) == ("region" in row):
        of.fault(AGREEMENT, at, "region", "either a procedure or a region", None, 'procedure = "gh_post" '
                 'or region = "glenohumeral"')  # fmt: skip
        place = ""
    elif "procedure" in row:
        known = [procedure.id for procedure in catalogue]
        place = of.one_of(AGREEMENT, at, row, "procedure", known, "an id of `endfeel vocabulary procedures`")
    else:
        regions = sorted({procedure.region for procedure in catalogue})
        place = REGION + of.one_of(AGREEMENT, at, row, "region", regions, f"one of {', '.join(regions)}")
    outcome = of.one_of(AGREEMENT, at, row, "outcome", OUTCOMES, f"one of {', '.join(OUTCOMES)}")
    lean = of.number(AGREEMENT, at, row, "lean", -_FARTHEST_LEAN, _FARTHEST_LEAN) if "lean" in row else 0.0
    if outcome == ONLY_KAPPA and lean:
        of.fault(AGREEMENT, at, "lean", "a lean needs one end feel", lean, f'outcome = "{OUTCOMES[-1]}" or another')
    kappa = of.number(AGREEMENT, at, row, "kappa", -1.0, 1.0)
    return OwnAgreement(place, outcome, kappa, of.subjects(AGREEMENT, at, row), lean)


def _error(of: _Reading, at: int, row: Mapping[str, Any]) -> OwnError:
    of.unknown_words(ANGLE, at, row)
    known = measured_angles(of.library)
    procedure = of.one_of(ANGLE, at, row, "procedure", known, f"one of {', '.join(known)}")
    return OwnError(procedure, of.number(ANGLE, at, row, "sd_deg", 0.0, _WIDEST_ERROR_DEG), of.subjects(ANGLE, at, row))


def measured_angles(library: Library) -> tuple[str, ...]:
    """Procedures that are read in degrees and carry weight."""
    return tuple(row.text["procedure"] for row in library.tables["angle_reference"])


def _twice(of: _Reading, table: str, named: Sequence[tuple[str, ...]]) -> None:
    for at, one in enumerate(named):
        if one in named[:at]:
            first = named.index(one) + 1
            of.fault(table, at, "procedure", f"the same as row {first}", ", ".join(one), "one row for each")


def with_rows(text: str, rows: Iterable[OwnAgreement | OwnError], name: str, file: str, library: Library) -> str:
    """The file with these rows added or in place of those of the same place and outcome; all else stays as written.

    `text` is empty for a new file. Raises CannotRead when it cannot be read, or is of another examiner.
    """
    if not text.strip():
        text = f"# Own agreement, read by `endfeel reason CASE --hands {file}`.\nname = {_quoted(name)}\n"
    for row in rows:
        examiner = read_hands(text, file, library)
        if examiner.name.casefold() != name.strip().casefold():
            line = places_in(text).of("", 0, "name")[0]
            would = f"another file for {name}, or the same name in both"
            raise CannotRead([Fault("these are another examiner's hands", examiner.name, would, line, file=file)])
        text = _changed(text, row, examiner, file, library)
    return text


def _changed(text: str, row: OwnAgreement | OwnError, examiner: Examiner, file: str, library: Library) -> str:
    """The text with one row changed, after making sure that nothing else is."""
    table = AGREEMENT if isinstance(row, OwnAgreement) else ANGLE
    written = len([name for name, _ in places_in(text).tables if name == table])
    before, wanted = _by_name(examiner), "rows that begin with [[agreement]] or [[angle]], a key and its value a line"
    if written == len(examiner.agreements if table == AGREEMENT else examiner.errors):
        made = _with_row(text, row, examiner)
        after = _by_name(read_hands(made, file, library))
        if after.pop(_named(row), None) == _as_written(row):
            before.pop(_named(row), None)
            if after == before:
                return made
    raise CannotRead([Fault("rows are written in a way that cannot be added to", file=file, would_do=wanted)])


def _with_row(text: str, row: OwnAgreement | OwnError, examiner: Examiner) -> str:
    table = AGREEMENT if isinstance(row, OwnAgreement) else ANGLE
    there: list[Any] = list(examiner.agreements if isinstance(row, OwnAgreement) else examiner.errors)
    numbers = [at for at, one in enumerate(there) if _named(one) == _named(row)]
    if not numbers:
        lines = "\n".join(f"{key} = {value}" for key, value in (*_head(row).items(), *_values(row).items()))
        return f"{text.rstrip()}\n\n[[{table}]]\n{lines}\n"
    lines_ = text.split("\n")
    places = places_in(text)
    first = places.span(table, numbers[0])[0]
    for key, value in reversed(_values(row).items()):
        place = places.keys.get((table, numbers[0], key))
        if place is None:
            lines_.insert(first, f"{key} = {value}")
            places = places_in("\n".join(lines_))
        else:
            lines_[place[0] - 1] = _KEY_LINE.sub(rf"\g<1>{value}\g<3>", lines_[place[0] - 1])
    return "\n".join(lines_)


def _named(row: OwnAgreement | OwnError) -> tuple[str, ...]:
    return (row.place, row.outcome) if isinstance(row, OwnAgreement) else (row.procedure,)


def _by_name(examiner: Examiner) -> dict[tuple[str, ...], OwnAgreement | OwnError]:
    rows: list[OwnAgreement | OwnError] = [*examiner.agreements, *examiner.errors]
    return {_named(row): row for row in rows}


def _head(row: OwnAgreement | OwnError) -> dict[str, str]:
    if isinstance(row, OwnError):
        return {"procedure": _quoted(row.procedure)}
    scope = "region" if row.place.startswith(REGION) else "procedure"
    return {scope: _quoted(row.place.removeprefix(REGION)), "outcome": _quoted(row.outcome)}


def _values(row: OwnAgreement | OwnError) -> dict[str, str]:
    if isinstance(row, OwnError):
        return {"sd_deg": f"{row.sd_deg:.2f}", "subjects": str(row.subjects)}
    return {"kappa": f"{row.kappa:.3f}", "subjects": str(row.subjects), "lean": f"{row.lean:.3f}"}


def _as_written(row: OwnAgreement | OwnError) -> OwnAgreement | OwnError:
    """With the digits a file gets."""
    numbers = {key: float(value) for key, value in _values(row).items() if key != "subjects"}
    return replace(row, **numbers)  # type: ignore[arg-type]


def _quoted(text: str) -> str:
    return json.dumps(text.strip(), ensure_ascii=False).replace("\x7f", "\\u007f")
