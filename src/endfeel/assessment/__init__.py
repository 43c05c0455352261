"""One case through the whole pure road."""

from endfeel.assessment.assess import DEFAULT_MINUTES, Assessment, assess, compare_retests
from endfeel.assessment.codes import CodeSuggestion, confirmed_codes, suggested_codes
from endfeel.assessment.episode import Since, compare_visits
from endfeel.assessment.read import cue_ids, read_case, shorthand_of

__all__ = [
    "DEFAULT_MINUTES",
    "Assessment",
    "CodeSuggestion",
    "Since",
    "assess",
    "compare_retests",
    "compare_visits",
    "confirmed_codes",
    "cue_ids",
    "read_case",
    "shorthand_of",
    "suggested_codes",
]
