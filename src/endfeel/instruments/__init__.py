"""What an instrument read: the angle of a phone on a limb, tables of readings."""

from endfeel.instruments.hold import Hold, held, recent
from endfeel.instruments.known_error import KnownError, known_error
from endfeel.instruments.phone_angle import LimbAngle, Turn, angle_since, up_in_phone
from endfeel.instruments.settings import setting

__all__ = [
    "Hold",
    "KnownError",
    "LimbAngle",
    "Turn",
    "angle_since",
    "held",
    "known_error",
    "recent",
    "setting",
    "up_in_phone",
]
