"""Which procedure the words of a line name: one, several (a fault with the candidates), or none."""

from __future__ import annotations

import re
from collections.abc import Iterable
from difflib import get_close_matches
from typing import TYPE_CHECKING

from endfeel.vocabulary.errors import Fault
from endfeel.vocabulary.procedures import Procedure
from endfeel.vocabulary.shorthand.details import DETAIL_WORDS, NUMBER, TOO_LONG, Scan, number_of, scan_line
from endfeel.vocabulary.terms import OutcomeKind

if TYPE_CHECKING:
    from endfeel.vocabulary.shorthand.grammar import Key, Placed, Shorthand

MOST_UNKNOWN = 6
"""Unknown words of one line that are told one by one; a line of prose needs no longer list."""
OFFERS = 8
"""Candidates shown at most when a line is ambiguous."""
_NUMBER = re.compile(rf"@?{NUMBER}")
_PASSIVE = frozenset({"passive"})
_APPREHENSION = frozenset({"apprehension"})
_PAIN, _SAID_PAIN = frozenset({"pain"}), re.compile(rf"\bpain\s*[:=]?\s*{NUMBER}", re.IGNORECASE)
"""`pain 0` is a detail, and its word may be part of the name, too: where the rest could mean several tests it tells."""
_NEGATIONS = frozenset({"no", "not", "non", "without"})
"""Never dropped: a negation that was not read with its word would turn the meaning round."""
_SORE = ("painful", "sore", "tender", "pain")
"""Words that say pain without saying how much."""


def procedure_of(scan: Scan, shorthand: Shorthand) -> Procedure | None:
    """The one procedure the line names; faults are added to the scan when there is none or several."""
    if any(fault.message.startswith(TOO_LONG) for fault in scan.faults):
        return None
    ids = tuple(dict.fromkeys(procedure_id for procedure_id, _ in scan.named))
    if len(ids) > 1:
        read = " ".join(ids)
        scan.faults.append(Fault("two procedures on one line", read, "one line each", column=scan.named[1][1] + 1))
        return None
    if ids:
        return _written_out(ids[0], scan, shorthand)
    words, numbers = _split(scan)
    if not words and not any(number.startswith("@") for number, _ in numbers):
        scan.faults.append(
            Fault("no procedure named", scan.text.strip(), "what was done, such as: gh post glide", column=1)
        )
        return None
    unknown = [(word, column) for word, column in words if not _is_known(word, shorthand)]
    for word, column in unknown[:MOST_UNKNOWN]:
        scan.faults.append(_unknown(word, column, shorthand))
    return None if unknown else _look_up(words, numbers, scan, shorthand)


def named_procedure(text: str, shorthand: Shorthand, level: str | None = None) -> Procedure | Fault:
    """The procedure named by an id, its full name or trade words; or the Fault that offers candidates."""
    words = text.strip()
    if words.lower() in shorthand.catalogue:
        return shorthand.catalogue[words.lower()]
    scan = scan_line(words, shorthand.names.at)
    if level is not None:
        scan.given.setdefault("level", level)
    procedure = procedure_of(scan, shorthand)
    if procedure is not None and not scan.faults:
        return procedure
    return scan.faults[0]


def _written_out(procedure_id: str, scan: Scan, shorthand: Shorthand) -> Procedure:
    """A procedure given by id or full name: the words beside it must be its own."""
    procedure = shorthand.catalogue[procedure_id]
    unknown = 0
    own = frozenset(word for key, one in shorthand.keys if one == procedure_id for word in key)
    for word, column in scan.words:
        if _NUMBER.fullmatch(word):
            _keep_number(word, column, scan, own)
        elif not _is_known(word, shorthand):
            unknown += 1
            scan.faults += [_unknown(word, column, shorthand)] if unknown <= MOST_UNKNOWN else []
        elif not shorthand.spelling.key(word) <= own | _PASSIVE:
            scan.faults.append(
                Fault(f"not part of {procedure_id}", word, "a detail, or ; before a note", column=column + 1)
            )
    return procedure


