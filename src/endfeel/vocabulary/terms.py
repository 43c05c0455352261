"""The closed vocabularies: side, level, position, units, results, end feels, the accessory-motion scale."""

from __future__ import annotations

from enum import StrEnum


class Side(StrEnum):
    """Side of the body. Central findings (a spinous process) have no side."""

    RIGHT = "right"
    LEFT = "left"

    @property
    def other(self) -> Side:
        return Side.LEFT if self is Side.RIGHT else Side.RIGHT


LEVELS: tuple[str, ...] = ("C5", "C6", "C7", "T1", "T2", "T3", "T4", "T5", "T6", "T7", "T8", "T9")
"""Spinal levels the examination can name, from the head down. A segment is named by its upper vertebra:
"T5" is the joint between T5 and T6. C5 and C6 serve neck clearing only."""

RIBS: tuple[str, ...] = ("R1", "R2", "R3", "R4", "R5", "R6", "R7", "R8")
"""Ribs, for rib procedures."""


REACHED: tuple[str, ...] = (
    "thigh",
    "buttock",
    "sacrum",
    *(f"L{number}" for number in range(5, 0, -1)),
    *(f"T{number}" for number in range(12, 0, -1)),
)
"""How high a hand reaches behind the back, from the lowest place up. A finding in the unit `level` counts these steps:
0 is the thigh, 8 is T12, 19 is T1, and one step is one vertebra."""


def level_reached(step: float) -> str:
    """The place a hand reached, from its step in REACHED: `T7` for 13."""
    return REACHED[int(step)]


class Position(StrEnum):
    """Position of the person, not of the examiner."""

    STANDING = "standing"
    SITTING = "sitting"
    SIDE_LYING = "side_lying"
    SUPINE = "supine"
    PRONE = "prone"


class Unit(StrEnum):
    """Units a finding may carry."""

    DEGREES = "deg"
    NEWTONS = "N"
    MILLIMETRES = "mm"
    CENTIMETRES = "cm"
    SECONDS = "s"
    GRADE = "grade"
    MMHG = "mmHg"
    PER_MINUTE = "/min"
    PERCENT = "%"
    KILOGRAMS = "kg"
    LEVEL = "level"
    """The level a hand reached behind the back: a step of REACHED, counted from 0."""


class Result(StrEnum):
    """Outcome of a test, a neurological check or an observation."""

    POSITIVE = "positive"
    NEGATIVE = "negative"
    UNCLEAR = "unclear"
    NORMAL = "normal"
    REDUCED = "reduced"
    ABSENT = "absent"
    INCREASED = "increased"
    NOT_DONE = "not_done"


class EndFeel(StrEnum):
    """Quality of resistance at the end of a movement; meanings are in evidence/data/joint_rules.toml."""

    SOFT_APPOSITION = "soft_apposition"
    FIRM_CAPSULAR = "firm_capsular"
    FIRM_MUSCULAR = "firm_muscular"
    FIRM_LIGAMENT = "firm_ligament"
    HARD_BONE = "hard_bone"
    SPASM = "spasm"
    EMPTY = "empty"
    SPRINGY_BLOCK = "springy_block"
    LOOSE = "loose"
    BOGGY = "boggy"
    EARLY_CAPSULAR = "early_capsular"


class Irritability(StrEnum):
    """How little provokes the symptom, how strongly, and how long it takes to settle."""

    LOW = "low"
    MODERATE = "moderate"
    HIGH = "high"


MOBILITY_NAMES: tuple[str, ...] = (
    "ankylosed",
    "considerably hypomobile",
    "slightly hypomobile",
    "normal",
    "slightly hypermobile",
    "considerably hypermobile",
    "unstable",
)
"""The 0 to 6 accessory-motion scale of the trade, by grade."""


class OutcomeKind(StrEnum):
    """What a procedure lets one record (the outcome sets of procedures.toml)."""

    GLIDE = "glide"
    ANGULAR = "angular"
    ACTIVE = "active"
    TEST = "test"
    STRESS = "stress"
    RESISTED = "resisted"
    PALPATION = "palpation"
    NEURO = "neuro"
    VITAL = "vital"
    OBSERVATION = "observation"
    LENGTH = "length"


class Onset(StrEnum):
    """How the complaint began."""

    TRAUMA = "trauma"
    SUDDEN = "sudden"
    GRADUAL = "gradual"
    OVERUSE = "overuse"
    UNKNOWN = "unknown"


AREAS: dict[str, str] = {
    "head": "head or face",
    "neck": "neck",
    "top": "top of the shoulder, between neck and acromion",
    "ac_area": "over the acromioclavicular joint",
    "sc_area": "over the sternoclavicular joint",
    "front": "front of the shoulder",
    "lateral": "outer side of the shoulder",
    "back": "back of the shoulder",
    "deep": "deep in the joint, hard to point at",
    "scapula": "over the shoulder blade",
    "interscapular": "between blade and spine",
    "mid_thorax": "mid-thoracic spine or ribs behind",
    "chest": "chest or ribs in front",
    "axilla": "armpit",
    "upper_arm": "upper arm below the deltoid",
    "forearm": "forearm",
    "hand": "hand or fingers",
    "abdomen": "abdomen",
}
"""Areas a person may point at, by id."""
