"""What must not be done: which procedures and positions the verdict takes off the list, each with its reason."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from endfeel.vocabulary import Catalogue, Procedure

Limits = tuple[tuple[str, Mapping[str, Any]], ...]
"""Reason and what it forbids: `procedures`, `techniques`, `regions`, `positions`, `load_at_least`."""


def forbidden_procedures(
    catalogue: Catalogue, rules: Mapping[str, Any], cues: Mapping[str, bool], flags: set[str], limits: Limits,
    hands_off: str, safe_checks: Iterable[str],
) -> dict[str, str]:  # fmt: skip
    """Procedure id to reason. `hands_off` is the reason of a flag that stops hands-on work, empty when none does."""
    phrases = {entry["phrase"]: entry for entry in rules["skip_phrase"]}
    open_ = {entry["phrase"]: entry["procedures"] for entry in rules["safe_check"]}
    safe = {procedure for check in safe_checks for procedure in open_.get(check, ())}
    found: dict[str, str] = {}
    for procedure in catalogue:
        stopped = hands_off and procedure.id not in safe and _touches(procedure, rules["handson"])
        reasons = [hands_off] if stopped else []
        reasons += [f"not with {phrase}" for phrase in procedure.skip_if if _is_met(phrases[phrase], cues, flags)]
        reasons += [reason for reason, forbids in limits if _is_barred(procedure, forbids)]
        if reasons:
            found[procedure.id] = "; ".join(reasons)
    return found


def forbidden_positions(limits: Limits) -> dict[str, str]:
    """Position to the first reason against it."""
    found: dict[str, str] = {}
    for reason, forbids in limits:
        for position in forbids.get("positions", ()):
            found.setdefault(position, reason)
    return found


def _is_met(entry: Mapping[str, Any], cues: Mapping[str, bool], flags: set[str]) -> bool:
    return bool(flags & set(entry["red_flags"])) or any(cues.get(cue) for cue in entry["cues"])


def _touches(procedure: Procedure, handson: Mapping[str, Any]) -> bool:
    """Passive end range, stress, glide and provocation; observation, vital signs and neurology may go on."""
    if procedure.technique in handson["techniques"]:
        return True
    return procedure.technique == "resisted" and procedure.irritability_load >= handson["resisted_from_load"]


def _is_barred(procedure: Procedure, forbids: Mapping[str, Any]) -> bool:
    barred = set(forbids.get("positions", ()))
    return (
        procedure.id in forbids.get("procedures", ())
        or procedure.technique in forbids.get("techniques", ())
        or procedure.region in forbids.get("regions", ())
        or (bool(barred) and {position.value for position in procedure.positions} <= barred)
        or ("load_at_least" in forbids and procedure.irritability_load >= forbids["load_at_least"])
    )
