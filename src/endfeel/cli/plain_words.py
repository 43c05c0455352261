"""Options as people say them: capitals do not matter, and the trade has more than one name for most things."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence

JOINTS = {
    "gh": ("glenohumeral", "shoulder"),
    "ac": ("acromioclavicular",),
    "sc": ("sternoclavicular",),
}
FRAMES = {"scapula": ("blade", "shoulder blade"), "thorax": ("trunk", "chest")}
SIDES = {"right": ("r", "rt"), "left": ("l", "lt")}
MOVEMENTS = {
    "raising": ("elevation", "abduction", "flexion"),
    "outward": ("external", "lateral", "external rotation", "lateral rotation", "outward rotation", "er"),
    "inward": ("internal", "medial", "internal rotation", "medial rotation", "inward rotation", "ir"),
}
ARMS = {"side": ("0", "at side", "hanging", "neutral"), "abducted": ("90", "abduction")}
PLANES = {
    "frontal": ("abduction", "coronal"),
    "scapular": ("scaption", "blade", "plane of the blade", "scapula"),
    "sagittal": ("flexion", "forward", "forwards", "flexed"),
    "backward": ("extension", "extended", "backwards"),
}
DIRECTIONS = {
    "anterior": ("ant", "front", "forward", "forwards", "ventral"),
    "posterior": ("post", "back", "backward", "backwards", "dorsal"),
    "superior": ("sup", "up", "upward", "upwards", "cranial"),
    "inferior": ("inf", "down", "downward", "downwards", "caudal"),
    "lateral": ("lat", "out", "outward", "outwards", "traction", "distraction"),
    "medial": ("med", "in", "inward", "inwards"),
}
POSITIONS = {
    "neutral": ("side", "hanging"),
    "abducted": ("abduction",),
    "flexed": ("flexion",),
    "extended": ("extension",),
}


def meant(word: str, names: Mapping[str, Sequence[str]]) -> str:
    """The name that a word stands for; a word that stands for none comes back as it is, without capitals."""
    plain = " ".join(re.split(r"[\s_-]+", word.strip().lower()))
    bare = plain.removesuffix(" joint")
    return next((name for name, others in names.items() if bare == name or bare in others), plain)


def reader(names: Mapping[str, Sequence[str]]) -> Callable[[str], str]:
    """For `type=` of an option with `choices`: argparse then refuses what stands for none, with the choices."""
    return lambda word: meant(word, names)


def lowered(word: str) -> str:
    """For `type=` of an option whose choices have one name each."""
    return word.strip().lower()
