"""The catalogue of examination procedures, built from its document with every fault named."""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum
from typing import Any, TypeVar

from endfeel.vocabulary import LEVELS, RIBS, Catalogue, Fault, OutcomeKind, Position, Procedure

FILE = "procedures.toml"
_Closed = TypeVar("_Closed", bound=StrEnum)
SIDE_LYING = ("standard", "adapted", "no")
_NEEDED = (
    "id", "name", "region", "technique", "patient_positions", "preferred_position", "side_lying", "fixed", "moved",
    "direction", "informs", "typical_seconds", "irritability_load", "outcomes", "source", "provenance",
)  # fmt: skip

_KINDS: dict[str, type | tuple[type, ...]] = {
    "patient_positions": list,
    "informs": list,
    "typical_seconds": (int, float),
    "irritability_load": int,
}


def read_procedures(document: Mapping[str, Any], text: str, faults: list[Fault]) -> Catalogue:
    """The catalogue in file order. A procedure with a fault is left out; the fault goes to `faults`."""
    headers = [line for line, words in enumerate(text.splitlines(), 1) if words.strip() == "[[procedure]]"]
    entries = document.get("procedure", [])
    if not isinstance(entries, list):
        faults.append(Fault("not a list of procedures", file=FILE, would_do="[[procedure]] before each"))
        return Catalogue()
    reader = _Reader(text.splitlines(), faults)
    seen: dict[str, Procedure] = {}
    for index, entry in enumerate(entries):
        procedure = reader.read(entry, headers[index] if index < len(headers) else 0)
        if procedure is not None and procedure.id in seen:
            reader.fault("duplicate id", "id", procedure.id, "an id of its own")
        elif procedure is not None:
            seen[procedure.id] = procedure
    return Catalogue.of(tuple(seen.values()))


class _Reader:
    def __init__(self, lines: list[str], faults: list[Fault]) -> None:
        self.lines, self.faults, self.line = lines, faults, 0

    def fault(self, message: str, key: str, read: str, would_do: str) -> None:
        line, column = self.line, 1
        for at in range(self.line, len(self.lines)):
            if self.lines[at].startswith("[["):
                break
            if self.lines[at].startswith(f"{key} ="):
                line, column = at + 1, len(key) + 4
                break
        self.faults.append(Fault(message, read=read, would_do=would_do, line=line, column=column, file=FILE, field=key))

    def read(self, entry: Mapping[str, Any], line: int) -> Procedure | None:
        self.line, before = line, len(self.faults)
        for key in _NEEDED:
            if key not in entry:
                self.fault(f"missing {key}", key, str(entry.get("id", "")), f"a line {key} = …")
            elif not isinstance(entry[key], _KINDS.get(key, str)):
                self.fault(f"{key} of the wrong sort", key, str(entry[key]), "as in the entries around it")
        if len(self.faults) > before:
            return None
        positions = [self._one_of(Position, one, "patient_positions", "position") for one in entry["patient_positions"]]
        preferred = self._one_of(Position, entry["preferred_position"], "preferred_position", "position")
        outcomes = self._one_of(OutcomeKind, entry["outcomes"], "outcomes", "outcome")
        self._check(entry, positions, preferred)
        if len(self.faults) > before or outcomes is None or preferred is None:
            return None
        return Procedure(
            id=entry["id"],
            name=entry["name"],
            region=entry["region"],
            technique=entry["technique"],
            positions=tuple(one for one in positions if one is not None),
            preferred_position=preferred,
            side_lying=entry["side_lying"],
            fixed=entry["fixed"],
            moved=entry["moved"],
            direction=entry["direction"],
            informs=tuple(entry["informs"]),
            typical_seconds=float(entry["typical_seconds"]),
            irritability_load=entry["irritability_load"],
            outcomes=outcomes,
            levels=tuple(entry.get("levels", ())),
            sided=entry.get("sided", True),
            accessory_of=entry.get("accessory_of", ""),
            skip_if=tuple(entry.get("skip_if", ())),
            after=tuple(entry.get("after", ())),
            note=entry.get("note", ""),
            source=entry["source"],
            provenance=entry["provenance"],
        )

    def _one_of(self, kind: type[_Closed], value: str, key: str, word: str) -> _Closed | None:
        try:
            return kind(value)
        except ValueError:
            self.fault(f"no such {word}", key, str(value), " | ".join(kind))
            return None

    def _check(self, entry: Mapping[str, Any], positions: list[Position | None], preferred: Position | None) -> None:
        if preferred is not None and preferred not in positions:
            self.fault(
                "preferred position is not among the positions", "preferred_position", preferred, "one of its positions"
            )
        for level in entry.get("levels", ()):
            if level not in LEVELS and level not in RIBS:
                self.fault(
                    "no such level", "levels", str(level), f"{LEVELS[0]} to {LEVELS[-1]}, or {RIBS[0]} to {RIBS[-1]}"
                )
        if entry["irritability_load"] not in (0, 1, 2, 3):
            self.fault(
                "provocation out of bounds", "irritability_load", str(entry["irritability_load"]), "0, 1, 2 or 3"
            )
        if entry["typical_seconds"] <= 0:
            self.fault("no duration", "typical_seconds", str(entry["typical_seconds"]), "seconds above 0")
        if entry["id"] in entry.get("after", ()):
            self.fault("follows itself", "after", entry["id"], "another procedure")
        if entry["side_lying"] not in SIDE_LYING:
            self.fault("not one of the choices", "side_lying", str(entry["side_lying"]), " | ".join(SIDE_LYING))
