"""Claims about the sternoclavicular joint, and how each is put to the model."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from endfeel.anatomy.units import deg_from_rad, m_from_mm, mm_from_m, rad_from_deg
from endfeel.evidence.figures import number
from endfeel.mechanics import sternoclavicular as sc
from endfeel.mechanics.changes import cut
from endfeel.mechanics.girdle_bench import (
    Bench,
    Check,
    Found,
    Loaded,
    is_first,
    more_after,
    more_as_recalled,
    percent_more,
    ranking,
    rule,
    study,
    value_of,
)
from endfeel.mechanics.girdle_glides import Glide
from endfeel.mechanics.girdle_ligaments import COSTOCLAVICULAR

_FORWARD_AND_BACK: tuple[sc.Direction, ...] = ("anterior", "posterior")


def _pushed(direction: sc.Direction) -> Loaded:
    return lambda bench, without: _sc(bench, direction, without)


def _sc(bench: Bench, direction: sc.Direction, without: Sequence[str] = ()) -> Glide:
    return sc.translate(
        bench.sc, direction, bench.set_to("glide_force_n"), changes=[cut(structure) for structure in without]
    )


def _backward_is_stiffest(others: Sequence[sc.Direction]) -> Check:
    def check(bench: Bench) -> Found:
        far = {one: mm_from_m(_sc(bench, one).along_m) for one in ("posterior", *others)}
        words = ", ".join(f"{one.replace('_', '-')} {value_of(value):.1f} mm" for one, value in far.items())
        least = np.min([far[one] for one in others], axis=0)
        return words, far["posterior"] < least

    return check


def _little_effect(bench: Bench) -> Found:
    percents = []
    for structure in ("costoclavicular", "interclavicular"):
        percents += [percent_more(bench, _pushed(way), structure) for way in _FORWARD_AND_BACK]
    most = np.max(percents, axis=0)
    return f"at most {value_of(most):.0f} % more", most < bench.set_to("notable_change_percent")


def _cut_matters_most(bench: Bench) -> Found:
    structures = ("SC_posterior", "SC_anterior", "interclavicular", "costoclavicular")
    far = {one: mm_from_m(_sc(bench, "posterior", (one,)).along_m) for one in structures}
    return ranking(far, "mm"), is_first(far, "SC_posterior")


def _both_after_posterior(bench: Bench) -> Found:
    row = "accessory_motion.am093.value"
    ways = (("anterior", _pushed("anterior")), ("posterior", _pushed("posterior")))
    both = [more_as_recalled(loaded, "SC_posterior", row, word)(bench) for word, loaded in ways]
    return ", ".join(words for words, _ in both), both[0][1] & both[1][1]


def _moved(bench: Bench, *, elevation: float = 0.0, protraction: float = 0.0, backward: float = 0.0) -> Glide:
    """The clavicle turned by angles in degrees."""
    return sc.move_clavicle(
        bench.sc,
        elevation_rad=float(rad_from_deg(elevation)),
        protraction_rad=float(rad_from_deg(protraction)),
        backward_rad=float(rad_from_deg(backward)),
    )


def _taut(bands: Sequence[str], *, is_taut: bool = True, elevation: float = 0.0, protraction: float = 0.0) -> Check:
    """Bands are taut, or are not, when the clavicle is turned by a small angle."""

    def check(bench: Bench) -> Found:
        small = bench.set_to("small_turn_deg")
        found = _moved(bench, elevation=elevation * small, protraction=protraction * small)
        tension = np.asarray(sum(found.tension_n[band] for band in bands))
        return f"{value_of(tension):.1f} N", (tension > bench.set_to("taut_n")) == is_taut

    return check


def _rises_with_abduction(bench: Bench) -> Found:
    pulls = []
    for part in (0.25, 0.5, 0.75, 1.0):
        found = _moved(
            bench,
            elevation=part * bench.set_to("abduction_elevation_deg"),
            protraction=-part * bench.set_to("abduction_retraction_deg"),
            backward=part * bench.set_to("abduction_backward_deg"),
        )
        pulls.append(np.asarray(sum(found.tension_n[band] for band in COSTOCLAVICULAR)))
    return f"{value_of(pulls[0]):.0f} to {value_of(pulls[-1]):.0f} N", np.all(np.diff(pulls, axis=0) > 0.0, axis=0)


def _carries_the_shaft(bench: Bench) -> Found:
    lever = float(m_from_mm(number(bench.library.figure("ligament_geometry.lg193.value"))))
    found = sc.load_shaft(bench.sc, bench.set_to("hanging_force_n"), lever)
    upper = found.share["SC_superior"] + found.share["SC_disc"]
    shares = {name: share for name, share in found.share.items() if name not in ("SC_superior", "SC_disc", "contact")}
    shares["SC_superior+disc"] = upper
    words = ranking({name: share * 100.0 for name, share in shares.items()}, "%")
    return f"{words}; drops {value_of(deg_from_rad(found.turn_rad)):.0f} deg", is_first(shares, "SC_superior+disc")


def _glides_along_line(elevation: float, up_and_in: float) -> Check:
    def check(bench: Bench) -> Found:
        found = _moved(bench, elevation=elevation * bench.set_to("small_turn_deg"))
        slid = mm_from_m(found.shift_m @ np.array(sc.JOINT_LINE))
        return (
            f"{abs(value_of(slid)):.1f} mm {'up and in' if value_of(slid) > 0 else 'down and out'}",
            slid * up_and_in > 0.0,
        )

    return check


def _glides_forward(protraction: float, forward: float) -> Check:
    def check(bench: Bench) -> Found:
        found = _moved(bench, protraction=protraction * bench.set_to("small_turn_deg"))
        slid = mm_from_m(found.shift_m[..., 0])
        return f"{value_of(slid):+.1f} mm forward", slid * forward > 0.0

    return check


SC_CHECKS: dict[str, Check] = {
    study("rs133"): _backward_is_stiffest(("anterior", "superior_medial", "inferior_lateral")),
    "joint_play.jp051.finding": _backward_is_stiffest(("anterior",)),
    study("rs134"): more_after(_pushed("anterior"), "SC_anterior"),
    study("rs136"): _rises_with_abduction,
    study("rs139"): _taut(COSTOCLAVICULAR, protraction=1.0),
    study("rs140"): _taut(COSTOCLAVICULAR, protraction=-1.0),
    study("rs141"): _carries_the_shaft,
    study("rs142"): _taut(COSTOCLAVICULAR, elevation=1.0),
    study("rs143"): _taut(("interclavicular",), elevation=-1.0),
    study("rs144"): more_after(_pushed("anterior"), "SC_posterior"),
    study("rs145"): _cut_matters_most,
    study("rs146"): more_after(_pushed("anterior"), "SC_anterior"),
    study("rs147"): _little_effect,
    "accessory_motion.am093.value": _both_after_posterior,
    "accessory_motion.am094.value": more_as_recalled(
        _pushed("anterior"), "SC_anterior", "accessory_motion.am094.value", "anterior"
    ),
    study("rs152"): _taut(("interclavicular",), is_taut=False, elevation=1.0),
    study("rs153"): _taut(("interclavicular",), elevation=-1.0),
    rule("sc_elevation_clavicle"): _glides_along_line(1.0, -1.0),
    rule("sc_depression_clavicle"): _glides_along_line(-1.0, 1.0),
    rule("sc_protraction_clavicle"): _glides_forward(1.0, 1.0),
    rule("sc_retraction_clavicle"): _glides_forward(-1.0, -1.0),
}
"""How each claim is put to the model, by the id of the figure that makes it."""

SC_SILENT: dict[str, str] = {
    study("rs135"): "the model has no failure, only stiffness",
    study("rs137"): "no published motion of the clavicle when the hanging arm turns inward, so nothing to impose",
    study("rs138"): "no published motion of the clavicle when the hanging arm turns outward, so nothing to impose",
    rule("sc_posterior_rotation_clavicle"): "a spin: it has no glide to compare",
    rule("sc_anterior_rotation_clavicle"): "a spin: it has no glide to compare",
}
"""Why the model cannot speak to a claim."""

_SC_SURFACE = "turns on how far the sternal surface faces backward and how domed it is, neither of which is published"
SC_DOUBTS: dict[str, str] = {
    "accessory_motion.am093.value": _SC_SURFACE,
    "joint_play.jp051.finding": _SC_SURFACE,
    study("rs133"): _SC_SURFACE,
    study("rs141"): "the model lets the clavicle drop freely about the joint, without the first rib below it",
    study("rs144"): "the model's posterior band runs forward to the sternum, so that a forward glide slackens it",
}
"""What may lie behind a disagreement."""
