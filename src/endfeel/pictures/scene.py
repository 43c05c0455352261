"""One shoulder in a pose, ready to be drawn: the paths and strains of its fibres, and its bones."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from endfeel.anatomy.units import Floats
from endfeel.mechanics.fibre_paths import fibre_paths
from endfeel.mechanics.shoulder import Shoulders
from endfeel.pictures.bones import Skeleton, skeleton


@dataclass(frozen=True, slots=True)
class Scene:
    """A right shoulder in the axes of its capsule, metres."""

    bands: tuple[str, ...]
    band_of_fibre: np.ndarray
    """(F,) place in `bands`; a band that is cut has no fibre."""
    points_m: Floats
    """(F, k, 3) from the scapula to the humerus."""
    strain_percent: Floats
    """(F,)."""
    bones: Skeleton


def scene_of(shoulders: Shoulders, pose: Floats, clavicle: Floats) -> Scene:
    """The first of some shoulders with the humerus at `pose` (3, 3), the head at rest.

    The clavicle runs along a direction (3,) outward from the breastbone, in the standard axes of the scapula.
    """
    paths = fibre_paths(shoulders, pose)
    bones = skeleton(shoulders, pose, paths.centre_m[0], clavicle)
    cut = np.array([shoulders.is_cut(band) for band in paths.bands])
    kept = ~cut[paths.band_of_fibre]
    of, points, strains = paths.band_of_fibre[kept], paths.points_m[0, kept], paths.strain_percent[0, kept]
    return Scene(paths.bands, of, points, strains, bones)
