"""One line of shorthand ↔ one finding."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from difflib import get_close_matches
from typing import Any

from endfeel.vocabulary.errors import CannotRead, Fault
from endfeel.vocabulary.findings import Finding
from endfeel.vocabulary.procedures import Catalogue, Procedure
from endfeel.vocabulary.ranges import UNITS, Limits, faults_of
from endfeel.vocabulary.shorthand.details import Scan, number_of, scan_line
from endfeel.vocabulary.shorthand.words import Spelling
from endfeel.vocabulary.terms import EndFeel, OutcomeKind, Result, Side, Unit

OFFERS = 8
"""Candidates shown at most when a line is ambiguous."""


@dataclass(frozen=True, slots=True)
class Shorthand:
    """The grammar of one evidence release: procedures, their phrases, spelling and limits."""

    catalogue: Catalogue
    spelling: Spelling
    exact: Mapping[frozenset[str], tuple[str, ...]]
    """Full set of words → procedures it names outright."""
    keys: tuple[tuple[frozenset[str], str], ...]
    """Every phrase as a set of words, with its procedure."""
    words: frozenset[str]
    limits: Limits

    @classmethod
    def of(cls, catalogue: Catalogue, aliases: Mapping[str, Any], ranges: Mapping[str, Any]) -> Shorthand:
        """Build the grammar from the catalogue and the data files `aliases` and `ranges`."""
        spelling = Spelling.of(aliases["word"], aliases["meta"]["stop_words"])
        phrases: dict[str, list[str]] = {p.id: [p.name, p.id.replace("_", " ")] for p in catalogue}
        for procedure_id, extra in aliases["phrase"].items():
            phrases.setdefault(procedure_id, []).extend(extra)
        keys = [(spelling.key(text), procedure) for procedure, texts in phrases.items() for text in texts]
        exact: dict[frozenset[str], tuple[str, ...]] = {}
        for key, procedure in keys:
            exact[key] = tuple(dict.fromkeys((*exact.get(key, ()), procedure)))
        for procedure_id, extra in aliases["phrase"].items():
            exact.update({spelling.key(text): (procedure_id,) for text in extra})
        limits = Limits({Unit(unit): (float(low), float(high)) for unit, (low, high) in ranges["limit"].items()})
        return cls(catalogue, spelling, exact, tuple(keys), frozenset(w for key, _ in keys for w in key), limits)


def parse_finding(line: str, shorthand: Shorthand, default_side: Side | None = None) -> Finding:
    """The finding written on one line. Raises CannotRead with every fault of the line.

    `default_side` (the complaint's side) is used when the line names none and the procedure needs one.
    """
    scan = scan_line(line, lambda word: word.lower() in shorthand.catalogue)
    procedure = _procedure(scan, shorthand)
    if procedure is None:
        raise CannotRead(scan.faults)
    finding = _finding(scan, procedure, default_side)
    faults = list(scan.faults)
    for name, fault in faults_of(finding, procedure, shorthand.limits):
        faults.append(replace(fault, field=name, column=scan.columns.get(name, 1)))
    if faults:
        raise CannotRead(sorted(faults, key=lambda fault: fault.column))
    return finding


def finding_text(finding: Finding) -> str:
    """The canonical line: parsing it gives the same finding back."""
    parts = [finding.procedure, finding.side, finding.level]
    parts.append(f"grade {finding.mobility}" if finding.mobility is not None else None)
    parts.append(finding.end_feel)
    if finding.value is not None:
        parts.append(f"{plain(finding.value)} {_UNIT_TEXT.get(finding.unit, finding.unit) if finding.unit else ''}".strip())
    unit = f" {_UNIT_TEXT.get(finding.unit, finding.unit)}" if finding.unit else ""
    for name, word in (("other", "other "), ("pain_onset", "pain@"), ("resistance_onset", "resistance@")):
        value = getattr(finding, name)
        parts.append(f"{word}{plain(value)}{unit}" if value is not None else None)
    parts.append(f"pain {plain(finding.pain)}" if finding.pain is not None else None)
    parts.append({True: "familiar", False: "not familiar", None: None}[finding.familiar])
    parts.append(finding.result.replace("_", " ") if finding.result else None)
    parts.append({True: "apprehensive", False: "not apprehensive", None: None}[finding.apprehension])
    parts.append(f"strength {finding.strength}/5" if finding.strength is not None else None)
    line = " ".join(str(part) for part in parts if part)
    return f"{line} ; {finding.note}" if finding.note else line


_UNIT_TEXT: dict[Unit, str] = {Unit.GRADE: "points"}


def plain(value: float) -> str:
    """A number as short as it can be without loss."""
    return str(int(value)) if float(value).is_integer() else repr(float(value))


def complete(prefix: str, shorthand: Shorthand, most: int = 12) -> tuple[str, ...]:
    """Procedures a half-typed line may mean, as `id: name`, best first."""
    typed = [word for word in shorthand.spelling.key(prefix)]
    found = [
        procedure
        for procedure in shorthand.catalogue
        if all(any(word.startswith(t) for word in _all_words(procedure, shorthand)) for t in typed)
    ]
    return tuple(f"{procedure.id}: {procedure.name}" for procedure in found[:most])


def _all_words(procedure: Procedure, shorthand: Shorthand) -> frozenset[str]:
    return shorthand.spelling.key(f"{procedure.name} {procedure.id.replace('_', ' ')}")


def _procedure(scan: Scan, shorthand: Shorthand) -> Procedure | None:
    """The one procedure the left-over words name; faults are added to the scan when there is none or several."""
    named = [word.lower() for word, _ in scan.words if word.lower() in shorthand.catalogue and not word.isdigit()]
    ids = [word for word in named if "_" in word or len(scan.words) == 1]
    if len(set(ids)) == 1:
        _numbers_left([(w, c) for w, c in scan.words if w.lower() != ids[0]], scan, shorthand)
        return shorthand.catalogue[ids[0]]
    words, numbers = _split(scan, shorthand)
    if not words and not any(number.startswith("@") for number, _ in numbers):
        scan.faults.append(Fault("no procedure named", scan.text.strip(), "what was done, for instance: gh post glide"))
        return None
    unknown = [(word, column) for word, column in words if not _known(word, shorthand)]
    for word, column in unknown:
        near = get_close_matches(word.lower(), [*shorthand.words, *shorthand.spelling.full], n=4, cutoff=0.7)
        would = "" if near else "a procedure id or words of its name (endfeel vocabulary procedures)"
        scan.faults.append(Fault("unknown word", word, would, column=column + 1, candidates=tuple(near)))
    if unknown:
        return None
    return _look_up(words, numbers, scan, shorthand)


def _split(scan: Scan, shorthand: Shorthand) -> tuple[list[tuple[str, int]], list[tuple[str, int]]]:
    """Left-over words, and left-over bare numbers (an arm position keeps its @)."""
    words, numbers = [], []
    for word, column in scan.words:
        bare = word.lstrip("@-−").replace(".", "").replace(",", "").isdigit()
        (numbers if bare else words).append((word, column))
    return words, numbers


def _known(word: str, shorthand: Shorthand) -> bool:
    full = shorthand.spelling.key(word.replace("_", " "))
    return all(part in shorthand.words for part in full)


def _look_up(
    words: list[tuple[str, int]], numbers: list[tuple[str, int]], scan: Scan, shorthand: Shorthand
) -> Procedure | None:
    key = shorthand.spelling.key(" ".join(word.replace("_", " ") for word, _ in words))
    bound = [(w, c) for w, c in numbers if w.startswith("@")]
    free = [(w, c) for w, c in numbers if not w.startswith("@")]
    positions = frozenset(w.lstrip("@") for w, _ in bound)
    attempts: list[tuple[frozenset[str], list[tuple[str, int]]]] = []
    if free and not bound:
        attempts.append((key | {free[0][0]}, free[1:]))
    attempts.append((key | positions, free))
    for wanted, rest in attempts:
        exact = shorthand.exact.get(wanted, ())
        if len(exact) == 1:
            _numbers_left(rest, scan, shorthand)
            return shorthand.catalogue[exact[0]]
    for wanted, rest in attempts:
        found = _at_level(tuple(dict.fromkeys(p for k, p in shorthand.keys if wanted <= k)), scan, shorthand)
        if len(found) == 1:
            _numbers_left(rest, scan, shorthand)
            return shorthand.catalogue[found[0]]
        if found:
            read = " ".join(word for word, _ in words)
            scan.faults.append(
                Fault("could mean several procedures", read, "one of these", column=words[0][1] + 1 if words else 1,
                      candidates=tuple(f"{p} ({shorthand.catalogue[p].name})" for p in found[:OFFERS]))
            )  # fmt: skip
            return None
    read = " ".join(word for word, _ in (*words, *bound))
    scan.faults.append(
        Fault("no procedure has all of these words", read, "see: endfeel vocabulary procedures",
              column=words[0][1] + 1 if words else 1, candidates=_nearest(key | positions, shorthand))
    )  # fmt: skip
    return None


def _at_level(found: tuple[str, ...], scan: Scan, shorthand: Shorthand) -> tuple[str, ...]:
    """Only the procedures done at the level the line names, when there are any."""
    level = scan.given.get("level")
    return tuple(p for p in found if level in shorthand.catalogue[p].levels) or found


def _nearest(key: frozenset[str], shorthand: Shorthand) -> tuple[str, ...]:
    scored: dict[str, float] = {}
    for other, procedure in shorthand.keys:
        shared = len(key & other) / max(1, len(key | other))
        scored[procedure] = max(scored.get(procedure, 0.0), shared)
    best = sorted((p for p in scored if scored[p] > 0), key=lambda p: -scored[p])[:4]
    return tuple(f"{p} ({shorthand.catalogue[p].name})" for p in best)


def _numbers_left(rest: Iterable[tuple[str, int]], scan: Scan, shorthand: Shorthand) -> None:
    """Bare numbers wait for the kind of procedure; other left-over words are faults."""
    for word, column in rest:
        if word.lstrip("-−").replace(".", "").replace(",", "").isdigit():
            scan.given.setdefault("bare", []).append((number_of(word), column))
        elif not _known(word, shorthand) or word.startswith("@"):
            scan.faults.append(Fault("not understood beside the procedure", word, "a detail or a ; note", column=column + 1))


def _finding(scan: Scan, procedure: Procedure, default_side: Side | None) -> Finding:
    given = dict(scan.given)
    firm = given.pop("firm", None)
    kind = procedure.outcomes
    if firm is not None and "end_feel" not in given:
        given["end_feel"] = _firm(procedure)
        scan.columns["end_feel"] = firm + 1
    for value, column in given.pop("bare", []):
        _bare(value, column, kind, given, scan)
    if given.pop("normal", None) is not None:
        given.setdefault(*_normal(kind))
    if given.get("value") is not None and given.get("unit") is None and kind in UNITS and len(UNITS[kind]) == 1:
        given["unit"] = UNITS[kind][0]
    if given.get("unit") is None and any(given.get(n) is not None for n in ("other", "pain_onset", "resistance_onset")):
        given["unit"] = UNITS[kind][0] if kind in UNITS else None
    if given.get("side") is None and procedure.sided:
        given["side"] = default_side
    return Finding(procedure=procedure.id, **given)


def _firm(procedure: Procedure) -> EndFeel:
    """`firm` alone means the firm end that the joint normally has: ligament at SC and AC, capsule elsewhere."""
    ligament = procedure.region in {"sternoclavicular", "acromioclavicular"}
    return EndFeel.FIRM_LIGAMENT if ligament else EndFeel.FIRM_CAPSULAR


def _normal(kind: OutcomeKind) -> tuple[str, Any]:
    return ("mobility", 3) if kind in {OutcomeKind.GLIDE, OutcomeKind.STRESS} else ("result", Result.NORMAL)


def _bare(value: float, column: int, kind: OutcomeKind, given: dict[str, Any], scan: Scan) -> None:
    """A number without a word: a grade for glides, degrees for angles; else a fault that asks for the unit."""
    if kind in {OutcomeKind.GLIDE, OutcomeKind.STRESS} and "mobility" not in given:
        given["mobility"] = int(value) if value.is_integer() else value
        scan.columns["mobility"] = column + 1
    elif kind in {OutcomeKind.ANGULAR, OutcomeKind.ACTIVE} and "value" not in given:
        given["value"], given["unit"] = value, given.get("unit", Unit.DEGREES)
        scan.columns["value"] = column + 1
    else:
        units = ", ".join(UNITS.get(kind, ()))
        scan.faults.append(Fault("a number without a word", plain(value), f"p{plain(value)} for pain, or a unit: {units}", column=column + 1))
