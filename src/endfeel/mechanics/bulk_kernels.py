"""Compiled loops of `bulk`: imported only when bulk work is asked for, since importing this module needs numba.

Nothing here is new mechanics: `wrapping`, `tissue`, `contact` and `glenohumeral` are the definition, and tests hold
the two to the same answers. The loops are written out because a compiler, not a reader, is meant to walk them.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import numpy as np
from numba import njit

_fast: Callable[[Callable[..., Any]], Callable[..., Any]] = njit(cache=True, error_model="numpy", nogil=True)


@_fast
def fibre_length(
    fx: float, fy: float, fz: float, nx: float, ny: float, nz: float, radius: float, soft: float
) -> tuple[float, float, float, float, float, float, float]:
    """Length of one path with what its derivatives need: a, ease, bend, b, angle, raw distance."""
    raw = max(math.sqrt(fx * fx + fy * fy + fz * fz), 1e-6)
    b = max(math.sqrt(nx * nx + ny * ny + nz * nz), radius)
    above = (raw - radius) / radius - soft
    a, ease, bend = raw, 1.0, 0.0
    if above < 0.0:
        ease = math.exp(above / soft)
        a, bend = radius * (1.0 + soft * ease), ease / (soft * radius)
    cx, cy, cz = ny * fz - nz * fy, nz * fx - nx * fz, nx * fy - ny * fx
    angle = math.atan2(math.sqrt(cx * cx + cy * cy + cz * cz), fx * nx + fy * ny + fz * nz)
    tangent, other = math.sqrt(a * a - radius * radius), math.sqrt(max(b * b - radius * radius, 0.0))
    arc = angle - math.atan2(tangent, radius)
    if other > 0.0:
        arc -= math.atan2(other, radius)
    if arc > 0.0:
        return tangent + other + radius * arc, a, ease, bend, b, angle, raw
    return math.sqrt((a - b) ** 2 + 4.0 * a * b * math.sin(angle / 2.0) ** 2), a, ease, bend, b, -angle, raw


@_fast
def angle_of(up: float, along: float) -> float:
    """The angle of a point above the axis, 0 to pi, without a branch so that it can be done four fibres at a time:
    the arc tangent of the Cephes library after two reductions; exact to a few units in the last place."""
    wide = abs(along)
    ratio = min(up, wide) / max(up, wide, 1e-300)
    high = ratio > 0.41421356237309503
    x = (ratio - 1.0) / (ratio + 1.0) if high else ratio
    z = x * x
    above = (
        ((-8.750608600031904122785e-1 * z - 1.615753718733365076637e1) * z - 7.500855792314704667340e1) * z
        - 1.228866684490136173410e2
    ) * z - 6.485021904942025371773e1
    below = (
        (((z + 2.485846490142306297962e1) * z + 1.650270098316988542046e2) * z + 4.328810604912902668951e2) * z
        + 4.853903996359136964868e2
    ) * z + 1.945506571482613964425e2
    angle = x + x * z * above / below + (0.78539816339744830962 if high else 0.0)
    angle = 1.57079632679489661923 - angle if up > wide else angle
    return 3.14159265358979323846 - angle if along < 0.0 else angle


@_fast
def lengths_over_poses(
    rim: Any, neck: Any, radius: Any, slack: Any, rotations: Any, centres: Any, soft: float, lengths: Any, strains: Any
) -> None:
    """Lengths and strains (P, F), from ends given as (3, F). The three angles of a path are taken as one: their sines
    and cosines multiply as complex numbers do. No branch but for ends that all but touch the sphere."""
    poses, fibres = len(rotations), rim.shape[1]
    near_2, near_tangent, per_slack, edge = np.empty(fibres), np.empty(fibres), np.empty(fibres), np.empty(fibres)
    for f in range(fibres):
        near_2[f] = max(neck[0, f] ** 2 + neck[1, f] ** 2 + neck[2, f] ** 2, radius[f] ** 2)
        near_tangent[f] = math.sqrt(near_2[f] - radius[f] ** 2)
        per_slack[f], edge[f] = 1.0 / slack[f], (radius[f] * (1.0 + soft)) ** 2
    for p in range(poses):
        xx, xy, xz = rotations[p, 0, 0], rotations[p, 0, 1], rotations[p, 0, 2]
        yx, yy, yz = rotations[p, 1, 0], rotations[p, 1, 1], rotations[p, 1, 2]
        zx, zy, zz = rotations[p, 2, 0], rotations[p, 2, 1], rotations[p, 2, 2]
        px, py, pz = centres[p, 0], centres[p, 1], centres[p, 2]
        touching = 0
        for f in range(fibres):
            x, y, z, r, other = neck[0, f], neck[1, f], neck[2, f], radius[f], near_tangent[f]
            nx, ny, nz = xx * x + xy * y + xz * z, yx * x + yy * y + yz * z, zx * x + zy * y + zz * z
            fx, fy, fz = rim[0, f] - px, rim[1, f] - py, rim[2, f] - pz
            far_2 = fx * fx + fy * fy + fz * fz
            cx, cy, cz = ny * fz - nz * fy, nz * fx - nx * fz, nx * fy - ny * fx
            sine, cosine = math.sqrt(cx * cx + cy * cy + cz * cz), fx * nx + fy * ny + fz * nz
            tangent = math.sqrt(max(far_2 - r * r, 0.0))
            real, imaginary = r * r - tangent * other, -r * (tangent + other)
            up, along = sine * real + cosine * imaginary, cosine * real - sine * imaginary
            wrapped = tangent + other + r * angle_of(max(up, 0.0), along)
            straight = math.sqrt(max(far_2 + near_2[f] - 2.0 * cosine, 0.0))
            length = wrapped if up > 0.0 else straight
            lengths[p, f], strains[p, f] = length, length * per_slack[f] - 1.0
            touching += 1 if far_2 < edge[f] else 0
        if touching:
            for f in range(fibres):
                x, y, z = neck[0, f], neck[1, f], neck[2, f]
                length = fibre_length(
                    rim[0, f] - px,
                    rim[1, f] - py,
                    rim[2, f] - pz,
                    xx * x + xy * y + xz * z,
                    yx * x + yy * y + yz * z,
                    zx * x + zy * y + zz * z,
                    radius[f],
                    soft,
                )[0]
                lengths[p, f], strains[p, f] = length, length * per_slack[f] - 1.0


@_fast
def add_fibre(
    rim: Any,
    near: Any,
    radius: float,
    slack: float,
    stiffness: float,
    toe_strain: float,
    centre: Any,
    soft: float,
    slope: Any,
    curvature: Any,
) -> float:
    """Add one fibre's slope and curvature to those of its shoulder; its energy is returned."""
    fx, fy, fz = rim[0] - centre[0], rim[1] - centre[1], rim[2] - centre[2]
    nx, ny, nz = near[0], near[1], near[2]
    length, a, ease, bend, b, signed, raw = fibre_length(fx, fy, fz, nx, ny, nz, radius, soft)
    stretch = length - slack
    if stretch <= 0.0 or stiffness == 0.0:
        return 0.0
    toe = toe_strain * slack
    if stretch < toe:
        share = stretch / toe
        pull, tangent_stiff = stiffness * share * stretch / 2, stiffness * share
        energy = stiffness * share * stretch * stretch / 6
    else:
        beyond = stretch - toe
        pull, tangent_stiff = stiffness * (toe / 2 + beyond), stiffness
        energy = stiffness * (toe * toe / 6 + beyond * (toe + beyond) / 2)
    wraps, angle = signed >= 0.0, abs(signed)
    sine, cosine = math.sin(angle), math.cos(angle)
    if wraps:
        tangent = math.sqrt(a * a - radius * radius)
        by_a, by_t = tangent / a, radius
        by_aa, by_at, by_tt = radius * radius / (a * a * max(tangent, 1e-6)), 0.0, 0.0
    else:
        safe = max(length, 1e-6)
        by_a, by_t = (a - b * cosine) / safe, a * b * sine / safe
        by_aa, by_at, by_tt = (
            (1 - by_a * by_a) / safe,
            (b * sine - by_a * by_t) / safe,
            (a * b * cosine - by_t * by_t) / safe,
        )
    out = np.empty(3)
    out[0], out[1], out[2] = fx / raw, fy / raw, fz / raw
    normal = np.empty(3)
    normal[0], normal[1], normal[2] = ny * fz - nz * fy, nz * fx - nx * fz, nx * fy - ny * fx
    plane = math.sqrt(normal[0] ** 2 + normal[1] ** 2 + normal[2] ** 2)
    if plane <= 1e-14:
        least = np.argmin(np.abs(out))
        axis = np.zeros(3)
        axis[least] = 1.0
        normal = np.cross(out, axis)
        plane = math.sqrt(normal[0] ** 2 + normal[1] ** 2 + normal[2] ** 2)
    normal /= plane
    away = np.empty(3)
    away[0] = normal[1] * out[2] - normal[2] * out[1]
    away[1] = normal[2] * out[0] - normal[0] * out[2]
    away[2] = normal[0] * out[1] - normal[1] * out[0]
    outwards, sideways = by_a * ease, by_t / raw
    out_out = by_aa * ease * ease + by_a * bend
    out_away = (by_at * ease - sideways) / raw
    away_away = (by_tt / raw + outwards) / raw
    across = (outwards + sideways * cosine / max(sine, 1e-6)) / raw
    for i in range(3):
        ui = outwards * out[i] + sideways * away[i]
        slope[i] -= pull * ui
        for j in range(3):
            uj = outwards * out[j] + sideways * away[j]
            bent = (
                out_out * out[i] * out[j]
                + out_away * (out[i] * away[j] + away[i] * out[j])
                + away_away * away[i] * away[j]
                + across * normal[i] * normal[j]
            )
            curvature[i, j] += tangent_stiff * ui * uj + pull * bent
    return float(energy)


