"""Which way the medial end of the clavicle glides when the clavicle moves: arithmetic of curved surfaces.

In the vertical plane the clavicular surface is convex: it turns about a centre inside the clavicle, along the
normal of the sternal surface, which faces up and outward. In the horizontal plane it is concave: it turns about
a centre inside the sternum. With pure sliding the end of the bone moves as a point on that surface. The radii
are assumptions with provenance (kinematics.ki548, ki549); they scale the glide and do not set its direction.
The other teaching, an axis through the costoclavicular ligament, is computed beside it (kinematics.ki550).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from endfeel.anatomy.figures import Basis, basis_of, numbers_in, row_figure, value_of
from endfeel.anatomy.rhythm import Rhythm
from endfeel.anatomy.rotations import turn_about
from endfeel.anatomy.scapular_motions import ROLL_WEIGHT, breath, scapular_motion
from endfeel.anatomy.sizes import Sizes
from endfeel.anatomy.units import Floats, deg_from_rad, m_from_mm, mm_from_m, rad_from_deg
from endfeel.evidence.library import Library

TABLE = "kinematics"
_OTHER_WEIGHTS = (0.0, 0.25, 4.0)
"""Multiples of the assumed weight that show whether an answer turns on it."""
TILT, SHAPE, VERTICAL, HORIZONTAL, PIVOT = "ki546", "ki547", "ki548", "ki549", "ki550"


@dataclass(frozen=True, slots=True)
class Glide:
    """How the medial end of the clavicle moves, (3,) forward, up, lateral in metres, under either axis."""

    on_surfaces_m: Floats
    about_ligament_m: Floats
    basis: Basis


def sternal_glide(library: Library, forward_rad: float, up_rad: float) -> Glide:
    """The glide at the sternoclavicular joint for a clavicle carried forward and up by small angles."""
    figures = {row: row_figure(library, TABLE, row) for row in (TILT, SHAPE, VERTICAL, HORIZONTAL, PIVOT)}
    tilt = rad_from_deg(value_of(figures[TILT]))
    facing = np.array([0.0, np.sin(tilt), np.cos(tilt)])
    raised, brought = turn_about("X", -up_rad) - np.eye(3), turn_about("Y", forward_rad) - np.eye(3)
    from_convex_centre = -float(m_from_mm(value_of(figures[VERTICAL]))) * facing
    from_concave_centre = float(m_from_mm(value_of(figures[HORIZONTAL]))) * np.array([0.0, 0.0, 1.0])
    lateral, below = m_from_mm(numbers_in(figures[PIVOT]))
    from_ligament = np.array([0.0, below, -lateral])
    return Glide(
        raised @ from_convex_centre + brought @ from_concave_centre,
        (raised + brought) @ from_ligament,
        basis_of(figures.values()),
    )


@dataclass(frozen=True, slots=True)
class Answer:
    """A claim of the trade and what the geometry says to it."""

    claim: str
    computed: str
    agrees: bool
    holds_on: str
    """What the answer rests on, and where another assumption would turn it."""
    basis: Basis


def answers(library: Library, rhythm: Rhythm, sizes: Sizes) -> tuple[Answer, ...]:
    """The claims of the trade about the clavicle (common practice, no source), each answered by computation."""
    raised, lowered = (
        scapular_motion(name, rhythm, sizes, library).clavicle_up_rad for name in ("elevation", "depression")
    )
    return (
        _glide_answer(library, "clavicle up: its medial end glides down and outward", raised, -1),
        _glide_answer(library, "clavicle down: its medial end glides up and inward", lowered, 1),
        _roll_answer(
            library, rhythm, sizes, "depression with retraction",
            "scapular depression with retraction: the clavicle rotates backward", 1,
        ),
        _roll_answer(
            library, rhythm, sizes, "protraction", "scapular protraction: the clavicle rotates forward", -1
        ),
        _breath_answer(
            library, rhythm, sizes, 1.0,
            "breathing in: depression, retraction and backward rotation of the clavicle", (-1, -1, 1),
        ),
        _breath_answer(
            library, rhythm, sizes, -1.0, "breathing out: forward rotation of the clavicle", (None, None, -1)
        ),
    )  # fmt: skip


def _glide_answer(library: Library, claim: str, up_rad: float, sense: int) -> Answer:
    """`sense` −1: down and lateral; +1: up and medial."""
    glide = sternal_glide(library, 0.0, up_rad)
    surfaces, ligament = mm_from_m(glide.on_surfaces_m), mm_from_m(glide.about_ligament_m)
    agrees = bool(np.sign(surfaces[1]) == sense and np.sign(surfaces[2]) == -sense)
    also = bool(np.sign(ligament[1]) == sense and np.sign(ligament[2]) == -sense)
    other = "agrees too" if also else "agrees on up and down only" if np.sign(ligament[1]) == sense else "disagrees"
    computed = f"{deg_from_rad(up_rad):+.0f}° up: {surfaces[1]:+.1f} mm up, {surfaces[2]:+.1f} mm lateral"
    rests = (
        f"sliding on the surfaces; about the costoclavicular ligament instead {ligament[1]:+.1f} mm up, "
        f"{ligament[2]:+.1f} mm lateral: {other}"
    )
    return Answer(claim, computed, agrees, rests, glide.basis)


def _roll_answer(library: Library, rhythm: Rhythm, sizes: Sizes, name: str, claim: str, sense: int) -> Answer:
    usual = value_of(row_figure(library, TABLE, ROLL_WEIGHT))
    weights = [times * usual for times in _OTHER_WEIGHTS]
    motions = [scapular_motion(name, rhythm, sizes, library, roll_weight=weight) for weight in weights]
    rolls = [float(deg_from_rad(motion.clavicle_roll_rad)) for motion in motions]
    told = ", ".join(
        f"{roll:+.1f}° at weight {weight:g}{'' if motion.converged else ' (not solved)'}"
        for roll, weight, motion in zip(rolls, weights, motions, strict=True)
    )
    motion = scapular_motion(name, rhythm, sizes, library)
    roll = float(deg_from_rad(motion.clavicle_roll_rad))
    computed = f"{roll:+.1f}° backward roll"
    return Answer(claim, computed, roll * sense > 0.0, f"least turning on the thorax; {told}", motion.basis)


def _breath_answer(
    library: Library,
    rhythm: Rhythm,
    sizes: Sizes,
    inspired: float,
    claim: str,
    senses: tuple[int | None, int | None, int],
) -> Answer:
    moved = breath(rhythm, sizes, library, inspired)
    forward, up, roll = (
        float(deg_from_rad(angle))
        for angle in (moved.clavicle_forward_rad, moved.clavicle_up_rad, moved.clavicle_roll_rad)
    )
    agrees = all(sense is None or value * sense > 0.0 for value, sense in zip((forward, up, roll), senses, strict=True))
    computed = f"{forward:+.1f}° forward, {up:+.1f}° up, {roll:+.1f}° backward roll"
    return Answer(
        claim, computed, agrees, "the shoulder stays while the sternum moves; the AC joint turns least", moved.basis
    )
