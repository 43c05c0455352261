"""Numbers the sources of a note in the order they are first named."""

from __future__ import annotations

from collections.abc import Iterable

from endfeel.documents.note import NoteSource
from endfeel.evidence.figures import Provenance, Source
from endfeel.evidence.library import Library


class Footnotes:
    """Collects sources while a note is composed. `mark` gives the number that stands in the text."""

    def __init__(self, library: Library) -> None:
        self._library = library
        self._numbers: dict[tuple[str, str], int] = {}

    def mark(self, source: Source) -> int:
        """The number of this source."""
        return self._numbers.setdefault((source.citation, source.address), len(self._numbers) + 1)

    def of_source_id(self, source_id: str) -> str:
        """`[3]`, or nothing when the library has no such source."""
        source = self._library.sources.get(source_id)
        return f"[{self.mark(source)}]" if source else ""

    def of_figures(self, figure_ids: Iterable[str]) -> str:
        """`[1, 4]` for the sources behind these figures, in order, each once."""
        known = [self._library.figures[one] for one in figure_ids if one in self._library.figures]
        return self.of_sources(figure.source for figure in known)

    def of_sources(self, sources: Iterable[Source]) -> str:
        """`[1, 4]` for these sources."""
        numbers = sorted({self.mark(source) for source in sources})
        return f"[{', '.join(map(str, numbers))}]" if numbers else ""

    def weakest(self, figure_ids: Iterable[str]) -> str:
        """The weakest label among these figures, or `practice` when none is known."""
        known = [self._library.figures[one].provenance for one in figure_ids if one in self._library.figures]
        return max(known, default=Provenance.PRACTICE).label

    def listed(self) -> tuple[NoteSource, ...]:
        """Every source named so far, by number."""
        return tuple(
            NoteSource(number, citation, address)
            for (citation, address), number in sorted(self._numbers.items(), key=lambda pair: pair[1])
        )
