"""Claims about the acromioclavicular joint, and how each is put to the model."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from endfeel.anatomy.units import m_from_mm, mm_from_m, rad_from_deg
from endfeel.evidence.figures import number
from endfeel.mechanics import acromioclavicular as ac
from endfeel.mechanics.changes import cut
from endfeel.mechanics.girdle_bench import (
    Bench,
    Check,
    Found,
    Loaded,
    is_first,
    leads,
    more_after,
    number_in_brackets,
    portion_near,
    ranking,
    rule,
    study,
    value_of,
    within_sd,
)
from endfeel.mechanics.girdle_glides import Glide, force_in, turned_to
from endfeel.mechanics.girdle_ligaments import AC_CAPSULE, CORACOCLAVICULAR
from endfeel.mechanics.ligament_springs import Floats, SpringJoint


def _pushed(direction: ac.Direction) -> Loaded:
    return lambda bench, without: _ac(bench, direction, without)


def _ac(bench: Bench, direction: ac.Direction, without: Sequence[str] = ()) -> Glide:
    force = number(bench.library.figure("joint_play.jp050.force_N"))
    changes = [cut(structure) for structure in without]
    return ac.translate(bench.ac, direction, force, changes=changes, moving="clavicle")


def _trapezoid_force(bench: Bench) -> Found:
    found = force_in(_ac(bench, "posterior"), ("trapezoid",))
    return f"{value_of(found):.0f} N", within_sd(bench, "restraint_studies.rs110", found)


def _trapezoid_share(bench: Bench) -> Found:
    found = _ac(bench, "posterior").share["trapezoid"] * 100.0
    return f"{value_of(found):.0f} %", within_sd(bench, "restraint_studies.rs111", found)


def _share_posterior(band: str, row: str) -> Check:
    """A share published with its standard error in brackets."""

    def check(bench: Bench) -> Found:
        found = _ac(bench, "posterior").share[band] * 100.0
        figure = bench.library.figure(row)
        return f"{value_of(found):.0f} %", np.abs(found - number(figure)) <= number_in_brackets(figure.text)

    return check


def _group_leads(direction: ac.Direction, group: str) -> Check:
    """Capsule or coracoclavicular ligaments: one bears more force than the other."""

    def check(bench: Bench) -> Found:
        found = _ac(bench, direction)
        forces = {"AC_capsule": force_in(found, AC_CAPSULE), "coracoclavicular": force_in(found, CORACOCLAVICULAR)}
        return ranking(forces), is_first(forces, group)

    return check


def _ac_after_section(direction: ac.Direction, row: str) -> Check:
    """Translation gained by section of the capsule: above a bound, or about a number."""

    def check(bench: Bench) -> Found:
        more = mm_from_m(_ac(bench, direction, ("AC_capsule",)).along_m - _ac(bench, direction).along_m)
        published = bench.library.figure(row)
        if published.low is not None:
            return f"{value_of(more):.1f} mm more", more > published.low
        return f"{value_of(more):.1f} mm more", np.abs(more - number(published)) <= bench.set_to("about_mm")

    return check


def _ligaments_take_over(bench: Bench) -> Found:
    words, holds = [], np.array(True)
    for direction in ("anterior", "posterior"):
        before = force_in(_ac(bench, direction), CORACOCLAVICULAR)
        after = force_in(_ac(bench, direction, ("AC_capsule",)), CORACOCLAVICULAR)
        words.append(f"{direction} {value_of(before):.0f} to {value_of(after):.0f} N")
        holds = holds & (after > before)
    return "; ".join(words), holds


def _resistance_left(bench: Bench) -> Found:
    whole = _ac(bench, "posterior")
    after = _at_distance(bench.ac, whole.along_m, ("AC_capsule",))
    left = after / whole.force_n * 100.0
    limit = bench.library.figure("restraint_studies.rs119.value").high
    return f"{value_of(left):.0f} % left", left < (limit if limit is not None else np.nan)


def _at_distance(joint: SpringJoint, distance_m: Floats, without: Sequence[str]) -> Floats:
    """The force that a backward translation of a given size takes after section."""
    return ac.resist(joint, "posterior", distance_m, moving="clavicle", changes=[cut(one) for one in without]).force_n


def _ac_moved(direction: ac.Direction, size: str) -> Callable[[Bench], Glide]:
    return lambda bench: ac.resist(
        bench.ac, direction, float(m_from_mm(bench.set_to(f"{size}_displacement_mm"))), moving="clavicle"
    )


def _clavicle_rolled(bench: Bench) -> Glide:
    return ac.rotate_clavicle(bench.ac, turn_rad=float(rad_from_deg(bench.set_to("small_turn_deg"))))


def _bears_more(direction: ac.Direction, above: str, below: str) -> Check:
    def check(bench: Bench) -> Found:
        found = _ac(bench, direction)
        more, less = force_in(found, (above,)), force_in(found, (below,))
        return f"{above} {value_of(more):.0f} N, {below} {value_of(less):.0f} N", more > less

    return check


def _acromion_glides(turn: float, forward: float) -> Check:
    """The blade turns about the upright axis (positive inward) and the acromion slides forward or backward."""

    def check(bench: Bench) -> Found:
        angle = float(rad_from_deg(bench.set_to("small_turn_deg"))) * turn
        sine, cosine = np.sin(angle), np.cos(angle)
        rotation = np.array([[cosine, 0.0, sine], [0.0, 1.0, 0.0], [-sine, 0.0, cosine]])
        clavicle = turned_to(bench.ac, rotation.T).shift_m
        slid = mm_from_m(-(clavicle @ rotation.T)[..., 0])
        return f"{value_of(slid):+.1f} mm forward", slid * forward > 0.0

    return check


AC_CHECKS: dict[str, Check] = {
    study("rs110"): _trapezoid_force,
    study("rs111"): _trapezoid_share,
    "joint_play.jp050.finding": _trapezoid_force,
    "accessory_motion.am087.value": _share_posterior("AC_superior", "accessory_motion.am087.value"),
    "accessory_motion.am088.value": _share_posterior("AC_posterior", "accessory_motion.am088.value"),
    study("rs112"): leads(_pushed("anterior"), "AC_inferior"),
    study("rs113"): _group_leads("anterior", "AC_capsule"),
    study("rs114"): _group_leads("posterior", "AC_capsule"),
    study("rs115"): _group_leads("superior", "coracoclavicular"),
    study("rs116"): _ac_after_section("anterior", "restraint_studies.rs116.value"),
    "joint_play.jp048.translation_mm": _ac_after_section("anterior", "joint_play.jp048.translation_mm"),
    study("rs117"): _ac_after_section("posterior", "restraint_studies.rs117.value"),
    "joint_play.jp049.translation_mm": _ac_after_section("posterior", "joint_play.jp049.translation_mm"),
    study("rs118"): _ligaments_take_over,
    study("rs119"): _resistance_left,
    study("rs128"): portion_near(
        _ac_moved("posterior", "small"), ("AC_superior", "AC_posterior"), "restraint_studies.rs128.value"
    ),
    study("rs129"): portion_near(_clavicle_rolled, ("AC_superior",), "restraint_studies.rs129.value"),
    study("rs130"): portion_near(_ac_moved("superior", "large"), ("conoid",), "restraint_studies.rs130.value"),
    study("rs131"): portion_near(_ac_moved("superior", "small"), ("AC_superior",), "restraint_studies.rs131.value"),
    study("rs132"): leads(_pushed("lateral"), "trapezoid"),
    study("rs148"): _bears_more("anterior", "conoid", "trapezoid"),
    study("rs149"): _bears_more("superior", "conoid", "trapezoid"),
    study("rs150"): _bears_more("posterior", "trapezoid", "conoid"),
    study("rs151"): more_after(_pushed("posterior"), "trapezoid"),
    rule("ac_scapular_lateral_rotation_retraction_acromion"): _acromion_glides(-1.0, -1.0),
    rule("ac_scapular_medial_rotation_protraction_acromion"): _acromion_glides(1.0, 1.0),
}
"""How each claim is put to the model, by the id of the figure that makes it."""

AC_SILENT: dict[str, str] = {
    study(
        "rs120"
    ): "the medial coracoclavicular ligament is not in the model: no stiffness or slack of it is published",
    "joint_play.jp052.finding": "states the load of a test, no result",
    rule("ac_upward_rotation_acromion"): "a rocking, not a glide: it has no direction at the centre of the joint",
    rule("ac_posterior_tilt_acromion"): "a rocking, not a glide: it has no direction at the centre of the joint",
}
"""Why the model cannot speak to a claim."""

_AC_TILT = "turns on the direction in which the joint surface faces and on the run of the band, both only described"
_STRETCHED = "the model holds the bone by straight lines that pull only along themselves; sheets also resist shear"
_NO_PLAY = "the model's bands are all just slack at rest, so that they share from the start"
AC_DOUBTS: dict[str, str] = {
    "accessory_motion.am088.value": _STRETCHED,
    "joint_play.jp049.translation_mm": _AC_TILT,
    "joint_play.jp050.finding": _AC_TILT,
    rule("ac_scapular_medial_rotation_protraction_acromion"): _AC_TILT,
    study("rs110"): _AC_TILT,
    study("rs111"): _AC_TILT,
    study("rs117"): _AC_TILT,
    study("rs129"): _STRETCHED,
    study("rs130"): _NO_PLAY,
    study("rs131"): _STRETCHED,
    study("rs148"): _AC_TILT,
    study("rs149"): "the two bear almost the same; which leads turns on their run, which is only described",
    study("rs150"): _AC_TILT,
    study("rs151"): _AC_TILT,
}
"""What may lie behind a disagreement."""
