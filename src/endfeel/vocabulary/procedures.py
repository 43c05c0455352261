"""A procedure of the examination and the catalogue of all of them."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from endfeel.vocabulary.errors import NotFound
from endfeel.vocabulary.terms import OutcomeKind, Position

_ID = re.compile(r"\b[a-z0-9]+(?:_[a-z0-9]+)+\b")


@dataclass(frozen=True, slots=True)
class Procedure:
    """One thing a therapist can do to find something out. Read from evidence/data/procedures.toml."""

    id: str
    name: str
    region: str
    technique: str
    positions: tuple[Position, ...]
    preferred_position: Position
    side_lying: str
    """`standard`, `adapted` or `no`."""
    fixed: str
    moved: str
    direction: str
    informs: tuple[str, ...]
    typical_seconds: float
    irritability_load: int
    """0 does not provoke, 3 provokes strongly."""
    outcomes: OutcomeKind
    levels: tuple[str, ...] = ()
    """Levels at which it is repeated; empty when it has none."""
    sided: bool = True
    """Whether the finding needs a side."""
    accessory_of: str = ""
    skip_if: tuple[str, ...] = ()
    after: tuple[str, ...] = ()
    """Procedures of which one must have come up on this side before it makes sense; empty when it may come first."""
    note: str = ""
    source: str = ""
    provenance: str = "practice"


@dataclass(frozen=True, slots=True)
class Catalogue:
    """All procedures by id, in the order of the data file."""

    by_id: Mapping[str, Procedure] = field(default_factory=dict)

    @classmethod
    def of(cls, procedures: Iterator[Procedure] | tuple[Procedure, ...]) -> Catalogue:
        return cls(MappingProxyType({procedure.id: procedure for procedure in procedures}))

    def __getitem__(self, procedure_id: str) -> Procedure:
        """The procedure with this id. Raises NotFound when there is none."""
        try:
            return self.by_id[procedure_id]
        except KeyError:
            raise NotFound(f"no procedure {procedure_id!r}; `endfeel vocabulary` lists them") from None

    def with_names(self, text: str) -> str:
        """A sentence with every procedure's id in it replaced by its name."""
        return _ID.sub(lambda word: self.by_id[word[0]].name if word[0] in self.by_id else word[0], text)

    def __contains__(self, procedure_id: object) -> bool:
        return procedure_id in self.by_id

    def __iter__(self) -> Iterator[Procedure]:
        return iter(self.by_id.values())

    def __len__(self) -> int:
        return len(self.by_id)
