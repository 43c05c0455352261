"""The stated settings of instruments and body chart, read from evidence/data/instruments.toml."""

from __future__ import annotations

from endfeel.evidence.figures import Figure, number
from endfeel.evidence.library import Library


def setting(library: Library, name: str) -> float:
    """The value of a setting. Raises NotFound when there is none of that name."""
    return number(setting_figure(library, name))


def setting_figure(library: Library, name: str) -> Figure:
    """The setting as a figure, with its source and label."""
    return library.figure(f"instruments.{name}")