def _keep_number(word: str, column: int, scan: Scan, own: frozenset[str] = frozenset()) -> None:
    """Bare numbers wait for the kind of procedure; an arm position must be the procedure's own."""
    if not word.startswith("@"):
        scan.given.setdefault("bare", []).append((number_of(word), column))
    elif word[1:] not in own:
        scan.faults.append(
            Fault("not a position of this test", word[1:], "a range with °, or no position", column=column + 1)
        )


def _split(scan: Scan) -> tuple[list[Placed], list[Placed]]:
    """Left-over words, and left-over bare numbers (an arm position keeps its @)."""
    words: list[Placed] = []
    numbers: list[Placed] = []
    for word, column in scan.words:
        (numbers if _NUMBER.fullmatch(word) else words).append((word, column))
    return words, numbers


def _is_known(word: str, shorthand: Shorthand) -> bool:
    return word.lower() not in _NEGATIONS and all(
        part in shorthand.words for part in shorthand.spelling.key(word.replace("_", " "))
    )


def _unknown(word: str, column: int, shorthand: Shorthand) -> Fault:
    if word.lower() in _NEGATIONS:
        return Fault(
            "a negation beside nothing it can deny", word, "not familiar, no pain, negative", column=column + 1
        )
    spellings = [*shorthand.words, *shorthand.spelling.full, *shorthand.catalogue.by_id, *DETAIL_WORDS]
    near = tuple(dict.fromkeys(get_close_matches(word.lower(), spellings, n=4, cutoff=0.7)))
    would = "another spelling" if near else "a procedure's id or words of its name (endfeel vocabulary procedures)"
    return (
        _how_much(word, column)
        if word.lower() in _SORE
        else Fault(
            "unknown word",
            word,
            would,
            column=column + 1,
            candidates=tuple(one for one in near if f"{one}s" not in shorthand.catalogue and one != word.lower()),
        )
    )


def _how_much(word: str, column: int) -> Fault:
    return Fault("pain without a number", word, "how much, from 0 to 10: p4", column=column + 1, field="pain")


def _look_up(words: list[Placed], numbers: list[Placed], scan: Scan, shorthand: Shorthand) -> Procedure | None:
    key = shorthand.spelling.key(" ".join(word.replace("_", " ") for word, _ in words))
    attempts = _attempts(key, numbers)
    for wanted, rest in attempts:
        found = _fitting(shorthand.exact.get(wanted, ()), scan, shorthand)
        if len(found) == 1:
            return _chosen(found[0], wanted, key, rest, words, scan, shorthand)
    several: tuple[str, ...] = ()
    for wanted, rest in attempts:
        found = _fitting((p for k, p in shorthand.keys if wanted <= k), scan, shorthand)
        if len(found) == 1:
            return _chosen(found[0], wanted, key, rest, words, scan, shorthand)
        several = several or found
    named = _fitting(shorthand.exact.get(key | _PAIN, ()), scan, shorthand)
    if "pain" in scan.given and len(named) == 1 and _SAID_PAIN.search(scan.text):
        return _chosen(
            named[0], key, key, [one for one in numbers if not one[0].startswith("@")], words, scan, shorthand
        )
    read = " ".join(word.lstrip("@") for word, _ in sorted((*words, *numbers), key=lambda one: one[1]))
    column = min((at for _, at in (*words, *numbers)), default=0) + 1
    if several:
        offers = tuple(f"{p} ({shorthand.catalogue[p].name})" for p in several[:OFFERS])
        fault = Fault("could mean several procedures", read, "one of these", column=column, candidates=offers)
    else:
        offers = _nearest(attempts[0][0], shorthand)
        fault = Fault(
            "no procedure has all of these words", read, "one that there is", column=column, candidates=offers
        )
    if not (several and any(told.field == "level" for told in scan.faults)):  # the level would have chosen
        scan.faults.append(fault)
    return None


