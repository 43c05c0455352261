"""The one-line shorthand: text → finding → canonical text."""

from endfeel.vocabulary.shorthand.grammar import Shorthand, complete, finding_text, parse_finding

__all__ = ["Shorthand", "complete", "finding_text", "parse_finding"]