@_fast
def slopes_of(
    rim: Any,
    near: Any,
    radius: Any,
    slack: Any,
    stiffness: Any,
    toe: Any,
    feet: Any,
    bed: Any,
    head: float,
    outward: Any,
    held: Any,
    force: Any,
    centre: Any,
    soft: float,
    slope: Any,
    curvature: Any,
) -> float:
    """Energy of one shoulder; slope (3,) and curvature (3, 3) are filled in."""
    compression, suction, limit, give = held[0], held[1], held[2], held[3]
    lift = outward[0] * centre[0] + outward[1] * centre[1] + outward[2] * centre[2]
    lifted, room = max(lift, 0.0), limit - suction
    left = math.exp(-lifted / give)
    always = compression + suction
    energy = always * lift + room * (lifted - give * (1.0 - left))
    pressing = always + room * (1.0 - left)
    grows = room * left / give if lift > 0.0 else 0.0
    for i in range(3):
        energy -= force[i] * centre[i]
        slope[i] = pressing * outward[i] - force[i]
        for j in range(3):
            curvature[i, j] = grows * outward[i] * outward[j]
    for s in range(len(feet)):
        x, y, z = centre[0] - feet[s, 0], centre[1] - feet[s, 1], centre[2] - feet[s, 2]
        far2 = x * x + y * y + z * z
        if far2 >= head * head:
            continue
        far = max(math.sqrt(far2), 1e-9)
        depth = head - far
        push = bed[s] * depth
        energy += 0.5 * push * depth
        x, y, z = x / far, y / far, z / far
        slope[0] -= push * x
        slope[1] -= push * y
        slope[2] -= push * z
        bent = push / far
        along = bed[s] + bent
        curvature[0, 0] += along * x * x - bent
        curvature[1, 1] += along * y * y - bent
        curvature[2, 2] += along * z * z - bent
        curvature[0, 1] += along * x * y
        curvature[0, 2] += along * x * z
        curvature[1, 2] += along * y * z
        curvature[1, 0] += along * x * y
        curvature[2, 0] += along * x * z
        curvature[2, 1] += along * y * z
    for f in range(len(rim)):
        energy += add_fibre(rim[f], near[f], radius[f], slack[f], stiffness[f], toe[f], centre, soft, slope, curvature)
    return float(energy)