def _attempts(key: Key, numbers: list[Placed]) -> list[tuple[Key, list[Placed]]]:
    """Sets of words to look for, best first, each with the numbers it leaves.

    A number after `at` is the arm's position; a bare number may be one. `passive` and, beside another test's name,
    `apprehension` may be dropped; so may a word for pain, which then is a fault of its own.
    """
    bound = [one for one in numbers if one[0].startswith("@")]
    free = [one for one in numbers if not one[0].startswith("@")]
    positions = frozenset(word[1:] for word, _ in bound)
    wanted = [(key | positions, free)]
    if free and not bound:
        wanted.insert(0, (key | {free[0][0]}, free[1:]))
    for spare in (_PASSIVE, _APPREHENSION, *(frozenset({word}) for word in _SORE)):
        if spare < key:
            wanted += [(one - spare, rest) for one, rest in wanted]
    return wanted


def _chosen(
    procedure_id: str, wanted: Key, key: Key, rest: list[Placed], words: list[Placed], scan: Scan, shorthand: Shorthand
) -> Procedure:
    for word, column in rest:
        _keep_number(word, column, scan)
    if key >= _APPREHENSION and not _APPREHENSION & wanted:
        scan.given.setdefault("apprehension", True)
    scan.faults += [_how_much(word, at) for word, at in words if word.lower() in _SORE and word.lower() not in wanted]
    return shorthand.catalogue[procedure_id]


def _fitting(ids: Iterable[str], scan: Scan, shorthand: Shorthand) -> tuple[str, ...]:
    """The procedures the line can mean: done at the level it names, passive where it says passive."""
    found = tuple(dict.fromkeys(ids))
    level, catalogue = scan.given.get("level"), shorthand.catalogue
    at_level = tuple(p for p in found if (level in catalogue[p].levels if level else not catalogue[p].levels))
    found = at_level or found
    if any(word.lower() in {"passive", "passively", "pass"} for word, _ in scan.words):
        felt = {OutcomeKind.ANGULAR, OutcomeKind.GLIDE, OutcomeKind.STRESS, OutcomeKind.LENGTH}
        found = tuple(p for p in found if catalogue[p].outcomes in felt) or found
    return found


def _nearest(key: Key, shorthand: Shorthand) -> tuple[str, ...]:
    """The procedures that share most words; only those of the joint, and its glides, where the line names them."""
    catalogue = shorthand.catalogue
    regions = {procedure.region for procedure in catalogue} & key
    alike = [p for p in catalogue if p.region in regions] if regions else list(catalogue)
    glides = [p for p in alike if p.outcomes in {OutcomeKind.GLIDE, OutcomeKind.STRESS}] if "glide" in key else []
    offered = {procedure.id for procedure in glides or alike}
    scored: dict[str, float] = {}
    for other, procedure in shorthand.keys:
        shared = len(key & other) / max(1, len(key | other))
        if procedure in offered:
            scored[procedure] = max(scored.get(procedure, 0.0), shared)
    best = sorted((p for p in scored if scored[p] > 0), key=lambda p: -scored[p])[:4]
    return tuple(f"{p} ({catalogue[p].name})" for p in best)


def complete(typed: str, shorthand: Shorthand, most: int = 12) -> tuple[str, ...]:
    """Procedures a half-typed line may mean, as `id: name`, best first."""
    scan = scan_line(typed, shorthand.names.at)
    if scan.named:
        return tuple(f"{p}: {shorthand.catalogue[p].name}" for p, _ in scan.named[:1])
    parts = [part for word, _ in scan.words for part in shorthand.spelling.key(word.lstrip("@")) or ()]
    words: dict[str, set[str]] = {}
    for key, procedure in shorthand.keys:
        words.setdefault(procedure, set()).update(key)
    whole = frozenset(parts)
    found = [p for p in words if all(any(word.startswith(part) for word in words[p]) for part in parts)]
    found.sort(key=lambda p: p not in shorthand.exact.get(whole, ()))
    return tuple(f"{p}: {shorthand.catalogue[p].name}" for p in found[:most])
