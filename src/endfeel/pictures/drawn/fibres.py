"""The fibres that are drawn: the capsule along its wrapped paths, the bands of the AC and SC joints as straight lines.

Each with its strain in the stance, from the same model that answers elsewhere; thorax axes, metres.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from endfeel.anatomy import girdle_pose
from endfeel.anatomy.rotations import inverse
from endfeel.anatomy.units import Floats
from endfeel.mechanics import acromioclavicular, sternoclavicular
from endfeel.mechanics.cuff import without_cuff
from endfeel.mechanics.fibre_paths import points_round_sphere
from endfeel.mechanics.glenohumeral import fibre_lengths_m
from endfeel.mechanics.tissue import strain_of
from endfeel.pictures.drawn.poses import Model, Stance

PATH_POINTS = 9


@dataclass(frozen=True, slots=True)
class DrawnFibre:
    """One fibre in one stance."""

    band: str
    points_m: Floats
    """(k, 3) from the trunk outward."""
    strain_percent: float
    """Negative while slack."""


def fibres_of(model: Model, at: Stance, region: str) -> tuple[DrawnFibre, ...]:
    """The capsule in a stance, and the bands of the AC or SC joint where a glide of that joint is drawn.

    Elsewhere these are left out: their model starts from the girdle at rest and follows neither arm nor blade.
    """
    beside = {"acromioclavicular": _acromioclavicular, "sternoclavicular": _sternoclavicular}.get(region)
    return (*_capsule(model, at), *(beside(model, at) if beside else ()))


def _capsule(model: Model, at: Stance) -> list[DrawnFibre]:
    """The capsule round its head as that is drawn, where the stance puts it; strained as where the head comes to rest,
    which is up to three millimetres off."""
    shoulders, pose, axes = model.shoulders, model.capsule_pose(at), model.capsule_axes(at)
    capsule = without_cuff(shoulders.capsule)
    drawn = inverse(model.standard_from_capsule) @ at.centre_m
    centre = shoulders.at_rest(pose).centre_m + drawn
    rotation = pose[None, :, :]
    near = np.einsum("nij,nfj->nfi", rotation, capsule.neck_m)
    paths = points_round_sphere(capsule.rim_m - drawn, near, capsule.radius_m, PATH_POINTS - 2)
    strain = 100.0 * strain_of(fibre_lengths_m(capsule, rotation, centre), capsule.slack_m)[0]
    placed = at.glenohumeral_m(model.sizes) + (paths + drawn)[0] @ axes.T
    names = (capsule.bands[place] for place in capsule.band_of_fibre)
    return [DrawnFibre(name, points, float(pulled)) for name, points, pulled in zip(names, placed, strain, strict=True)]


def _acromioclavicular(model: Model, at: Stance) -> list[DrawnFibre]:
    joint, rest = acromioclavicular.default_joint(model.library), girdle_pose(np.zeros(3), model.rhythm, model.sizes)
    long = np.array([0.0, 0.0, float(model.sizes.clavicle_length_m)])
    inner = at.sternoclavicular_m + (joint.fibres.moving_m + long) @ at.clavicle.T
    blade = joint.fibres.fixed_m @ (inverse(rest.thorax_from_scapula) @ rest.thorax_from_clavicle).T
    outer = at.acromioclavicular_m + blade @ at.scapula.T
    return _straight(joint.fibres.bands, inner, outer, joint.fibres.slack_m)


def _sternoclavicular(model: Model, at: Stance) -> list[DrawnFibre]:
    joint, rest = sternoclavicular.default_joint(model.library), girdle_pose(np.zeros(3), model.rhythm, model.sizes)
    inner = model.sizes.sternoclavicular_m + joint.fibres.fixed_m
    outer = at.sternoclavicular_m + joint.fibres.moving_m @ (at.clavicle @ inverse(rest.thorax_from_clavicle)).T
    return _straight(joint.fibres.bands, inner, outer, joint.fibres.slack_m)


def _straight(bands: tuple[str, ...], inner: Floats, outer: Floats, slack_m: Floats) -> list[DrawnFibre]:
    strain = 100.0 * strain_of(np.linalg.norm(outer - inner, axis=-1), slack_m)
    return [
        DrawnFibre(band, np.stack([start, 0.5 * (start + end), end]), float(pulled))
        for band, start, end, pulled in zip(bands, inner, outer, strain, strict=True)
    ]
