"""Bones, joint frames and the pose of the girdle."""

from endfeel.anatomy.figures import Basis
from endfeel.anatomy.girdle import GirdlePose, girdle_pose, pose_from_joints
from endfeel.anatomy.rhythm import Resting, Rhythm, find_rhythm, rhythms
from endfeel.anatomy.sizes import Sizes, default_sizes, drawn_sizes

__all__ = [
    "Basis",
    "GirdlePose",
    "Resting",
    "Rhythm",
    "Sizes",
    "default_sizes",
    "drawn_sizes",
    "find_rhythm",
    "girdle_pose",
    "pose_from_joints",
    "rhythms",
]
