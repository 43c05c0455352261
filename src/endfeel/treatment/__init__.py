"""What the contributors call for, technique by technique, and what a further test is worth for that choice."""

from endfeel.treatment.choice import EXPECTED, Choice, Effect, LeftOutTechnique, Locked, Offer, choose
from endfeel.treatment.conflicts import BothOpen
from endfeel.treatment.decision import POINTS, Course, Decision, decide
from endfeel.treatment.directions import MODEL_WORDS, GlideDirection, ModelGlide, glide_directions
from endfeel.treatment.home import HomeDose, HomeExercise, HomeProgramme, home_programme
from endfeel.treatment.limits import Preference
from endfeel.treatment.techniques import KIND_WORDS, Dose, Technique, technique, techniques
from endfeel.treatment.worth import PAIRED, Turn, Worth, points_told, worth_of

__all__ = [
    "EXPECTED",
    "KIND_WORDS",
    "MODEL_WORDS",
    "PAIRED",
    "POINTS",
    "BothOpen",
    "Choice",
    "Course",
    "Decision",
    "Dose",
    "Effect",
    "GlideDirection",
    "HomeDose",
    "HomeExercise",
    "HomeProgramme",
    "LeftOutTechnique",
    "Locked",
    "ModelGlide",
    "Offer",
    "Preference",
    "Technique",
    "Turn",
    "Worth",
    "choose",
    "decide",
    "glide_directions",
    "home_programme",
    "points_told",
    "technique",
    "techniques",
    "worth_of",
]
