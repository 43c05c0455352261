"""Pictures of the shoulder and of what is computed about it: values in, SVG text out."""

from endfeel.pictures.line_chart import Axes, Curve
from endfeel.pictures.play_sheet import Holding, curve_words, play_picture
from endfeel.pictures.restraint_sheet import BandLine, Words, restraint_picture
from endfeel.pictures.scene import Scene, scene_of
from endfeel.pictures.share_sheet import JointPart, share_picture
from endfeel.pictures.strain_scale import StrainScale
from endfeel.pictures.svg import PRINT_FONT, SCREEN_FONT

__all__ = [
    "PRINT_FONT",
    "SCREEN_FONT",
    "Axes",
    "BandLine",
    "Curve",
    "Holding",
    "JointPart",
    "Scene",
    "StrainScale",
    "Words",
    "curve_words",
    "play_picture",
    "restraint_picture",
    "scene_of",
    "share_picture",
]
