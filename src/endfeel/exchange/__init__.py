"""A record in the words of an open standard (HL7 FHIR R4), and back."""

from endfeel.exchange.bundle import address_of, collection, search_set
from endfeel.exchange.code_lists import CodeList, code_lists, code_system
from endfeel.exchange.reading import Intake, ObservationRead, PersonRead, read_intake
from endfeel.exchange.resources import person_resources, practitioner, practitioner_id
from endfeel.exchange.values import (
    EpisodeTold,
    Measured,
    PersonTold,
    Planned,
    Recorded,
    SafetyTold,
    Signed,
    Visited,
)

__all__ = [
    "CodeList",
    "EpisodeTold",
    "Intake",
    "Measured",
    "ObservationRead",
    "PersonRead",
    "PersonTold",
    "Planned",
    "Recorded",
    "SafetyTold",
    "Signed",
    "Visited",
    "address_of",
    "code_lists",
    "code_system",
    "collection",
    "person_resources",
    "practitioner",
    "practitioner_id",
    "read_intake",
    "search_set",
]
