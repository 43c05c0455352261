"""The head in its socket: a sphere pressed into a bed of springs that lies on the curved face of the glenoid.

Cartilage lines the face up to the labrum; the labrum is a softer ring that straddles the rim and carries the curve on
past it. Each spring pushes straight away from its foot with a force in proportion to how deep the sphere covers it,
so that curvature, edge and labrum need no case of their own. A stated compression and the low pressure of the sealed
joint hold the head in. No friction: the joint is wet.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from endfeel.anatomy.units import Floats, m_from_mm
from endfeel.mechanics.bands import PA_PER_MPA, Socket
from endfeel.mechanics.parameters import Parameters

SHORTEST_M = 1e-9
PA_PER_MMHG = 133.322


@dataclass(frozen=True, slots=True)
class Bed:
    """The springs under the heads of n shoulders."""

    feet_m: Floats
    """(n, S, 3) in scapula axes."""
    stiffness_n_per_m: Floats
    """(n, S)."""
    head_radius_m: Floats
    """(n,)."""
    outward: Floats
    """(n, 3) the normal of the glenoid; compression acts against it."""
    compression_n: Floats
    """(n,) how hard the head is pressed into the socket."""
    suction_n: Floats
    """(n,) how hard the seated head is drawn in besides, by the low pressure inside a sealed joint."""
    suction_limit_n: Floats
    """(n,) what suction comes to as the head is lifted far off."""
    suction_yield_m: Floats
    """(n,) the lift over which it comes there."""


def build_bed(parameters: Parameters, socket: Socket, head_radius_m: Floats) -> Bed:
    """The bed of n sockets: rings of cartilage inside, two rings of labrum on either side of the rim."""
    broad_m = m_from_mm(parameters.mean("labrum_width_mm"))
    cartilage = parameters.mean("cartilage_modulus_MPa") / m_from_mm(parameters.mean("cartilage_thickness_mm"))
    labrum = parameters.mean("labrum_modulus_MPa") / m_from_mm(parameters.mean("labrum_height_mm"))
    rings = round(parameters.mean("cartilage_rings"))
    around = round(parameters.mean("cartilage_springs_a_ring"))
    beside = round(parameters.mean("labrum_springs_a_ring"))
    wide, high = socket.half_width_m[:, None], socket.half_height_m[:, None]
    feet, stiffness = [], []
    inner_wide, inner_high = wide - broad_m / 2.0, high - broad_m / 2.0
    for ring in range(rings):
        share = np.sqrt((ring + 0.5) / rings)
        angle = (np.arange(around) + 0.5 * (ring % 2)) * 2 * np.pi / around
        feet.append(socket.on_face(share * inner_wide * np.sin(angle), share * inner_high * np.cos(angle)))
        area_m2 = np.pi * inner_wide * inner_high / (rings * around)
        stiffness.append(np.repeat(cartilage * PA_PER_MPA * area_m2, around, axis=1))
    for side in (-0.25, 0.25):
        angle = (np.arange(beside) + side + 0.25) * 2 * np.pi / beside
        ring_wide, ring_high = wide + side * broad_m, high + side * broad_m
        feet.append(socket.on_face(ring_wide * np.sin(angle), ring_high * np.cos(angle)))
        area_m2 = np.pi * (ring_wide + ring_high) * broad_m / 2.0 / beside
        stiffness.append(np.repeat(labrum * PA_PER_MPA * area_m2, beside, axis=1))
    count = len(head_radius_m)
    sealed_m2, yield_m = _seal(parameters, socket)
    return Bed(
        np.concatenate(feet, axis=1),
        np.concatenate(stiffness, axis=1),
        head_radius_m,
        np.ascontiguousarray(socket.axes[:, :, 2]),
        np.full(count, parameters.mean("living_compression_N")),
        sealed_m2 * parameters.mean("resting_pressure_mmHg") * PA_PER_MMHG,
        sealed_m2 * parameters.mean("vacuum_limit_mmHg") * PA_PER_MMHG,
        yield_m,
    )


def _seal(parameters: Parameters, socket: Socket) -> tuple[Floats, Floats]:
    """The piston that socket and head make: area within the outer edge of the labrum (n,), and the lift (n,) that the
    labrum's being drawn in makes room for by the time the pressure has fallen as far as it can.

    Nothing else gives: there is next to no fluid under a sealed head (`ligament_geometry.lg244`), and the labrum closes
    on it like a valve (`lg245`).
    """
    astride_m = m_from_mm(parameters.mean("labrum_width_mm")) / 2.0
    face_m2 = np.pi * (socket.half_width_m - astride_m) * (socket.half_height_m - astride_m)
    sealed_m2 = np.pi * (socket.half_width_m + astride_m) * (socket.half_height_m + astride_m)
    squeeze = parameters.mean("vacuum_limit_mmHg") * PA_PER_MMHG / (parameters.mean("labrum_modulus_MPa") * PA_PER_MPA)
    drawn_in_m = squeeze * m_from_mm(parameters.mean("labrum_height_mm"))
    return sealed_m2, drawn_in_m * (sealed_m2 - face_m2) / sealed_m2


def contact_slopes(bed: Bed, centre_m: Floats) -> tuple[Floats, Floats, Floats]:
    """Energy (n,), its slope (n, 3) and curvature (n, 3, 3) by the place of the head."""
    gap = centre_m[:, None, :] - bed.feet_m
    far_m = np.maximum(np.sqrt(np.einsum("nsi,nsi->ns", gap, gap)), SHORTEST_M)
    depth_m = np.maximum(bed.head_radius_m[:, None] - far_m, 0.0)
    away = gap / far_m[..., None]
    push_n = bed.stiffness_n_per_m * depth_m
    held_j, held_n, held_n_per_m = _held(bed, np.einsum("ni,ni->n", bed.outward, centre_m))
    energy = 0.5 * np.einsum("ns,ns->n", push_n, depth_m) + held_j
    slope = held_n[:, None] * bed.outward - np.einsum("ns,nsi->ni", push_n, away)
    bent = push_n / far_m
    along = np.where(depth_m > 0.0, bed.stiffness_n_per_m, 0.0) + bent
    curvature = np.einsum("ns,nsi,nsj->nij", along, away, away, optimize=False)
    curvature -= np.sum(bent, axis=1)[:, None, None] * np.eye(3)
    curvature += held_n_per_m[:, None, None] * bed.outward[:, :, None] * bed.outward[:, None, :]
    return energy, slope, curvature


def _held(bed: Bed, lift_m: Floats) -> tuple[Floats, Floats, Floats]:
    """Energy, force and slope of the force with which compression and suction hold a head lifted by `lift_m` (n,).

    Suction goes from its resting value towards its limit as the head is lifted, by an exponential law.
    """
    lifted, room = np.maximum(lift_m, 0.0), bed.suction_limit_n - bed.suction_n
    left = np.exp(-lifted / bed.suction_yield_m)
    always = bed.compression_n + bed.suction_n
    energy = always * lift_m + room * (lifted - bed.suction_yield_m * (1.0 - left))
    return energy, always + room * (1.0 - left), np.where(lift_m > 0.0, room * left / bed.suction_yield_m, 0.0)
