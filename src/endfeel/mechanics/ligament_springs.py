"""Two bones held by straight fibres and pressed against each other at a curved facet: where the moving one settles.

The moving bone has three translations and one turn about a stated axis through the origin of the joint. Fibres pull
along straight lines with the law of `tissue`; the facet of the moving bone is a bed of springs that push and never
pull against a smooth surface of the fixed bone. All arrays may carry leading axes (a population); everything is
solved for all of them at once by a damped Newton method with exact slope and curvature of the stored energy.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray

from endfeel.mechanics.tissue import energy_j, tangent_n_per_m, tension_n

Floats: TypeAlias = NDArray[np.float64]
Flags: TypeAlias = NDArray[np.bool_]

LEVER_M = 0.02
"""The turn is measured as arc on this radius, so that all four coordinates are lengths; it changes no result."""
MOST_STEPS = 150
RESIDUAL_N = 1e-5
"""Settled when what is left of force (and of moment on the lever) is below this."""
FARTHEST_M = 0.1
"""A bone that went this far is held by nothing."""
LONGEST_STEP_M = 0.004
SLIDING = np.eye(4)[:, :3]
"""Free to move: the three translations; the turn is held."""
SLIDING_AND_TURNING = np.eye(4)


@dataclass(frozen=True, slots=True)
class Fibres:
    """Straight fibres between two bones, f of them; band names may repeat."""

    bands: tuple[str, ...]
    fixed_m: Floats
    """(..., f, 3) attachment on the fixed bone."""
    moving_m: Floats
    """(..., f, 3) attachment on the moving bone, in the unloaded place."""
    slack_m: Floats
    """(..., f)"""
    stiffness_n_per_m: Floats
    """(..., f)"""
    toe_strain: Floats
    """(..., f)"""


@dataclass(frozen=True, slots=True)
class Facet:
    """The joint surface: c points of the moving bone against a surface of the fixed bone."""

    points_m: Floats
    """(..., c, 3)"""
    centre_m: Floats
    """(..., 3) a point of the fixed surface."""
    axes: Floats
    """(..., 3, 3) columns: forward and upward in the surface at the centre, then its normal towards the moving bone."""
    curvature_per_m: Floats
    """(..., 2) of the fixed surface along its first two axes: positive hollow, negative domed."""
    stiffness_n_per_m: Floats
    """(...) of the whole facet."""


@dataclass(frozen=True, slots=True)
class SpringJoint:
    """A joint of two bones; leading axes of its arrays are the people of a population."""

    fibres: Fibres
    facet: Facet
    surface: str
    """The name of the facet."""
    loose_n_per_m: float
    """A soft hold about the unloaded place, so that a slack joint has a place of its own."""
    groups: Mapping[str, tuple[str, ...]]
    """Names for several bands together, such as the whole capsule."""

    @property
    def bands(self) -> tuple[str, ...]:
        """The bands, each once, in order."""
        return tuple(dict.fromkeys(self.fibres.bands))

    @property
    def people(self) -> tuple[int, ...]:
        """The leading axes; empty for one person."""
        return self.fibres.slack_m.shape[:-1]


@dataclass(frozen=True, slots=True)
class Load:
    """What acts on the moving bone, and what holds it."""

    force_n: Floats
    """(..., 3) through the origin of the joint."""
    moment_nm: Floats
    """(...) about the axis."""
    axis: Floats
    """(3,) unit vector; the turn is right-handed about it."""
    free: Floats
    """(4, k) directions in which the bone may settle, in translations and turn; the others are held where `start` put
    them."""
    start: Floats
    """(..., 4) translation in metres and turn times `LEVER_M`."""


@dataclass(frozen=True, slots=True)
class Settled:
    """Where the moving bone came to rest."""

    place: Floats
    """(..., 4) translation in metres and turn times `LEVER_M`."""
    converged: Flags
    """(...) False where nothing held the bone or the method ran out of steps."""
    residual_n: Floats
    steps: int
    tension_n: Floats
    """(..., f) of each fibre."""
    pull_n: Floats
    """(..., f, 3) of each fibre on the moving bone."""
    push_n: Floats
    """(..., 3) of the facet on the moving bone."""
    twist_nm: Floats
    """(..., f) moment of each fibre on the moving bone about the axis through its displaced origin."""
    push_twist_nm: Floats
    """(...) the same of the facet."""
    curvature_n_per_m: Floats
    """(..., 4, 4) second derivative of the stored energy."""

    @property
    def shift_m(self) -> Floats:
        """(..., 3)"""
        return self.place[..., :3]

    @property
    def turn_rad(self) -> Floats:
        """(...)"""
        turn: Floats = self.place[..., 3] / LEVER_M
        return turn


def load_of(
    force_n: ArrayLike = (0.0, 0.0, 0.0),
    *,
    moment_nm: ArrayLike = 0.0,
    axis: ArrayLike = (0.0, 0.0, 1.0),
    free: Floats = SLIDING,
    start: ArrayLike = (0.0, 0.0, 0.0, 0.0),
) -> Load:
    """A load; by default no force, with the turn held at zero."""
    along = np.asarray(axis, dtype=float)
    return Load(
        np.asarray(force_n, dtype=float),
        np.asarray(moment_nm, dtype=float),
        along / np.linalg.norm(along),
        free,
        np.asarray(start, dtype=float),
    )


def turned(joint: SpringJoint, rotation: ArrayLike) -> SpringJoint:
    """The joint with its moving bone turned by a rotation (..., 3, 3) about the origin before it settles."""
    matrix = np.asarray(rotation, dtype=float)
    return replace(
        joint,
        fibres=replace(joint.fibres, moving_m=_each(matrix, joint.fibres.moving_m)),
        facet=replace(joint.facet, points_m=_each(matrix, joint.facet.points_m)),
    )


def stored_energy_j(joint: SpringJoint, place: Floats, axis: Floats) -> Floats:
    """The work stored in fibres and facet, without the load, at places (..., 4): shape (...)."""
    fibres, facet = joint.fibres, joint.facet
    arms_fibre, arms_facet = _arms(joint, place, axis)
    shift = place[..., None, :3]
    length = np.linalg.norm(arms_fibre + shift - fibres.fixed_m, axis=-1)
    in_fibres = energy_j(length, fibres.slack_m, fibres.stiffness_n_per_m, fibres.toe_strain).sum(axis=-1)
    depth = np.maximum(_depth(facet, arms_facet + shift)[0], 0.0)
    in_facet = _spring_n_per_m(facet)[..., 0] * (depth**2).sum(axis=-1) / 2.0
    total: Floats = in_fibres + in_facet + joint.loose_n_per_m * _dot(place, place) / 2.0
    return total


def settle(joint: SpringJoint, load: Load) -> Settled:
    """Where the moving bone rests under a load, for everybody at once; `converged` says for whom it does."""
    people = np.broadcast_shapes(
        joint.people,
        load.force_n.shape[:-1],
        load.moment_nm.shape,
        load.start.shape[:-1],
        joint.facet.centre_m.shape[:-1],
    )
    place = np.broadcast_to(load.start, (*people, 4)).copy()
    pushed = np.concatenate(
        [
            np.broadcast_to(load.force_n, (*people, 3)),
            np.broadcast_to(load.moment_nm / LEVER_M, people)[..., None],
        ],
        axis=-1,
    )
    damping = np.full(people, 1e3)
    energy = stored_energy_j(joint, place, load.axis) - _dot(pushed, place)
    slope, curvature = _slope(joint, place, load.axis)
    steps = 0
    for steps in range(1, MOST_STEPS + 1):  # noqa: B007 (the count is reported)
        left = (slope - pushed) @ load.free
        residual = np.linalg.norm(left, axis=-1)
        going = (residual > RESIDUAL_N) & (np.linalg.norm(place[..., :3], axis=-1) < FARTHEST_M)
        if not going.any():
            break
        step = _step(load.free.T @ curvature @ load.free, left, damping) @ load.free.T
        trial = place + np.where(going[..., None], step, 0.0)
        lower = stored_energy_j(joint, trial, load.axis) - _dot(pushed, trial)
        new_slope, new_curvature = _slope(joint, trial, load.axis)
        smaller = np.linalg.norm((new_slope - pushed) @ load.free, axis=-1) < residual
        taken = going & ((lower < energy) | ((lower <= energy + 1e-13) & smaller))
        place = np.where(taken[..., None], trial, place)
        energy = np.where(taken, lower, energy)
        slope = np.where(taken[..., None], new_slope, slope)
        curvature = np.where(taken[..., None, None], new_curvature, curvature)
        damping = np.where(taken, np.maximum(damping * 0.2, 1e-3), np.minimum(damping * 6.0, 1e12))
    residual = np.linalg.norm((slope - pushed) @ load.free, axis=-1)
    near = np.linalg.norm(place[..., :3], axis=-1) < FARTHEST_M
    settled = (residual <= RESIDUAL_N) & near
    return Settled(place, settled, residual, steps, *_forces(joint, place, load.axis), curvature)


def _step(curvature: Floats, left: Floats, damping: Floats) -> Floats:
    """A step downhill: negative curvature is taken as its opposite, so that every step lowers the energy."""
    values, vectors = np.linalg.eigh(curvature)
    bent = np.abs(values) + damping[..., None]
    step: Floats = -np.einsum("...ij,...j,...kj,...k->...i", vectors, 1.0 / bent, vectors, left)
    length = np.linalg.norm(step, axis=-1, keepdims=True)
    shortened: Floats = step * np.minimum(1.0, LONGEST_STEP_M / np.maximum(length, 1e-300))
    return shortened


def _slope(joint: SpringJoint, place: Floats, axis: Floats) -> tuple[Floats, Floats]:
    """First and second derivative of the stored energy by the four coordinates: (..., 4) and (..., 4, 4)."""
    arms_fibre, arms_facet = _arms(joint, place, axis)
    shift = place[..., None, :3]
    force_f, bend_f = _fibre_slopes(joint.fibres, arms_fibre + shift)
    force_c, bend_c = _facet_slopes(joint.facet, arms_facet + shift)
    forces = np.concatenate([force_f, force_c], axis=-2)
    bends = np.concatenate([bend_f, bend_c], axis=-3)
    sweep = np.cross(axis, np.concatenate([arms_fibre, arms_facet], axis=-2)) / LEVER_M
    inward = np.cross(axis, sweep) / LEVER_M
    bent_sweep = np.einsum("...pij,...pj->...pi", bends, sweep)
    slope = np.concatenate([forces.sum(axis=-2), _dot(forces, sweep).sum(axis=-1)[..., None]], axis=-1)
    curvature = np.empty((*slope.shape, 4))
    curvature[..., :3, :3] = bends.sum(axis=-3)
    curvature[..., :3, 3] = curvature[..., 3, :3] = bent_sweep.sum(axis=-2)
    curvature[..., 3, 3] = (_dot(sweep, bent_sweep) + _dot(forces, inward)).sum(axis=-1)
    return slope + joint.loose_n_per_m * place, curvature + joint.loose_n_per_m * np.eye(4)


def _fibre_slopes(fibres: Fibres, ends_m: Floats) -> tuple[Floats, Floats]:
    """Slope (..., f, 3) and curvature (..., f, 3, 3) of each fibre's energy by the place of its moving end."""
    reach = ends_m - fibres.fixed_m
    length = np.maximum(np.linalg.norm(reach, axis=-1), 1e-9)
    along = reach / length[..., None]
    law = fibres.slack_m, fibres.stiffness_n_per_m, fibres.toe_strain
    tension, tangent = tension_n(length, *law), tangent_n_per_m(length, *law)
    swing = tension / length
    outer = along[..., :, None] * along[..., None, :]
    bend = (tangent - swing)[..., None, None] * outer + swing[..., None, None] * np.eye(3)
    return tension[..., None] * along, bend


