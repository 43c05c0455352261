"""What a form or a waiting entry asks to be kept: one finding, one line, or one finding a level."""

from __future__ import annotations

import re
import uuid
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from urllib.parse import parse_qsl

from endfeel import care
from endfeel.evidence.library import Library
from endfeel.inference.words import finding_words
from endfeel.vocabulary import Finding, OutcomeKind, Position
from endfeel.web.controls import NORMAL
from endfeel.web.forms import FINDING_FIELDS, read_finding

FAMILIAR = {"familiar": "yes", "other": "no"}
_LEVELS = "levels "
_PLACED = ("procedure", "side", "level")
_ID = re.compile(r"[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}")
_RETEST = re.compile(r"\s*re-?test\s*:\s*", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Kept:
    """What was kept: the entry to take back (several with commas between), and what it says."""

    id: str
    said: str
    told: care.KeptSafely | None = None
    """How the visit stands with safety after it and its mark, where the act told them."""


def meant(given: Mapping[str, str], kind: OutcomeKind) -> list[dict[str, str]]:
    """The findings a form means, one by one.

    `quick` is a press that says everything: `normal`, `levels T3 T4 …` (normal at each) or fields as in an address.
    `hurt` closes a finding: whose pain it was and how strong, as `familiar 4`, `other 4`, `pain 0`.
    """
    told = dict(given)
    quick, hurt = told.pop("quick", ""), told.pop("hurt", "")
    if hurt:
        which, _, told["pain"] = hurt.partition(" ")
        told |= {"familiar": FAMILIAR[which]} if which in FAMILIAR else {}
    if not quick:
        return [told]
    said = NORMAL.get(kind, {}) if quick == "normal" or quick.startswith(_LEVELS) else dict(parse_qsl(quick))
    bare = {name: value for name, value in told.items() if name not in FINDING_FIELDS or name in (*_PLACED, "note")}
    levels = quick.removeprefix(_LEVELS).split() if quick.startswith(_LEVELS) else [bare.get("level", "")]
    return [{**bare, **said, "level": level} for level in levels]


def read_fields(desk: care.Desk, visit_id: str, given: Mapping[str, str]) -> list[care.NewFinding]:
    """What a form says, checked. Raises CannotRead, each fault with its field."""
    kind = desk.library.catalogue[given.get("procedure", "")].outcomes
    findings = [read_finding(one, desk.library) for one in meant(given, kind)]
    act = "retest" if given.get("retest") == "yes" else "finding"
    position = Position(given["position"]) if given.get("position") in set(Position) else None
    entry_id = own_id(given) or care.new_id()
    ids = [id_at(entry_id, one.level or "") for one in findings]
    return [
        care.new_finding(desk, visit_id, act, finding, one, position)
        for finding, one in zip(findings, ids if len(findings) > 1 else [entry_id], strict=True)
    ]


def id_at(entry_id: str, level: str) -> str:
    """The id of the finding at one level of what one press recorded at several."""
    return str(uuid.uuid5(uuid.UUID(entry_id), level))


def keep_fields(desk: care.Desk, visit_id: str, given: Mapping[str, str]) -> Kept:
    """Keep what a form says. Raises CannotRead, each fault with its field; then nothing of it is kept."""
    new = read_fields(desk, visit_id, given)
    told = [care.keep_and_stand(one) for one in new]
    return kept_of(new, told[-1])


def kept_of(new: Sequence[care.NewFinding], told: care.KeptSafely | None) -> Kept:
    """What to say of findings that were kept."""
    findings = [one.entry.finding for one in new if one.entry.finding]
    return Kept(",".join(one.entry.id for one in new), _said(findings, new[0].desk), told)


def shown_again(given: Mapping[str, str], library: Library) -> dict[str, str]:
    """The fields of a refused form as its controls show them."""
    return meant(given, library.catalogue[given.get("procedure", "")].outcomes)[0]


def _said(findings: list[Finding], desk: care.Desk) -> str:
    told = finding_words(findings[-1], desk.library.catalogue)
    if len(findings) == 1:
        return told
    levels = ", ".join(one.level or "" for one in findings)
    return f"{desk.library.catalogue[findings[0].procedure].name}, {levels}, each: {told.partition(': ')[2]}"


def keep_line(desk: care.Desk, visit_id: str, given: Mapping[str, str]) -> Kept:
    """Keep a line of shorthand; `retest:` before it says what the box says. Raises CannotRead with every fault."""
    line = given.get("line", "")
    bare = _RETEST.sub("", line, count=1) if _RETEST.match(line) else line
    again = bare != line or given.get("retest") == "yes"
    saved = care.record_line(desk, visit_id, bare, own_id(given), retest=again)
    entry = care.newest_of(desk, visit_id, saved)
    return Kept(saved, finding_words(entry.finding, desk.library.catalogue) if entry and entry.finding else line)


def own_id(given: Mapping[str, str], name: str = "entry_id") -> str | None:
    """The id the form brought, so that a form sent twice is kept once; none when it is not of the usual form."""
    written = given.get(name, "")
    return written if _ID.fullmatch(written) else None
