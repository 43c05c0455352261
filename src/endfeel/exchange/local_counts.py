"""Counts that leave the house: tables of tests against what turned out, never people. docs/local_counts.md describes
the format, docs/local_counts.schema.json holds it to JSON Schema."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from endfeel.inference.local_counts import CountKey, Counts
from endfeel.vocabulary import CannotRead, Fault
from endfeel.vocabulary.confirmed import Reference

FORMAT, VERSION = "endfeel local counts", 1
CELLS = ("tp", "fp", "fn", "tn")
_SITE = re.compile(r"[A-Za-z0-9-]{4,64}")
_ID = re.compile(r"[a-z0-9_:]{1,80}")
_MONTH = re.compile(r"\d{4}-(0[1-9]|1[0-2])")
MOST = 1_000_000_000


@dataclass(frozen=True, slots=True)
class SiteCounts:
    """What one site tells."""

    site: str
    """A code the site chose; no name."""
    counted_until: str
    """The month, as 2026-03."""
    evidence_release: str
    fewest: int
    """No count is of fewer people, zero apart."""
    tables: Mapping[CountKey, Counts]


@dataclass(frozen=True, slots=True)
class Outgoing:
    """What leaves; how many tables stay since a count is small, how many leave as they stood last time."""

    document: dict[str, Any]
    told: dict[str, Any]
    """Every table as it was told last, also those that do not leave now: kept for the next time, never sent."""
    small: int
    little_growth: int


def may_leave(counts: Counts, fewest: int) -> bool:
    """Whether no count is of fewer people than `fewest`, zero apart."""
    return all(one == 0 or one >= fewest for one in counts.cells)


def outgoing(
    counts: Mapping[CountKey, Counts],
    site: str,
    until: str,
    release: str,
    fewest: int,
    earlier: SiteCounts | None = None,
) -> Outgoing:
    """The document for other sites.

    A table of which a count is small stays here. One that was told before leaves as it stood then, also when it became
    small or nobody is counted in it any longer, unless every count of it stayed the same or grew by at least `fewest`:
    what lies between two documents is a count too. `earlier` is what was told, every table as it was last; one that was
    told by a smaller number than `fewest` stays here, and is remembered. Raises CannotRead for a site that is no code,
    or another site's earlier document.
    """
    if not _SITE.fullmatch(site):
        would = "4 to 64 letters, figures and hyphens; a code of your own, not the name of the place"
        raise CannotRead([Fault("not a code of a site", site, would, field="site")])
    if earlier is not None and earlier.site != site:
        raise CannotRead([Fault("counts were sent under another code before", site, earlier.site, field="site")])
    before = dict(earlier.tables) if earlier else {}
    leaving: dict[CountKey, Counts] = {}
    small = little = 0
    for key in {**before, **counts}:
        told = counts.get(key, Counts())
        then = before.get(key, told)
        grown = Counts(*(now - was for now, was in zip(told.cells, then.cells, strict=True)))
        stays = not (may_leave(told, fewest) and may_leave(grown, fewest) and key in counts)
        leaves = then if stays else told
        if may_leave(leaves, fewest):
            leaving[key] = leaves
            little += stays
        else:
            small += 1

    def document(tables: Mapping[CountKey, Counts], promised: int) -> dict[str, Any]:
        return {
            "format": FORMAT, "version": VERSION, "site": site, "counted_until": until, "evidence_release": release,
            "fewest": promised, "tables": [_table(key, told) for key, told in sorted(tables.items())],
        }  # fmt: skip

    least = min(fewest, earlier.fewest) if earlier else fewest
    return Outgoing(document(leaving, fewest), document(before | leaving, least), small, little)


def _table(key: CountKey, counts: Counts) -> dict[str, Any]:
    (procedure, outcome), contributor, reference = key
    return {
        "procedure": procedure, "outcome": outcome, "contributor": contributor, "reference": str(reference),
        **dict(zip(CELLS, counts.cells, strict=True)),
    }  # fmt: skip


def read_site(text: str, file: str = "") -> SiteCounts:
    """One document. Raises CannotRead with every fault; a file with a count of too few people is not taken."""
    try:
        told = json.loads(text)
    except json.JSONDecodeError as error:
        raise CannotRead([Fault("not JSON", error.msg, f"a file of {FORMAT}", file=file, line=error.lineno)]) from None
    if not isinstance(told, dict) or told.get("format") != FORMAT or told.get("version") != VERSION:
        read = str(told.get("format", ""))[:40] if isinstance(told, dict) else ""
        raise CannotRead([Fault("another format", read, f"{FORMAT}, version {VERSION}", file=file)])
    faults = [
        Fault(f"{name} cannot be read", str(told.get(name))[:60], would, file=file)
        for name, fits, would in (
            ("site", _fits(_SITE, told.get("site")), "a code of 4 to 64 letters, figures and hyphens"),
            ("counted_until", _fits(_MONTH, told.get("counted_until")), "a month, as 2026-03"),
            ("evidence_release", isinstance(told.get("evidence_release"), str), "words"),
            ("fewest", _is_count(told.get("fewest")) and told.get("fewest", 0) >= 1, "a whole number of people"),
            ("tables", isinstance(told.get("tables"), list), "a list of tables"),
        )
        if not fits
    ]
    if faults:
        raise CannotRead(faults)
    tables: dict[CountKey, Counts] = {}
    for number, one in enumerate(told["tables"], 1):
        wrong = _table_faults(one, told["fewest"], f"table {number}", file)
        key = None if wrong else ((one["procedure"], one["outcome"]), one["contributor"], Reference(one["reference"]))
        if key in tables:
            wrong.append(Fault(f"table {number} stands there twice", str(one["procedure"]), "each once", file=file))
        faults += wrong
        if key and not wrong:
            tables[key] = Counts(*(one[cell] for cell in CELLS))
    if faults:
        raise CannotRead(faults)
    return SiteCounts(told["site"], told["counted_until"], told["evidence_release"], told["fewest"], tables)


def _table_faults(one: Any, fewest: int, where: str, file: str) -> list[Fault]:
    if not isinstance(one, dict):
        return [Fault(f"{where} is no table", str(one)[:40], "an object", file=file)]
    faults = [
        Fault(f"{where}: {name} cannot be read", str(one.get(name))[:60], "an id", file=file)
        for name in ("procedure", "outcome", "contributor")
        if not _fits(_ID, one.get(name))
    ]
    if one.get("reference") not in [str(word) for word in Reference]:
        told = ", ".join(Reference)
        faults.append(Fault(f"{where}: no such reference", str(one.get("reference"))[:40], told, file=file))
    for name in CELLS:
        if not _is_count(one.get(name)):
            faults.append(Fault(f"{where}: {name} is no count", str(one.get(name))[:40], "0 or more", file=file))
        elif 0 < one[name] < fewest:
            told = f"0, or at least the {fewest} the file promises"
            faults.append(Fault(f"{where}: {name} is of too few people", str(one[name]), told, file=file))
    return faults


def _fits(pattern: re.Pattern[str], value: object) -> bool:
    return isinstance(value, str) and pattern.fullmatch(value) is not None


def _is_count(value: object) -> bool:
    return isinstance(value, int) and not isinstance(value, bool) and 0 <= value <= MOST
