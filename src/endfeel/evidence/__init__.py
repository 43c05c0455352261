"""Every figure with its source: the library, the figures that refuse to be printed bare, and how they are cited."""

from endfeel.evidence.cite import cite
from endfeel.evidence.figures import Cited, Figure, Provenance, Source, cited, number
from endfeel.evidence.library import Library, Row, Table

__all__ = ["Cited", "Figure", "Library", "Provenance", "Row", "Source", "Table", "cite", "cited", "number"]
