"""What is felt at the AC or SC joint: translation under a force, and how the load is shared between its bands."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from endfeel.anatomy.units import deg_from_rad, mm_from_m
from endfeel.mechanics.ligament_springs import (
    LEVER_M,
    SLIDING_AND_TURNING,
    Flags,
    Floats,
    Settled,
    SpringJoint,
    load_of,
    settle,
    turned,
)


@dataclass(frozen=True, slots=True)
class Glide:
    """How far a bone went under a load and what held it. All arrays have the leading axes of the joint."""

    along_m: Floats
    """(...) translation in the direction of the force, from where the bone lay without it."""
    shift_m: Floats
    """(..., 3) the whole translation."""
    turn_rad: Floats
    """(...) the turn about the stated axis."""
    force_n: Floats
    """(...) the force along the direction: the one applied, or the one that an imposed translation took."""
    tension_n: Mapping[str, Floats]
    """By band: the sum of the tensions of its fibres."""
    pull_n: Mapping[str, Floats]
    """By band: (..., 3) its pull on the moving bone; its size is what a test of force in the structure measures."""
    share: Mapping[str, Floats]
    """By band, `contact` for the joint surface, `loose` for the soft hold: the part of the force (or of the moment)
    that each bears. They add up to one; a band that pulls with the load has a negative share. Zero without a load."""
    contact_n: Floats
    """(...) how hard the joint surfaces press on each other beyond the unloaded state, along the surface normal."""
    stiffness_n_per_m: Floats
    """(...) force over translation, the slope from the unloaded place."""
    converged: Flags
    """(...) False where the solver did not find rest; the other values are then not to be used."""
    elongation_m: Mapping[str, Floats]
    """By band: how far its tightest fibre is beyond its slack length; negative while it is slack."""
    strain: Mapping[str, Floats]
    """By band: the same as a ratio of that length."""

    @property
    def along_mm(self) -> Floats:
        """(...) translation in the direction of the force, millimetres."""
        return mm_from_m(self.along_m)

    @property
    def turn_deg(self) -> Floats:
        """(...) the turn about the stated axis, degrees."""
        return deg_from_rad(self.turn_rad)


def glide(joint: SpringJoint, direction: ArrayLike, force_n: ArrayLike) -> Glide:
    """The translation under a force along a direction (3,), turning held.

    Several forces make a curve: of shape (k,) for one person, (k, 1) for a population; they lead the results.
    """
    way, force = _unit(direction), np.asarray(force_n, dtype=float)
    rest = settle(joint, load_of())
    loaded = settle(joint, load_of(way * force[..., None], start=rest.place))
    return _glide(joint, rest, loaded, way, force)


def pushed_n(force_n: ArrayLike) -> Floats:
    """The force of a push, newtons, any shape. Raises ValueError below nothing: the direction says which way."""
    force = np.asarray(force_n, dtype=float)
    if not (np.isfinite(force) & (force >= 0.0)).all():
        raise ValueError(f"a push is 0 N or more, not {force}; the direction says which way")
    return force


def imposed(joint: SpringJoint, direction: ArrayLike, distance_m: ArrayLike) -> Glide:
    """The force that a translation along a direction takes; the bone may slip sideways, turning is held."""
    way = _unit(direction)
    rest = settle(joint, load_of())
    sideways = np.zeros((4, 2))
    sideways[:3] = np.linalg.svd(way[None, :])[2][1:].T
    start = rest.place.copy()
    start[..., :3] += way * np.asarray(distance_m, dtype=float)[..., None]
    loaded = settle(joint, load_of(free=sideways, start=start))
    held = loaded.pull_n.sum(axis=-2) + loaded.push_n - joint.loose_n_per_m * loaded.shift_m
    return _glide(joint, rest, loaded, way, -_dot(held, way))


def turned_to(joint: SpringJoint, rotation: ArrayLike) -> Glide:
    """Where the bone slides to when it is turned by a rotation (..., 3, 3) and left free to slide; no force."""
    rest = settle(joint, load_of())
    loaded = settle(turned(joint, rotation), load_of(start=rest.place))
    return _glide(joint, rest, loaded, np.zeros(3), np.zeros(()))


def twisted(joint: SpringJoint, axis: ArrayLike, moment_nm: float, force_n: ArrayLike = (0.0, 0.0, 0.0)) -> Glide:
    """The turn and the translation under a moment about an axis (3,) and a force, both at the joint and free.

    Shares are of the moment; `along_m` and `stiffness_n_per_m` have no meaning here and are zero and infinite.
    """
    about = _unit(axis)
    rest = settle(joint, load_of(axis=about, free=SLIDING_AND_TURNING))
    loaded = settle(
        joint,
        load_of(force_n, moment_nm=moment_nm, axis=about, free=SLIDING_AND_TURNING, start=rest.place),
    )
    found = _glide(joint, rest, loaded, np.zeros(3), np.zeros(()))
    extra = loaded.twist_nm - rest.twist_nm
    share = {band: -extra[..., _of(joint, band)].sum(axis=-1) / moment_nm for band in joint.bands}
    share["contact"] = -(loaded.push_twist_nm - rest.push_twist_nm) / moment_nm
    share["loose"] = joint.loose_n_per_m * (loaded.place - rest.place)[..., 3] * LEVER_M / moment_nm
    return replace(found, share=share)


def tensions(joint: SpringJoint, settled: Settled) -> dict[str, Floats]:
    """The sum of the tensions of the fibres of each band, in newtons."""
    return {band: settled.tension_n[..., _of(joint, band)].sum(axis=-1) for band in joint.bands}


def force_in(found: Glide, bands: Sequence[str]) -> Floats:
    """The force in several bands together (...), as a test that adds up their pulls would find it."""
    together: Floats = np.linalg.norm(sum(found.pull_n[band] for band in bands), axis=-1)
    return together


def portion(found: Glide, bands: Sequence[str]) -> Floats:
    """Their part of all tension in the ligaments (...), contact left out; zero where nothing is taut."""
    whole = np.asarray(sum(found.tension_n.values()))
    part = np.asarray(sum(found.tension_n[band] for band in bands))
    share: Floats = np.divide(part, whole, out=np.zeros(whole.shape), where=whole > 0.0)
    return share


def _glide(joint: SpringJoint, rest: Settled, loaded: Settled, way: Floats, force_n: Floats) -> Glide:
    shift = loaded.shift_m - rest.shift_m
    along = _dot(shift, way)
    people = along.shape
    force = np.broadcast_to(force_n, people)
    bearing = force_n > 0.0
    safe = np.where(bearing, force, 1.0)
    extra = loaded.pull_n - rest.pull_n
    share = {
        band: np.where(bearing, -_dot(extra[..., _of(joint, band), :].sum(axis=-2), way) / safe, 0.0)
        for band in joint.bands
    }
    share["contact"] = np.where(bearing, -_dot(loaded.push_n - rest.push_n, way) / safe, 0.0)
    share["loose"] = np.where(bearing, joint.loose_n_per_m * along / safe, 0.0)
    pressed = np.linalg.norm(loaded.push_n, axis=-1) - np.linalg.norm(rest.push_n, axis=-1)
    beyond = loaded.length_m - joint.fibres.slack_m
    moved = np.abs(along) > 0.0
    stiffness = np.where(moved, force / np.where(moved, along, 1.0), np.inf)
    return Glide(
        along,
        shift,
        loaded.turn_rad - rest.turn_rad,
        force,
        tensions(joint, loaded),
        {band: loaded.pull_n[..., _of(joint, band), :].sum(axis=-2) for band in joint.bands},
        share,
        pressed,
        stiffness,
        rest.converged & loaded.converged,
        {band: beyond[..., _of(joint, band)].max(axis=-1) for band in joint.bands},
        {band: (beyond / joint.fibres.slack_m)[..., _of(joint, band)].max(axis=-1) for band in joint.bands},
    )


def _of(joint: SpringJoint, band: str) -> list[int]:
    return [place for place, name in enumerate(joint.fibres.bands) if name == band]


def _unit(vector: ArrayLike) -> Floats:
    given = np.asarray(vector, dtype=float)
    length = float(np.linalg.norm(given))
    if not length > 0.0:
        raise ValueError("a direction needs a length")
    whole: Floats = given / length
    return whole


def _dot(one: Floats, other: Floats) -> Floats:
    product: Floats = np.einsum("...i,...i->...", one, other)
    return product
