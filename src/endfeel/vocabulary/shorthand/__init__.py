"""The one-line shorthand: text → finding → canonical text. The grammar is written out in docs/shorthand.md."""

from endfeel.vocabulary.shorthand.grammar import Shorthand, finding_text, parse_finding, plain
from endfeel.vocabulary.shorthand.lookup import complete, named_procedure

__all__ = ["Shorthand", "complete", "finding_text", "named_procedure", "parse_finding", "plain"]