@_fast
def rest_of_all(
    rim: Any,
    near: Any,
    radius: Any,
    slack: Any,
    stiffness: Any,
    toe: Any,
    feet: Any,
    bed: Any,
    head: Any,
    outward: Any,
    held: Any,
    force: Any,
    start: Any,
    limits: Any,
) -> Any:
    """Centres, energies and unbalanced forces of n heads; `limits`: softening, rest force, longest step, least
    curvature, steps."""
    soft, at_rest, longest, least, steps = limits[0], limits[1], limits[2], limits[3], int(limits[4])
    count = len(rim)
    centres, energies, lefts = start.copy(), np.empty(count), np.empty(count)
    slope, curvature = np.empty(3), np.empty((3, 3))
    new_slope, new_curvature = np.empty(3), np.empty((3, 3))
    for n in range(count):
        centre = centres[n]
        energy = slopes_of(
            rim[n],
            near[n],
            radius[n],
            slack[n],
            stiffness[n],
            toe[n],
            feet[n],
            bed[n],
            head[n],
            outward[n],
            held[n],
            force[n],
            centre,
            soft,
            slope,
            curvature,
        )
        for _ in range(steps):
            steep = slope[0] ** 2 + slope[1] ** 2 + slope[2] ** 2
            if math.sqrt(steep) <= at_rest:
                break
            bends, ways = np.linalg.eigh(curvature)
            step = np.zeros(3)
            for k in range(3):
                along = ways[0, k] * slope[0] + ways[1, k] * slope[1] + ways[2, k] * slope[2]
                along /= max(abs(bends[k]), least)
                for i in range(3):
                    step[i] -= ways[i, k] * along
            size = math.sqrt(step[0] ** 2 + step[1] ** 2 + step[2] ** 2)
            if size > longest:
                step *= longest / size
            promised = step[0] * slope[0] + step[1] * slope[1] + step[2] * slope[2]
            factor, took = 1.0, False
            for _half in range(12):
                tried = centre + factor * step
                new_energy = slopes_of(
                    rim[n],
                    near[n],
                    radius[n],
                    slack[n],
                    stiffness[n],
                    toe[n],
                    feet[n],
                    bed[n],
                    head[n],
                    outward[n],
                    held[n],
                    force[n],
                    tried,
                    soft,
                    new_slope,
                    new_curvature,
                )
                flatter = new_slope[0] ** 2 + new_slope[1] ** 2 + new_slope[2] ** 2 < steep
                if new_energy <= energy + 1e-4 * factor * promised or (flatter and abs(promised) < 1e-13):
                    took = True
                    break
                factor *= 0.5
            if not took:
                break
            centre[:] = tried
            energy = new_energy
            slope[:], curvature[:] = new_slope, new_curvature
        energies[n] = energy
        lefts[n] = math.sqrt(slope[0] ** 2 + slope[1] ** 2 + slope[2] ** 2)
    return centres, energies, lefts


@_fast
def moments_of_all(
    rim: Any, near: Any, radius: Any, slack: Any, stiffness: Any, toe: Any, centre: Any, axis: Any, soft: float
) -> Any:
    """How hard the fibres of n shoulders resist turning about an axis (n, 3), (n,)."""
    count, fibres = len(rim), rim.shape[1]
    moments = np.zeros(count)
    slope, curvature, far = np.empty(3), np.empty((3, 3)), np.empty(3)
    for n in range(count):
        for f in range(fibres):
            slope[:] = 0.0
            stored = add_fibre(
                rim[n, f],
                near[n, f],
                radius[n, f],
                slack[n, f],
                stiffness[n, f],
                toe[n, f],
                centre[n],
                soft,
                slope,
                curvature,
            )
            if stored == 0.0:
                continue
            for i in range(3):
                far[i] = rim[n, f, i] - centre[n, i]
            turning = (
                (far[1] * slope[2] - far[2] * slope[1]) * axis[n, 0]
                + (far[2] * slope[0] - far[0] * slope[2]) * axis[n, 1]
                + (far[0] * slope[1] - far[1] * slope[0]) * axis[n, 2]
            )
            moments[n] += turning
    return moments