def _facet_slopes(facet: Facet, points_m: Floats) -> tuple[Floats, Floats]:
    """Slope (..., c, 3) and curvature (..., c, 3, 3) of each contact spring's energy by the place of its point."""
    depth, inward = _depth(facet, points_m)
    spring = _spring_n_per_m(facet)
    pressed = (spring * np.maximum(depth, 0.0))[..., None]
    in_plane = facet.axes[..., :2]
    hollow = (in_plane * facet.curvature_per_m[..., None, :]) @ np.swapaxes(in_plane, -1, -2)
    touching = np.where(depth > 0.0, spring, 0.0)[..., None, None]
    bend = touching * inward[..., :, None] * inward[..., None, :] + pressed[..., None] * hollow[..., None, :, :]
    return pressed * inward, bend


def _depth(facet: Facet, points_m: Floats) -> tuple[Floats, Floats]:
    """How deep each point lies in the fixed surface along its normal (..., c), and the slope of that (..., c, 3)."""
    local = np.einsum("...pi,...ij->...pj", points_m - facet.centre_m[..., None, :], facet.axes)
    bend = facet.curvature_per_m[..., None, :] * local[..., :2]
    depth = _dot(bend, local[..., :2]) / 2.0 - local[..., 2]
    slope_local = np.concatenate([bend, np.full((*bend.shape[:-1], 1), -1.0)], axis=-1)
    return depth, np.einsum("...pj,...ij->...pi", slope_local, facet.axes)


