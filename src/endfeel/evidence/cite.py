"""The one printing form of a figure: what it says, how far it may be trusted, where it was seen.

"0.86 (read, Park 2005)"; a mark stands before what was recalled († memory) or is custom (‡ practice).
"""

from __future__ import annotations

import re
from collections.abc import Mapping

from endfeel.evidence.figures import Cited, Figure, Provenance, Source

MARKS: Mapping[Provenance, str] = {Provenance.READ: "", Provenance.MEMORY: "†", Provenance.PRACTICE: "‡"}
"""What stands beside a number that was not read: † recalled and unchecked, ‡ custom or judgement."""
LEGEND = (
    "† recalled, not checked · ‡ common practice or judgement, no publication · unmarked: read at the address given"
)
_YEAR = re.compile(r"\b(?:18|19|20)\d\d\b")
_JOINED = {"de", "van", "der", "den", "von", "et", "al", "al.", "and", "&"}


def short_citation(source: Source) -> str:
    """First author and year where the citation has both, else its first words: "Park 2005"."""
    year = _YEAR.search(source.citation)
    words = source.citation.replace(",", " ").replace(".", ". ").split()
    if not year or not words:
        return " ".join(source.citation.partition(",")[0].split()[:6])
    head: list[str] = []
    for word in words:
        head.append(word.rstrip("."))
        if word.lower().rstrip(".") not in _JOINED:
            break
    return f"{' '.join(head)} {year[0]}"


def value_text(figure: Figure) -> str:
    """The figure as its data file writes it, with its unit where that adds something."""
    unit = figure.unit if figure.unit not in ("", "text", "statement", "rank", "probability") else ""
    return f"{figure.text} {unit}".strip()


def cite(of: Figure | Cited, digits: int = 2) -> str:
    """Print a figure or a computed value with its mark, label and source.

    A figure: "0.86 (read, Park 2005)". A computed value: "†3.4 (memory, from 2 figures)", with the
    weakest label among its figures and `digits` decimals at most.
    """
    mark = MARKS[of.provenance]
    if isinstance(of, Figure):
        by = f", {short_citation(of.source)}" if _YEAR.search(of.source.citation) else ""
        return f"{mark}{value_text(of)} ({of.provenance.label}{by})"
    count = len(of.figures)
    text = f"{of._value:.{digits}f}".rstrip("0").rstrip(".") if digits else f"{of._value:.0f}"
    return f"{mark}{text} ({of.provenance.label}, from {count} figure{'s' if count > 1 else ''})"


def interval_text(figure: Figure) -> str:
    """The interval beside a value: "0.76 to 0.97"; empty when the figure has none or is itself a range."""
    if figure._value is None or (figure.low is None and figure.high is None):
        return ""
    if figure.low is None:
        return f"up to {figure.high:g}"
    return f"{figure.low:g} to {figure.high:g}" if figure.high is not None else f"from {figure.low:g}"


def number_or_none(figure: Figure) -> float | None:
    """The bare value for a machine-readable answer that carries the source beside it."""
    return figure._value
