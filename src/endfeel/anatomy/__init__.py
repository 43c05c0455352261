"""Bones, joint frames and the pose of the girdle."""

from endfeel.anatomy.figures import Basis
from endfeel.anatomy.sizes import Sizes, default_sizes, drawn_sizes

__all__ = ["Basis", "Sizes", "default_sizes", "drawn_sizes"]