def _forces(joint: SpringJoint, place: Floats, axis: Floats) -> tuple[Floats, Floats, Floats, Floats, Floats]:
    """Tension of each fibre, its pull on the moving bone, the push of the facet, and both as moments about the axis."""
    arms_fibre, arms_facet = _arms(joint, place, axis)
    shift = place[..., None, :3]
    slope_f, _ = _fibre_slopes(joint.fibres, arms_fibre + shift)
    slope_c, _ = _facet_slopes(joint.facet, arms_facet + shift)
    twist_f, twist_c = -_dot(slope_f, np.cross(axis, arms_fibre)), -_dot(slope_c, np.cross(axis, arms_facet))
    return np.linalg.norm(slope_f, axis=-1), -slope_f, -slope_c.sum(axis=-2), twist_f, twist_c.sum(axis=-1)


def _arms(joint: SpringJoint, place: Floats, axis: Floats) -> tuple[Floats, Floats]:
    """Fibre ends and facet points of the moving bone after the turn, before the translation: (..., points, 3)."""
    turn = (place[..., 3] / LEVER_M)[..., None, None]
    cross = np.array([[0.0, -axis[2], axis[1]], [axis[2], 0.0, -axis[0]], [-axis[1], axis[0], 0.0]])
    rotation = np.eye(3) + np.sin(turn) * cross + (1.0 - np.cos(turn)) * (cross @ cross)
    return _each(rotation, joint.fibres.moving_m), _each(rotation, joint.facet.points_m)


def _spring_n_per_m(facet: Facet) -> Floats:
    """The stiffness of one contact spring: (..., 1)."""
    shared: Floats = np.asarray(facet.stiffness_n_per_m)[..., None] / facet.points_m.shape[-2]
    return shared


def _each(rotation: Floats, points_m: Floats) -> Floats:
    turned_points: Floats = np.einsum("...ij,...pj->...pi", rotation, points_m)
    return turned_points


def _dot(one: Floats, other: Floats) -> Floats:
    product: Floats = np.einsum("...i,...i->...", one, other)
    return product
