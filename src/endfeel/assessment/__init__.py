"""One case through the whole pure road."""

from endfeel.assessment.assess import DEFAULT_MINUTES, Assessment, assess, compare_retests
from endfeel.assessment.read import cue_ids, read_case, shorthand_of

__all__ = ["DEFAULT_MINUTES", "Assessment", "assess", "compare_retests", "cue_ids", "read_case", "shorthand_of"]
