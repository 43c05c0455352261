"""Two bones held by straight fibres and pressed against each other at a curved facet: where the moving one settles.

The moving bone has three translations and one turn about a stated axis through the origin of the joint. Fibres pull
along straight lines with the law of `tissue`; the facet of the moving bone is a bed of springs that push and never
pull against a smooth surface of the fixed bone. All arrays may carry leading axes (a population); everything is
solved for all of them at once by a damped Newton method with exact slope and curvature of the stored energy.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import NamedTuple, TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray

from endfeel.mechanics.tissue import energy_j, tangent_n_per_m, tension_n

Floats: TypeAlias = NDArray[np.float64]
Flags: TypeAlias = NDArray[np.bool_]

LEVER_M = 0.02
"""The turn is measured as arc on this radius, so that all four coordinates are lengths; it changes no result."""
FIRST_DAMPING = 1e3
"""Newtons a metre; raised when a step fails, lowered when it succeeds."""
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
    length_m: Floats
    """(..., f) of each fibre."""

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
    """The work stored in fibres, facet and soft hold, without the load, at places (..., 4): shape (...)."""
    return _evaluate(joint, place, axis, turning=True)[0]


def energy_and_slopes(joint: SpringJoint, place: Floats, axis: Floats) -> tuple[Floats, Floats, Floats]:
    """The stored energy with its first and second derivative by the coordinates: (...), (..., 4), (..., 4, 4)."""
    return _evaluate(joint, place, axis, turning=True)


def settle(joint: SpringJoint, load: Load) -> Settled:
    """Where the moving bone rests under a load, for everybody at once; `converged` says for whom it does."""
    people = np.broadcast_shapes(joint.people, load.force_n.shape[:-1], load.moment_nm.shape, load.start.shape[:-1])
    everybody = _in_one_row(joint, people)
    turning = bool(load.free[3].any())
    free = load.free if turning else load.free[:3]
    count = int(np.prod(people))
    place = np.broadcast_to(load.start, (*people, 4)).reshape(count, 4).copy()
    pushed = np.empty((count, 4))
    pushed[:, :3] = np.broadcast_to(load.force_n, (*people, 3)).reshape(count, 3)
    pushed[:, 3] = np.broadcast_to(load.moment_nm / LEVER_M, people).ravel()
    residual = np.empty(count)
    rows = np.arange(count)
    part, here, push = everybody, place, pushed[:, : len(free)]
    damping = np.full(count, FIRST_DAMPING)
    energy, slope, curvature = _evaluate(part, here, load.axis, turning=turning)
    energy = energy - _dot(pushed, here)
    steps = 0
    while True:
        left = (slope - push) @ free
        size = _size(left)
        place[rows], residual[rows] = here, size
        going = (size > RESIDUAL_N) & (_size(here[:, :3]) < FARTHEST_M)
        if steps == MOST_STEPS or not going.any():
            break
        if going.sum() <= len(going) // 2:
            rows, here, push, damping = rows[going], here[going], push[going], damping[going]
            energy, slope, curvature = energy[going], slope[going], curvature[going]
            left, size, part, going = left[going], size[going], _only(everybody, rows), going[going]
        steps += 1
        step = _step(free.T @ curvature @ free, left, damping) @ load.free.T
        trial = here + np.where(going[:, None], step, 0.0)
        lower, new_slope, new_curvature = _evaluate(part, trial, load.axis, turning=turning)
        lower = lower - _dot(pushed[rows], trial)
        smaller = _size((new_slope - push) @ free) < size
        taken = going & ((lower < energy) | ((lower <= energy + 1e-13) & smaller))
        here = np.where(taken[:, None], trial, here)
        energy = np.where(taken, lower, energy)
        slope = np.where(taken[:, None], new_slope, slope)
        curvature = np.where(taken[:, None, None], new_curvature, curvature)
        damping = np.where(taken, np.maximum(damping * 0.2, 1e-3), np.minimum(damping * 6.0, 1e12))
    settled = (residual <= RESIDUAL_N) & (_size(place[:, :3]) < FARTHEST_M)
    forces = [value.reshape((*people, *value.shape[1:])) for value in _forces(everybody, place, load.axis)]
    return Settled(place.reshape((*people, 4)), settled.reshape(people), residual.reshape(people), steps, *forces)


def _step(curvature: Floats, left: Floats, damping: Floats) -> Floats:
    """A step downhill: negative curvature is taken as its opposite, so that every step lowers the energy."""
    values, vectors = np.linalg.eigh(curvature)
    along = (left[:, None, :] @ vectors)[:, 0, :]
    step: Floats = -(vectors @ (along / (np.abs(values) + damping[:, None]))[:, :, None])[:, :, 0]
    shortened: Floats = step * np.minimum(1.0, LONGEST_STEP_M / np.maximum(_size(step), 1e-300))[:, None]
    return shortened


def _evaluate(joint: SpringJoint, place: Floats, axis: Floats, *, turning: bool) -> tuple[Floats, Floats, Floats]:
    """Stored energy (...), its slope (..., d) and curvature (..., d, d): d is 3, or 4 with the turn."""
    arms_f, arms_c = _arms(joint, place, axis)
    shift = place[..., None, :3]
    pull = _pulled(joint.fibres, arms_f + shift)
    press = _pressed(joint.facet, arms_c + shift)
    axes = joint.facet.axes
    energy = pull.energy_j + press.energy_j + joint.loose_n_per_m * _dot(place, place) / 2.0
    force = pull.force_n.sum(axis=-2) + (axes @ press.force_n.sum(axis=-2)[..., None])[..., 0]
    bend = np.swapaxes(pull.bend_n_per_m[..., None] * pull.along, -1, -2) @ pull.along
    bend = bend + pull.swing_n_per_m.sum(axis=-1)[..., None, None] * np.eye(3)
    local = np.swapaxes(press.bend_n_per_m[..., None] * press.inward, -1, -2) @ press.inward
    local = local + press.hollow_n_per_m.sum(axis=-2)[..., None] * np.eye(3)
    bend = bend + axes @ local @ np.swapaxes(axes, -1, -2)
    if not turning:
        loose = joint.loose_n_per_m
        return energy, force + loose * place[..., :3], bend + loose * np.eye(3)
    sweep_f, sweep_c = np.cross(axis, arms_f) / LEVER_M, np.cross(axis, arms_c) / LEVER_M
    inward_f = _dot(pull.force_n, np.cross(axis, sweep_f)) / LEVER_M
    sweep_l = sweep_c @ axes
    inward_c = _dot(press.force_n, (np.cross(axis, sweep_c) / LEVER_M) @ axes)
    bent_f = (pull.bend_n_per_m * _dot(pull.along, sweep_f))[..., None] * pull.along
    bent_f = bent_f + pull.swing_n_per_m[..., None] * sweep_f
    bent_l = (press.bend_n_per_m * _dot(press.inward, sweep_l))[..., None] * press.inward
    bent_l = bent_l + press.hollow_n_per_m * sweep_l
    slope = np.empty((*energy.shape, 4))
    slope[..., :3] = force
    slope[..., 3] = _dot(pull.force_n, sweep_f).sum(axis=-1) + _dot(press.force_n, sweep_l).sum(axis=-1)
    curvature = np.empty((*energy.shape, 4, 4))
    curvature[..., :3, :3] = bend
    curvature[..., :3, 3] = bent_f.sum(axis=-2) + (axes @ bent_l.sum(axis=-2)[..., None])[..., 0]
    curvature[..., 3, :3] = curvature[..., :3, 3]
    curvature[..., 3, 3] = (_dot(sweep_f, bent_f) + inward_f).sum(axis=-1)
    curvature[..., 3, 3] += (_dot(sweep_l, bent_l) + inward_c).sum(axis=-1)
    return energy, slope + joint.loose_n_per_m * place, curvature + joint.loose_n_per_m * np.eye(4)


class _Pulled(NamedTuple):
    """Fibres at given ends; the curvature of each is `bend` along itself and `swing` in all directions."""

    energy_j: Floats
    force_n: Floats
    along: Floats
    bend_n_per_m: Floats
    swing_n_per_m: Floats


class _Pressed(NamedTuple):
    """Contact points in the axes of the facet; the curvature of each is `bend` inward and `hollow` on the axes."""

    energy_j: Floats
    force_n: Floats
    inward: Floats
    bend_n_per_m: Floats
    hollow_n_per_m: Floats


def _pulled(fibres: Fibres, ends_m: Floats) -> _Pulled:
    reach = ends_m - fibres.fixed_m
    length = np.maximum(_size(reach), 1e-9)
    along = reach / length[..., None]
    law = fibres.slack_m, fibres.stiffness_n_per_m, fibres.toe_strain
    tension = tension_n(length, *law)
    swing = tension / length
    energy = energy_j(length, *law).sum(axis=-1)
    return _Pulled(energy, tension[..., None] * along, along, tangent_n_per_m(length, *law) - swing, swing)


def _pressed(facet: Facet, points_m: Floats) -> _Pressed:
    local = (points_m - facet.centre_m[..., None, :]) @ facet.axes
    curved = facet.curvature_per_m[..., None, :]
    inward = np.empty(local.shape)
    inward[..., :2] = curved * local[..., :2]
    inward[..., 2] = -1.0
    depth = np.maximum(_dot(inward[..., :2], local[..., :2]) / 2.0 - local[..., 2], 0.0)
    spring = np.asarray(facet.stiffness_n_per_m)[..., None] / local.shape[-2]
    push = spring * depth
    hollow = np.zeros(local.shape)
    hollow[..., :2] = push[..., None] * curved
    energy = (push * depth).sum(axis=-1) / 2.0
    return _Pressed(energy, push[..., None] * inward, inward, np.where(depth > 0.0, spring, 0.0), hollow)


def _forces(joint: SpringJoint, place: Floats, axis: Floats) -> tuple[Floats, Floats, Floats, Floats, Floats, Floats]:
    """Tension of each fibre, its pull on the moving bone, the push of the facet, both as moments about the axis, and
    the length of each fibre."""
    arms_f, arms_c = _arms(joint, place, axis)
    shift = place[..., None, :3]
    pull = -_pulled(joint.fibres, arms_f + shift).force_n
    push = -_pressed(joint.facet, arms_c + shift).force_n @ np.swapaxes(joint.facet.axes, -1, -2)
    twist_f, twist_c = _dot(pull, np.cross(axis, arms_f)), _dot(push, np.cross(axis, arms_c))
    length = _size(arms_f + shift - joint.fibres.fixed_m)
    return _size(pull), pull, push.sum(axis=-2), twist_f, twist_c.sum(axis=-1), length


def _arms(joint: SpringJoint, place: Floats, axis: Floats) -> tuple[Floats, Floats]:
    """Fibre ends and facet points of the moving bone after the turn, before the translation: (..., points, 3)."""
    if not place[..., 3].any():
        return joint.fibres.moving_m, joint.facet.points_m
    turn = (place[..., 3] / LEVER_M)[..., None, None]
    cross = np.array([[0.0, -axis[2], axis[1]], [axis[2], 0.0, -axis[0]], [-axis[1], axis[0], 0.0]])
    rotation = np.eye(3) + np.sin(turn) * cross + (1.0 - np.cos(turn)) * (cross @ cross)
    return _each(rotation, joint.fibres.moving_m), _each(rotation, joint.facet.points_m)


def _in_one_row(joint: SpringJoint, people: tuple[int, ...]) -> SpringJoint:
    """The joint with its leading axes spread to those of the load and laid in one row."""

    def row(value: Floats) -> Floats:
        own = value.shape[len(joint.people) :]
        return np.broadcast_to(value, (*people, *own)).reshape(-1, *own)

    return _with_arrays(joint, row)


def _only(joint: SpringJoint, rows: NDArray[np.intp]) -> SpringJoint:
    """Some people of a row."""
    return _with_arrays(joint, lambda value: value[rows])


def _with_arrays(joint: SpringJoint, make: Callable[[Floats], Floats]) -> SpringJoint:
    fibres, facet = joint.fibres, joint.facet
    return replace(
        joint,
        fibres=Fibres(
            fibres.bands,
            make(fibres.fixed_m),
            make(fibres.moving_m),
            make(fibres.slack_m),
            make(fibres.stiffness_n_per_m),
            make(fibres.toe_strain),
        ),
        facet=Facet(
            make(facet.points_m),
            make(facet.centre_m),
            make(facet.axes),
            make(facet.curvature_per_m),
            make(facet.stiffness_n_per_m),
        ),
    )


def _each(rotation: Floats, points_m: Floats) -> Floats:
    turned_points: Floats = points_m @ np.swapaxes(rotation, -1, -2)
    return turned_points


def _size(vectors: Floats) -> Floats:
    size: Floats = np.sqrt(np.einsum("...i,...i->...", vectors, vectors))
    return size


def _dot(one: Floats, other: Floats) -> Floats:
    product: Floats = np.einsum("...i,...i->...", one, other)
    return product
