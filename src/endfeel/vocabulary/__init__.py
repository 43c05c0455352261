"""The nouns of the trade as frozen values: what every other room may know."""

from endfeel.vocabulary.cases import (
    NO_TREATMENTS,
    OUTLOOK,
    REVIEW,
    REVIEW_OUTCOMES,
    Case,
    Complaint,
    Person,
    Treatment,
)
from endfeel.vocabulary.cautions import CAUTIONS, SHORT_CAUTION
from endfeel.vocabulary.errors import CannotRead, EndfeelError, EvidenceFault, Fault, NotAllowed, NotFound, Refused
from endfeel.vocabulary.findings import Finding
from endfeel.vocabulary.procedures import Catalogue, Procedure
from endfeel.vocabulary.repeats import opposite_repeats
from endfeel.vocabulary.terms import (
    AREAS,
    LEVELS,
    MOBILITY_NAMES,
    REACHED,
    RIBS,
    EndFeel,
    Irritability,
    Onset,
    OutcomeKind,
    Position,
    Result,
    Side,
    Unit,
    level_reached,
)

__all__ = [
    "AREAS",
    "CAUTIONS",
    "LEVELS",
    "MOBILITY_NAMES",
    "NO_TREATMENTS",
    "OUTLOOK",
    "REACHED",
    "REVIEW",
    "REVIEW_OUTCOMES",
    "RIBS",
    "SHORT_CAUTION",
    "CannotRead",
    "Case",
    "Catalogue",
    "Complaint",
    "EndFeel",
    "EndfeelError",
    "EvidenceFault",
    "Fault",
    "Finding",
    "Irritability",
    "NotAllowed",
    "NotFound",
    "Onset",
    "OutcomeKind",
    "Person",
    "Position",
    "Procedure",
    "Refused",
    "Result",
    "Side",
    "Treatment",
    "Unit",
    "level_reached",
    "opposite_repeats",
]
