"""One case through the whole pure road."""

from endfeel.assessment.assess import DEFAULT_MINUTES, Assessment, assess, compare_retests

__all__ = ["DEFAULT_MINUTES", "Assessment", "assess", "compare_retests"]
